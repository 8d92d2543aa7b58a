/** Long work: how far it is, and a button that stops it. Edits never wait for it. */

import { percent } from "../lib/touched.js";

/** @import { WorkState } from "../../../types/api.d.ts" */

/**
 * Shows all long work of the program above the card, from now on.
 * @param {HTMLElement} card
 */
export function watchWork(card) {
  /** @type {Map<number, HTMLElement>} */
  const shown = new Map();
  const news = new EventSource("/work/events");
  /** @param {WorkState} state */
  const tell = (state) => {
    const own = shown.get(state.id);
    if (own === undefined && state.state !== "running") return;
    const box = own ?? make(card, state);
    shown.set(state.id, box);
    update(box, state);
  };
  news.addEventListener("work", (event) => tell(/** @type {WorkState} */ (JSON.parse(event.data))));
  // Changes were missed: this is how all stands now. What is no longer there has ended, and the card shows how.
  news.addEventListener("all", (event) => {
    const all = /** @type {WorkState[]} */ (JSON.parse(event.data));
    for (const state of all) tell(state);
    for (const [id, box] of shown) {
      if (box.querySelector("progress") === null || all.some((state) => state.id === id)) continue;
      const name = box.getAttribute("aria-label") ?? "";
      update(box, { id, name, of: "", done: 1, state: "finished", note: "how it ended stands on the card" });
    }
  });
  // The work that this page was sent away with may have ended before the page listened: then its result stands on a new one.
  const awaited = new URLSearchParams(location.search).get("work");
  if (awaited !== null) {
    news.addEventListener("open", () => void fetch("/work").then((answer) => answer.json()).then((/** @type {WorkState[]} */ all) => {
      if (!shown.has(Number(awaited)) && !all.some((state) => String(state.id) === awaited)) location.replace(location.pathname + location.hash);
    }), { once: true });
  }
  addEventListener("pagehide", () => news.close());
}

/**
 * @param {HTMLElement} card
 * @param {WorkState} state
 */
function make(card, state) {
  const box = document.createElement("section");
  box.className = "sheet work";
  box.setAttribute("aria-label", named(state));
  const words = document.createElement("p");
  words.setAttribute("role", "status");
  const bar = document.createElement("progress");
  bar.max = 1;
  bar.setAttribute("aria-label", named(state));
  const stop = document.createElement("button");
  stop.type = "button";
  stop.className = "button";
  stop.textContent = "Stop";
  stop.addEventListener("click", () => void fetch(`/work/${state.id}/cancel`, { method: "POST" }));
  box.append(words, bar, stop);
  card.prepend(box);
  return box;
}

/**
 * What is worked out, and on which card.
 * @param {WorkState} state
 */
function named(state) {
  return state.of === "" ? state.name : `${state.of}: ${state.name}`;
}

/**
 * @param {HTMLElement} box
 * @param {WorkState} state
 */
function update(box, state) {
  const [words, bar, stop] = [box.querySelector("p"), box.querySelector("progress"), box.querySelector("button")];
  if (bar !== null) bar.value = state.done;
  const going = state.state === "running";
  // Said once in every tenth, so that a screen reader is not flooded.
  const name = named(state);
  const text = going ? `${name}: ${percent(Math.floor(state.done * 10) / 10)}` : `${name}: ${state.state}${state.note && state.state === "failed" ? `, ${state.note}` : ""}`;
  if (words !== null && words.textContent !== text) words.textContent = text;
  if (!going) {
    bar?.remove();
    stop?.remove();
    if (state.state === "finished" && state.note !== "") {
      const again = document.createElement("a");
      again.className = "button main";
      again.href = location.pathname;
      again.textContent = "Load the card again";
      words?.append(`; ${state.note}. `, again);
    }
  }
}
