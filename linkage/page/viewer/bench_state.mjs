/** What the page to work at shows, and how each thing that happens changes it. */

/** @import { Bench, Changed, Edit, First, Found, Num, Panel, Problem, Stage, Verdict,
 *   Work }
 *   from "./bench_types.js" */

/** @type {Stage[]} */
const ORDER = ["motion", "looked", "proven", "sure", "whole", "failed"];

/** @type {Record<Stage, Verdict["state"]>} */
const STATES = { motion: "drawn", looked: "looked", proven: "proven", sure: "proven",
                 whole: "proven", failed: "failed" };
const BADGES = {
  working: "Working it out",
  drawn: "Drawing only",
  looked: "Looked at, not yet proven",
  proven: "Proven",
  failed: "No answer",
};
const WORKING = "Your change is being worked out. There is no verdict on it yet.";
const DRAWN = "It is drawn. There is no verdict on it yet.";

const HAND = "Drawn as you move it. The verdict comes when your hand rests.";

/** @param {First} first @returns {Work} */
export const begun = ({ bench, second }) => ({
  bench, found: null, hand: null, safe: null, waiting: [], sending: false, chosen: null, step: 1,
  panel: "numbers", problems: [], lost: null, second,
});

/** Return what was found out of the sheet as it is now; null where nothing is yet, or where a
 * change is on its way. @param {Work} work */
export const current = ({ bench, found, waiting, sending, hand }) =>
  found?.revision === bench.revision && !waiting.length && !sending && !hand ? found : null;

/** Take note of a hand on a number, or that there is none. @param {Work} work
 * @param {Work["hand"]} hand @returns {Work} */
export const handOn = (work, hand) => ({ ...work, hand });

/** Return whether the drawing is from before the last change. @param {Work} work */
export const isStale = (work) => work.found !== null && !current(work)?.data;

/** Return the verdict on the sheet as it is now, never one from before.
 * @param {Work} work @returns {Verdict} */
export function verdictOf(work) {
  const { hand } = work;
  if (hand) {
    const how = hand.problem ? "failed" : "drawn";
    return { state: how, badge: BADGES[how], says: hand.problem ?? HAND, free: null };
  }
  const found = current(work);
  const state = found ? STATES[found.stage] : "working";
  const says = { working: WORKING, drawn: DRAWN, looked: found?.verdict, proven: found?.verdict,
                 failed: found?.problem }[state] ?? "";
  const judged = state === "looked" || state === "proven";
  return { state, badge: BADGES[state], says, free: judged ? found?.free ?? null : null };
}

/** Take in what was found out; nothing that is older than what is there.
 * @param {Work} work @param {Found} found @returns {Work} */
export function withFound(work, found) {
  const before = work.found;
  if (found.revision !== work.bench.revision) return work;
  if (before?.revision === found.revision
      && ORDER.indexOf(found.stage) <= ORDER.indexOf(before.stage)) return work;
  // a stage may add words alone, but never to a drawing of another sheet
  const data = found.data ?? (before?.revision === found.revision ? before.data : undefined);
  return { ...work, lost: null, found: { ...found, ...(data ? { data } : {}) } };
}

/** Return the stage of the newest revision that is there; null for none. @param {Work} work */
export const stageHeld = ({ bench, found }) =>
  found?.revision === bench.revision ? found.stage : null;

/** Take in the sheet as the server has it. @param {Work} work @param {Bench} bench
 * @returns {Work} */
export function withBench(work, bench) {
  if (bench.revision < work.bench.revision) return work;
  const there = bench.groups.some(({ numbers }) => numbers.some(({ id }) => id === work.chosen));
  return { ...work, bench, chosen: there ? work.chosen : null, problems: [], lost: null };
}

/** Put an edit with those that wait; of one number the last counts.
 * @param {Work} work @param {Edit} edit @returns {Work} */
export const edited = (work, edit) =>
  ({ ...work, waiting: [...work.waiting.filter(({ id }) => id !== edit.id), edit] });

/** Return the edits to be sent now, and the state with them on their way.
 * @param {Work} work @returns {{ edits: Edit[], work: Work }} */
export function sent(work) {
  if (work.sending || !work.waiting.length) return { edits: [], work };
  return { edits: work.waiting, work: { ...work, waiting: [], sending: true } };
}

/** Take in the answer to a change. @param {Work} work @param {Changed} changed @returns {Work} */
export const answered = (work, { bench, problems }) =>
  ({ ...withBench({ ...work, sending: false }, bench), problems });

/** Let go of what was sent: there was no answer. @param {Work} work @param {string} why
 * @returns {Work} */
export const unanswered = (work, why) => ({ ...work, sending: false, waiting: [], lost: why });

/** @param {Bench} bench @param {string | null} id @returns {Num | undefined} */
export const numberOf = (bench, id) =>
  bench.groups.flatMap(({ numbers }) => numbers).find((one) => one.id === id);

/** Return the part that a number belongs to. @param {Bench} bench @param {string | null} id */
export const groupOf = (bench, id) =>
  bench.groups.find(({ numbers }) => numbers.some((one) => one.id === id));

/** Return the number to choose where a body was picked in the picture; the chosen one if it is
 * of that body. @param {Work} work @param {string} body */
export function numberOfBody({ bench, chosen }, body) {
  const all = bench.groups.flatMap(({ numbers }) => numbers)
    .filter(({ bodies }) => bodies.includes(body));
  return (all.find(({ id }) => id === chosen) ?? all[0])?.id ?? null;
}

/** Return what is wrong in words, with what it is about but where that stands over it.
 * @param {Problem} problem @param {string | null} under @returns {string} */
export const told = ({ about, id, says }, under = null) =>
  (about && id !== under ? `${about}: ${says}` : says);

/** @param {Work} work @param {string | null} chosen @returns {Work} */
export const chosenAs = (work, chosen) =>
  ({ ...work, chosen, safe: chosen === work.chosen ? work.safe : null,
     panel: chosen === null ? work.panel : "numbers" });

/** @param {Work} work @param {Panel} panel @returns {Work} */
export const turnedOver = (work, panel) => ({ ...work, panel });
