/** The engine as it was at moments that were given a name: to go back to, or to compare with. */

/** @import { Work } from "./bench_types.js" */
/** @import { Deeds } from "./bench_deeds.js" */
import { answer, field, Going, refill, said } from "./bench_pieces.mjs";
import { button, make } from "./dom.mjs";

export class KeptPanel {
  /** @param {Deeds} deeds */
  constructor(deeds) {
    this.deeds = deeds;
    /** @type {Work["bench"] | null} */
    this.bench = null;
    this.name = make("input", { type: "text", maxlength: 60, autocomplete: "off",
                                placeholder: "as it came in" });
    const keep = () => {
      if (!this.name.value.trim()) return;
      deeds.keepAs(this.name.value.trim());
      this.name.value = "";
    };
    this.name.addEventListener("keydown", (event) => { if (event.key === "Enter") keep(); });
    this.list = make("div");
    this.going = new Going("Comparing");
    this.answer = make("div", { "aria-live": "polite" });
    this.element = make("div", {}, make("p", {}, "Give the engine as it stands now a name, and "
      + "go on. You can come back to it, or set the two side by side."),
      make("div", { class: "row words" }, field("Name", this.name, "keep-name"),
           button("Keep it", keep, { id: "keep-it" })),
      this.list, this.going.element, this.answer);
  }

  /** @param {string} name */
  async compare(name) {
    this.answer.replaceChildren();
    const says = await this.deeds.compare(name, this.going);
    if (says !== null) answer(this.answer, [said(says, "Compared")]);
  }

  /** @param {Work} work */
  show({ bench }) {
    if (bench === this.bench) return;
    this.bench = bench;
    refill(this.list, [make("ul", { class: "kept" }, ...bench.snapshots.map(({ name }, n) =>
      make("li", {}, make("span", {}, name),
           button("Compare", () => this.compare(name), { "aria-label": `Compare with ${name}`,
                                                         id: `compare-${n}` }),
           button("Go back to it", () => this.deeds.backTo(name),
                  { "aria-label": `Go back to ${name}`, id: `back-${n}` }))))]);
  }
}
