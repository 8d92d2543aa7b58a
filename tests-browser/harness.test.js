/** The harness proves itself: each of its checks is seen to fail on a page made for that. */
import assert from "node:assert/strict";
import { createServer } from "node:http";
import { after, before, test } from "node:test";
import { launchBrowser, SIZES, visit } from "./harness/browser.js";

/** @type {import("playwright-core").Browser} */
let browser;
/** @type {import("node:http").Server} */
let server;
let base = "";

/** @type {Record<string, string>} */
const PAGES = {
  "/good": `<button>Fold</button><label>Height <input></label>`,
  "/throws": `<script>setTimeout(() => { throw new Error("made on purpose"); })</script>`,
  "/complains": `<script>console.error("made on purpose")</script>`,
  "/missing": `<script src="/no-such-file.js"></script>`,
  "/outside": `<img src="http://127.0.0.2:9/outside.png" alt="">`,
};

before(async () => {
  server = createServer((request, response) => {
    const body = request.url === "/favicon.ico" ? "" : PAGES[request.url ?? ""];
    response.writeHead(body === undefined ? 404 : 200, { "content-type": "text/html" });
    response.end(body === undefined ? "" : `<!doctype html><title>harness</title>${body}`);
  });
  await new Promise((resolve) => server.listen(0, "127.0.0.1", () => resolve(undefined)));
  const address = server.address();
  if (address === null || typeof address === "string") throw new Error("the test's own server has no port");
  base = `http://127.0.0.1:${address.port}`;
  browser = await launchBrowser();
});

after(async () => {
  await browser?.close();
  server?.close();
});

for (const [path, complaint] of /** @type {const} */ ([
  ["/throws", /uncaught: .*made on purpose/],
  ["/complains", /console: made on purpose/],
  ["/missing", /404/],
  ["/outside", /outside request/],
])) {
  test(`a page that does what ${path} does fails its test`, async () => {
    /** @param {import("./harness/browser.js").Visit} visit */
    const look = async ({ page }) => {
      await page.goto(path, { waitUntil: "networkidle" });
    };
    await assert.rejects(visit(browser, base, SIZES.desk, look), complaint);
  });
}

test("a fault made on purpose passes, and must then occur", async () => {
  await visit(browser, base, SIZES.desk, async ({ page, expectFault }) => {
    expectFault(/made on purpose/);
    await page.goto("/complains");
  });
  const without = visit(browser, base, SIZES.desk, async ({ page, expectFault }) => {
    expectFault(/made on purpose/);
    await page.goto("/good");
  });
  await assert.rejects(without, /did not occur/);
});

test("touches are counted, the limit holds, and none goes past the counter", async () => {
  await visit(browser, base, SIZES.phone, async ({ page, touches }) => {
    await page.goto("/good");
    await touches.fill(page.getByLabel("Height"), "70");
    await touches.tap(page.getByRole("button", { name: "Fold" }));
    assert.equal(touches.count, 2);
    touches.assertAtMost(2);
    assert.throws(() => touches.assertAtMost(1), /2 touches, at most 1/);
  });
  const past = visit(browser, base, SIZES.desk, async ({ page }) => {
    await page.goto("/good");
    await page.getByRole("button", { name: "Fold" }).click();
  });
  await assert.rejects(past, /1 presses went past the counter/);
});

test("WebGL is there by default and absent on request", async () => {
  const hasWebgl = () => document.createElement("canvas").getContext("webgl2") !== null;
  await visit(browser, base, SIZES.desk, async ({ page }) => {
    await page.goto("/good");
    assert.equal(await page.evaluate(hasWebgl), true);
  });
  const flat = await launchBrowser({ webgl: false });
  try {
    await visit(flat, base, SIZES.desk, async ({ page }) => {
      await page.goto("/good");
      assert.equal(await page.evaluate(hasWebgl), false);
    });
  } finally {
    await flat.close();
  }
});
