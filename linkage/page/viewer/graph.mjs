/** Where things stand in the picture of a curve over the turn. */

/** @import { Curve, Spot } from "./types.js" */
import { between, clamp, least, wrap } from "./numbers.mjs";

export const HEIGHT = 168; // [px]
export const LEFT = 44;
export const TOP = 8;
export const BOTTOM = HEIGHT - 26;
const RIGHT = 8;
const STEPS = [0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 30, 50, 100];
const NARROWEST = 0.7; // an arc is shaded at least so wide [degrees]

/** Return the right end of the axis. @param {number} width of the picture [px] */
export const endOf = (width) => width - RIGHT;

/** @param {number} width @param {number} degrees */
export const across = (width, degrees) => LEFT + (degrees / 360) * (endOf(width) - LEFT);

/** @param {number} width @param {number} x */
export const degreesAt = (width, x) => ((x - LEFT) / (endOf(width) - LEFT)) * 360;

/** @param {{ low: number, high: number }} curve @param {number} value */
export const up = ({ low, high }, value) =>
  TOP + ((high - clamp(value, low, high)) / (high - low)) * (BOTTOM - TOP);

/** Return the spots that a curve shows: all whose own curve it is, with the reverser at its place.
 * @param {Spot[]} spots @param {Curve} curve @param {number | null} place */
export const shownBy = (spots, curve, place) => spots.filter((spot) => spot.place === place
  && spot.curve?.title === curve.title && spot.curve.side === curve.side);

/** Return the parts of an arc that lie in one turn. @param {{ begin: number, end: number }} arc
 * @returns {[from: number, to: number][]} */
export function shaded({ begin, end }) {
  const from = wrap(begin, 360);
  const to = from + Math.max(end - begin, NARROWEST);
  return to <= 360 ? [[from, to]] : [[from, 360], [0, to - 360]];
}

/** Return the values to be written beside the axis. @param {{ low: number, high: number }} curve */
export function ticks({ low, high }) {
  const step = STEPS.find((size) => (high - low) / size <= 5) ?? high - low;
  const first = Math.ceil(low / step);
  const count = Math.floor(high / step) - first + 1;
  return Array.from({ length: count }, (_, n) => (first + n) * step)
    .map((value) => ({ value, text: step < 0.1 ? value.toFixed(2) : `${+value.toFixed(1)}` }));
}

/** Return the curve as a path; a value above what is in sight, or none at all, breaks the line.
 * @param {Curve} curve @param {number} width */
export function graphPath(curve, width) {
  let open = false;
  return curve.points.map(([degrees, value]) => {
    const start = open ? "L" : "M";
    open = value !== null && value <= curve.high;
    if (!open) return "";
    return `${start}${across(width, degrees).toFixed(1)} ${up(curve, value ?? 0).toFixed(1)}`;
  }).join("");
}

/** Return whether the curve leaves more room for words at a level's left end than at its right.
 * @param {Curve} curve @param {number} level */
export function roomAtLeft(curve, level) {
  const room = (/** @type {number} */ from, /** @type {number} */ to) => Math.min(...curve.points
    .filter(([degrees, value]) => degrees >= from && degrees <= to && value !== null)
    .map(([, value]) => Math.abs(up(curve, value ?? 0) - up(curve, level))));
  return room(0, 90) > room(270, 360);
}

/** Return the value at an angle, at the nearest point of the curve; null where it is not in sight.
 * @param {Curve} curve @param {number} degrees */
export function valueAt(curve, degrees) {
  const [, value] = least(curve.points, ([angle]) => Math.abs(between(angle, degrees)));
  return value !== null && value <= curve.high ? value : null;
}
