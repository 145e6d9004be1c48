import assert from "node:assert/strict";
import { test } from "node:test";

import { wordsOf } from "../../linkage/page/viewer/bench_felt.mjs";
import { whole } from "../../linkage/page/viewer/bench_felt_dial.mjs";
import {
  answered, begun, chosenAs, current, edited, handOn, isStale,
  numberOfBody, sent, stageHeld, turnedOver,
  unanswered, verdictOf, withBench, withFound,
} from "../../linkage/page/viewer/bench_state.mjs";
import { tellTook } from "../../linkage/page/viewer/bench_top.mjs";

const NUMBERS = [{ id: "a", bodies: ["rod"] }, { id: "b", bodies: ["rod", "pin"] }];
const bench = (revision) => ({ revision, groups: [{ part: "rod", numbers: NUMBERS }] });
const found = (revision, stage, more = {}) => ({ revision, stage, took: [], ...more });
const WORK = begun({ page: "p", second: null, bench: bench(3) });

test("nothing is said before anything is found", () => {
  assert.equal(verdictOf(WORK).state, "working");
  assert.equal(current(WORK), null);
  assert.equal(isStale(WORK), false); // there is nothing drawn
});

test("each stage says how sure it is", () => {
  const states = ["motion", "looked", "proven", "sure", "whole", "failed"].map((stage) =>
    verdictOf(withFound(WORK, found(3, stage, { verdict: "Free.", free: true, problem: "No." }))));
  assert.deepEqual(states.map(({ state }) => state),
                   ["drawn", "looked", "proven", "proven", "proven", "failed"]);
  assert.deepEqual(states.map(({ free }) => free), [null, true, true, true, true, null]);
  assert.equal(states[5].says, "No.");
  assert.equal(states[1].badge, "Looked at, not yet proven");
});

test("a verdict from before a change is never shown as current", () => {
  const proven = withFound(WORK, found(3, "proven", { verdict: "Free.", data: {} }));
  const changing = edited(proven, { id: "a", typed: "1" });
  const sending = sent(changing).work;
  const changed = answered(sending, { bench: bench(4), problems: [] });
  for (const state of [changing, sending, changed]) {
    assert.equal(verdictOf(state).state, "working");
    assert.doesNotMatch(verdictOf(state).says, /Free/);
    assert.ok(isStale(state));
  }
  const late = withFound(changed, found(3, "whole", { verdict: "Free." }));
  assert.equal(late, changed); // what comes late is let go
  assert.equal(verdictOf(withFound(changed, found(4, "looked"))).state, "looked");
});

test("while a hand is on a number there is a drawing and no verdict", () => {
  const proven = withFound(WORK, found(3, "proven", { verdict: "Free.", free: true, data: {} }));
  const held = handOn(proven, { id: "a", problem: null });
  assert.deepEqual([verdictOf(held).state, verdictOf(held).free], ["drawn", null]);
  assert.doesNotMatch(verdictOf(held).says, /Free/);
  assert.ok(isStale(held));
  assert.equal(verdictOf(handOn(proven, { id: "a", problem: "too long" })).says, "too long");
  assert.equal(verdictOf(handOn(held, null)).state, "proven");
});

test("a slip changes nothing, and the verdict that stood stands again", () => {
  const proven = withFound(WORK, found(3, "proven", { verdict: "Free." }));
  const slip = [{ id: "a", says: "is no length" }];
  const told = answered(sent(edited(proven, { id: "a", typed: "x" })).work,
                        { bench: bench(3), problems: slip });
  assert.deepEqual(told.problems, slip);
  assert.equal(verdictOf(told).state, "proven");
  assert.deepEqual(unanswered(told, "gone").lost, "gone");
});

test("stages go on only, and a drawing outlasts one that brings words alone", () => {
  const data = { sheets: [] };
  const proven = withFound(WORK, found(3, "proven", { data }));
  assert.equal(withFound(proven, found(3, "motion", { data: {} })), proven);
  const sure = withFound(proven, found(3, "sure", { verdict: "So." }));
  assert.equal(sure.found.data, data);
  assert.equal(stageHeld(sure), "sure");
  assert.equal(stageHeld(withBench(sure, bench(4))), null);
});

test("of a number that is dragged the last edit is sent, one lot at a time", () => {
  let work = edited(WORK, { id: "a", typed: "1" });
  work = edited(edited(work, { id: "b", typed: "5" }), { id: "a", typed: "2" });
  const first = sent(work);
  assert.deepEqual(first.edits, [{ id: "b", typed: "5" }, { id: "a", typed: "2" }]);
  const waiting = edited(first.work, { id: "a", typed: "3" });
  assert.deepEqual(sent(waiting).edits, []);
  assert.deepEqual(sent({ ...waiting, sending: false }).edits, [{ id: "a", typed: "3" }]);
});

test("an older state of the sheet does not come back", () => {
  assert.equal(withBench(WORK, bench(2)), WORK);
  const chosen = chosenAs(WORK, "a");
  assert.equal(withBench(chosen, { ...bench(4), groups: [] }).chosen, null);
  assert.equal(withBench(chosen, bench(4)).chosen, "a");
});

test("a part picked in the picture has its number, and keeps the one that is chosen", () => {
  assert.equal(numberOfBody(WORK, "rod"), "a");
  assert.equal(numberOfBody(chosenAs(WORK, "b"), "rod"), "b");
  assert.equal(numberOfBody(WORK, "pin"), "b");
  assert.equal(numberOfBody(WORK, "tender"), null);
  assert.equal(chosenAs(turnedOver(WORK, "felt"), "a").panel, "numbers");
});

test("what was felt is said as it would be at the bench", () => {
  assert.equal(wordsOf({ what: "locks", side: "right", from: 20, to: 60 }),
               "Locks from 20° to 60° on the right");
  assert.equal(wordsOf({ what: "free", taken_off: ["right.return_crank", "motor"] }),
               "Free, with right.return crank and motor off");
  assert.equal(wordsOf({ what: "stiff", at: "5 o'clock", turning: "forward" }),
               "Stiff at 5 o'clock, turned forward");
  assert.ok(whole(0, 0) && whole(0, 360) && !whole(350, 10));
});

test("what was worked out anew is told, and what was kept", () => {
  const took = [{ stage: "motion", ms: 41.2, recomputed: ["right"], kept: 0 },
                { stage: "proven", ms: 60, recomputed: ["radius rod"], kept: 31 }];
  assert.equal(tellTook(withFound(WORK, { revision: 3, stage: "proven", took })),
               "Worked out anew: right, radius rod. Pairs of parts kept: 31. "
               + "motion 41 ms, proven 60 ms.");
  assert.equal(tellTook(WORK), "");
});

test("a verdict that comes before its drawing leaves the drawing before it stale", () => {
  const proven = withFound(WORK, found(3, "proven", { data: { old: true } }));
  const changed = withBench(proven, bench(4));
  for (const stage of ["looked", "failed"]) {
    const judged = withFound(changed, found(4, stage, { verdict: "Not free.", problem: "No." }));
    assert.equal(judged.found.data, undefined);
    assert.equal(isStale(judged), true);
  }
  const looked = withFound(changed, found(4, "looked", { verdict: "Not free.", free: false }));
  assert.deepEqual([verdictOf(looked).says, verdictOf(looked).free], ["Not free.", false]);
  assert.equal(isStale(withFound(looked, found(4, "proven", { data: {} }))), false);
});
