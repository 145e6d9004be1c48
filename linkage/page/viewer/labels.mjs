/** Names of parts, above and below a picture, and the lines from them to their parts. */

/** @import { Body, Frame, Point, Pose } from "./types.js" */
import { onPaper, ROW } from "./frames.mjs";
import { clamp, least } from "./numbers.mjs";
import { placed } from "./poses.mjs";

const FRONT = 78; // width of the word in a corner above [px]
const LETTER = 7.2; // width of one in bold, more or less [px]
const SHARES = [0.5, 0.35, 0.65, 0.2, 0.8, 0.05, 0.95]; // along a piece, the middle first

/** @typedef {{ text: string, x: number, y: number, end: number, spot: Point }} Label
 * `end`: where the line to the spot begins */

/** Return up to two labels, for bodies of different parts.
 * @param {Frame} frame @param {{ body: Body, pose: Pose }[]} bodies
 * @param {Point[]} rings on paper, to be kept clear of @returns {Label[]} */
export function labelsOf(frame, bodies, rings) {
  /** @type {Map<string, { body: Body, pose: Pose }>} */
  const found = new Map();
  for (const one of bodies) if (!found.has(one.body.part)) found.set(one.body.part, one);
  return [...found.values()].slice(0, 2)
    .map(({ body, pose }) => ({
      text: body.name, spot: anchor(frame, handles(frame, body, pose), rings) }))
    .sort((a, b) => a.spot[1] - b.spot[1])
    .map(({ text, spot }, row) => setOut(frame, text, spot, row === 0));
}

/** @param {Frame} frame @param {string} text @param {Point} spot @param {boolean} above
 * @returns {Label} */
function setOut(frame, text, spot, above) {
  const half = (LETTER * text.length) / 2 + 6;
  const front = above ? FRONT : 0;
  const [left, right] = frame.sx < 0 ? [front, 0] : [0, front];
  const x = clamp(spot[0], half + left, Math.max(half + left, frame.width - half - right));
  return above ? { text, x, y: 16, end: 21, spot }
               : { text, x, y: frame.height - 8, end: frame.height - 21, spot };
}

/** Return which of some places a name is to point to: in sight, and beside the rings.
 * @param {Frame} frame @param {Point[]} places @param {Point[]} rings on paper
 * @returns {Point} on paper */
export function anchor(frame, places, rings) {
  const room = frame.zoomed ? 40 : 22;
  return least(places.map((place) => onPaper(frame, place)), ([x, y], index) => {
    const inside = x > 8 && x < frame.width - 8 && y > ROW && y < frame.height - ROW;
    const near = rings.some(([rx, ry]) => Math.hypot(x - rx, y - ry) < room);
    return (inside ? 0 : 1000) + (near ? 100 : 0) + index;
  });
}

/** Return places on a body that its name may point to, the best first.
 * @param {Frame} frame @param {Body} body @param {Pose} pose @returns {Point[]} */
export function handles(frame, body, pose) {
  const found = frame.plan ? [] : [placed(pose, body.at)];
  for (const [corners, outs] of body.plan) {
    const [a, b] = [corners[0], corners[Math.floor(corners.length / 2)]];
    for (const share of SHARES) {
      /** @param {number} from @param {number} to */
      const mix = (from, to) => from + share * (to - from);
      const [x, y] = placed(pose, [mix(a[0], b[0]), mix(a[1], b[1])]);
      found.push([x, frame.plan ? mix(outs[0], outs[outs.length - 1]) : y]);
    }
  }
  return found;
}
