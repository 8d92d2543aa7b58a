/** Pages in a real Chromium that remember everything that went wrong in them. */
import { execFile } from "node:child_process";
import { mkdir } from "node:fs/promises";
import { join } from "node:path";
import { promisify } from "node:util";
import { chromium } from "playwright-core";
import { ROOT, TARGET_DIR } from "./server.js";
import { Touches } from "./touches.js";

/** @import { Browser, BrowserContextOptions, Page } from "playwright-core" */

/**
 * The three places where a job card is read: at the vehicle, at the bench, at the desk.
 * @type {Record<"phone" | "tablet" | "desk", BrowserContextOptions>}
 */
export const SIZES = {
  phone: { viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true, deviceScaleFactor: 2 },
  tablet: { viewport: { width: 820, height: 1180 }, hasTouch: true, deviceScaleFactor: 1 },
  desk: { viewport: { width: 1440, height: 900 }, deviceScaleFactor: 1 },
};

const WITHOUT_NETWORK = [
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-quic",
  "--disable-sync",
  "--no-first-run",
];
const SOFTWARE_WEBGL = ["--use-angle=swiftshader", "--enable-unsafe-swiftshader"];

/**
 * Starts Chromium with a new, empty profile.
 * @param {{ webgl?: boolean }} [options] `webgl: false` shows what a browser without 3D gets
 * @returns {Promise<Browser>}
 */
export function launchBrowser({ webgl = true } = {}) {
  const asRoot = process.getuid?.() === 0 ? ["--no-sandbox"] : [];
  return chromium.launch({
    executablePath: process.env["CHROMIUM_BIN"] ?? "/usr/bin/chromium",
    args: [...WITHOUT_NETWORK, ...(webgl ? SOFTWARE_WEBGL : ["--disable-gpu", "--disable-3d-apis"]), ...asRoot],
  });
}

/**
 * @typedef {object} Visit
 * @property {Page} page
 * @property {Touches} touches counts what the test does with the page; use it instead of the page's own click and fill
 * @property {(pattern: RegExp) => void} expectFault the test makes this fault on purpose; it must then occur
 * @property {(name: string, whole?: boolean) => Promise<void>} screenshot of the whole page, or of what is in sight: Chromium repeats pictures of very long pages
 */

/**
 * Opens a page in a context of its own, runs `act` with it and fails on anything the page complained about:
 * uncaught errors, console errors, failed requests, requests to anywhere but `base`.
 * @param {Browser} browser
 * @param {string} base address of the program
 * @param {BrowserContextOptions} size one of {@link SIZES}, with more options if needed
 * @param {(visit: Visit) => Promise<void>} act
 */
export async function visit(browser, base, size, act) {
  const context = await browser.newContext({ baseURL: base, locale: "en-GB", reducedMotion: "reduce", ...size });
  const page = await context.newPage();
  const faults = collectFaults(page, base);
  /** @type {RegExp[]} */
  const expected = [];
  try {
    const touches = await Touches.on(page);
    await act({
      page,
      touches,
      expectFault: (pattern) => void expected.push(pattern),
      screenshot: (name, whole) => screenshot(page, name, whole),
    });
    await touches.assertNoneUncounted();
  } catch (error) {
    if (faults.length > 0 && error instanceof Error) error.message += `\nThe page also said:\n${faults.join("\n")}`;
    throw error;
  } finally {
    await context.close();
  }
  assertOnlyExpected(faults, expected);
}

/**
 * @param {Page} page
 * @param {string} base
 */
function collectFaults(page, base) {
  /** @type {string[]} */
  const faults = [];
  page.on("pageerror", (error) => faults.push(`uncaught: ${error.stack ?? error.message}`));
  page.on("console", (message) => {
    if (message.type() === "error") faults.push(`console: ${message.text()} (${message.location().url})`);
  });
  page.on("crash", () => faults.push("the page crashed"));
  page.on("request", (request) => {
    const { protocol, origin } = new URL(request.url());
    if (/^https?:$/.test(protocol) && origin !== base) faults.push(`outside request: ${request.url()}`);
  });
  return faults;
}

/**
 * @param {string[]} faults
 * @param {RegExp[]} expected
 */
function assertOnlyExpected(faults, expected) {
  const surprises = faults.filter((fault) => !expected.some((pattern) => pattern.test(fault)));
  if (surprises.length > 0) throw new Error(`the page complained:\n${surprises.join("\n")}`);
  const absent = expected.filter((pattern) => !faults.some((fault) => pattern.test(fault)));
  if (absent.length > 0) throw new Error(`expected faults did not occur: ${absent.join(", ")}`);
}

/** Folder for pictures: docs/img when SOUNDMETAL_SCREENSHOTS=1, else one beside the build. */
async function pictureFolder() {
  const folder = process.env["SOUNDMETAL_SCREENSHOTS"] === "1" ? join(ROOT, "docs/img") : join(TARGET_DIR, "verify/img");
  await mkdir(folder, { recursive: true });
  return folder;
}

/**
 * Takes a picture of the whole page.
 * @param {Page} page
 * @param {string} name file name without its ending
 * @param {boolean} [whole] false takes only what is in sight
 */
export async function screenshot(page, name, whole = true) {
  await page.screenshot({ path: join(await pictureFolder(), `${name}.png`), fullPage: whole, animations: "disabled" });
}

/**
 * Makes a picture of one page of a PDF that the program wrote.
 * @param {string} pdfPath
 * @param {number} pageNumber from 1
 * @param {string} name file name without its ending
 * @returns {Promise<string>} path of the picture
 */
export async function pictureOfPdfPage(pdfPath, pageNumber, name) {
  const only = ["-f", `${pageNumber}`, "-l", `${pageNumber}`, "-singlefile"];
  const path = join(await pictureFolder(), name);
  await promisify(execFile)("pdftoppm", ["-png", "-r", "80", ...only, pdfPath, path]);
  return `${path}.png`;
}
