import assert from "node:assert/strict";
import { test } from "node:test";

import { across, dragged } from "../../linkage/page/viewer/bench_plan.mjs";
import { along, spanOf, valueOn } from "../../linkage/page/viewer/bench_scale.mjs";
import {
  overEnds, plainValue, stepOfKey, stepped, stepsOf, stepWord, typedAs, written,
} from "../../linkage/page/viewer/bench_steps.mjs";

const LENGTH = { kind: "length", origin: "measured", value: 4.33 };

test("steps are of the sheet's unit", () => {
  assert.deepEqual(stepsOf(LENGTH, "mm"), [0.01, 0.05, 0.1]);
  assert.deepEqual(stepsOf(LENGTH, "in"), [0.001, 0.005, 0.01]);
  assert.equal(stepWord(LENGTH, "in", 0.005), "0.005 in");
  assert.equal(stepWord({ kind: "angle" }, "in", 0.5), "0.5 degrees");
});

test("a hundred steps up and down come back to the same", () => {
  let value = 4.33;
  for (let n = 0; n < 100; n += 1) value += 0.01;
  for (let n = 0; n < 100; n += 1) value -= 0.01;
  assert.equal(stepped(LENGTH, value, 0), "4.33");
  assert.equal(written(-0.00001), "0");
});

test("a guess that is stepped stays a guess, and what was assumed becomes one", () => {
  assert.equal(typedAs({ origin: "guessed" }, 4.34), "about 4.34");
  assert.equal(typedAs({ origin: "assumed" }, 4.34), "about 4.34");
  assert.equal(typedAs({ origin: "to be" }, 4.34), "to be 4.34");
  assert.equal(typedAs({ origin: "measured" }, 4.34), "4.34");
  assert.equal(stepped({ origin: "word", value: null }, 3, 1), null);
});

test("sizes over the ends: one end that is typed is that of either", () => {
  assert.equal(overEnds("over", " 12,3 ", "1.5", ""), "over 12,3 ends 1.5 and 1.5");
  assert.equal(overEnds("inside", "9", "3/32 in", ".6"), "inside 9 holes 3/32 in and .6");
});

test("keys step a number; with others they keep their meaning", () => {
  const key = (name, more = {}) => stepOfKey({ key: name, altKey: false, ctrlKey: false,
                                               metaKey: false, shiftKey: false, ...more });
  assert.deepEqual([key("ArrowUp"), key("ArrowDown"), key("PageDown"), key("x")], [1, -1, -10, 0]);
  assert.equal(key("ArrowUp", { shiftKey: true }), 10);
  assert.equal(key("ArrowUp", { ctrlKey: true }), 0);
});

const WINDOW = { low: 0, high: 100, now: 10,
                 windows: [{ low: 5, high: 9 }, { low: 60, high: 70 }] };

test("the scale shows where it stands, and the window it is in alone", () => {
  const [low, high] = spanOf({ ...WINDOW, now: 6 });
  assert.ok(low < 5 && high > 9 && high < 60);
  const none = spanOf({ ...WINDOW, windows: [] }); // there is something to drag over
  assert.ok(none[1] - none[0] > 0.2 * (WINDOW.high - WINDOW.low));
  const all = spanOf(WINDOW); // in none: every one
  assert.ok(all[0] <= 5 && all[1] >= 70);
  const span = [0, 10];
  assert.ok(Math.abs(valueOn(span, along(span, 3.5)) - 3.5) < 1e-9);
  assert.equal(valueOn(span, -50), 0);
});

test("a drag in the plan goes by whole steps, the number's own way", () => {
  const number = { ...LENGTH, id: "a", across: 1 };
  const to = (/** @type {number} */ value, /** @type {string} */ typed) => ({ value, typed });
  assert.deepEqual(dragged(number, 4.33, 0.104, { unit: "mm" }), to(4.33 + 0.1, "to be 4.43"));
  assert.deepEqual(dragged({ ...number, across: -1 }, 4.33, 0.104, { unit: "mm" }),
                   to(4.33 - 0.1, "to be 4.23"));
  assert.equal(dragged(number, 0.17, 0.254, { unit: "in" })?.typed, "to be 0.18");
  assert.equal(dragged({ ...number, across: null }, 4.33, 1, { unit: "mm" }), null);
  const work = (chosen) => ({ chosen, bench: { groups: [{ numbers: [number] }] } });
  assert.equal(across(work("a")), number);
  assert.equal(across(work("b")), null);
});

test("a plain number is drawn before the server has read it, what else is typed is not", () => {
  const length = /** @type {const} */ ({ kind: "length" });
  assert.equal(plainValue(length, "4.33"), 4.33);
  assert.equal(plainValue(length, "about 4,33"), 4.33);
  assert.equal(plainValue(length, "to be -0.5"), -0.5);
  for (const typed of ["1/4", "4.33 mm", "12 thou", "4.33 +- 0.05", "over 44 ends 2 and 2", ""]) {
    assert.equal(plainValue(length, typed), null);
  }
  assert.equal(plainValue({ kind: "count" }, "12"), null);
});
