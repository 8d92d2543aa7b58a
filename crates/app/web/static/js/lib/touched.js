/**
 * Which parts of a card must be put in place after an edit, and what to keep while doing so. No DOM here.
 */

/** @import { EditAnswer } from "../../../types/api.d.ts" */

/**
 * Parts that hold what a person types come last, so that their drawing, answer and concerns are never held up.
 * @param {EditAnswer} answer
 * @returns {[string, string][]} element id and HTML, in the order to put them in place
 */
export function ordered(answer) {
  return Object.entries(answer.parts).sort(([a], [b]) => Number(a.endsWith("-fields")) - Number(b.endsWith("-fields")) || a.localeCompare(b));
}

/**
 * A text as typed that a new version of the form must not overwrite: the field was changed after the edit was sent.
 * @param {Map<string, string>} typed what stands in each field by name, when the answer came
 * @param {Map<string, string>} sent what stood in it when the edit was sent
 * @returns {Map<string, string>} fields to put back, by name
 */
export function typedSince(typed, sent) {
  return new Map([...typed].filter(([name, value]) => sent.get(name) !== value));
}

/**
 * Says how far long work is, for a person who cannot see the bar.
 * @param {number} done 0 to 1
 */
export function percent(done) {
  return `${Math.round(Math.min(1, Math.max(0, done)) * 100)} %`;
}
