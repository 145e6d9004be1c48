/** Small sums. */

/** @param {number} value @param {number} count */
export const wrap = (value, count) => ((value % count) + count) % count;

/** @param {number} value @param {number} low @param {number} high */
export const clamp = (value, low, high) => Math.max(low, Math.min(high, value));

/** Return how far one angle is past another, the shorter way.
 * @param {number} to @param {number} from [degrees] */
export const between = (to, from) => wrap(to - from + 180, 360) - 180;

/** @param {number} degrees */
export const radians = (degrees) => (degrees * Math.PI) / 180;

/** Return the first of the items for which a cost is least.
 * @template T @param {T[]} items @param {(item: T, index: number) => number} cost @returns {T} */
export function least(items, cost) {
  const costs = items.map(cost);
  return items[costs.reduce((best, c, i) => (c < costs[best] ? i : best), 0)];
}

/** @param {string} text */
export const upper = (text) => text.charAt(0).toUpperCase() + text.slice(1);
