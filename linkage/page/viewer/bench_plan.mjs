/** A number dragged in the plan: a rod set over, or a part moved in or out. */

/** @import { Bench, Num, Work } from "./bench_types.js" */
import { numberOf } from "./bench_state.mjs";
import { stepsOf, typedAs } from "./bench_steps.mjs";

/** Return the chosen number if a drag in the plan changes it. @param {Work} work */
export function across({ bench, chosen }) {
  const number = numberOf(bench, chosen);
  return number && number.across !== null && number.value !== null ? number : null;
}

/** Return what a number comes to, dragged so far towards the frames; to whole steps.
 * @param {Num} number @param {number} from its value @param {number} by [mm]
 * @param {Pick<Bench, "unit">} bench */
export function dragged(number, from, by, { unit }) {
  if (number.across === null) return null;
  const size = stepsOf(number, unit)[0];
  const moved = (number.across * by) / (unit === "in" ? 25.4 : 1);
  const value = from + Math.round(moved / size) * size;
  return { value, typed: typedAs({ origin: "to be" }, value) }; // nobody has measured it
}
