/** What goes with the engine: each written beside the sheet by a button, and stopped by one. */

/** @import { Work } from "./bench_types.js" */
/** @import { Deeds } from "./bench_deeds.js" */
import { answer, field, Going, list, refill, suspects } from "./bench_pieces.mjs";
import { button, make } from "./dom.mjs";

/** @type {[what: string, name: string, says: string][]} */
const THINGS = [
  ["report", "Report for the owner", "What was wrong and what was done, to print (PDF)."],
  ["page", "Page for the owner", "One file that turns the motion in any browser."],
  ["film", "Moving picture", "One turn of the wheels (GIF)."],
  ["picture", "Picture", "The worst tight spot, both views (PNG)."],
  ["template", "Template of a part", "True size, to lay the part on (PDF)."],
  ["form", "Measuring form", "To take to the bench and fill in (PDF)."],
];
const BEFORE = "The numbers have changed since: this is the engine as it was before.";
const NOW = ""; // with no engine from before

export class LeavePanel {
  /** @param {Deeds} deeds */
  constructor(deeds) {
    this.deeds = deeds;
    /** @type {Work["bench"] | null} */
    this.bench = null;
    this.before = make("div");
    this.part = make("div", { class: "pair" });
    this.beforeName = NOW;
    this.partName = "";
    this.side = "";
    this.words = make("div");
    /** What is asked for at present. */
    this.wordsShown = "";
    this.element = make("div", {}, make("p", {}, "Each is written beside your sheet. Nothing "
      + "that is there is overwritten."), this.before,
      make("details", {}, make("summary", {}, "Your words in the report: owner, complaint, work"),
           this.words),
      ...THINGS.map(([what, name, says]) => this.thing(what, name, says)));
  }

  /** @param {string} what @param {string} name @param {string} says */
  thing(what, name, says) {
    const going = new Going(name);
    const done = make("div", { class: "done", role: "status" });
    const start = button(name, () => this.leave(what, going, done), { class: "big",
                                                                     id: `leave-${what}` });
    return make("div", { class: "thing" }, start, make("p", { class: "hint" }, says),
                ...(what === "template" ? [this.part] : []), going.element, done);
  }

  /** @param {string} what @param {Going} going @param {HTMLElement} done */
  async leave(what, going, done) {
    done.replaceChildren();
    const given = { ...(this.beforeName === NOW ? {} : { snapshot: this.beforeName }),
                    ...(what === "template" ? { part: this.partName, side: this.side } : {}) };
    const found = await this.deeds.leave(what, given, going);
    if (!found) return;
    if (found.problem) {
      answer(done, [make("p", { class: "problem" }, found.problem)]);
      return;
    }
    const { files = [] } = /** @type {{ files?: string[] }} */ (found.answer ?? {});
    answer(done, [...files.map((file) => make("p", {}, `Written: ${file} `,
      button("Get a copy", () => this.deeds.file(file),
             { "aria-label": `Get a copy of ${file}` }))),
      ...(found.stale ? [make("p", { class: "hint" }, BEFORE)] : [])]);
  }

  /** @param {Work} work */
  show(work) {
    const { bench } = work;
    if (bench === this.bench) return;
    if (this.bench && this.bench.revision !== bench.revision) this.outdate();
    this.bench = bench;
    this.say(bench.words);
    const names = bench.snapshots.map(({ name }) => name);
    if (!names.includes(this.beforeName)) this.beforeName = NOW;
    refill(this.before, names.length ? [field("Set beside it, as it was before",
      list([[NOW, "nothing"], ...names.map((name) => /** @type {[string, string]} */ (
        [name, name]))], this.beforeName, (name) => { this.beforeName = name; }), "beside-it")]
      : []);
    const bodies = [...new Set(bench.groups.flatMap(({ numbers }) =>
      numbers.flatMap((one) => one.bodies)))];
    if (!bodies.includes(this.partName)) {
      this.partName = suspects(work).find((name) => bodies.includes(name)) ?? bodies[0] ?? "";
    }
    if (!bench.sides.includes(this.side)) [this.side] = bench.sides;
    refill(this.part, [field("Of which part", list(bodies.map((name) => [name, name]),
      this.partName, (name) => { this.partName = name; }), "template-part"),
      ...(bench.sides.length < 2 ? [] : [field("On which side", list(bench.sides.map((side) =>
        [side, `the ${side}-hand side`]), this.side, (side) => { this.side = side; }),
        "template-side")])]);
  }

  /** @param {Work["bench"]["words"]} words */
  say(words) {
    const now = JSON.stringify(words);
    if (now === this.wordsShown) return;
    this.wordsShown = now;
    refill(this.words, words.map(({ key, says, typed, lines }) => {
      const input = lines ? make("textarea", { rows: 3 }) : make("input", { type: "text" });
      input.value = typed;
      input.maxLength = 2000;
      input.addEventListener("change", () => this.deeds.words(key, input.value));
      return field(says, input, `words-${key}`);
    }));
  }

  /** Say of what was written that it is of the engine as it was. */
  outdate() {
    for (const done of this.element.querySelectorAll(".done")) {
      if (done.childElementCount && !done.querySelector(".hint")) {
        done.append(make("p", { class: "hint" }, BEFORE));
      }
    }
  }
}
