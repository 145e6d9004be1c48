/** Sentences about what is in sight; those about the engine come with the data. */

/** @import { Body, Data, Frame, Side, State } from "./types.js" */
import { ZOOM } from "./frames.mjs";
import { upper } from "./numbers.mjs";
import { degreesOf, sheetOf, sidesOf } from "./state.mjs";
import { hereOf, spotAt } from "./turn.mjs";

/** What the clock says of a side at a stop. @param {Side} side @param {number} k */
export const clockOf = (side, k) => side.clocks[side.clock[k]];

/** Return where the crank stands. @param {Data} data @param {State} state */
export function position(data, state) {
  const sheet = sheetOf(data, state);
  const names = sidesOf(data, state);
  const clocks = names.map((name) => {
    const clock = clockOf(sheet.sides[name], state.index);
    return names.length > 1 ? `${name} ${clock}` : clock;
  });
  const degrees = Math.round(degreesOf(data, state)) % 360;
  return `${clocks.join(", ")}, ${sheet.crankWord} ${degrees} degrees`;
}

/** Return the head, in bold, and the rest of what there is to say of a spot, or of none (-1).
 * @param {Data} data @param {State} state @param {number} number @param {string} text
 * @param {boolean} locked */
function tell(data, state, number, text, locked) {
  const { spots } = sheetOf(data, state);
  const where = spots[number]?.where ? `, ${spots[number].where}` : "";
  const what = spots[number]?.hinders ? "Tight spot" : "Fault";
  return { head: number < 0 ? "" : `${what} ${number + 1} of ${spots.length}${where}. `,
           rest: locked ? `${data.words.locked} ${text}` : text };
}

/** Return what there is to say of the stop in sight.
 * @param {Data} data @param {State} state @param {boolean} locked */
export function tellHere(data, state, locked) {
  const sheet = sheetOf(data, state);
  const number = spotAt(sheet, state.spot, state.index);
  const here = hereOf(sheet, sheet.spots[number], state.index);
  return tell(data, state, number, here?.text ?? data.words.nothing, locked);
}

/** Return the longest that may have to be said of a stop of the sheet, to keep room for it.
 * @param {Data} data @param {State} state @param {boolean} open whether the wheels lock anywhere */
export function tellLongest(data, state, open) {
  const every = sheetOf(data, state).spots.flatMap((spot, number) =>
    spot.texts.map((text) => ({ text, number })));
  const longest = every.reduce((a, b) => (b.text.length > a.text.length ? b : a),
                               { text: data.words.nothing, number: -1 });
  return tell(data, state, longest.number, longest.text, open);
}

/** Return what there is to say of the body that was asked for.
 * @param {Data} data @param {State} state */
export function tellPart(data, state) {
  const part = data.parts.find((one) => one.name === state.part);
  return part ? `${upper(part.says)}. ${part.does}` : "";
}

/** Return what a picture is called by those who do not see it.
 * @param {Frame} frame @param {Side} side @param {string} name of the side */
export function pictureName({ plan }, side, name) {
  const own = name === "only" ? "" : `${name} side, `;
  const front = `FRONT is to the ${side.mirrored ? "left" : "right"}.`;
  return plan ? `Plan, ${own}seen from above. ${front}` : `Side view, ${side.seen}. ${front}`;
}

/** Return what stands under a picture.
 * @param {Frame} frame @param {Side} side @param {Body[]} bodies @param {Data["words"]} words
 * @param {boolean} shifted whether wheelsets are drawn over */
export function caption({ plan, zoomed, times }, side, bodies, words, shifted) {
  const close = zoomed ? `, enlarged ${ZOOM} times` : "";
  if (!plan) {
    const bare = bodies.every((body) => body.line) ? ` ${words.paths}` : "";
    return `Side view: ${side.seen}${close}.${bare}`;
  }
  if (!bodies.some((body) => body.plan.length)) return `Plan: ${words.noOutlines}`;
  const scale = times === 1 ? "one scale both ways"
                            : `across drawn ${times} times as large as along`;
  const over = shifted ? ` ${words.wheelsets}` : "";
  return `Plan: seen from above${close}. Up is towards the frames, down away from them; ${scale}.`
       + over;
}
