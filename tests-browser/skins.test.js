/** A double-curved skin on its card: the map of raising, and seams looked for as long work that can be stopped. */
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { execFile } from "node:child_process";
import { readFile, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { promisify } from "node:util";
import { launchBrowser, screenshot, SIZES, visit } from "./harness/browser.js";
import { PROGRAM, ROOT, startServer, temporaryDataDir } from "./harness/server.js";

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
  const cards = page.locator(".slip > a").filter({ hasText: "26-017" });
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

/**
 * Puts a card on the rack whose search for seams takes long: a dome as long as a roof, which a quiet machine does not part before the page is there.
 * @param {string} dataDir
 */
async function importLargeDome(dataDir) {
  const demo = await readFile(join(ROOT, "examples/dome-corner.toml"), "utf8");
  const [head = "", piece = ""] = (demo.split("[[section.piece.profile]]")[0] ?? "").split("[[section.piece]]");
  const height = (/** @type {number} */ x, /** @type {number} */ y) => Math.sqrt(2700 ** 2 - (x - 1800) ** 2 - (y - 1200) ** 2) - 1800;
  const steps = (/** @type {number} */ to) => Array.from({ length: 11 }, (_, i) => (to * i) / 10);
  const profiles = steps(3600).map((x) => {
    const points = steps(2400).map((y) => `[${y}, ${height(x, y).toFixed(1)}]`);
    return `[[section.piece.profile]]\nstation = ${x}\npoints = [${points.join(", ")}]\n`;
  });
  const large = piece
    .replace("dome corner", "large dome")
    .replace(/^outline = .*$/m, "outline = [[0, 0], [3600, 0], [3600, 1500], [3000, 2400], [0, 2400]]")
    .replace(/^(templates_at|buck_board) = .*$/gm, "");
  const file = join(dataDir, "large-dome.toml");
  await writeFile(file, `${head.replace("26-017", "26-117")}[[section.piece]]${large}${profiles.join("\n")}`);
  await promisify(execFile)(PROGRAM, ["import", file, "--data", dataDir]);
}

test("a search for seams that takes long says how far it is, stops at a word, and leaves the worker free", async (t) => {
  const dataDir = await temporaryDataDir(t);
  // the demo is made when the data is first opened
  await (await startServer(dataDir)).stop();
  await importLargeDome(dataDir);
  const own = await startServer(dataDir);
  t.after(() => own.stop());
  await visit(browser, own.base, SIZES.desk, async ({ page, touches }) => {
    await page.goto("/");
    const card = await page.locator(".slip > a").filter({ hasText: "26-117" }).first().getAttribute("href");
    await page.goto(card ?? "", { timeout: 120_000 });
    await touches.tap(page.getByRole("button", { name: "Look for seams" }));
    const work = page.getByRole("region", { name: "looking for seams" });
    const bar = work.getByRole("progressbar");
    await bar.waitFor();
    await page.waitForFunction(() => [...document.querySelectorAll(".work progress")].some((bar) => /** @type {HTMLProgressElement} */ (bar).value > 0));
    // from the press that the page feels: how long the driver takes to find the button is not the program's
    const times = page.evaluate(() => new Promise((done) => {
      let pressed = 0;
      addEventListener("pointerdown", () => { pressed = performance.now(); }, { capture: true, once: true });
      const seen = new MutationObserver(async () => {
        if (![...document.querySelectorAll(".work [role=status]")].some((own) => own.textContent?.endsWith("looking for seams: stopped"))) return;
        seen.disconnect();
        const said = performance.now() - pressed;
        /** @type {unknown[]} */
        let busy = [1];
        while (busy.length > 0 && performance.now() - pressed < 10_000) busy = await (await fetch("/work")).json();
        done({ said, free: performance.now() - pressed, busy });
      });
      seen.observe(document.body, { subtree: true, childList: true, characterData: true });
    }));
    await touches.tap(work.getByRole("button", { name: "Stop" }));
    await page.getByText("looking for seams: stopped").waitFor();
    const { said, free, busy } = /** @type {{ said: number, free: number, busy: unknown[] }} */ (await times);
    t.diagnostic(`asked to stop a search for seams: the page says so after ${said.toFixed(0)} ms, the worker is free after ${free.toFixed(0)} ms`);
    assert.deepEqual(busy, [], "the worker is free again");
    // 0.3 s is wanted and printed; a machine that does much else must not fail the test
    assert.ok(free < 5000, `${free} ms`);
    // and it takes the next search
    await openDome(page);
    await touches.tap(page.getByRole("button", { name: "Look for seams" }));
    const [found, again] = [page.getByText("What each seam of dome corner saves"), page.getByRole("link", { name: "Load the card again" })];
    await found.or(again).first().waitFor({ timeout: 120_000 });
  });
});

test("on a phone every table of a card fits, opened too, and a drawing that slides says so", async () => {
  await visit(browser, server.base, SIZES.phone, async ({ page }) => {
    await openDome(page);
    await page.evaluate(() => document.querySelectorAll("details").forEach((own) => (own.open = true)));
    await page.getByText("Every line of front dome corner of the roof").first().waitFor({ state: "attached" });
    const wide = await page.evaluate(() =>
      [...document.querySelectorAll(".table-frame")]
        .filter((own) => own.clientWidth > 0 && own.scrollWidth > own.clientWidth + 1)
        .map((own) => `${own.getAttribute("aria-label")}: ${own.scrollWidth} of ${own.clientWidth}`),
    );
    assert.deepEqual(wide, [], "tables that run off the side");
    const sliding = await page.evaluate(() =>
      [...document.querySelectorAll(".drawing-frame")]
        .filter((own) => own.scrollWidth > own.clientWidth + 1)
        .map((own) => {
          const caption = own.closest("figure")?.querySelector("figcaption");
          return caption ? getComputedStyle(caption, "::after").content : "no caption";
        }),
    );
    assert.ok(sliding.length > 0, "drawings with lettering are not made small");
    for (const words of sliding) assert.match(words, /slide the drawing sideways/);
    await page.locator("#q8").scrollIntoViewIfNeeded();
    await screenshot(page, "skin-phone-price", false);
  });
});
