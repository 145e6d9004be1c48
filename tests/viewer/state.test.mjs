import assert from "node:assert/strict";
import { test } from "node:test";
import { carriedTo, jumped, jumpedBy, marksOf, opened, played, sheetPicked, slid, stepOf, stepped,
         turnedTo, zoomPlace } from "../../linkage/page/viewer/state.mjs";
import { document, sheet, side, spot } from "./sample.mjs";

const data = document();
const start = opened(data, 400);
const all = new Array(12).fill(true);
const key = (name, more = {}) =>
  stepOf({ key: name, altKey: false, ctrlKey: false, metaKey: false, ...more });

test("it opens at the worst spot, on its side, standing still", () => {
  assert.equal(start.index, 8);
  assert.equal(start.spot, 0);
  assert.equal(start.shown, "right");
  assert.equal(start.playing, 0);
});

test("a spot of both sides opens both where there is room for them", () => {
  const both = document(sheet({ spots: [spot(8, 2, { sides: ["right", "left"] })] }));
  assert.equal(opened(both, 1200).shown, "both");
  assert.equal(opened(both, 400).shown, "right");
});

test("without a spot it opens at the start of the turn, and nothing can be enlarged", () => {
  const free = opened(document(sheet({ spots: [] })), 1200);
  assert.deepEqual([free.index, free.spot, free.shown], [0, -1, "right"]);
  assert.equal(zoomPlace(document(sheet({ spots: [] })), free, "right"), null);
});

test("steps go round the end of the turn, and stop what plays", () => {
  const last = stepped(data, { ...start, index: 0, playing: 1 }, -1);
  assert.deepEqual([last.index, last.way, last.playing], [11, -1, 0]);
  const first = stepped(data, last, 1);
  assert.deepEqual([first.index, first.way], [0, 1]);
});

test("arrow keys are steps, unless they are held with others", () => {
  assert.deepEqual(["ArrowRight", "ArrowUp", "ArrowLeft", "ArrowDown", "Home"].map((k) => key(k)),
                   [1, 1, -1, -1, 0]);
  assert.equal(key("ArrowLeft", { altKey: true }), 0);
});

test("the slider's own way is the way it was turned", () => {
  assert.equal(slid(data, start, 2).way, -1);
  assert.equal(slid(data, start, 10).way, 1);
});

test("it turns to an angle the shorter way", () => {
  assert.deepEqual([turnedTo(data, { ...start, index: 11 }, 15.1).index,
                    turnedTo(data, { ...start, index: 11 }, 15.1).way], [1, 1]);
  assert.equal(turnedTo(data, { ...start, index: 1 }, 330).way, -1);
  assert.equal(turnedTo(data, { ...start, index: 1, way: -1 }, 30).way, -1); // not turned at all
});

test("a spot that is come to becomes the current one, and stays so beyond it", () => {
  const there = slid(data, start, 4);
  assert.equal(there.spot, 1);
  assert.equal(slid(data, there, 6).spot, 1);
});

test("a jump stops, lets go of a part, and shows the spot's side", () => {
  const from = { ...start, shown: "left", part: "connecting rod", playing: 1, way: -1 };
  assert.deepEqual(jumped(data, from, 1), { ...start, index: 3, spot: 1, shown: "right" });
  assert.equal(jumped(data, { ...start, shown: "both" }, 1).shown, "both");
  assert.equal(jumpedBy(data, start, 1).index, 3);
});

test("another sheet is shown at the same angle, with its own spots", () => {
  const two = document(sheet(), sheet({ spots: [], crank: [0, 120, 239, 300] }));
  const after = sheetPicked(two, { ...start, zoom: true }, 1);
  assert.deepEqual([after.sheet, after.index, after.spot, after.zoom], [1, 2, -1, false]);
  assert.equal(sheetPicked(two, after, 0).spot, 0);
});

test("fresh data with fewer sheets and sides is gone over to", () => {
  const two = document(sheet(), sheet());
  const fresh = document(sheet({ sides: { only: side("only") }, spots: [] }));
  const next = sheetPicked(fresh, { ...start, sheet: 1, shown: "both" }, 1, two);
  assert.deepEqual([next.sheet, next.shown, next.index], [0, "only", 8]);
});

test("playing is set going, turned over and stopped by the same two buttons", () => {
  const ahead = played({ ...start, part: "connecting rod" }, 1);
  assert.deepEqual([ahead.playing, ahead.part], [1, null]);
  assert.equal(played(ahead, -1).playing, -1);
  assert.equal(played(ahead, 1).playing, 0);
});

test("while it plays it goes on until the wheels lock", () => {
  const ahead = played({ ...start, index: 0 }, 1);
  assert.equal(carriedTo(data, ahead, all, 14), ahead); // not yet at the next stop
  assert.equal(carriedTo(data, ahead, all, 44).index, 1);
  assert.equal(carriedTo(data, ahead, all, 360 + 61).index, 2);
  const closed = all.map((_, k) => k !== 2);
  const locked = carriedTo(data, ahead, closed, 100);
  assert.deepEqual([locked.index, locked.playing], [2, 0]);
  assert.equal(carriedTo(data, start, all, 100), start);
});

test("a picture picks out the parts and places of the spot in sight, on its sides only", () => {
  const marks = marksOf(data, start, "right", false);
  assert.deepEqual(marks.heavy, ["rod", "crank"]);
  assert.deepEqual(marks.rings, [[8, 2, 3]]);
  assert.deepEqual(marksOf(data, start, "left", false).heavy, []);
  assert.deepEqual(marksOf(data, start, "right", true).rings, []);
  assert.deepEqual(marksOf(data, { ...start, index: 0 }, "right", false).heavy, []);
});

test("enlarged views look at the worst place of the current spot", () => {
  assert.deepEqual(zoomPlace(data, { ...start, index: 0 }, "right"), [8, 2, 3]);
  assert.equal(zoomPlace(data, start, "left"), null);
});
