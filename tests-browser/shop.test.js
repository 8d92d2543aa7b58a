/** The shop's own page: a person sets rates, stock and machines, and every price follows. */
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { launchBrowser, SIZES, visit } from "./harness/browser.js";
import { startServer, temporaryDataDir } from "./harness/server.js";

/** @import { Page } from "playwright-core" */

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => void (browser = await launchBrowser()));
after(() => browser?.close());

/**
 * The price of the first measured card, as its head says it.
 * @param {Page} page
 */
async function price(page) {
  await page.goto("/");
  await page.getByRole("link", { name: /^26-014/ }).click();
  return (await page.locator("#q8-answer").textContent()) ?? "";
}

test("an hour's price and a margin are set on the page of the shop, and the card's price follows and is taken back", async (t) => {
  const server = await startServer(await temporaryDataDir(t));
  try {
    // the counter of touches is for the quick path; this page is sat down to once
    const page = await (await browser.newContext({ baseURL: server.base, ...SIZES.desk })).newPage();
    const before = await price(page);
    await page.getByRole("link", { name: "Shop", exact: true }).click();
    await page.getByLabel("Name of the shop").fill("Lower Yard Panels");
    await page.getByLabel("Currency").selectOption("EUR");
    await page.getByLabel("One hour at the bench").fill("96.00");
    await page.getByLabel("Longest fold").fill("3 ft 4 in");
    await page.getByRole("button", { name: "Keep" }).click();
    await page.getByText("Kept. Prices and plans").waitFor();
    assert.equal(await page.getByLabel("Longest fold").inputValue(), "1016 mm", "3 ft 4 in is 40 in is 1016 mm");
    const after = await price(page);
    assert.match(before, /GBP/);
    assert.match(after, /EUR/);
    // twice the hour is not twice the price, as metal and carriage stay; it is well above half as much again
    const amount = (/** @type {string} */ text) => Number(/(?:GBP|EUR) ([\d.]+)/.exec(text)?.[1]);
    assert.ok(amount(after) > 1.5 * amount(before) && amount(after) < 2 * amount(before), `${before} / ${after}`);
    assert.match((await page.goto("/").then(() => page.textContent("h1"))) ?? "", /Lower Yard Panels/);

    await page.goto("/shop");
    await page.getByRole("button", { name: "Undo" }).click();
    assert.equal(await page.getByLabel("Name of the shop").inputValue(), "Bench Lane Metalwork");
    assert.equal(await price(page), before);
    await page.context().close();
  } finally {
    await server.stop();
  }
});

test("what is wrong on the page of the shop is named at its field and nothing is written", async (t) => {
  const server = await startServer(await temporaryDataDir(t));
  try {
    await visit(browser, server.base, SIZES.phone, async ({ page, touches, expectFault, screenshot }) => {
      expectFault(/422/);
      await page.goto("/shop");
      assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), "nothing runs off the side");
      await touches.fill(page.getByLabel("Margin, % of the price"), "120");
      await touches.fill(page.getByLabel("Longest fold"), "NaN");
      await touches.tap(page.getByRole("button", { name: "Keep" }));
      const alert = page.getByRole("alert");
      await alert.waitFor();
      assert.match((await alert.textContent()) ?? "", /Longest fold.*not a finite number/);
      assert.equal(await page.getByLabel("Longest fold").inputValue(), "NaN", "what was typed stands");
      await touches.fill(page.getByLabel("Longest fold"), "1250 mm");
      await touches.tap(page.getByRole("button", { name: "Keep" }));
      await page.getByRole("link", { name: /Margin, % of the price is 120 %; 0 to 95 % is accepted/ }).waitFor();
      await screenshot("shop-phone", false);
      await page.goto("/shop");
      assert.equal(await page.getByLabel("Margin, % of the price").inputValue(), "20 %");
    });
  } finally {
    await server.stop();
  }
});

test("the settings leave as the file that the command line takes, and come back from it", async (t) => {
  const server = await startServer(await temporaryDataDir(t));
  try {
    await visit(browser, server.base, SIZES.desk, async ({ page, touches, screenshot }) => {
      await page.goto("/shop");
      await screenshot("shop-desk", false);
      const download = page.waitForEvent("download");
      await touches.tap(page.getByRole("link", { name: "Save as shop.toml" }));
      const saved = await download;
      assert.equal(saved.suggestedFilename(), "shop.toml");
      const path = await saved.path();
      await touches.fill(page.getByLabel("One hour at the bench"), "51.00");
      await touches.tap(page.getByRole("button", { name: "Keep" }));
      await page.getByText("Kept. Prices and plans").waitFor();
      await touches.drop(page.getByLabel("Take the settings of a file"), [path]);
      await touches.tap(page.getByRole("button", { name: "Take the file" }));
      await page.getByText("Kept. Prices and plans").waitFor();
      assert.equal(await page.getByLabel("One hour at the bench").inputValue(), "48.00");
    });
  } finally {
    await server.stop();
  }
});

test("a card that has no piece yet gets one from the shelf", async (t) => {
  const server = await startServer(await temporaryDataDir(t));
  try {
    await visit(browser, server.base, SIZES.phone, async ({ page, touches }) => {
      await page.goto("/new");
      await touches.tap(page.getByRole("button", { name: "Work out band and date" }));
      await touches.tap(page.getByRole("link", { name: "Choose a piece from the pattern shelf" }));
      await touches.tap(page.getByRole("button", { name: /^Put it on card/ }).first());
      await page.getByRole("heading", { name: "What does it cost?" }).waitFor();
    });
  } finally {
    await server.stop();
  }
});
