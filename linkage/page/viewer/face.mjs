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

const LETTER = 7.4; // width of one, at the most [px]
const LINE = 17; // height of a line [px]
const OUT = [46, 64, 28, 10, 55, 37, 19]; // from the middle to words, best first [px]
const ASIDE = [0, 12, 24, 36, 50, 70, 90, 115, 140, 165].flatMap((one) => [one, -one]); // [degrees]

/** Return where the words of arcs stand, none over another and all within the rim: about the middle
 * of their arc, nearest first. Where there is no such place, no word, for its band is there.
 * @param {readonly { degrees: number, letters: number }[]} wanted middle of each arc, its word's
 * length @returns {(Point | null)[]} the middle of each word */
export function placeWords(wanted) {
  /** @type {[Point, number][]} */
  const placed = [];
  return wanted.map(({ degrees, letters }) => {
    const half = (letters * LETTER) / 2;
    const free = ASIDE.flatMap((aside) => OUT.map((out) => at(degrees + aside, out)))
      .find(([x, y]) => Math.hypot(Math.abs(x) + half, Math.abs(y) + LINE / 2) < RIM
        && placed.every(([[otherX, otherY], otherHalf]) =>
          Math.abs(x - otherX) >= half + otherHalf || Math.abs(y - otherY) >= LINE));
    if (!free) return null;
    placed.push([free, half]);
    return free;
  });
}
