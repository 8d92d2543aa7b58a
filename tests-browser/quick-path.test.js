/** Both ends of the quick path, counted in touches: on the telephone, and when the numbers come back. */
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { launchBrowser, SIZES, visit } from "./harness/browser.js";
import { photos } from "./harness/photos.js";
import { startServer, temporaryDataDir } from "./harness/server.js";

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => void (browser = await launchBrowser()));
after(() => browser?.close());

test("photos dropped and three pieces named lead to a written reply with band and date in 12 touches", async (t) => {
  const server = await startServer(await temporaryDataDir(t));
  const dropped = await photos(t, browser, ["step well", "locker door", "wheel arch"]);
  try {
    await visit(browser, server.base, SIZES.phone, async ({ page, touches, screenshot }) => {
      await page.goto("/");
      await touches.tap(page.getByRole("link", { name: "New card" }).first());
      await touches.drop(page.getByLabel("Photos"), dropped);
      const pieces = page.locator(".pattern");
      for (const index of [0, 1, 2]) {
        const piece = pieces.nth(index);
        await touches.tap(piece.locator(".pick-label"));
        const asked = piece.locator(".asked-one");
        assert.ok((await asked.count()) <= 4, "at most four questions each");
        // Two questions of each piece are answered; what is not asked takes its whole range.
        for (let question = 0; question < Math.min(2, await asked.count()); question += 1) {
          await touches.tap(asked.nth(question).locator("label").first());
        }
      }
      await touches.tap(page.getByRole("button", { name: "Work out band and date" }));
      const letter = page.locator("#letter");
      await letter.waitFor();
      const text = (await letter.textContent()) ?? "";
      assert.match(text, /GBP [\d,.]+ to GBP [\d,.]+/, "a band");
      assert.match(text, /\d{1,2} [A-Z][a-z]+ \d{4}/, "a date");
      assert.match(text, /said on the phone, not measured/);
      touches.assertAtMost(12);
      await screenshot("telephone-reply-phone");
    });
  } finally {
    await server.stop();
  }
});

test("two numbers and a check figure lead to price and packet in 8 touches", async (t) => {
  const server = await startServer(await temporaryDataDir(t));
  try {
    await visit(browser, server.base, SIZES.phone, async ({ page, touches, screenshot }) => {
      await page.goto("/");
      await touches.tap(page.getByRole("link", { name: "Numbers came back for 26-015" }));
      await touches.fill(page.getByLabel("from the front corner of the gutter"), "100 mm");
      await touches.fill(page.getByLabel("length of the bad stretch"), "640 mm");
      await touches.fill(page.getByLabel("Check figure: bolt to bolt"), "90.2 mm");
      await screenshot("numbers-phone");
      await touches.tap(page.getByRole("button", { name: "Price and packet" }));
      await page.getByRole("heading", { level: 1, name: /Packet/ }).waitFor();
      assert.match((await page.textContent(".packet")) ?? "", /between \D*[\d,.]+ and \D*[\d,.]+/);
      const download = page.waitForEvent("download");
      await touches.tap(page.getByRole("link", { name: "Download everything" }));
      assert.match((await download).suggestedFilename(), /26-015.*\.zip/);
      touches.assertAtMost(8);
    });
  } finally {
    await server.stop();
  }
});

test("a check figure that is off stops the quick path with its likely reasons", async (t) => {
  const server = await startServer(await temporaryDataDir(t));
  try {
    await visit(browser, server.base, SIZES.phone, async ({ page, touches }) => {
      await page.goto("/");
      await touches.tap(page.getByRole("link", { name: "Numbers came back for 26-015" }));
      await touches.fill(page.getByLabel("from the front corner of the gutter"), "100 mm");
      await touches.fill(page.getByLabel("length of the bad stretch"), "640 mm");
      await touches.fill(page.getByLabel("Check figure: bolt to bolt"), "99 mm");
      await touches.tap(page.getByRole("button", { name: "Price and packet" }));
      await page.getByText("held back").first().waitFor();
      assert.equal(await page.getByRole("link", { name: "Download everything" }).count(), 0);
      assert.match((await page.textContent("#stops")) ?? "", /version|hand|bent|units/);
    });
  } finally {
    await server.stop();
  }
});
