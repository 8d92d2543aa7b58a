/** A shape turned in space. Without WebGL the line drawing stands, and nothing is offered. */

/** @import { ShapeAnswer } from "../../../types/api.d.ts" */

/** @typedef {{ show: (shape: ShapeAnswer) => void, end: () => void }} Space */

/** @type {Map<Element, { space: Space, url: string }>} */
const open = new Map();

/** @type {boolean | undefined} */
let known;

function hasWebgl() {
  known ??= document.createElement("canvas").getContext("webgl2") !== null;
  return known;
}

/**
 * Puts a button under a drawing that opens the shape in space.
 * @param {Element} figure
 */
export function offerSpace(figure) {
  const url = figure instanceof HTMLElement ? figure.dataset["shape"] : undefined;
  if (url === undefined || figure.querySelector("[data-open-space]") !== null || !hasWebgl()) return;
  const button = document.createElement("button");
  button.type = "button";
  button.className = "button";
  button.dataset["openSpace"] = "";
  button.textContent = "Turn it in space";
  button.addEventListener("click", () => void toggle(figure, url, button));
  figure.append(button);
}

/**
 * @param {Element} figure
 * @param {string} url
 * @param {HTMLButtonElement} button
 */
async function toggle(figure, url, button) {
  const own = open.get(figure);
  const frame = figure.querySelector(".drawing-frame");
  if (own !== undefined) {
    own.space.end();
    open.delete(figure);
    frame?.removeAttribute("hidden");
    button.textContent = "Turn it in space";
    return;
  }
  const { openSpace } = await import("./scene.js");
  const shape = await load(url);
  const space = openSpace(figure, shape);
  frame?.setAttribute("hidden", "");
  open.set(figure, { space, url });
  button.textContent = "Back to the drawing";
}

/** @param {string} url @returns {Promise<ShapeAnswer>} */
async function load(url) {
  const response = await fetch(url);
  if (!response.ok) throw new Error(`the shape could not be read (${response.status})`);
  return /** @type {ShapeAnswer} */ (await response.json());
}

/** Reads open shapes again after an edit; forgets those whose figure has gone. */
export function refreshSpace() {
  for (const [figure, own] of open) {
    if (!figure.isConnected) {
      own.space.end();
      open.delete(figure);
    } else {
      void load(own.url).then((shape) => own.space.show(shape));
    }
  }
}
