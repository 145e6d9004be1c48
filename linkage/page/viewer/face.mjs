/** Where things stand on the dial, about its middle: drawn for the right side, and mirrored. */

/** @import { Point, Spot } from "./types.js" */
import { radians } from "./numbers.mjs";

export const WIDTH = 336; // [px]
export const HEIGHT = 236;
export const RIM = 88;
const INNER = 70; // of the band that shows an arc
const NARROWEST = 3; // an arc is drawn at least so wide [degrees]

/** Return the place at a crank angle. @param {number} degrees @param {number} radius
 * @returns {Point} */
export const at = (degrees, radius) =>
  [radius * Math.cos(radians(degrees)), radius * Math.sin(radians(degrees))];

/** Return the path of an arrow's shaft, or of an arc, in forward running.
 * @param {number} from @param {number} to [degrees] @param {number} radius */
export const arc = (from, to, radius) =>
  `M${at(from, radius)}A${radius} ${radius} 0 ${to - from > 180 ? 1 : 0} 1 ${at(to, radius)}`;

/** Return the crank angle at a place [degrees]. @param {Point} place */
export const angleAt = ([x, y]) => (Math.atan2(y, x) * 180) / Math.PI;

/** Return the band of a spot's arc. @param {Pick<Spot, "begin" | "end">} spot
 * @param {number} behind the right-hand crank [degrees] */
export function bandOf({ begin, end }, behind) {
  const wide = Math.min(Math.max(end - begin, NARROWEST), 359.9); // a whole turn is no arc
  const from = Math.min(begin, (begin + end - NARROWEST) / 2) - behind;
  const long = wide > 180 ? 1 : 0;
  return `${arc(from, from + wide, RIM)}L${at(from + wide, INNER)}`
       + `A${INNER} ${INNER} 0 ${long} 0 ${at(from, INNER)}Z`;
}
