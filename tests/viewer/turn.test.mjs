import assert from "node:assert/strict";
import { test } from "node:test";
import { readModel } from "../../linkage/page/viewer/poses.mjs";
import { carried, closedAt, hereOf, nearest, nextSpot, spotAt, standing }
  from "../../linkage/page/viewer/turn.mjs";
import { document, sheet, side, spot } from "./sample.mjs";

test("the nearest stop is found across the end of the turn", () => {
  assert.equal(nearest([0, 30, 340], 355), 0);
  assert.equal(nearest([0, 30, 340], 345), 2);
  assert.equal(nearest([0, 30, 340], -25), 2);
  assert.equal(nearest([0, 30, 340], 16), 1);
});

test("a spot across the end of the turn holds the stops on either side of it", () => {
  const one = sheet({ spots: [spot(11, 3)] });
  assert.deepEqual([10, 11, 0, 1, 2].map((k) => hereOf(one, one.spots[0], k)?.text),
                   [undefined, "Here: 0.", "Here: 1.", "Here: 2.", undefined]);
  assert.deepEqual(hereOf(one, one.spots[0], 0)?.rings, { right: [[12, 2, null]] });
});

test("of two spots at a stop the current one is kept, else the worst is taken", () => {
  const one = sheet({ spots: [spot(3, 3), spot(4, 4)] });
  assert.equal(spotAt(one, 1, 5), 1);
  assert.equal(spotAt(one, 0, 5), 0);
  assert.equal(spotAt(one, -1, 5), 0);
  assert.equal(spotAt(one, 0, 7), 1);
  assert.equal(spotAt(one, 1, 0), -1);
});

test("the next spot is the next on the way, past the current one, and round the end", () => {
  const spots = [spot(8, 1), spot(3, 1), spot(5, 1)];
  assert.equal(nextSpot(spots, { index: 3, spot: 1 }, 1), 2);
  assert.equal(nextSpot(spots, { index: 3, spot: 1 }, -1), 0);
  assert.equal(nextSpot(spots, { index: 4, spot: 1 }, 1), 2);
  assert.equal(nextSpot(spots, { index: 4, spot: 1 }, -1), 1);
  assert.equal(nextSpot(spots, { index: 10, spot: 0 }, 1), 1);
  assert.equal(nextSpot(spots, { index: 1, spot: -1 }, -1), 0);
});

test("two spots at one stop are both come to", () => {
  const spots = [spot(8, 1), spot(8, 1)];
  assert.equal(nextSpot(spots, { index: 8, spot: 0 }, 1), 1);
  assert.equal(nextSpot(spots, { index: 8, spot: 1 }, 1), 0);
});

test("a stop is open where any side in sight has no position", () => {
  const sides = { right: side("right", [4]), left: side("left", [7]) };
  const model = readModel(document(sheet({ sides })));
  const open = (names) => closedAt(model, 0, names).flatMap((closed, k) => (closed ? [] : [k]));
  assert.deepEqual(open(["right"]), [4]);
  assert.deepEqual(open(["right", "left"]), [4, 7]);
});

const CLOSED = [true, true, false, false, true, true, true, true];

test("shown is the last position before one that there is not, the way it was turned", () => {
  assert.equal(standing(CLOSED, 1, 3), 1);
  assert.equal(standing(CLOSED, -1, 3), 4);
  assert.equal(standing(CLOSED, 1, 5), 5);
  assert.equal(standing([false, false], 1, 1), 1);
});

test("turned in steps of a film it stops at the first stop without a position", () => {
  assert.deepEqual(carried(CLOSED, 1, 0, 1), { index: 1, locked: false });
  assert.deepEqual(carried(CLOSED, 1, 0, 3), { index: 2, locked: true });
  assert.deepEqual(carried(CLOSED, -1, 5, 4), { index: 4, locked: false });
  assert.deepEqual(carried(CLOSED, -1, 5, 2), { index: 3, locked: true });
  assert.deepEqual(carried(CLOSED, 1, 7, 0), { index: 0, locked: false });
  assert.deepEqual(carried(CLOSED, 1, 0, 7), { index: 0, locked: false }); // no step of a film
});
