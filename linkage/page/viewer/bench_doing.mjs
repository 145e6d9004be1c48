/** What a person can do at the bench, done. */

/** @import { Data } from "./types.js" */
/** @import { Deeds } from "./bench_deeds.js" */
/** @import { Desk } from "./bench_desk.mjs" */
/** @import { Going } from "./bench_pieces.mjs" */
import { chosenAs, edited, turnedOver } from "./bench_state.mjs";
import { typedAs } from "./bench_steps.mjs";

/** @param {Desk} desk @param {string} snapshot @param {Going} going
 * @returns {Promise<string | null>} */
async function compare(desk, snapshot, going) {
  const { revision } = desk.work.bench;
  const found = await desk.question("/ask", "compare", { snapshot }, going);
  if (!found) return null;
  const { data, says } = /** @type {{ data?: Data, says?: string }} */ (found.answer ?? {});
  if (data && desk.work.bench.revision === revision) desk.compared(data);
  return says ?? null;
}

/** Do a cure, and have before and after set beside one another.
 * @param {Desk} desk @param {number} job @param {string} cure @param {Going} going */
async function cured(desk, job, cure, going) {
  const name = freeName(desk, "before the cure");
  if ((await desk.act("/snapshot", { name })).length) return null;
  if ((await desk.act("/try", { job, cure })).length) return null;
  return compare(desk, name, going);
}

/** @param {Desk} desk @param {string} stem */
function freeName(desk, stem) {
  const taken = desk.work.bench.snapshots.map(({ name }) => name);
  let name = stem;
  for (let n = 2; taken.includes(name); n += 1) name = `${stem} ${n}`;
  return name;
}

/** @param {Desk} desk @param {string} name */
async function getFile(desk, name) {
  const url = URL.createObjectURL(await desk.link.file(name));
  const link = document.createElement("a");
  link.href = url;
  link.download = name;
  link.click();
  URL.revokeObjectURL(url);
}

/** @param {Desk} desk @returns {Deeds} */
export function deedsOf(desk) {
  const act = (/** @type {string} */ path, body = {}) => { void desk.act(path, body); };
  return {
    edit: (id, typed, sure = false) => {
      desk.go(edited(desk.work, { id, typed, ...(sure ? { sure } : {}) }));
      void desk.send();
    },
    set: (id, typed, value) => {
      desk.hand.show({ id, typed, value });
      desk.go(edited(desk.work, { id, typed, drawn: true }));
      void desk.send();
    },
    hold: (id, typed, value) => desk.hand.move({ id, typed, value }),
    letGo: () => desk.hand.letGo(),
    holds: () => desk.hand.grip !== "",
    mayGo: (safe) => desk.go({ ...desk.work, safe }),
    basis: (id) => (id === desk.alone.id ? desk.alone.since : desk.work.bench.revision),
    waits: (id) => desk.work.sending || desk.work.hand?.id === id
      || desk.work.waiting.some((one) => one.id === id),
    reset: (id) => act("/reset", { id }),
    own: (id, common) => {
      const typed = common.value === null ? common.typed : typedAs(common, common.value);
      desk.go({ ...edited(desk.work, { id, typed }), chosen: id });
      void desk.send().then(() => desk.deeds.choose(id));
    },
    choose: (id) => desk.go(chosenAs(desk.work, id)),
    step: () => desk.work.step,
    stepOf: (step) => desk.go({ ...desk.work, step }),
    turnOver: (panel) => desk.go(turnedOver(desk.work, panel)),
    undo: () => act("/undo"),
    redo: () => act("/redo"),
    save: (how) => act("/keep", { how }),
    keepAs: (name) => act("/snapshot", { name }),
    backTo: (name) => act("/return", { name }),
    compare: (name, going) => compare(desk, name, going),
    begin: (asked) => act("/new", asked),
    open: (name) => act("/open", { name }),
    add: (asked) => desk.act("/add", { revision: desk.work.bench.revision, ...asked }),
    addThing: (asked) => desk.act("/thing", { revision: desk.work.bench.revision, ...asked }),
    words: (key, typed) => act("/words", { revision: desk.work.bench.revision, key, typed }),
    felt: (lines) => desk.act("/felt", { revision: desk.work.bench.revision, felt: lines }),
    ask: (what, given, going) => desk.question("/ask", what, given, going),
    leave: (what, given, going) => desk.question("/leave", what, given, going),
    file: (name) => void getFile(desk, name),
    tryCure: (job, cure, going) => cured(desk, job, cure, going),
    takeOver: () => act("/take"),
    again: () => void desk.refresh(),
  };
}
