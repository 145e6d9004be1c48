import assert from "node:assert/strict";
import { test } from "node:test";
import {
  across, BOTTOM, degreesAt, graphPath, roomAtLeft, shaded, shownBy, ticks, TOP, up, valueAt,
} from "../../linkage/page/viewer/graph.mjs";

const curve = { title: "", side: "right", levels: [], low: 0, high: 0.4,
                points: [[0, 0.1], [90, 0.4], [180, 0.5], [270, null], [300, 0.2], [330, 0.3]] };

test("a place across is an angle, and back", () => {
  assert.equal(across(412, 0), 44);
  assert.equal(across(412, 360), 404);
  assert.equal(degreesAt(412, across(412, 123)), 123);
});

test("values run up, those out of sight along the edges", () => {
  assert.equal(up(curve, 0), BOTTOM);
  assert.equal(up(curve, 0.4), TOP);
  assert.equal(up(curve, 9), TOP);
  assert.equal(up(curve, -9), BOTTOM);
});

test("the line is broken where there is no value, or none in sight", () => {
  assert.equal(graphPath(curve, 412), "M44.0 108.5L134.0 8.0M344.0 75.0L374.0 41.5");
});

test("the cursor's dot is at the nearest point, across the end of the turn, or nowhere", () => {
  assert.equal(valueAt(curve, 350), 0.1);
  assert.equal(valueAt(curve, 310), 0.2);
  assert.equal(valueAt(curve, 180), null);
  assert.equal(valueAt(curve, 260), null);
});

test("an arc across the end of the turn is shaded on both ends, a narrow one to be seen", () => {
  assert.deepEqual(shaded({ begin: 350, end: 370 }), [[350, 360], [0, 10]]);
  assert.deepEqual(shaded({ begin: -20, end: -10 }), [[340, 350]]);
  assert.deepEqual(shaded({ begin: 90, end: 90 }), [[90, 90.7]]);
});

test("a curve shows every range that is its own, with the reverser at its place", () => {
  const of = (begin, title, side, place) => ({ begin, place, curve: { title, side } });
  const spots = [of(10, "rod", "right", null), of(20, "rod", "left", null),
                 of(30, "link", "right", null), of(40, "rod", "right", null),
                 of(50, "rod", "right", 0), { begin: 60, place: null, curve: null }];
  const begins = (side, place) =>
    shownBy(spots, { ...curve, title: "rod", side }, place).map((spot) => spot.begin);
  assert.deepEqual(begins("right", null), [10, 40]);
  assert.deepEqual(begins("right", 0), [50]);
  assert.deepEqual(begins("both", null), []);
});

test("at most six values stand beside the axis, in round steps", () => {
  const texts = (low, high) => ticks({ low, high }).map((tick) => tick.text);
  assert.deepEqual(texts(0, 0.4), ["0", "0.1", "0.2", "0.3", "0.4"]);
  assert.deepEqual(texts(-0.013, 0.11), ["0.00", "0.05", "0.10"]);
  assert.deepEqual(texts(0, 92), ["0", "20", "40", "60", "80"]);
});

test("words on a level stand at the end where the curve is farther off", () => {
  assert.equal(roomAtLeft(curve, 0.1), false);
  assert.equal(roomAtLeft(curve, 0.25), true);
});
