/** The number that was chosen: how to measure it, change it, and how far it may go. */

/** @import { Bench, Num, Problem, WindowAnswer, Work } from "./bench_types.js" */
/** @import { Deeds } from "./bench_deeds.js" */
import { field, Going, list, refill } from "./bench_pieces.mjs";
import { Scale } from "./bench_scale.mjs";
import { told } from "./bench_state.mjs";
import {
  overEnds, plainValue, stepOfKey, stepsOf, stepWord, stepped, typedAs,
} from "./bench_steps.mjs";
import { button, make, radios } from "./dom.mjs";

const ORIGINS = /** @type {const} */ ([["measured", "Measured"], ["guessed", "A guess"]]);

const ACROSS = "Drag it in the plan as well: up is towards the frames.";

export class Chosen {
  /** @param {Num} number @param {Bench} bench @param {Deeds} deeds */
  constructor(number, bench, deeds) {
    this.number = number;
    this.unit = bench.unit;
    this.deeds = deeds;
    /** The value that steps have come to, before it is answered. @type {number | null} */
    this.value = number.value;
    /** What the origin and the buttons were drawn of. @type {Num | null} */
    this.drawn = null;
    /** @type {Scale | null} */
    this.scale = null;
    this.problems = make("div", { role: "alert" });
    this.picture = make("div", { class: "calliper" });
    this.window = make("div", { class: "window" });
    this.going = new Going("Looking how far it may go");
    this.foot = make("div", { class: "row" });
    this.input = this.entry();
    this.element = make("div", { class: "chosen-number" },
      ...(number.hint ? [make("p", { class: "hint" }, number.hint)] : []),
      ...(number.across === null ? [] : [make("p", { class: "hint" }, ACROSS)]),
      this.picture, this.size(), this.problems, this.window, this.going.element, this.kind(),
      this.over(), this.foot);
    this.show(number, [], null);
  }

  /** @returns {HTMLInputElement | HTMLSelectElement} */
  entry() {
    const { number, deeds } = this;
    if (number.choices) {
      const choices = /** @type {[string, string][]} */ (
        [...new Set(["", number.typed, ...number.choices])].map((one) => [one, one]));
      return list(choices, number.typed, (value) => deeds.edit(number.id, value || null));
    }
    const input = make("input", { type: "text", autocomplete: "off", spellcheck: false,
                                  inputmode: number.kind === "text" ? "text" : "decimal" });
    input.addEventListener("change", () => this.commit());
    input.addEventListener("keydown", (event) => {
      const by = stepOfKey(event);
      if (event.key === "Escape") input.value = this.number.typed;
      if (by === 0 || this.value === null) return;
      event.preventDefault();
      this.step(by);
    });
    return input;
  }

  commit() {
    const typed = this.input.value.trim();
    if (!typed) this.input.value = this.number.typed; // emptied by a slip
    else if (typed !== this.number.typed) {
      const value = plainValue(this.number, typed);
      if (value === null) this.deeds.edit(this.number.id, typed);
      else this.deeds.set(this.number.id, typed, value);
    }
  }

  /** The field with a step to either side. */
  size() {
    const { number } = this;
    const entry = field("Type it, or step it", this.input, "entry");
    if (number.value === null) return entry;
    const name = (/** @type {string} */ way) => ({ class: "big step", "aria-label": way });
    return make("div", { class: "size" },
                button("−", () => this.step(-1), { id: "less", ...name("One step less") }), entry,
                button("+", () => this.step(1), { id: "more", ...name("One step more") }));
  }

  /** Measured or guessed, and the size of a step. */
  kind() {
    const { number, unit, deeds } = this;
    if (number.value === null) return make("div");
    const sizes = stepsOf(number, unit);
    const steps = radios("step", "One step", sizes.map((size, n) =>
      [`${n}`, stepWord(number, unit, size)]), `${deeds.step()}`, (n) => deeds.stepOf(Number(n)));
    this.origin = make("div");
    return make("div", { class: "kind" }, steps, this.origin);
  }

  origins() {
    const { number } = this;
    return radios("origin", "This size is", ORIGINS.map(([key, text]) => [key, text]),
                  number.origin, (origin) => {
      if (this.value !== null) {
        const kind = origin === "guessed" ? "guessed" : "measured";
        this.deeds.edit(number.id, typedAs({ origin: kind }, this.value));
      }
    });
  }

  /** Taken over the ends or inside the holes: two things that are measured for one. */
  over() {
    if (this.number.kind !== "length" || this.number.value === null) return make("div");
    const [size, one, other] = ["Size taken", "One end", "Other end"].map((text, n) =>
      field(text, make("input", { type: "text", inputmode: "decimal", autocomplete: "off" }),
            `over-${n}`));
    const read = (/** @type {number} */ n) =>
      /** @type {HTMLInputElement} */ (document.getElementById(`over-${n}`)).value;
    const way = list([["over", "over the ends"], ["inside", "inside the holes"]], "over");
    const put = () => {
      const chosen = way.value === "inside" ? "inside" : "over";
      this.deeds.edit(this.number.id, overEnds(chosen, read(0), read(1), read(2)));
    };
    return make("details", { class: "over-ends" },
      make("summary", {}, "Centres taken over the ends or inside the holes"),
      make("div", { class: "pair" }, field("Taken", way, "over-way"), size, one, other),
      button("Use it", put, { class: "big" }));
  }

  /** @param {number} by so many steps */
  step(by) {
    const size = stepsOf(this.number, this.unit)[this.deeds.step()] ?? 1;
    if (this.value !== null) this.moveTo(this.value + by * size);
  }

  /** @param {number} value */
  moveTo(value) {
    const typed = this.toValue(value);
    if (typed !== null) this.deeds.set(this.number.id, typed, value);
  }

  /** A hand that has not let go. @param {number} value */
  drag(value) {
    const typed = this.toValue(value);
    if (typed !== null) this.deeds.hold(this.number.id, typed, value);
  }

  /** @param {number} value */
  toValue(value) {
    const typed = stepped(this.number, value, 0);
    if (typed === null) return null;
    this.value = value;
    this.input.value = typed;
    this.scale?.at(value * this.toScale());
    return typed;
  }

  /** How far it may go from where it is, or from what is nearest, if it lies across.
   * @param {WindowAnswer} answer */
  safe({ now, windows }) {
    if (this.number.across === null || !windows.length) return null;
    const away = (/** @type {WindowAnswer["windows"][number]} */ { low, high }) =>
      Math.max(low - now, now - high);
    const near = windows.reduce((a, b) => (away(b) < away(a) ? b : a));
    const { lowTyped, highTyped } = near;
    const to = this.toScale();
    return { id: this.number.id, low: near.low / to, high: near.high / to, lowTyped, highTyped };
  }

  /** The scale is in mm, whatever the sheet is in. */
  toScale() { return this.unit === "in" && this.number.kind === "length" ? 25.4 : 1; }

  /** Show the number as it is now. @param {Num} number @param {Problem[]} problems
   * @param {Work["hand"]} hand what is on a number, here or in the plan */
  show(number, problems, hand) {
    this.number = number;
    const waits = this.deeds.waits(number.id);
    if (hand?.id === number.id && hand.typed !== this.input.value) {
      [this.value, this.input.value] = [hand.value, hand.typed];
      this.scale?.at(hand.value * this.toScale());
    }
    if (!waits && !problems.length) {
      this.value = number.value;
      this.input.value = number.typed;
      this.input.setAttribute("placeholder", number.shown);
      if (this.value !== null) this.scale?.at(this.value * this.toScale());
    }
    this.problems.replaceChildren(...problems.map((one) => this.problem(one)));
    if (number === this.drawn) return;
    this.drawn = number;
    if (this.origin) refill(this.origin, [this.origins()]);
    refill(this.foot, this.feet());
  }

  /** @param {Problem} problem */
  problem(problem) {
    const typed = this.input.value.trim();
    const says = make("span", {}, told(problem, this.number.id));
    return make("p", { class: "problem" }, says, ...(problem.question ? [" ",
      button("It is right", () => this.deeds.edit(this.number.id, typed, true))] : []));
  }

  feet() {
    const { number, deeds } = this;
    const back = button("Put back as saved", () => deeds.reset(number.id), { id: "put-back" });
    back.disabled = !number.changed;
    const own = Object.entries(number.own ?? {}).map(([side, id]) =>
      button(`Its own on the ${side}`, () => deeds.own(id, number), { id: `own-${side}` }));
    const common = number.side === "right" || number.side === "left"
      ? [button("Take this off the sheet", () => deeds.edit(number.id, null), { id: "off" })] : [];
    return [back, ...own, ...common];
  }

  /** @param {string} svg of where the calliper goes */
  calliper(svg) {
    if (!svg) return;
    const src = `data:image/svg+xml;charset=utf-8,${encodeURIComponent(svg)}`;
    const alt = `Where the calliper goes for the ${this.number.says}`;
    this.picture.replaceChildren(make("img", { src, alt }));
  }

  /** @param {WindowAnswer | string} found or what there is to say in its place */
  found(found) {
    if (typeof found === "string") {
      this.scale = null;
      this.window.replaceChildren(make("p", { class: "hint" }, found));
      return;
    }
    const move = (/** @type {number} */ value) => {
      const size = stepsOf(this.number, this.unit)[0];
      this.drag(Math.round(value / this.toScale() / size) * size);
    };
    this.scale = new Scale(found, this.number.says, move, () => this.deeds.letGo());
    this.deeds.mayGo(this.safe(found));
    if (this.value !== null) this.scale.at(this.value * this.toScale());
    this.window.replaceChildren(this.scale.figure);
  }
}
