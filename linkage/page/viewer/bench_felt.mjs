/** What was felt at the wheels: dragged over a dial, or said in words; and what may be wrong. */

/** @import { Felt, Work } from "./bench_types.js" */
/** @import { Deeds } from "./bench_deeds.js" */
import { FeltDial, whole } from "./bench_felt_dial.mjs";
import { answer, field, Going, refill, said } from "./bench_pieces.mjs";
import { button, make, radios } from "./dom.mjs";
import { upper } from "./numbers.mjs";

/** @type {[value: string, text: string][]} */
const WHATS = [["locks", "It locks"], ["stiff", "It is stiff"], ["free", "It is free"]];

export class FeltPanel {
  /** @param {Deeds} deeds */
  constructor(deeds) {
    this.deeds = deeds;
    this.what = "locks";
    this.side = "right";
    /** @type {Set<string>} */
    this.off = new Set();
    /** @type {Work | null} */
    this.work = null;
    this.dial = new FeltDial(() => this.arc());
    this.from = make("input", { type: "number", step: 5, min: 0, max: 360, value: 0 });
    this.to = make("input", { type: "number", step: 5, min: 0, max: 360, value: 0 });
    for (const input of [this.from, this.to]) {
      input.addEventListener("input", () => this.dial.set(Number(this.from.value),
                                                          Number(this.to.value)));
    }
    this.sides = make("div");
    this.parts = make("fieldset", { class: "ticks" });
    this.lines = make("div");
    this.wrong = make("div", { role: "alert" });
    this.words = make("input", { type: "text", autocomplete: "off", maxlength: 300,
                                 placeholder: "locks at about 5 o'clock on the right" });
    this.going = new Going("Weighing what may be wrong");
    this.causes = make("div");
    this.others = make("div");
    this.element = make("div", {}, ...this.laidOut());
  }

  laidOut() {
    const whats = radios("felt-what", "What is felt", WHATS, this.what, (value) => {
      this.what = value;
    });
    return [
      make("p", {}, "Turn the wheels by hand. Then drag round the rim, from where it begins to "
                    + "where it ends."),
      make("div", { class: "kind" }, this.sides, whats),
      make("div", { class: "felt-dial" }, this.dial.figure,
           make("div", {}, field("From, degrees of that crank", this.from, "felt-from"),
                field("To", this.to, "felt-to"), this.parts)),
      button("Write it down", () => this.add([this.line()]), { class: "big", id: "felt-add" }),
      make("div", { class: "row words" }, field("Or say it in words", this.words, "felt-words"),
           button("Write that down", () => this.add([this.words.value]), { id: "felt-say" })),
      this.wrong, this.lines,
      button("What may be wrong?", () => this.cause(), { class: "big", id: "cause" }),
      this.going.element, this.causes,
      button("What else it may be", () => this.elsewhere(), { id: "elsewhere" }), this.others];
  }

  /** Show the ends of the arc that was dragged. */
  arc() {
    const { from, to } = this.dial;
    this.from.value = `${Math.round(from)}`;
    this.to.value = `${Math.round(to)}`;
  }

  /** Return what is set on the dial, as it stands on a sheet. @returns {Felt} */
  line() {
    const { from, to } = this.dial;
    const all = whole(from, to);
    const off = [...this.off];
    return { what: this.what, ...(this.side ? { side: this.side } : {}),
             ...(all ? {} : { from: Math.round(from), to: Math.round(to) }),
             ...(off.length ? { taken_off: off } : {}) };
  }

  /** @param {(Felt | string)[]} more */
  async add(more) {
    const there = this.work?.bench.felt ?? [];
    const wrong = await this.deeds.felt([...there, ...more]);
    refill(this.wrong, wrong.map((text) => make("p", { class: "problem" }, text)));
    if (wrong.length) return;
    this.words.value = "";
    this.causes.replaceChildren();
  }

  /** @param {Felt} gone */
  take(gone) {
    const there = this.work?.bench.felt ?? [];
    void this.deeds.felt(there.filter((line) => line !== gone));
  }

  async cause() {
    this.causes.replaceChildren();
    const found = await this.deeds.ask("cause", {}, this.going);
    if (!found) return;
    const { says } = /** @type {{ says?: string }} */ (found.answer ?? {});
    answer(this.causes, [found.problem ? make("p", { class: "problem" }, found.problem)
                                       : said(says ?? "", "What may be wrong")]);
  }

  /** What no sheet has a place for, and how it is told. */
  async elsewhere() {
    const found = await this.deeds.ask("elsewhere", {}, this.going);
    const { says } = /** @type {{ says?: string }} */ (found?.answer ?? {});
    if (says) answer(this.others, [said(says, "What else it may be, beside the motion")]);
  }

  /** @param {Work} work */
  show(work) {
    const before = this.work?.bench;
    this.work = work;
    const { bench, found } = work;
    if (before === bench && this.sides.childElementCount) return;
    const names = Object.keys(found?.data?.sheets[0].sides ?? { right: 0, left: 0 });
    /** @type {string[]} */
    const known = names.filter((name) => name === "right" || name === "left");
    this.side = known.includes(this.side) ? this.side : known[0] ?? "";
    refill(this.sides, [radios("felt-side", "Which side", known.map((one) => [one, upper(one)]),
                               this.side, (value) => this.pick(value))]);
    this.dial.mirror(this.side === "left");
    refill(this.parts, [make("legend", {}, "With these taken off"), ...bench.removable.map((one) =>
      this.tick(one.key, one.says))]);
    refill(this.lines, bench.felt.length ? [make("h3", {}, "Written down"),
      make("ul", { class: "felt-lines" }, ...bench.felt.map((line, n) => this.written(line, n)))]
      : []);
  }

  /** @param {string} side */
  pick(side) {
    this.side = side;
    this.dial.mirror(side === "left");
  }

  /** @param {string} key @param {string} says */
  tick(key, says) {
    const input = make("input", { type: "checkbox", id: `off-${key}`, checked: this.off.has(key) });
    input.addEventListener("change", () => {
      if (input.checked) this.off.add(key);
      else this.off.delete(key);
    });
    return make("span", {}, input, make("label", { for: `off-${key}` }, says));
  }

  /** @param {Felt} line @param {number} n */
  written(line, n) {
    const text = wordsOf(line);
    return make("li", {}, make("span", {}, text),
                button("Remove", () => this.take(line), { "aria-label": `Remove: ${text}`,
                                                          id: `felt-remove-${n}` }));
  }
}

/** Return a line of what was felt as it is said. @param {Felt} line */
export function wordsOf({ what, side, at, from, to, taken_off: off, turning }) {
  const degrees = (/** @type {unknown} */ place) =>
    (typeof place === "number" ? `${place}°` : `${place}`);
  const where = at !== undefined ? ` at ${degrees(at)}` : "";
  const arc = from !== undefined ? ` from ${degrees(from)} to ${degrees(to)}` : "";
  const parts = Array.isArray(off) ? off.map((one) => `${one}`.replaceAll("_", " ")) : [];
  return `${upper(what)}${where}${arc}${side ? ` on the ${side}` : ""}`
       + `${turning ? `, turned ${turning}` : ""}`
       + `${parts.length ? `, with ${parts.join(" and ")} off` : ""}`;
}
