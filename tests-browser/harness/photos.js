/** Photos for the tests, drawn by the browser itself: a plain picture as a phone would send it. */
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";

/** @import { Browser } from "playwright-core" */

/**
 * Writes JPEG files and returns their paths; they are removed when the test has ended.
 * @param {{ after: (fn: () => Promise<void>) => void }} t
 * @param {Browser} browser
 * @param {string[]} names without ending
 */
export async function photos(t, browser, names) {
  const folder = await mkdtemp(join(tmpdir(), "soundmetal-photos-"));
  t.after(() => rm(folder, { recursive: true, force: true }));
  const page = await browser.newPage();
  const paths = [];
  for (const [index, name] of names.entries()) {
    const url = await page.evaluate((shade) => {
      const canvas = document.createElement("canvas");
      [canvas.width, canvas.height] = [320, 240];
      const ink = canvas.getContext("2d");
      if (ink === null) throw new Error("no canvas");
      ink.fillStyle = `rgb(${90 + shade * 40}, 110, 100)`;
      ink.fillRect(0, 0, 320, 240);
      ink.fillStyle = "rgb(120, 60, 30)";
      ink.fillRect(40 + shade * 50, 150, 120, 40);
      return canvas.toDataURL("image/jpeg", 0.8);
    }, index);
    const path = join(folder, `${name}.jpg`);
    await writeFile(path, Buffer.from(url.split(",")[1] ?? "", "base64"));
    paths.push(path);
  }
  await page.close();
  return paths;
}
