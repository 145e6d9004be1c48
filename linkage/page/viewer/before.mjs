/** What an engine was before, dashed over what it is: the bodies that have another shape now. */

/** @import { Body, Model, PoseOf } from "./types.js" */

/** Return the bodies of the first of two sheets that the second has otherwise, and where they are
 * at the stops of the second; null where there are not two, or it is the first that is looked at.
 * @param {string} name of the side @param {Model} model @param {number} sheet
 * @returns {{ poseOf: PoseOf, bodies: Body[] } | null} */
export function beforeOf(name, { data, poses }, sheet) {
  const [first, now] = data.sheets;
  const was = first.sides[name];
  if (sheet === 0 || !now || !was) return null;
  const there = new Set(data.outlines[now.sides[name].outlines].map(shapeOf));
  const bodies = data.outlines[was.outlines].filter((body) => !there.has(shapeOf(body)));
  const stops = now.crank.map((degrees) => nearest(first.crank, degrees));
  return { bodies, poseOf: (part, stop) => poses[0][name](part, stops[stop]) };
}

/** @param {Body} body */
const shapeOf = ({ name, side, plan }) => JSON.stringify([name, side, plan]); // a name may be twice

/** Return which angle of the turn is nearest to one. @param {number[]} crank @param {number} at
 * [degrees] */
function nearest(crank, at) {
  const away = (/** @type {number} */ angle) => Math.abs(((angle - at + 540) % 360) - 180);
  return crank.reduce((best, angle, k) => (away(angle) < away(crank[best]) ? k : best), 0);
}
