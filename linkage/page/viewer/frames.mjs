/** How a side view and the plan under it lie on paper: one scale along, the plan larger across. */

/** @import { Frame, Point, Ring, Window } from "./types.js" */
import { clamp } from "./numbers.mjs";

export const ROW = 24; // of lettering above and below a picture [px]
export const ZOOM = 5; // how many times larger the enlarged views are
const MARGIN = 10; // left and right [px]
const TIMES = [20, 15, 12, 10, 8, 6, 5, 4, 3, 2.5, 2, 1.5, 1, 0.5, 0.25, 0.1];

/** Return the largest of the handy ratios that is no more than what fits. @param {number} fits */
const handy = (fits) => TIMES.find((times) => times <= fits) ?? TIMES[TIMES.length - 1];

/** @param {number[]} span */
const length = ([low, high]) => high - low;

/** @param {number[]} span */
const middle = ([low, high]) => (low + high) / 2;

const SIDE = 0.55; // of the screen's height, for the side view at most
const PLAN = 0.3; // likewise for the plan, its lettering apart

/** Return how tall a screen has so much room for both pictures, one under the other [px].
 * @param {number} room [px] */
export const tallFor = (room) => (room - 2 * ROW) / (SIDE + PLAN);

/** Return the frames of the side view and of the plan.
 * @param {Window} window what is to be in sight
 * @param {{ width: number, tall: number, mirrored: boolean }} paper `tall`: of the screen [px]
 * @returns {[Frame, Frame]} */
export function framesOf({ x, y, out }, { width, tall, mirrored }) {
  const along = (width - 2 * MARGIN) / length(x);
  const scale = Math.min(along, (clamp(SIDE * tall, 120, 430) - 2 * ROW) / length(y));
  const across = out.length ? length(out) : 0;
  const most = clamp(PLAN * tall, 60, 210);
  const fits = across ? clamp(0.34 * width, 60, most) / (scale * across) : 1;
  const times = handy(fits);
  const sx = mirrored ? -scale : scale; // seen from the left x runs to the left
  const common = { width, sx, zoomed: false };
  return [
    { ...common, plan: false, sy: -scale, times: 1, centre: [middle(x), middle(y)],
      height: Math.round(length(y) * scale + 2 * ROW) },
    { ...common, plan: true, sy: scale * times, times, // away from the frames is down
      centre: [middle(x), across ? middle(out) : 0],
      height: Math.round(across * scale * times + 2 * ROW) },
  ];
}

/** Return a frame enlarged about a place.
 * @param {Frame} frame @param {Ring} ring
 * @param {number | null} level how far out, if the ring does not say @returns {Frame} */
export function enlarged(frame, [x, y, out], level) {
  const times = frame.plan ? handy(Math.max(1, frame.times / 2)) : 1;
  const across = frame.plan ? out ?? level ?? frame.centre[1] : y;
  const sy = Math.abs(frame.sx) * ZOOM * times;
  return { ...frame, sx: frame.sx * ZOOM, sy: frame.plan ? sy : -sy, times, centre: [x, across],
           zoomed: true };
}

/** Return where on paper a place is. @param {Frame} frame @param {Point} point @returns {Point} */
export const onPaper = ({ width, height, sx, sy, centre }, [x, y]) =>
  [width / 2 + sx * (x - centre[0]), height / 2 + sy * (y - centre[1])];

/** Return where on paper a ring's middle is; null where the plan cannot tell.
 * @param {Frame} frame @param {Ring} ring */
export function ringOnPaper(frame, [x, y, out]) {
  if (!frame.plan) return onPaper(frame, [x, y]);
  return out === null ? null : onPaper(frame, [x, out]);
}

/** @param {Frame} frame */
export function transformOf(frame) {
  const [x, y] = onPaper(frame, [0, 0]);
  return `matrix(${frame.sx} 0 0 ${frame.sy} ${x} ${y})`;
}
