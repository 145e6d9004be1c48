/** What pieces take up seen from above: places are (x, out). */

/** @import { Body, PlanPiece, Point, Pose } from "./types.js" */
import { placed } from "./poses.mjs";

/** Lengths on paper, to 0.001. @param {Point} point */
export const written = ([x, y]) => `${x.toFixed(3)} ${y.toFixed(3)}`;

/** @param {Point[]} points */
export const closedPath = (points) => `M${points.map(written).join("L")}Z`;

/** Return a piece seen from above as a path, the same as scene/bodies.py has it.
 * @param {PlanPiece} piece @param {Pose} pose */
export function planPath([corners, outs, radius, half], pose) {
  const spots = corners.map((corner) => placed(pose, corner));
  const xs = spots.map((spot) => spot[0]);
  if (corners.length !== 2) {
    const [low, high] = [Math.min(...xs) - radius, Math.max(...xs) + radius];
    return closedPath([[low, outs[0] - half], [high, outs[0] - half],
                       [high, outs[0] + half], [low, outs[0] + half]]);
  }
  const [dx, dy] = [spots[1][0] - spots[0][0], spots[1][1] - spots[0][1]];
  const reach = (radius * Math.abs(dy)) / (Math.hypot(dx, dy) || 1);
  const turned = xs[0] > xs[1] || (xs[0] === xs[1] && outs[0] > outs[1]);
  const [a, b] = turned ? [1, 0] : [0, 1];
  return closedPath(swept([xs[a], outs[a]], [xs[b], outs[b]], reach, half));
}

/** Return what a rectangle covers that is moved from one place to another, further ahead.
 * @param {Point} from @param {Point} to @param {number} reach half its length
 * @param {number} half its thickness @returns {Point[]} */
export function swept([xa, oa], [xb, ob], reach, half) {
  /** @type {Point[]} */
  const first = [[xa - reach, oa + half], [xa - reach, oa - half]];
  /** @type {Point[]} */
  const last = [[xb + reach, ob - half], [xb + reach, ob + half]];
  return ob >= oa
    ? [...first, [xa + reach, oa - half], ...last, [xb - reach, ob + half]]
    : [...first, [xb - reach, ob - half], ...last, [xa + reach, oa + half]];
}

/** Return how far out parts lie, taken together; null where none has an outline.
 * @param {Body[]} bodies @param {string[]} parts */
export function levelOf(bodies, parts) {
  const outs = bodies.filter((body) => parts.includes(body.part))
    .flatMap((body) => body.plan.flatMap(([, out]) => out));
  return outs.length ? outs.reduce((a, b) => a + b) / outs.length : null;
}
