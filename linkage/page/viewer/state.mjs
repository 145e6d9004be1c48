/** What the viewer shows, and how each act of a person changes it. */

/** @import { Data, Marks, Ring, Sheet, State, Way } from "./types.js" */
import { between, wrap } from "./numbers.mjs";
import { carried, hereOf, nearest, nextSpot, spotAt } from "./turn.mjs";

const ROOMY = 760; // from here on both sides go beside one another [px]

/** @param {Data} data @param {State} state */
export const sheetOf = (data, state) => data.sheets[state.sheet];

/** @param {Data} data @param {State} state */
export const degreesOf = (data, state) => sheetOf(data, state).crank[state.index];

/** Return the sides in sight. @param {Data} data @param {State} state */
export const sidesOf = (data, state) =>
  state.shown === "both" ? Object.keys(sheetOf(data, state).sides) : [state.shown];

/** Return where a side's enlarged views look: at the current spot's worst place.
 * @param {Data} data @param {State} state @param {string} side @returns {Ring | null} */
export function zoomPlace(data, state, side) {
  const sheet = sheetOf(data, state);
  const spot = sheet.spots[state.spot];
  return hereOf(sheet, spot, spot?.stop)?.rings[side]?.[0] ?? null;
}

/** Return the state a page opens with: at the worst spot.
 * @param {Data} data @param {number} width of the page [px] @returns {State} */
export function opened(data, width) {
  const sheet = data.sheets[0];
  const worst = sheet.spots[0];
  const own = worst?.sides ?? Object.keys(sheet.sides).slice(0, 1);
  const shown = own.length > 1 && width > ROOMY ? "both" : own[0];
  return onSheet(sheet, worst ? sheet.crank[worst.stop] : 0, {
    sheet: 0, shown, index: 0, way: 1, spot: -1, zoom: false, part: null, playing: 0, speed: 12 });
}

/** Return a state put on a sheet, at an angle.
 * @param {Sheet} sheet @param {number} degrees @param {State} state @returns {State} */
function onSheet(sheet, degrees, state) {
  const index = nearest(sheet.crank, degrees);
  const spot = Math.max(spotAt(sheet, -1, index), sheet.spots.length ? 0 : -1);
  const names = Object.keys(sheet.sides);
  const there = names.includes(state.shown) || (state.shown === "both" && names.length > 1);
  return { ...state, index, spot, zoom: state.zoom && spot >= 0,
           shown: there ? state.shown : names[0] };
}

/** Gone over to a sheet, the last where there are not so many, at the same angle.
 * @param {Data} data @param {State} state @param {number} number
 * @param {Data} old the data that the state is of @returns {State} */
export function sheetPicked(data, state, number, old = data) {
  const sheet = Math.min(number, data.sheets.length - 1);
  return onSheet(data.sheets[sheet], degreesOf(old, state), { ...state, sheet });
}

/** Return the state at a stop; a spot that is there becomes the current one.
 * @param {Data} data @param {State} state @param {number} index @returns {State} */
export function at(data, state, index) {
  const sheet = sheetOf(data, state);
  const stop = wrap(index, sheet.crank.length);
  const found = spotAt(sheet, state.spot, stop);
  return { ...state, index: stop, spot: found < 0 ? state.spot : found };
}

/** Turned by hand to a stop. @param {Data} data @param {State} state @param {number} stop */
export const slid = (data, state, stop) =>
  at(data, { ...state, playing: 0, way: stop >= state.index ? 1 : -1 }, stop);

/** Turned by hand one stop on; past the end of the turn it goes on at the other.
 * @param {Data} data @param {State} state @param {Way} step */
export const stepped = (data, state, step) =>
  at(data, { ...state, playing: 0, way: step }, state.index + step);

/** Turned by hand, the shorter way, to an angle of the right-hand crank.
 * @param {Data} data @param {State} state @param {number} degrees */
export function turnedTo(data, state, degrees) {
  const by = between(degrees, degreesOf(data, state));
  const way = by === 0 ? state.way : by > 0 ? 1 : -1;
  return at(data, { ...state, playing: 0, way }, nearest(sheetOf(data, state).crank, degrees));
}

/** @param {Data} data @param {State} state @param {number} number @returns {State} */
export function jumped(data, state, number) {
  const spot = sheetOf(data, state).spots[number];
  const seen = sidesOf(data, state).some((side) => spot.sides.includes(side));
  return { ...state, playing: 0, part: null, index: spot.stop, way: 1, spot: number,
           shown: seen ? state.shown : spot.sides[0] };
}

/** @param {Data} data @param {State} state @param {Way} step */
export const jumpedBy = (data, state, step) =>
  jumped(data, state, nextSpot(sheetOf(data, state).spots, state, step));

/** Set going, or stopped where it goes that way already.
 * @param {State} state @param {Way} way @returns {State} */
export const played = (state, way) =>
  state.playing === way ? { ...state, playing: 0 } : { ...state, playing: way, way, part: null };

/** Return the state a moment later in playing, unless the wheels lock on the way: they stop there.
 * @param {Data} data @param {State} state @param {boolean[]} closed see `closedAt`
 * @param {number} degrees the crank should be at by now @returns {State} */
export function carriedTo(data, state, closed, degrees) {
  if (!state.playing) return state;
  const wanted = nearest(sheetOf(data, state).crank, degrees);
  const { index, locked } = carried(closed, state.playing, state.index, wanted);
  if (index === state.index) return state;
  return at(data, locked ? { ...state, playing: 0 } : state, index);
}

/** Return what a picture of a side is to pick out at the stop in sight.
 * @param {Data} data @param {State} state @param {string} side
 * @param {boolean} locked whether there is no position @returns {Marks} */
export function marksOf(data, state, side, locked) {
  const sheet = sheetOf(data, state);
  const spot = sheet.spots[spotAt(sheet, state.spot, state.index)];
  const plain = { heavy: [], chosen: state.part, rings: [], overlap: false };
  if (!spot?.sides.includes(side)) return plain;
  const here = locked ? null : hereOf(sheet, spot, state.index);
  return { ...plain, heavy: spot.parts, rings: here?.rings[side] ?? [], overlap: spot.overlap };
}

/** Return what a key does to the slider; 0 for keys that keep their own meaning there.
 * @param {Pick<KeyboardEvent, "key" | "altKey" | "ctrlKey" | "metaKey">} event
 * @returns {Way | 0} */
export function stepOf({ key, altKey, ctrlKey, metaKey }) {
  if (altKey || ctrlKey || metaKey) return 0;
  if (key === "ArrowRight" || key === "ArrowUp") return 1;
  return key === "ArrowLeft" || key === "ArrowDown" ? -1 : 0;
}

/** Return where the reverser is in the picture: a name or an angle of its arm [rad]; null for as
 * the sheet has it. @param {Data} data @param {State} state */
export function reverserOf(data, state) {
  const { set, spots } = sheetOf(data, state);
  const place = spots[state.spot]?.place ?? null;
  return place === null ? null : set[place];
}
