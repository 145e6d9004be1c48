import assert from "node:assert/strict";
import { test } from "node:test";
import { enlarged, framesOf, onPaper, ringOnPaper, ROW, tallFor, transformOf, ZOOM }
  from "../../linkage/page/viewer/frames.mjs";

const WINDOW = { x: [-10, 40], y: [-5, 15], out: [0, 8] };
const PAPER = { width: 520, tall: 900, mirrored: false };

test("the side view fills the width, and the plan is at the same scale along", () => {
  const [side, plan] = framesOf(WINDOW, PAPER);
  assert.deepEqual([side.sx, side.sy, plan.sx], [10, -10, 10]);
  assert.equal(side.height, 200 + 2 * ROW);
  assert.deepEqual(onPaper(side, [-10, 15]), [10, ROW]);
  assert.deepEqual(onPaper(side, [40, -5]), [510, side.height - ROW]);
});

test("the plan is drawn larger across by a handy ratio that fits", () => {
  const [, plan] = framesOf(WINDOW, PAPER);
  assert.equal(plan.times, 2); // 177 px are allowed, 80 are needed
  assert.equal(plan.height, 160 + 2 * ROW);
  assert.deepEqual(onPaper(plan, [-10, 0]), [10, ROW]); // the frames are above
  assert.equal(framesOf({ ...WINDOW, out: [0, 100] }, PAPER)[1].times, 0.1);
});

test("a low screen makes the pictures smaller", () => {
  const [side] = framesOf(WINDOW, { ...PAPER, tall: 300 });
  assert.equal(side.sy, -(165 - 2 * ROW) / 20);
});

test("both pictures are in sight where there is so much room for them", () => {
  for (const room of [240, 320, 480]) {
    for (const out of [[0, 8], [-3, 20], [0, 60]]) {
      const window = { ...WINDOW, out };
      const [side, plan] = framesOf(window, { ...PAPER, tall: tallFor(room) });
      assert.ok(side.height + plan.height <= room + 1, `${room}: ${side.height}, ${plan.height}`);
    }
  }
});

test("from the left x runs to the left, and up stays up", () => {
  const [side] = framesOf(WINDOW, { ...PAPER, mirrored: true });
  assert.deepEqual(onPaper(side, [-10, 15]), [510, ROW]);
});

test("where nothing has an outline the plan is a strip", () => {
  const [, plan] = framesOf({ ...WINDOW, out: [] }, PAPER);
  assert.equal(plan.height, 2 * ROW);
  assert.deepEqual(plan.centre, [15, 0]);
});

test("enlarged, the place is in the middle", () => {
  const [side, plan] = framesOf(WINDOW, PAPER);
  const close = enlarged(side, [20, 5, 3], null);
  assert.deepEqual(onPaper(close, [20, 5]), [260, side.height / 2]);
  assert.equal(close.sx, ZOOM * side.sx);
  const above = enlarged(plan, [20, 5, 3], 7);
  assert.deepEqual([above.centre, above.times, above.sy], [[20, 3], 1, 50]);
  assert.deepEqual(enlarged(plan, [20, 5, null], 7).centre, [20, 7]);
  assert.deepEqual(enlarged(plan, [20, 5, null], null).centre, [20, 4]);
});

test("a ring that does not say how far out is not in the plan", () => {
  const [side, plan] = framesOf(WINDOW, PAPER);
  assert.equal(ringOnPaper(plan, [20, 5, null]), null);
  assert.deepEqual(ringOnPaper(plan, [15, 5, 4]), [260, plan.height / 2]);
  assert.deepEqual(ringOnPaper(side, [15, 5, null]), [260, side.height / 2]);
});

test("the transform puts a place where it is on paper", () => {
  const [side] = framesOf(WINDOW, PAPER);
  const [a, b, c, d, e, f] = transformOf(side).match(/-?[\d.]+/g).map(Number);
  assert.deepEqual([a * 7 + c * 3 + e, b * 7 + d * 3 + f], onPaper(side, [7, 3]));
});
