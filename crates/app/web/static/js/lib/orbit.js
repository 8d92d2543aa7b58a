/**
 * Where the eye stands when a shape is turned by buttons or keys. Angles in radians, lengths in mm. No DOM here.
 */

/** @typedef {{ azimuth: number, height: number, distance: number }} Eye azimuth round z, height above the level plane */

const QUARTER = Math.PI / 2;
/** Just short of straight up, where "up" would have no meaning. */
const HIGHEST = QUARTER - 0.05;

/** The isometric eye, far enough to see a ball of this radius. @param {number} radius @returns {Eye} */
export function isometric(radius) {
  return { azimuth: -Math.PI / 4, height: Math.atan(Math.SQRT1_2), distance: radius * 3.2 };
}

/**
 * The eye after one press.
 * @param {Eye} eye
 * @param {"left" | "right" | "up" | "down" | "nearer" | "farther"} turn
 * @returns {Eye}
 */
export function turned(eye, turn) {
  const step = Math.PI / 12;
  const high = (/** @type {number} */ height) => Math.min(HIGHEST, Math.max(-HIGHEST, height));
  switch (turn) {
    case "left": return { ...eye, azimuth: eye.azimuth - step };
    case "right": return { ...eye, azimuth: eye.azimuth + step };
    case "up": return { ...eye, height: high(eye.height + step) };
    case "down": return { ...eye, height: high(eye.height - step) };
    case "nearer": return { ...eye, distance: eye.distance / 1.25 };
    case "farther": return { ...eye, distance: eye.distance * 1.25 };
  }
}

/**
 * The eye as a point round a centre, z up.
 * @param {Eye} eye
 * @returns {[number, number, number]}
 */
export function place(eye) {
  const level = Math.cos(eye.height) * eye.distance;
  return [Math.cos(eye.azimuth) * level, Math.sin(eye.azimuth) * level, Math.sin(eye.height) * eye.distance];
}

/**
 * Middle and radius of the smallest box's ball round points.
 * @param {readonly number[]} flat x, y, z, x, y, z …
 * @returns {{ middle: [number, number, number], radius: number }}
 */
export function ball(flat) {
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (const [index, value] of flat.entries()) {
    const axis = index % 3;
    low[axis] = Math.min(low[axis] ?? value, value);
    high[axis] = Math.max(high[axis] ?? value, value);
  }
  const [ax = 0, ay = 0, az = 0] = low;
  const [bx = 0, by = 0, bz = 0] = high;
  if (!Number.isFinite(ax)) return { middle: [0, 0, 0], radius: 1 };
  return { middle: [(ax + bx) / 2, (ay + by) / 2, (az + bz) / 2], radius: Math.max(1, Math.hypot(bx - ax, by - ay, bz - az) / 2) };
}
