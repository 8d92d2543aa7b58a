/**
 * Puts parts of a page that the server has written in place of old ones.
 *
 * The server writes every part of a card, with or without script; a script only moves its nodes, so there is one
 * template for each thing. Nodes are parsed apart from the page (nothing in them runs: the content policy allows no
 * inline script) and moved in.
 */

import { typedSince } from "../lib/touched.js";

/**
 * What stands in the fields of a form.
 * @param {ParentNode} form
 * @returns {Map<string, string>}
 */
export function texts(form) {
  /** @type {Map<string, string>} */
  const found = new Map();
  for (const field of form.querySelectorAll("input, select, textarea")) {
    const value = valueOf(field);
    if (value !== undefined && value.name !== "base") found.set(value.name, value.text);
  }
  return found;
}

/**
 * @param {Element} field
 * @returns {{ name: string, text: string } | undefined}
 */
export function valueOf(field) {
  if (field instanceof HTMLInputElement && field.type === "hidden") return undefined;
  if (field instanceof HTMLInputElement && field.type === "checkbox") return { name: field.name, text: field.checked ? "yes" : "no" };
  if (field instanceof HTMLInputElement || field instanceof HTMLSelectElement || field instanceof HTMLTextAreaElement) {
    return { name: field.name, text: field.value };
  }
  return undefined;
}

/**
 * Fills an element with HTML from this server, keeping focus, caret, opened details and texts typed meanwhile.
 * @param {Element} target
 * @param {string} html
 * @param {Map<string, string>} sent texts when the edit was sent
 */
export function fill(target, html, sent) {
  const focused = document.activeElement;
  const focusId = focused instanceof HTMLElement && target.contains(focused) ? focused.id : "";
  const caret = focused instanceof HTMLInputElement && focused.type === "text" ? focused.selectionStart : null;
  const opened = new Set([...target.querySelectorAll("details[open] > summary")].map((summary) => summary.textContent));
  const kept = typedSince(texts(target), sent);
  const parsed = new DOMParser().parseFromString(html, "text/html");
  target.replaceChildren(...[...parsed.body.childNodes].map((node) => document.adoptNode(node)));
  for (const summary of target.querySelectorAll("details > summary")) {
    if (opened.has(summary.textContent) && summary.parentElement instanceof HTMLDetailsElement) summary.parentElement.open = true;
  }
  for (const field of target.querySelectorAll("input, select, textarea")) putBack(field, kept);
  const again = focusId === "" ? null : document.getElementById(focusId);
  if (again !== null) again.focus({ preventScroll: true });
  if (again instanceof HTMLInputElement && caret !== null) again.setSelectionRange(caret, caret);
}

/**
 * @param {Element} field
 * @param {Map<string, string>} kept
 */
function putBack(field, kept) {
  const own = valueOf(field);
  const text = own === undefined ? undefined : kept.get(own.name);
  if (text === undefined) return;
  if (field instanceof HTMLInputElement && field.type === "checkbox") field.checked = text === "yes";
  else if (field instanceof HTMLInputElement || field instanceof HTMLSelectElement || field instanceof HTMLTextAreaElement) field.value = text;
}

/**
 * Says something in the page's status line.
 * @param {string} text
 */
export function say(text) {
  const status = document.getElementById("status");
  if (status !== null) status.textContent = text;
}
