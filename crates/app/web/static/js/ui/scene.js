/** Draws one shape with WebGL: paper-coloured sheet, ink lines; turned by pointer, buttons and keys. */

import * as three from "../../vendor/three/three.module.js";
import { OrbitControls } from "../../vendor/three/controls/OrbitControls.js";
import { ball, isometric, place, turned } from "../lib/orbit.js";

/** @import { ShapeAnswer } from "../../../types/api.d.ts" */
/** @import { Space } from "./space.js" */

/** @typedef {"left" | "right" | "up" | "down" | "nearer" | "farther"} Turn */

/** @type {[Turn, string, string][]} */
const TURNS = [
  ["left", "Left", "ArrowLeft"],
  ["right", "Right", "ArrowRight"],
  ["up", "Up", "ArrowUp"],
  ["down", "Down", "ArrowDown"],
  ["nearer", "Nearer", "+"],
  ["farther", "Farther", "-"],
];

/** @param {string} name a colour of the style sheet */
const colour = (name) => new three.Color(getComputedStyle(document.documentElement).getPropertyValue(name).trim());

/**
 * Opens a view in space inside a figure.
 * @param {Element} figure
 * @param {ShapeAnswer} first
 * @returns {Space}
 */
export function openSpace(figure, first) {
  const frame = document.createElement("div");
  frame.className = "space";
  const canvas = document.createElement("canvas");
  canvas.tabIndex = 0;
  canvas.setAttribute("role", "img");
  frame.append(canvas);
  figure.prepend(frame);

  const renderer = new three.WebGLRenderer({ canvas, antialias: true });
  const scene = new three.Scene();
  scene.background = colour("--paper");
  const camera = new three.PerspectiveCamera(30, 1, 1, 100_000);
  camera.up.set(0, 0, 1);
  const controls = new OrbitControls(camera, canvas);
  controls.addEventListener("change", draw);
  const lamp = new three.DirectionalLight(0xffffff, 1.6);
  scene.add(new three.AmbientLight(0xffffff, 1.6), lamp);
  const content = new three.Group();
  scene.add(content);

  let eye = isometric(1);
  /** @type {[number, number, number]} */
  let middle = [0, 0, 0];

  function aim() {
    const [x, y, z] = place(eye);
    camera.position.set(middle[0] + x, middle[1] + y, middle[2] + z);
    controls.target.set(...middle);
    controls.update();
    draw();
  }

  function draw() {
    const { clientWidth, clientHeight } = canvas;
    if (clientWidth === 0) return;
    renderer.setPixelRatio(Math.min(devicePixelRatio, 2));
    renderer.setSize(clientWidth, clientHeight, false);
    camera.aspect = clientWidth / clientHeight;
    camera.updateProjectionMatrix();
    lamp.position.copy(camera.position);
    renderer.render(scene, camera);
  }

  /** @param {Turn} turn */
  function turn(turn) {
    const away = camera.position.clone().sub(controls.target);
    const distance = away.length();
    eye = { azimuth: Math.atan2(away.y, away.x), height: Math.asin(away.z / distance), distance };
    eye = turned(eye, turn);
    aim();
  }

  const bar = document.createElement("p");
  bar.className = "actions";
  for (const [name, label] of TURNS) {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "button";
    button.textContent = label;
    button.addEventListener("click", () => turn(name));
    bar.append(button);
  }
  frame.append(bar);
  canvas.addEventListener("keydown", (event) => {
    const found = TURNS.find(([, , key]) => key === event.key);
    if (found === undefined) return;
    event.preventDefault();
    turn(found[0]);
  });

  /** @param {ShapeAnswer} shape */
  function show(shape) {
    canvas.setAttribute("aria-label", `${shape.name} in space; arrow keys turn it, + and - go nearer and farther`);
    content.clear();
    const points = shape.outline_mm.length > 0 ? flat(content, shape) : finished(content, shape);
    const round = ball(points);
    middle = round.middle;
    camera.near = round.radius / 50;
    camera.far = round.radius * 50;
    return round.radius;
  }

  eye = isometric(show(first));
  aim();
  const sized = new ResizeObserver(draw);
  sized.observe(canvas);
  return {
    show: (shape) => {
      show(shape);
      draw();
    },
    end: () => {
      sized.disconnect();
      controls.dispose();
      renderer.dispose();
      frame.remove();
    },
  };
}

/** Sheet seen from both sides; polygons are pushed back so that ink lines on them are seen. */
function sheet() {
  return new three.MeshLambertMaterial({
    color: colour("--bench"),
    side: three.DoubleSide,
    polygonOffset: true,
    polygonOffsetFactor: 1,
    polygonOffsetUnits: 1,
    flatShading: true,
  });
}

/**
 * @param {three.Group} content
 * @param {number[]} points
 */
function line(content, points) {
  const geometry = new three.BufferGeometry();
  geometry.setAttribute("position", new three.Float32BufferAttribute(points, 3));
  content.add(new three.Line(geometry, new three.LineBasicMaterial({ color: colour("--ink") })));
}

/**
 * @param {three.Group} content
 * @param {ShapeAnswer} shape
 * @returns {number[]}
 */
function finished(content, shape) {
  const geometry = new three.BufferGeometry();
  geometry.setAttribute("position", new three.Float32BufferAttribute(shape.points_mm, 3));
  geometry.setIndex(shape.triangles);
  content.add(new three.Mesh(geometry, sheet()));
  const edges = new three.EdgesGeometry(geometry, 25);
  content.add(new three.LineSegments(edges, new three.LineBasicMaterial({ color: colour("--ink") })));
  for (const { points_mm } of shape.lines) line(content, points_mm);
  return shape.points_mm;
}

/**
 * @param {three.Group} content
 * @param {ShapeAnswer} shape
 * @returns {number[]}
 */
function flat(content, shape) {
  const corners = pairs(shape.outline_mm);
  const outline = new three.Shape(corners);
  outline.holes = shape.openings_mm.map((opening) => new three.Path(pairs(opening)));
  content.add(new three.Mesh(new three.ShapeGeometry(outline), sheet()));
  const points = corners.flatMap(({ x, y }) => [x, y, 0]);
  line(content, [...points, ...points.slice(0, 3)]);
  for (const opening of shape.openings_mm) {
    const round = pairs(opening).flatMap(({ x, y }) => [x, y, 0]);
    line(content, [...round, ...round.slice(0, 3)]);
  }
  for (const { points_mm } of shape.lines) line(content, points_mm);
  return points;
}

/** @param {readonly number[]} flat x, y, x, y … */
function pairs(flat) {
  return Array.from({ length: flat.length / 2 }, (_, index) => new three.Vector2(flat[2 * index], flat[2 * index + 1]));
}
