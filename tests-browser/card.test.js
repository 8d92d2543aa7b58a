/** The job card in a browser: edits, undo, working, the shape in space, and all of it by keyboard. */
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { launchBrowser, SIZES, visit } from "./harness/browser.js";
import { startServer, temporaryDataDir } from "./harness/server.js";

/** @import { Page } from "playwright-core" */

/** @type {import("playwright-core").Browser} */
let browser;
/** @type {import("./harness/server.js").Server} */
let server;
before(async (t) => {
  browser = await launchBrowser();
  process.env["SOUNDMETAL_TEST_SLOW_STAGE"] = "1";
  server = await startServer(await temporaryDataDir(/** @type {any} */ (t)));
});
after(async () => {
  await browser?.close();
  await server?.stop();
});

/**
 * Opens the first card that has a price.
 * @param {Page} page
 */
async function openPricedCard(page) {
  await page.goto("/");
  const cards = await page.locator(".slip > a").evaluateAll((links) => links.map((link) => link.getAttribute("href") ?? ""));
  for (const card of cards) {
    await page.goto(card);
    if (/nine times in ten/.test((await page.locator("#q8-answer").textContent()) ?? "")) return;
  }
  throw new Error("no card of the demo has a price");
}

/** @param {Page} page */
const price = async (page) => (await page.locator("#q8-answer").textContent()) ?? "";

test("a changed number brings a new price, undo brings the old one back", async () => {
  await visit(browser, server.base, SIZES.desk, async ({ page, touches }) => {
    await openPricedCard(page);
    const before = await price(page);
    const field = page.getByLabel("How many");
    await touches.fill(field, "5");
    await touches.press(field, "Tab");
    await page.waitForFunction((old) => document.querySelector("#q8-answer")?.textContent !== old, before);
    const more = await price(page);
    assert.notEqual(more, before);
    await touches.tap(page.getByRole("button", { name: "Undo" }));
    await page.waitForFunction((old) => document.querySelector("#q8-answer")?.textContent !== old, more);
    assert.equal(await price(page), before);
    await page.reload();
    assert.equal(await price(page), before, "what the page shows is what is kept");
  });
});

/**
 * Opens the fold that a field stands in.
 * @param {import("./harness/touches.js").Touches} touches
 * @param {import("playwright-core").Locator} field
 */
async function unfold(touches, field) {
  const fold = field.locator("xpath=ancestor::details[not(@open)]");
  while ((await fold.count()) > 0) await touches.tap(fold.first().locator("> summary"));
}

test("a value that cannot be read is named beside its field and stays there", async () => {
  await visit(browser, server.base, SIZES.tablet, async ({ page, touches, expectFault }) => {
    expectFault(/422/);
    await openPricedCard(page);
    const field = page.getByLabel("Lap", { exact: true });
    await unfold(touches, field);
    await touches.fill(field, "a thumb");
    await touches.press(field, "Tab");
    await page.getByRole("alert").first().waitFor();
    assert.equal(await field.getAttribute("aria-invalid"), "true");
    assert.equal(await field.inputValue(), "a thumb");
    const described = (await field.getAttribute("aria-describedby")) ?? "";
    const words = await page.locator(`#${described.split(" ").at(-1)}`).textContent();
    assert.match(words ?? "", /a thumb/);
  });
});

test("two people on one card: the later is told, and nothing of the earlier is lost", async () => {
  await visit(browser, server.base, SIZES.desk, async ({ page, touches, expectFault }) => {
    expectFault(/409/);
    await openPricedCard(page);
    const other = await page.context().newPage();
    await other.goto(page.url());
    await other.getByLabel("Who asks").fill("county museum");
    await other.getByLabel("Who asks").press("Tab");
    await other.waitForFunction(() => document.querySelector("#card")?.getAttribute("aria-busy") === null);
    await other.waitForTimeout(300);
    const field = page.getByLabel("Who fits it");
    await unfold(touches, field);
    await touches.fill(field, "a volunteer");
    await touches.press(field, "Tab");
    await page.getByRole("link", { name: "Load the card again" }).waitFor();
    assert.equal(await field.inputValue(), "a volunteer");
    await touches.tap(page.getByRole("link", { name: "Load the card again" }));
    await page.waitForLoadState();
    assert.equal(await page.getByLabel("Who asks").inputValue(), "county museum");
  });
});

test("the working of a figure opens by one click", async () => {
  await visit(browser, server.base, SIZES.desk, async ({ page, touches }) => {
    await openPricedCard(page);
    const figure = page.locator("#q8-more .working").first();
    await touches.tap(figure.locator("summary"));
    assert.ok(await figure.locator(".formula").isVisible());
  });
});

test("the piece is turned in space by buttons and keys", async () => {
  await visit(browser, server.base, SIZES.desk, async ({ page, touches, screenshot }) => {
    await openPricedCard(page);
    const figure = page.locator("#q4-drawing figure").first();
    await touches.tap(figure.getByRole("button", { name: "Turn it in space" }));
    const canvas = figure.locator("canvas");
    await canvas.waitFor();
    const seen = () => canvas.evaluate((node) => /** @type {HTMLCanvasElement} */ (node).toDataURL().length);
    assert.ok((await seen()) > 1000);
    await touches.tap(figure.getByRole("button", { name: "Left" }));
    await touches.press(canvas, "ArrowUp");
    await figure.scrollIntoViewIfNeeded();
      await screenshot("card-in-space-desk", false);
    await touches.tap(figure.getByRole("button", { name: "Back to the drawing" }));
    await figure.locator(".drawing-frame svg").waitFor();
  });
});

test("without WebGL the line drawing stands and nothing is offered", async () => {
  const flat = await launchBrowser({ webgl: false });
  try {
    await visit(flat, server.base, SIZES.desk, async ({ page }) => {
      await openPricedCard(page);
      const figure = page.locator("#q4-drawing figure").first();
      assert.ok(await figure.locator("svg path").first().isVisible());
      assert.equal(await page.getByRole("button", { name: "Turn it in space" }).count(), 0);
    });
  } finally {
    await flat.close();
  }
});

test("long work survives a reload, never holds up an edit, and stops at a word", async () => {
  await visit(browser, server.base, SIZES.desk, async ({ page, touches }) => {
    await openPricedCard(page);
    await page.evaluate(() => fetch("/work/test", { method: "POST" }));
    const work = page.getByRole("region", { name: "slow stage for the tests" });
    await work.getByRole("progressbar").waitFor();
    await page.reload();
    await work.getByRole("progressbar").waitFor();
    const before = await price(page);
    const field = page.getByLabel("How many");
    await touches.fill(field, "9");
    await touches.press(field, "Tab");
    await page.waitForFunction((old) => document.querySelector("#q8-answer")?.textContent !== old, before, { timeout: 5000 });
    assert.equal(await work.getByRole("progressbar").count(), 1, "the work still goes on");
    await touches.tap(work.getByRole("button", { name: "Stop" }));
    await page.getByText("slow stage for the tests: stopped").waitFor();
    await touches.tap(page.getByRole("button", { name: "Undo" }));
    await page.waitForFunction((old) => document.querySelector("#q8-answer")?.textContent === old, before);
  });
});

test("the card is walked by keyboard: skip link, strip, field, kept change", async () => {
  await visit(browser, server.base, SIZES.desk, async ({ page, touches }) => {
    await openPricedCard(page);
    await touches.press(page.locator("body"), "Tab");
    assert.equal(await page.evaluate(() => document.activeElement?.className), "skip");
    const strip = page.locator("#strip a").nth(7);
    await strip.focus();
    await touches.press(strip, "Enter");
    assert.equal(new URL(page.url()).hash, "#q8");
    const field = page.getByLabel("How many");
    await field.focus();
    const before = await price(page);
    await touches.press(field, "Control+a");
    await page.keyboard.type("6");
    await touches.press(field, "Enter");
    await page.waitForFunction((old) => document.querySelector("#q8-answer")?.textContent !== old, before);
    await touches.press(page.locator("body"), "Control+z");
    await page.waitForFunction((old) => document.querySelector("#q8-answer")?.textContent === old, before);
  });
});

for (const size of /** @type {const} */ (["phone", "tablet", "desk"])) {
  test(`rack, shelf, card and packet fit a ${size} and its targets can be touched`, async () => {
    await visit(browser, server.base, SIZES[size], async ({ page, screenshot }) => {
      await openPricedCard(page);
      const card = page.url();
      const packet = `${new URL(card).pathname.split("/section/")[0]}/packet`;
      for (const [name, path] of [["rack", "/"], ["patterns", "/patterns"], ["new", "/new"], ["card", card], ["packet", packet]]) {
        await page.goto(path ?? "/");
        // not "networkidle": the card listens for news of long work as long as it is open
        await page.waitForLoadState("load");
        const overhang = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
        assert.ok(overhang <= 0, `${name} is ${overhang} px wider than a ${size}`);
        const small = await page.locator(".button, input:not([type=hidden], [type=checkbox], [type=radio]), select").evaluateAll((targets) =>
          targets.filter((target) => target.checkVisibility() && target.getBoundingClientRect().height < 43.5).map((target) => target.outerHTML.slice(0, 120)));
        assert.deepEqual(small, [], `${name}: targets lower than 44 px`);
        await screenshot(`${name}-${size}`, name !== "card");
      }
    });
  });
}
