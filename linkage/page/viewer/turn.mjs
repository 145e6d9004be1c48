/** Looking things up along the turn: stops, spots, and where there is no position. */

/** @import { Model, Ring, Sheet, Spot, Way } from "./types.js" */
import { between, least, wrap } from "./numbers.mjs";

/** Return the stop nearest to an angle. @param {number[]} crank @param {number} degrees */
export const nearest = (crank, degrees) =>
  least([...crank.keys()], (k) => Math.abs(between(crank[k], degrees)));

/** @param {Sheet} sheet @param {Spot} spot @param {number} k */
const into = (sheet, spot, k) => wrap(k - spot.first, sheet.crank.length);

/** Return what there is to say and to ring of a spot at a stop; null outside it.
 * @param {Sheet} sheet @param {Spot | undefined} spot @param {number} k
 * @returns {{ text: string, rings: Record<string, Ring[]> } | null} */
export function hereOf(sheet, spot, k) {
  const here = spot?.here[into(sheet, spot, k)];
  return spot && here ? { text: spot.texts[here[0]], rings: here[1] } : null;
}

/** Return the spot at a stop: the current one if it is there, else the worst that is, else -1.
 * @param {Sheet} sheet @param {number} current @param {number} k */
export function spotAt(sheet, current, k) {
  const within = (/** @type {Spot | undefined} */ spot) => hereOf(sheet, spot, k) !== null;
  return within(sheet.spots[current]) ? current : sheet.spots.findIndex(within);
}

/** Return the spot to jump to from a stop: past the current one where it stands at that, else the
 * next on the way; round the end to the first.
 * @param {Spot[]} spots @param {{ index: number, spot: number }} from @param {Way} step */
export function nextSpot(spots, { index, spot }, step) {
  const order = spots.map((_, n) => n).sort((a, b) => (spots[a].stop - spots[b].stop) * step);
  if (spots[spot]?.stop === index) return order[(order.indexOf(spot) + 1) % order.length];
  return order.find((n) => (spots[n].stop - index) * step > 0) ?? order[0];
}

/** Return whether all of some sides have a position at each stop.
 * @param {Model} model @param {number} number of the sheet @param {string[]} names
 * @returns {boolean[]} */
export function closedAt({ data, poses }, number, names) {
  const { crank, sides } = data.sheets[number];
  return crank.map((_, k) => names.every((name) => poses[number][name](sides[name].parts[0], k)));
}

/** Return the last stop at or before one, the way the crank is turned, that has a position.
 * @param {boolean[]} closed @param {Way} way @param {number} k */
export function standing(closed, way, k) {
  for (let step = 0; step < closed.length; step += 1) {
    const at = wrap(k - way * step, closed.length);
    if (closed[at]) return at;
  }
  return k;
}

/** Return where a crank comes to that is turned from one stop to another: there, or the first
 * stop on the way without a position. Not half a turn or more: that is no step of a film.
 * @param {boolean[]} closed @param {Way} way @param {number} from @param {number} to */
export function carried(closed, way, from, to) {
  const count = closed.length;
  const steps = wrap(way * (to - from), count);
  if (steps >= count / 2) return { index: from, locked: false };
  for (let step = 1; step <= steps; step += 1) {
    const at = wrap(from + way * step, count);
    if (!closed[at]) return { index: at, locked: true };
  }
  return { index: to, locked: false };
}
