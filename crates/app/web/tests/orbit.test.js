/** The eye that looks at a shape. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { ball, isometric, place, turned } from "../static/js/lib/orbit.js";

test("the isometric eye sees the three axes at the same angle", () => {
  const [x, y, z] = place(isometric(10));
  const length = Math.hypot(x, y, z);
  for (const part of [x, y, z]) assert.ok(Math.abs(Math.abs(part / length) - Math.sqrt(1 / 3)) < 1e-12);
});

test("left and right, nearer and farther undo each other", () => {
  const eye = isometric(5);
  const back = turned(turned(turned(turned(eye, "left"), "right"), "nearer"), "farther");
  assert.ok(Math.abs(back.azimuth - eye.azimuth) < 1e-12);
  assert.ok(Math.abs(back.distance - eye.distance) < 1e-9);
});

test("the eye never goes over the top", () => {
  let eye = isometric(5);
  for (let press = 0; press < 50; press += 1) eye = turned(eye, "up");
  assert.ok(eye.height < Math.PI / 2);
  for (let press = 0; press < 100; press += 1) eye = turned(eye, "down");
  assert.ok(eye.height > -Math.PI / 2);
});

test("the ball round points reaches the farthest corner of their box", () => {
  const { middle, radius } = ball([0, 0, 0, 6, 8, 0, 3, 4, 0]);
  assert.deepEqual(middle, [3, 4, 0]);
  assert.equal(radius, 5);
  assert.deepEqual(ball([]), { middle: [0, 0, 0], radius: 1 });
});
