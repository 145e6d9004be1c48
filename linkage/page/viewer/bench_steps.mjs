/** Steps of a number: how large, and what is typed by one. */

/** @import { Num } from "./bench_types.js" */

const LENGTHS = /** @type {const} */ ({ mm: [0.01, 0.05, 0.1], in: [0.001, 0.005, 0.01] });
const DEGREES = [0.1, 0.5, 1];
const DIGITS = 4; // a value is not known to more [of the sheet's unit]

/** Words before a number, by where it comes from; an assumed one that is stepped is a guess.
 * @type {Partial<Record<Num["origin"], string>>} */
const BEFORE = { guessed: "about ", assumed: "about ", "to be": "to be " };

/** Return the sizes of steps of a number, the smallest first.
 * @param {Pick<Num, "kind">} number @param {"mm" | "in"} unit @returns {readonly number[]} */
export function stepsOf({ kind }, unit) {
  if (kind === "angle") return DEGREES;
  return kind === "count" ? [1] : LENGTHS[unit];
}

/** Return what a step is called. @param {Pick<Num, "kind">} number @param {"mm" | "in"} unit
 * @param {number} size */
export const stepWord = ({ kind }, unit, size) =>
  kind === "count" ? `${size}` : `${size} ${kind === "angle" ? "degrees" : unit}`;

/** @param {number} value */
export const written = (value) => `${+value.toFixed(DIGITS)}`.replace(/^-0$/, "0");

/** Return a value as a person would type it, of the kind that the number is already.
 * @param {Pick<Num, "origin">} number @param {number} value */
export const typedAs = ({ origin }, value) => `${BEFORE[origin] ?? ""}${written(value)}`;

/** Return what is typed by a step; null for what has no steps.
 * @param {Pick<Num, "origin" | "value">} number @param {number} from the value so far
 * @param {number} by */
export function stepped(number, from, by) {
  return number.value === null ? null : typedAs(number, from + by);
}

/** Return what a plain number that was typed is worth; null for what only the server can read.
 * @param {Pick<Num, "kind">} number @param {string} typed */
export function plainValue({ kind }, typed) {
  const [, figures] = /^(?:about |to be )?(-?\d+(?:[.,]\d+)?)$/.exec(typed) ?? [];
  return figures && (kind === "length" || kind === "angle") ? Number(figures.replace(",", "."))
                                                            : null;
}

/** Return what is typed where a size was taken over the ends or inside the holes.
 * @param {"over" | "inside"} way @param {string} size @param {string} one @param {string} other */
export function overEnds(way, size, one, other) {
  const both = other.trim() || one.trim();
  return `${way} ${size.trim()} ${way === "over" ? "ends" : "holes"} ${one.trim()} and ${both}`;
}

/** Return the step that a key is on a number: so many of the chosen size; 0 for other keys.
 * @param {Pick<KeyboardEvent, "key" | "altKey" | "ctrlKey" | "metaKey" | "shiftKey">} event */
export function stepOfKey({ key, altKey, ctrlKey, metaKey, shiftKey }) {
  if (altKey || ctrlKey || metaKey) return 0;
  if (key === "PageUp") return 10;
  if (key === "PageDown") return -10;
  const many = shiftKey ? 10 : 1;
  if (key === "ArrowUp") return many;
  return key === "ArrowDown" ? -many : 0;
}
