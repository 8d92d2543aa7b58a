/** A double-curved skin on its card: the map of raising, and seams looked for as long work that can be stopped. */
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { launchBrowser, screenshot, SIZES, visit } from "./harness/browser.js";
import { startServer, temporaryDataDir } from "./harness/server.js";

/** @import { Page } from "playwright-core" */

/** @type {import("playwright-core").Browser} */
let browser;
/** @type {import("./harness/server.js").Server} */
let server;
before(async (t) => {
  browser = await launchBrowser();
  server = await startServer(await temporaryDataDir(/** @type {any} */ (t)));
});
after(async () => {
  await browser?.close();
  await server?.stop();
});

/** @param {Page} page */
async function openDome(page) {
  await page.goto("/");
  const cards = page.locator(".slip > a").filter({ hasText: "dome corner" });
  await page.goto((await cards.first().getAttribute("href")) ?? "");
  await page.getByRole("heading", { name: /What do we cut from flat/ }).waitFor();
}

test("the flat of a skin carries its map of raising with figures, and its route can be changed", async () => {
  await visit(browser, server.base, SIZES.desk, async ({ page, touches }) => {
    await openDome(page);
    const map = page.locator("#q5-drawing svg .layer.shrink");
    assert.ok((await map.count()) > 0, "gathered bands are drawn");
    await page.locator("#q5").scrollIntoViewIfNeeded();
    await page.locator("#q5").evaluate((own) => own.scrollIntoView({ block: "start" }));
    await screenshot(page, "skin-desk", false);
    const before = await page.locator("#q5-drawing").innerHTML();
    await page.getByLabel("How dome corner is to be formed").selectOption("wheel_out");
    await page.waitForFunction((old) => document.querySelector("#q5-drawing")?.innerHTML !== old, before);
    assert.ok((await page.locator("#q5-drawing svg .layer.stretch").count()) > 0, "raised bands are drawn");
    await touches.tap(page.getByRole("button", { name: "Undo" }));
    await page.waitForFunction(() => {
      const route = [...document.querySelectorAll("select")].find((own) => /\.route$/.test(own.name));
      return route?.value === "least_work";
    });
  });
});

test("seams are looked for at a word and stand under question 5", async () => {
  await visit(browser, server.base, SIZES.desk, async ({ page, touches }) => {
    await openDome(page);
    await touches.tap(page.getByRole("button", { name: "Look for seams" }));
    const [found, again] = [
      page.getByText("What each seam of dome corner saves"),
      page.getByRole("link", { name: "Load the card again" }),
    ];
    // quick work stands on the page at once, longer work tells when it is done
    await found.or(again).first().waitFor();
    if (await again.isVisible()) await touches.tap(again);
    await found.waitFor();
    await page.getByText("seam 1: the two flats").waitFor();
  });
});
