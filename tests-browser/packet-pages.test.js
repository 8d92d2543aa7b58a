/** Pages of the demo packet, as they come out of a printer: the one that must not be misread, and a blank at 1:1. */
import assert from "node:assert/strict";
import { execFile } from "node:child_process";
import { mkdtemp, rm, stat } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { promisify } from "node:util";
import { pictureOfPdfPage } from "./harness/browser.js";
import { PROGRAM, ROOT } from "./harness/server.js";

const run = promisify(execFile);
const LARGEST_PICTURE_BYTES = 200_000;

/** @type {string} */
let packet;
before(async () => {
  packet = await mkdtemp(join(tmpdir(), "soundmetal-packet-"));
  await run(PROGRAM, ["packet", join(ROOT, "examples/wren15.toml"), "-o", packet]);
});
after(() => rm(packet, { recursive: true, force: true }));

/**
 * Finds the first page with these words and makes its picture.
 * @param {string} paper path in the packet
 * @param {RegExp} words
 * @param {string} picture file name without its ending
 * @returns {Promise<string>} everything that is written on the page
 */
async function pageWith(paper, words, picture) {
  const path = join(packet, paper);
  const { stdout } = await run("pdftotext", ["-layout", path, "-"]);
  const pages = stdout.split("\f");
  const index = pages.findIndex((page) => words.test(page));
  assert.notEqual(index, -1, `no page of ${paper} says ${words}`);
  const { size } = await stat(await pictureOfPdfPage(path, index + 1, picture));
  assert.ok(size < LARGEST_PICTURE_BYTES, `${picture} has ${size} bytes`);
  return pages[index] ?? "";
}

test("scribed line, lap and cut line stand on one page, for the right hand", async () => {
  const page = await pageWith("arch/fitting-sheet.pdf", /Scribe along the piece/, "packet-fitting-sheet");
  for (const name of ["piece height", "lap", "cut height"]) {
    assert.match(page, new RegExp(`${name} \\d[^\\n]*mm\\)`));
  }
  assert.match(page, /right hand \(driver's right, sitting and facing forward\)/);
});

test("a sheet of the blank says 1:1 by its check bars and where it joins", async () => {
  const page = await pageWith("arch/blank-wheel-arch-edge.pdf", /curl down/, "packet-blank");
  for (const words of [/100 mm/, /4 in/, /joins/, /print at 100 %/]) assert.match(page, words);
});
