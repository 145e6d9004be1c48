/** Where things stand on the dial: a clock face seen from outside, `sign` -1 from the left. */

/** @import { Point, Spot } from "./types.js" */
import { radians } from "./numbers.mjs";
import { closedPath } from "./plan.mjs";

export const WIDTH = 336; // [px]
export const HEIGHT = 236;
export const CENTRE = /** @type {Point} */ ([168, 118]);
export const RIM = 88;
const INNER = 70; // of the band that shows an arc
const RUNNING = 104; // of the arrow of forward running
const NARROWEST = 3; // an arc is drawn at least so wide [degrees]

/** Return the place at a crank angle of the side. @param {number} sign @param {number} degrees
 * @param {number} radius @returns {Point} */
export const at = (sign, degrees, radius) => [
  CENTRE[0] + sign * radius * Math.cos(radians(degrees)),
  CENTRE[1] + radius * Math.sin(radians(degrees)),
];

/** Return the crank angle of the side at a place [degrees].
 * @param {number} sign @param {Point} place */
export const angleAt = (sign, [x, y]) =>
  (Math.atan2(y - CENTRE[1], sign * (x - CENTRE[0])) * 180) / Math.PI;

/** Return the band of a spot's arc.
 * @param {number} sign @param {Pick<Spot, "begin" | "end">} arc @param {number} behind */
export function bandOf(sign, { begin, end }, behind) {
  const wide = Math.min(Math.max(end - begin, NARROWEST), 359.9); // a whole turn is no arc
  const from = end - begin < NARROWEST ? (begin + end - NARROWEST) / 2 : begin;
  const [a, b] = [from - behind, from + wide - behind];
  const [long, way] = [wide > 180 ? 1 : 0, sign > 0 ? 1 : 0];
  return `M${at(sign, a, RIM)}A${RIM} ${RIM} 0 ${long} ${way} ${at(sign, b, RIM)}`
       + `L${at(sign, b, INNER)}A${INNER} ${INNER} 0 ${long} ${1 - way} ${at(sign, a, INNER)}Z`;
}

/** Return the marks of the hours, the same from either side; words at every third. */
export function hours() {
  return Array.from({ length: 12 }, (_, n) => n + 1).map((hour) => {
    const degrees = hour * 30 - 90;
    const [x, y] = at(1, degrees, RIM + 16);
    return { hour, main: hour % 3 === 0, line: `M${at(1, degrees, RIM)}L${at(1, degrees, RIM + 6)}`,
             place: /** @type {Point} */ ([x, y + 5]) };
  });
}

/** Return the arrow of forward running: its shaft, and its tip as a path. @param {number} sign */
export function running(sign) {
  const [from, to] = [24, 62]; // [degrees]
  const [x, y] = at(sign, to, RUNNING);
  const [u, v] = [Math.cos(radians(to)), Math.sin(radians(to))];
  /** @type {Point[]} */
  const tip = [[8, 0], [0, -6], [0, 6]]; // along and aside
  return {
    shaft: `M${at(sign, from, RUNNING)}A${RUNNING} ${RUNNING} 0 0 ${sign > 0 ? 1 : 0} ${[x, y]}`,
    tip: closedPath(tip.map(([p, q]) => [x + sign * (-v * p + u * q), y + u * p + v * q])),
  };
}
