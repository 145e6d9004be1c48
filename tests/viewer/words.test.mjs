import assert from "node:assert/strict";
import { test } from "node:test";
import { framesOf } from "../../linkage/page/viewer/frames.mjs";
import { opened, slid } from "../../linkage/page/viewer/state.mjs";
import { caption, pictureName, position, tellHere, tellLongest, tellPart }
  from "../../linkage/page/viewer/words.mjs";
import { document, sheet, side, spot } from "./sample.mjs";

const data = document();
const start = opened(data, 400);
const [above, plan] = framesOf(data.window, { width: 520, tall: 900, mirrored: false });
const { left, right } = data.sheets[0].sides;

test("the position is a clock and an angle, of each side in sight", () => {
  assert.equal(position(data, start), "8 o'clock, right-hand crank 240 degrees");
  assert.equal(position(data, { ...start, shown: "both", index: 0 }),
               "right 12 o'clock, left 12 o'clock, right-hand crank 0 degrees");
});

test("a stop just short of the turn's end is at 0 degrees", () => {
  const near = document(sheet({ crank: [0, 359.7] }));
  assert.match(position(near, { ...start, index: 1 }), / 0 degrees$/);
});

test("a tight spot is told with its number and side; elsewhere it is free", () => {
  assert.deepEqual(tellHere(data, start, false),
                   { head: "Tight spot 1 of 2, right-hand side. ", rest: "Here: 0." });
  assert.deepEqual(tellHere(data, slid(data, start, 0), false), { head: "", rest: "Free here." });
  assert.equal(tellHere(data, start, true).rest, "It locks. Here: 0.");
});

test("what hinders no turn is a fault, and no tight spot", () => {
  const uneven = document(sheet({ spots: [spot(8, 1, { hinders: false })] }));
  assert.match(tellHere(uneven, opened(uneven, 400), false).head, /^Fault 1 of 1/);
});

test("room is kept for the longest", () => {
  const spots = [spot(8, 1), spot(3, 1, { texts: ["Here: longest of all."] })];
  const long = document(sheet({ spots }));
  assert.deepEqual(tellLongest(long, start, true),
    { head: "Tight spot 2 of 2, right-hand side. ", rest: "It locks. Here: longest of all." });
  assert.equal(tellLongest(document(sheet({ spots: [] })), start, false).rest, "Free here.");
});

test("a part is told in both countries' words", () => {
  assert.equal(tellPart(data, { ...start, part: "connecting rod" }),
               "Connecting rod (US: main rod). It connects.");
  assert.equal(tellPart(data, start), "");
});

test("pictures are called by view, side and where FRONT is", () => {
  assert.equal(pictureName(above, right, "right"),
               "Side view, right side, seen from outside. FRONT is to the right.");
  assert.equal(pictureName(plan, left, "left"),
               "Plan, left side, seen from above. FRONT is to the left.");
  assert.equal(pictureName(plan, side("only"), "only"),
               "Plan, seen from above. FRONT is to the right.");
});

test("under a picture stands how it is drawn", () => {
  const [bodies] = data.outlines;
  assert.equal(caption(above, right, bodies, data.words, false),
               "Side view: right side, seen from outside.");
  assert.equal(caption({ ...plan, zoomed: true }, right, bodies, data.words, true),
    "Plan: seen from above, enlarged 5 times. Up is towards the frames, down away from them; "
    + "across drawn 2 times as large as along. Wheelsets over.");
  assert.match(caption({ ...plan, times: 1 }, right, bodies, data.words, false),
               /one scale both ways\.$/);
});

test("of a bare linkage the paths are told, and that there is no plan", () => {
  const bare = [{ ...data.outlines[0][0], line: true, plan: [] }];
  assert.match(caption(above, right, bare, data.words, false), /Dotted: paths\.$/);
  assert.equal(caption(plan, right, bare, data.words, false), "Plan: Nothing from above.");
});
