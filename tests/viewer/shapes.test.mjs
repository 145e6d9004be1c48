/** Places on the dial, in the plan, and for names. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { angleAt, at, bandOf, RIM } from "../../linkage/page/viewer/face.mjs";
import { framesOf } from "../../linkage/page/viewer/frames.mjs";
import { anchor, handles, labelsOf } from "../../linkage/page/viewer/labels.mjs";
import { levelOf, planPath, swept } from "../../linkage/page/viewer/plan.mjs";
import { inPlace, placed, readPoses } from "../../linkage/page/viewer/poses.mjs";
import { document, NO_PLACE, posesOf } from "./sample.mjs";

const STILL = { x: 0, y: 0, cos: 1, sin: 0 };
const close = (found, wanted) => found.forEach((value, n) =>
  assert.ok(Math.abs(value - wanted[n]) < 1e-9, `${found} is not ${wanted}`));
const [body] = document().outlines[0];
const [side, plan] = framesOf(document().window, { width: 520, tall: 900, mirrored: false });

test("positions are read as they were written, and none where there is none", () => {
  const at = (part, k) => (part === "b" && k ? null : [-5, 7, 32767]);
  const poses = posesOf(["a", "b"], 2, at);
  const poseOf = readPoses({ parts: ["a", "b"], poses }, 2, NO_PLACE);
  close(Object.values(poseOf("a", 1)), [-0.005, 0.007, -1, 0]);
  assert.equal(poseOf("b", 1), null);
  assert.deepEqual(poseOf("bracket", 1), STILL); // of the frame
});

test("a point of a part is put in place as its picture is", () => {
  const pose = { x: 1, y: 2, cos: 0, sin: 1 };
  close(placed(pose, [3, 4]), [-3, 5]);
  assert.equal(inPlace(pose), "matrix(0 1 -1 0 1 2)");
});

test("a bar along x takes up its length from above, a disc its width", () => {
  const upright = { ...STILL, cos: 0, sin: 1 };
  const bar = [[[0, 0], [10, 0]], [2, 2], 1, 0.5];
  assert.equal(planPath(bar, STILL), "M0.000 2.500L0.000 1.500L0.000 1.500L10.000 1.500"
                                     + "L10.000 2.500L10.000 2.500Z");
  assert.match(planPath(bar, upright), /^M-1\.000 2\.500/); // as wide as it is
  assert.equal(planPath([[[4, 0]], [2], 1, 0.5], STILL),
               "M3.000 1.500L5.000 1.500L5.000 2.500L3.000 2.500Z");
});

test("what is swept is convex either way it slopes", () => {
  const turns = (points) => points.map(([x, y], n) => {
    const [[a, b], [c, d]] = [points[(n + 1) % 6], points[(n + 2) % 6]];
    return Math.sign((a - x) * (d - b) - (b - y) * (c - a));
  });
  assert.deepEqual(new Set(turns(swept([0, 0], [5, 2], 1, 0.5))), new Set([1]));
  assert.deepEqual(new Set(turns(swept([0, 2], [5, 0], 1, 0.5))), new Set([1]));
});

test("how far out parts lie is the middle of their pieces", () => {
  assert.equal(levelOf([body], ["rod"]), 2.5);
  assert.equal(levelOf([body], ["crank"]), null);
});

test("on the dial 0 is straight ahead and 90 below", () => {
  close(at(0, 50), [50, 0]);
  close(at(90, 50), [0, 50]);
  for (const angle of [-120, 0, 45, 170]) close([angleAt(at(angle, 70))], [angle]);
});

test("a narrow arc is shown wide enough to be seen, a wide one as it is", () => {
  const starts = (path) => path.match(/-?[\d.e-]+/g).slice(0, 2).map(Number);
  close(starts(bandOf({ begin: 90, end: 91 }, 0)), at(89, RIM));
  close(starts(bandOf({ begin: 90, end: 120 }, 90)), at(0, RIM));
  assert.match(bandOf({ begin: 0, end: 200 }, 0), /A88 88 0 1 1/);
  assert.match(bandOf({ begin: 0, end: 20 }, 0), /A88 88 0 0 1/);
});

test("a name points at the middle of its part, beside a ring, and in sight", () => {
  const places = handles(side, body, STILL);
  assert.deepEqual(places.slice(0, 2), [[1, 0], [5, 0]]);
  assert.deepEqual(anchor(side, places, []), [120, 174]);
  assert.deepEqual(anchor(side, places, [[121, 174]]), [160, 174]);
  assert.deepEqual(anchor(side, [[-30, 0], [5, 0]], []), [160, 174]); // the first is out of sight
  assert.deepEqual(handles(plan, body, STILL)[0], [5, 2.5]);
});

test("two names stand above and below, clear of the corner that says FRONT", () => {
  const high = { ...body, part: "bracket", name: "motion bracket", at: [39, 14], plan: [] };
  const shown = [body, high, { ...body, name: "its other half" }];
  const [above, below, ...more] =
    labelsOf(side, shown.map((one) => ({ body: one, pose: STILL })), []);
  assert.deepEqual([above.text, below.text, more.length], ["motion bracket", "connecting rod", 0]);
  assert.ok(above.x < 520 - 78 - 3.6 * 14);
  assert.ok(above.y < below.y);
});
