import assert from "node:assert/strict";
import { test } from "node:test";
import { beforeOf } from "../../linkage/page/viewer/before.mjs";

const body = (name, plan) => ({ name, part: name, side: "M0 0", plan });
const sheet = (outlines, crank) => ({ crank, sides: { right: { outlines } } });
const link = body("link", [2]);
const more = body("link", [4]); // of one name with another
const data = { outlines: [[body("rod", [1]), link, more], [body("rod", [3]), link, more]],
               sheets: [sheet(0, [0, 90, 180, 270]), sheet(1, [0, 100, 359])] };
const poses = [{ right: (part, stop) => `${part} at ${stop}` }, {}];

test("what has another shape now is drawn as it was, at the same place of the turn", () => {
  const { bodies, poseOf } = beforeOf("right", { data, poses }, 1);
  assert.deepEqual(bodies.map(({ name }) => name), ["rod"]);
  assert.deepEqual([0, 1, 2].map((stop) => poseOf("rod", stop)),
                   ["rod at 0", "rod at 1", "rod at 0"]);
});

test("of the engine as it was, and of one alone, nothing is drawn beside", () => {
  assert.equal(beforeOf("right", { data, poses }, 0), null);
  assert.equal(beforeOf("right", { data: { ...data, sheets: [data.sheets[0]] }, poses }, 0), null);
  assert.equal(beforeOf("left", { data, poses }, 1), null);
});
