/** The program starts on an empty data folder, shows its rack with the demo, and stops when asked. */
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { launchBrowser, SIZES, visit } from "./harness/browser.js";
import { startServer, temporaryDataDir } from "./harness/server.js";

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => void (browser = await launchBrowser()));
after(() => browser?.close());

test("a first start shows the rack with job cards of the demo", async (t) => {
  const server = await startServer(await temporaryDataDir(t));
  try {
    await visit(browser, server.base, SIZES.desk, async ({ page }) => {
      const response = await page.goto("/");
      assert.equal(response?.status(), 200);
      assert.match(response.headers()["content-security-policy"] ?? "", /default-src 'self'/);
      await page.getByRole("heading", { level: 1 }).waitFor();
      assert.match((await page.textContent("main")) ?? "", /Wren 15/);
    });
  } finally {
    await server.stop();
  }
});

test("pages stay inside the width of a phone", async (t) => {
  const server = await startServer(await temporaryDataDir(t));
  try {
    await visit(browser, server.base, SIZES.phone, async ({ page }) => {
      await page.goto("/");
      const overhang = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
      assert.equal(overhang, 0);
    });
  } finally {
    await server.stop();
  }
});
