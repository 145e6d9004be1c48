/** A part that is offered, typed in and judged before it is paid for. */

/** @import { Work } from "./bench_types.js" */
/** @import { Deeds } from "./bench_deeds.js" */
import { answer, field, Going, list, refill, said, suspects } from "./bench_pieces.mjs";
import { button, make } from "./dom.mjs";
import { upper } from "./numbers.mjs";

const BOTH = "both";

export class PartPanel {
  /** @param {Deeds} deeds */
  constructor(deeds) {
    this.deeds = deeds;
    this.part = "";
    this.side = BOTH;
    /** @type {Work | null} */
    this.work = null;
    this.going = new Going("Trying the part");
    this.choice = make("div", { class: "pair" });
    this.fields = make("div", { class: "part-fields" });
    this.answer = make("div", { "aria-live": "polite" });
    this.element = make("div", {}, make("p", {},
      "Type what the seller gives, or what you measured. Leave the rest empty."), this.choice,
      this.fields, button("Will it do?", () => this.judge(), { class: "big", id: "judge" }),
      this.going.element, this.answer);
  }

  async judge() {
    const inputs = [...this.fields.querySelectorAll("input")].filter((one) => one.value.trim());
    const typed = inputs.map((one) =>
      `${one.dataset.key} = ${JSON.stringify(one.value.trim())}`).join("\n");
    this.answer.replaceChildren();
    if (!typed) {
      answer(this.answer, [make("p", { class: "problem" }, "Type one size at least.")]);
      return;
    }
    const found = await this.deeds.ask("part", { typed, side: this.side }, this.going);
    if (!found) return;
    const { says } = /** @type {{ says?: string }} */ (found.answer ?? {});
    answer(this.answer, [found.problem ? make("p", { class: "problem" }, found.problem)
                                       : said(says ?? "", "Will it do?")]);
  }

  /** @param {Work} work */
  show(work) {
    const before = this.work?.bench;
    this.work = work;
    const { bench } = work;
    if (before?.revision === bench.revision && this.choice.childElementCount) return;
    const groups = bench.groups.filter(({ numbers, offered }) => offered
      && numbers.some(({ side }) => side === "both" || side === "only"));
    const [likely] = suspects(work).flatMap((name) =>
      groups.filter(({ numbers }) => numbers.some(({ bodies }) => bodies.includes(name))));
    const group = groups.find(({ part }) => part === this.part) ?? likely
      ?? groups.find(({ numbers }) => numbers[0].bodies.length) ?? groups[0];
    if (!group) return;
    if (!bench.sides.includes(this.side)) this.side = BOTH;
    const same = this.part === group.part && before?.arrangement === bench.arrangement;
    this.part = group.part;
    refill(this.choice, [field("Which part", list(groups.map(({ part, says }) => [part, says]),
      this.part, (part) => this.pick(part)), "offered"), ...(bench.sides.length < 2 ? []
      : [field("For which side", list([[BOTH, "either, the same"], ...bench.sides.map((side) =>
        /** @type {[string, string]} */ ([side, `the ${side}-hand side`]))], this.side, (side) => {
        this.side = side;
      }), "offered-side")])]);
    if (!same || !this.fields.childElementCount) this.fill();
  }

  /** @param {string} part */
  pick(part) {
    this.part = part;
    this.answer.replaceChildren();
    this.fill();
  }

  fill() {
    const group = this.work?.bench.groups.find(({ part }) => part === this.part);
    const numbers = (group?.numbers ?? []).filter(({ side, kind }) => kind !== "choice"
      && (side === "both" || side === "only"));
    refill(this.fields, numbers.map(({ id, says, shown }) => field(upper(says),
      make("input", { type: "text", inputmode: "decimal", autocomplete: "off", "data-key": id,
                      placeholder: `now ${shown}` }), `offer-${id}`)));
  }
}
