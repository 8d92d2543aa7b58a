/** The job card: every field that is left is a revision, and the drawing, the price and the rest follow. */

import { ordered } from "../lib/touched.js";
import { fill, say, texts, valueOf } from "../ui/parts.js";
import { offerSpace, refreshSpace } from "../ui/space.js";
import { watchWork } from "../ui/work.js";

/** @import { EditAnswer, EditRefusal } from "../../../types/api.d.ts" */

const card = document.getElementById("card");
if (!(card instanceof HTMLElement)) throw new Error("the page lacks #card");
document.documentElement.classList.add("scripted");

/** Edits go out one after another: each is based on the revision that the one before made. */
let queue = Promise.resolve();

card.addEventListener("change", (event) => {
  const field = event.target;
  if (!(field instanceof Element) || field.closest("form[data-edit]") === null) return;
  const value = valueOf(field);
  if (value === undefined) return;
  enqueue(() => edit([{ path: value.name, value: value.text }]));
});

card.addEventListener("submit", (event) => {
  const form = event.target;
  if (!(form instanceof HTMLFormElement)) return;
  if (form.id === "steps") {
    event.preventDefault();
    const button = event.submitter;
    const action = button instanceof HTMLButtonElement ? button.formAction : form.action;
    enqueue(() => step(action));
  } else if (form.matches("[data-edit]")) {
    // Enter in a field: leaving it sends the change, the form itself would send everything.
    event.preventDefault();
    if (document.activeElement instanceof HTMLElement) document.activeElement.blur();
  }
});

document.addEventListener("keydown", (event) => {
  const typing = event.target instanceof Element && event.target.closest("input, textarea, select") !== null;
  if (typing || !(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== "z") return;
  event.preventDefault();
  enqueue(() => step(`/card/${card.dataset["card"]}/${event.shiftKey ? "redo" : "undo"}`));
});

/** @param {() => Promise<void>} work */
function enqueue(work) {
  queue = queue.then(work).catch((error) => {
    say(`The change was not kept: ${error instanceof Error ? error.message : error}. It still stands in its field.`);
  });
}

/** @param {{ path: string, value: string }[]} changes */
async function edit(changes) {
  const url = `/card/${card?.dataset["card"]}/section/${card?.dataset["section"]}/fields`;
  await send(url, { "content-type": "application/json" }, JSON.stringify({ base: Number(card?.dataset["revision"]), changes }));
}

/** @param {string} url undo or redo */
async function step(url) {
  const body = new URLSearchParams({ base: card?.dataset["revision"] ?? "", section: card?.dataset["section"] ?? "" });
  await send(url, { "content-type": "application/x-www-form-urlencoded" }, body);
}

/**
 * @param {string} url
 * @param {Record<string, string>} headers
 * @param {BodyInit} body
 */
async function send(url, headers, body) {
  if (card === null) return;
  const sent = texts(card);
  card.setAttribute("aria-busy", "true");
  try {
    const response = await fetch(url, { method: "POST", headers: { ...headers, accept: "application/json" }, body });
    if (response.ok) put(/** @type {EditAnswer} */ (await response.json()), sent);
    else refuse(/** @type {EditRefusal} */ (await response.json()));
  } finally {
    card.removeAttribute("aria-busy");
  }
}

/**
 * @param {EditAnswer} answer
 * @param {Map<string, string>} sent
 */
function put(answer, sent) {
  if (card === null) return;
  card.dataset["revision"] = String(answer.revision);
  for (const [id, html] of ordered(answer)) {
    const target = document.getElementById(id);
    if (target !== null) fill(target, html, sent);
  }
  for (const base of card.querySelectorAll('input[name="base"]')) {
    if (base instanceof HTMLInputElement) base.value = String(answer.revision);
  }
  for (const figure of card.querySelectorAll("figure[data-shape]")) offerSpace(figure);
  refreshSpace();
  say("");
}

/** @param {EditRefusal} refusal */
function refuse(refusal) {
  const faults = document.getElementById("faults");
  const field = refusal.field === "" ? null : document.getElementById(refusal.field);
  if (field !== null) mark(field, refusal.message);
  const box = document.createElement("div");
  box.className = "sheet fault-list";
  box.setAttribute("role", "alert");
  const line = document.createElement("p");
  line.textContent = [refusal.message, ...refusal.hints].join("; ");
  box.append(line);
  if (refusal.kind === "stale") {
    const again = document.createElement("a");
    again.className = "button main";
    again.href = location.pathname;
    again.textContent = "Load the card again";
    box.append(again);
  }
  faults?.replaceChildren(box);
  box.scrollIntoView({ block: "nearest" });
}

/**
 * Says what is wrong beside a field.
 * @param {HTMLElement} field
 * @param {string} message
 */
function mark(field, message) {
  field.setAttribute("aria-invalid", "true");
  const holder = field.closest(".field");
  holder?.classList.add("wrong");
  const id = `${field.id}-fault`;
  let line = document.getElementById(id);
  if (line === null) {
    line = document.createElement("p");
    line.id = id;
    line.className = "fault";
    holder?.append(line);
  }
  line.textContent = message;
  const described = new Set((field.getAttribute("aria-describedby") ?? "").split(" ").filter(Boolean));
  field.setAttribute("aria-describedby", [...described.add(id)].join(" "));
}

for (const figure of card.querySelectorAll("figure[data-shape]")) offerSpace(figure);
watchWork(card);
