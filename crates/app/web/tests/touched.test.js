/** What an edit's answer puts in place, and what it leaves alone. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { ordered, percent, typedSince } from "../static/js/lib/touched.js";

test("forms are put in place after everything else", () => {
  const parts = { "q1-fields": "a", "q2-answer": "b", "q1-drawing": "c", strip: "d" };
  assert.deepEqual(ordered({ revision: 1, parts }).map(([id]) => id), ["q1-drawing", "q2-answer", "strip", "q1-fields"]);
});

test("a text typed after the edit was sent is kept, one that was sent is not", () => {
  const sent = new Map([["height", "70"], ["lap", "12"]]);
  const typed = new Map([["height", "70"], ["lap", "12 mm"], ["note", ""]]);
  assert.deepEqual([...typedSince(typed, sent)], [["lap", "12 mm"], ["note", ""]]);
});

test("progress is said in whole per cent from 0 to 100", () => {
  assert.equal(percent(0.256), "26 %");
  assert.equal(percent(-1), "0 %");
  assert.equal(percent(7), "100 %");
});
