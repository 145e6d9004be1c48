/** What is there and has no number on the sheet yet: put on it, or taken off again. */

/** @import { Addition, Bench } from "./bench_types.js" */
/** @import { Deeds } from "./bench_deeds.js" */
import { field, list, refill } from "./bench_pieces.mjs";
import { button, make } from "./dom.mjs";
import { upper } from "./numbers.mjs";

const THING = "*thing"; // in the place of a key: something fixed, of any name
const BOTH = "both";
/** @type {[key: string, text: string, example: string][]} */
const SIZES = [
  ["name", "What it is", "motion bracket"], ["rear", "Its rear edge, ahead of the axle", ""],
  ["front", "Its front edge, ahead of the axle", ""],
  ["bottom", "Its lower edge, above the axle", ""],
  ["top", "Its upper edge, above the axle", ""],
  ["out", "Its inner face, outward from the wheel's face", ""],
  ["thickness", "Its thickness, square to the wheel", ""],
];

/** @param {Bench} bench */
const idsOf = ({ groups }) => groups.flatMap(({ numbers }) => numbers.map(({ id }) => id));

export class Adding {
  /** @param {Deeds} deeds */
  constructor(deeds) {
    this.deeds = deeds;
    this.key = "";
    this.side = BOTH;
    this.bend = "bow";
    this.way = "towards_frames";
    /** @type {Bench | null} */
    this.bench = null;
    this.choice = make("div");
    this.more = make("div");
    this.wrong = make("div", { role: "alert" });
    this.there = make("div");
    this.element = make("details", { class: "adding" },
      make("summary", {}, "Something more is there: a bend, a bracket, a nut, a reverser"),
      make("p", { class: "hint" }, "It goes on the sheet with the sizes that are usual, as "
        + "guesses. Then measure it like the rest."),
      this.choice, this.more,
      button("Put it on the sheet", () => this.add(), { class: "big", id: "add-it" }),
      this.wrong, this.there);
  }

  async add() {
    const { bench, bend, key, side, way } = this;
    const wrong = key === THING ? await this.deeds.addThing(this.sizes()) : await this.deeds.add({
      key, ...(side === BOTH || !this.chosen?.sided ? {} : { side }),
      ...(this.chosen?.bend ? { bend, way } : {}) });
    refill(this.wrong, wrong.map((text) => make("p", { class: "problem" }, text)));
    if (!wrong.length && key === THING) refill(this.more, this.thing());
    const before = new Set(bench ? idsOf(bench) : []);
    const after = !wrong.length && this.bench ? idsOf(this.bench) : [];
    const fresh = after.find((id) => !before.has(id));
    if (fresh) this.deeds.choose(fresh); // it is to be measured
  }

  sizes() {
    const inputs = [...this.more.querySelectorAll("input")];
    return Object.fromEntries(inputs.map((one) => [one.dataset.key ?? "", one.value.trim()]));
  }

  get chosen() { return this.bench?.additions.more.find(({ key }) => key === this.key) ?? null; }

  /** @param {Bench} bench */
  show(bench) {
    if (bench === this.bench) return;
    this.bench = bench;
    if (bench.brief) return;
    const { more, there } = bench.additions;
    if (this.key !== THING && !this.chosen) this.key = more[0]?.key ?? THING;
    refill(this.choice, [field("What", this.what(more), "add-what")]);
    this.ask();
    refill(this.there, there.length ? [make("h3", {}, "Put on the sheet so far"),
      make("ul", { class: "kept" }, ...there.map(({ id, says }) => make("li", {},
        make("span", {}, upper(says)), button("Take it off", () => this.deeds.edit(id, null),
          { id: `take-off-${id}`, "aria-label": `Take off: ${says}` }))))] : []);
  }

  /** @param {Addition[]} more */
  what(more) {
    const named = [...new Set(more.map(({ part }) => part))];
    const select = list([], "", (key) => { this.key = key; this.ask(); });
    for (const part of named) {
      select.append(make("optgroup", { label: part }, ...more.filter((one) => one.part === part)
        .map(({ key, says }) => make("option", { value: key, selected: key === this.key },
                                     upper(says)))));
    }
    select.append(make("optgroup", { label: "Beside the motion" },
      make("option", { value: THING, selected: this.key === THING }, "Something fixed")));
    return select;
  }

  /** Ask what else has to be known of it. */
  ask() {
    const { bench, chosen } = this;
    if (!bench) return;
    const before = this.key === THING && this.more.dataset.key === THING;
    this.more.dataset.key = this.key;
    if (before) return; // what is typed stays
    refill(this.more, this.key === THING ? this.thing() : [
      ...(chosen?.hint ? [make("p", { class: "hint" }, `${upper(chosen.hint)}.`)] : []),
      make("div", { class: "pair" }, ...(chosen ? this.kinds(bench, chosen) : []))]);
  }

  thing() {
    return [make("p", { class: "hint" }, "An upright block, its edges measured from the driving "
      + "axle: below it or behind it with a minus."), make("div", { class: "pair" },
      ...SIZES.map(([key, text, example]) => field(text, make("input", { type: "text",
        autocomplete: "off", "data-key": key, placeholder: example }), `thing-${key}`)))];
  }

  /** @param {Bench} bench @param {Addition} chosen */
  kinds({ additions, sides }, { bend, sided }) {
    /** @type {(all: { key: string, says: string }[]) => [string, string][]} */
    const words = (all) => all.map(({ key, says }) => [key, says]);
    return [
      ...(sided ? [field("On which side", list([[BOTH, "both"], ...sides.map((side) =>
        /** @type {[string, string]} */ ([side, `the ${side}-hand side`]))], this.side,
        (side) => { this.side = side; }), "add-side")] : []),
      ...(bend ? [field("Its shape", list(words(additions.bends.map(({ key, says }) =>
        ({ key, says: `a ${key}: ${says}` }))), this.bend, (key) => { this.bend = key; }),
        "add-bend"),
      field("Which way it goes", list(words(additions.ways), this.way, (key) => {
        this.way = key;
      }), "add-way")] : []),
    ];
  }
}
