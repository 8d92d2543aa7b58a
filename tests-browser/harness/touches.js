/**
 * Counts what a person would have to do with the hand: one tap, one field filled, one choice, one drop of files.
 *
 * Scrolling and reading are free. The page itself counts too, so a test that goes past the counter fails: every press of
 * the pointer and every change of a field must have been made through this class.
 */
import assert from "node:assert/strict";

/** @import { Locator, Page } from "playwright-core" */

export class Touches {
  /** @type {string[]} what was done, in order */
  done = [];
  #pressesMade = 0;
  #changesMade = 0;
  #pressesSeen = 0;
  #changesSeen = 0;

  /**
   * @param {Page} page before it has gone anywhere
   */
  static async on(page) {
    const touches = new Touches();
    await page.exposeFunction("reportTouchToTest", (/** @type {string} */ kind) => {
      if (kind === "press") touches.#pressesSeen += 1;
      else touches.#changesSeen += 1;
    });
    await page.addInitScript(() => {
      /** @type {{ reportTouchToTest?: (kind: string) => void }} */
      const test = /** @type {any} */ (window);
      addEventListener("pointerdown", (event) => event.isTrusted && test.reportTouchToTest?.("press"), true);
      addEventListener("change", (event) => event.isTrusted && test.reportTouchToTest?.("change"), true);
    });
    return touches;
  }

  get count() {
    return this.done.length;
  }

  /** @param {Locator} target */
  async tap(target) {
    this.#note(`tap ${target}`);
    this.#pressesMade += 1;
    // a tap on a check box or radio button changes it
    this.#changesMade += 1;
    await target.click();
  }

  /**
   * One touch for the field; typing needs no further one.
   * @param {Locator} field
   * @param {string} text
   */
  async fill(field, text) {
    this.#note(`fill ${field} with ${text}`);
    this.#changesMade += 1;
    await field.fill(text);
  }

  /**
   * @param {Locator} field a select element
   * @param {string} value
   */
  async choose(field, value) {
    this.#note(`choose ${value} in ${field}`);
    this.#changesMade += 1;
    await field.selectOption(value);
  }

  /**
   * One drop, however many files.
   * @param {Locator} field a file input
   * @param {string[]} paths
   */
  async drop(field, paths) {
    this.#note(`drop ${paths.length} files on ${field}`);
    this.#changesMade += 1;
    await field.setInputFiles(paths);
  }

  /**
   * One key or chord, as a person without a pointer would use it; it counts as a touch and may change a field.
   * @param {Locator} target
   * @param {string} key
   */
  async press(target, key) {
    this.#note(`press ${key} on ${target}`);
    this.#changesMade += 1;
    await target.press(key);
  }

  /** @param {number} limit */
  assertAtMost(limit) {
    assert.ok(this.count <= limit, `${this.count} touches, at most ${limit} allowed:\n${this.done.join("\n")}`);
  }

  async assertNoneUncounted() {
    assert.ok(this.#pressesSeen <= this.#pressesMade, `${this.#pressesSeen - this.#pressesMade} presses went past the counter`);
    assert.ok(this.#changesSeen <= this.#changesMade, `${this.#changesSeen - this.#changesMade} changes went past the counter`);
  }

  /** @param {string} what */
  #note(what) {
    this.done.push(`${this.done.length + 1}. ${what}`);
  }
}
