/** Positions of parts, and points of parts put in place. */

/** @import { Data, Glanced, Glimpse, Model, Point, Pose, PoseOf, Side } from "./types.js" */

/** What does not move. @type {Pose} */
const STILL = { x: 0, y: 0, cos: 1, sin: 0 };

/** @param {Data} data @returns {Model} */
export function readModel(data) {
  /** @param {Record<string, Side>} sides @param {number} count of stops */
  const read = (sides, count) => Object.fromEntries(Object.entries(sides)
    .map(([name, side]) => [name, readPoses(side, count, data.noPlace)]));
  const poses = data.sheets.map((sheet) => read(sheet.sides, sheet.crank.length));
  const places = data.sheets.map((sheet) =>
    sheet.places.map((sides) => read(sides, sheet.crank.length)));
  return { data, poses, places };
}

/** Read a side's positions out of their text.
 * @param {Pick<Side, "parts" | "poses">} side @param {number} count of stops
 * @param {number} noPlace @returns {PoseOf} */
export function readPoses({ parts, poses }, count, noPlace) {
  const bytes = Uint8Array.from(atob(poses.numbers), (c) => c.charCodeAt(0));
  const view = new DataView(bytes.buffer);
  const rows = new Map(parts.map((name, row) => [name, row]));
  return (part, stop) => {
    const row = rows.get(part);
    if (row === undefined) return STILL; // of the frame
    const at = 6 * (row * count + stop);
    const x = view.getInt16(at, true);
    if (x === noPlace) return null;
    const turn = view.getInt16(at + 4, true) * poses.rad;
    const y = view.getInt16(at + 2, true) * poses.mm;
    return { x: x * poses.mm, y, cos: Math.cos(turn), sin: Math.sin(turn) };
  };
}

/** Return the sides of a glimpse, to be had at other stops than its own.
 * @param {Glimpse} glimpse @param {number[]} crank at each of those [degrees]
 * @returns {Record<string, Glanced>} */
export const readGlimpse = ({ sides = {}, stops, noPlace }, crank) =>
  Object.fromEntries(Object.entries(sides).map(([name, side]) => {
    const even = readPoses(side, stops, noPlace);
    /** @type {PoseOf} */
    const poseOf = (part, stop) => even(part, Math.round((crank[stop] / 360) * stops) % stops);
    return [name, { poseOf, bodies: side.bodies, joints: side.joints, crank: side.crank }];
  }));

/** Return a point of a part in the frame's axes.
 * @param {Pose} pose @param {Point} point @returns {Point} */
export const placed = (pose, [x, y]) => [
  pose.x + pose.cos * x - pose.sin * y,
  pose.y + pose.sin * x + pose.cos * y,
];

/** @param {Pose} pose */
export const inPlace = ({ x, y, cos, sin }) => `matrix(${cos} ${sin} ${-sin} ${cos} ${x} ${y})`;
