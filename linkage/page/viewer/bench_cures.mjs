/** What would put it right: each cure with one press, and before and after together. */

/** @import { CuresAnswer, Work } from "./bench_types.js" */
/** @import { Deeds } from "./bench_deeds.js" */
import { answer, Going, said } from "./bench_pieces.mjs";
import { button, make } from "./dom.mjs";

export class CuresPanel {
  /** @param {Deeds} deeds */
  constructor(deeds) {
    this.deeds = deeds;
    this.going = new Going("Trying cures");
    this.found = make("div", { "aria-live": "polite" });
    /** The revision that the cures are of. */
    this.revision = -1;
    this.ask = button("Find what would put it right", () => this.find(),
                      { class: "big", id: "find-cures" });
    this.element = make("div", {}, make("p", {},
      "Each cure is tried on the whole locomotive first. Press one to see it done, before and "
      + "after together. Undo takes it back."), this.ask, this.going.element, this.found);
    /** @type {Work | null} */
    this.work = null;
  }

  async find() {
    this.revision = this.work?.bench.revision ?? -1;
    this.found.replaceChildren();
    const found = await this.deeds.ask("cures", {}, this.going);
    if (!found) return;
    if (found.problem) {
      answer(this.found, [make("p", { class: "problem" }, found.problem)]);
      return;
    }
    const { spots } = /** @type {CuresAnswer} */ (found.answer);
    answer(this.found, spots.length ? spots.flatMap((spot) => this.spot(spot, found.job))
                                    : [make("p", {}, "There is nothing to put right.")]);
  }

  /** @param {CuresAnswer["spots"][number]} spot @param {number} job */
  spot({ says, cures }, job) {
    return [make("h3", {}, says), cures.length ? make("ul", { class: "cures" },
      ...cures.map(({ id, says: cure }) => make("li", {}, make("span", {}, cure), ...(id === null
        ? [] : [button("Try it", () => this.done(job, id),
                       { class: "big", "data-cure": id, "aria-label": `Try it: ${cure}` })]))))
      : make("p", {}, "No cure was found for this one.")];
  }

  /** Do a cure, and tell what became of it. @param {number} job @param {string} cure */
  async done(job, cure) {
    const says = await this.deeds.tryCure(job, cure, this.going);
    if (says === null) return;
    this.revision = this.work?.bench.revision ?? -1;
    answer(this.found, [said(says, "Done on the sheet: before and after")]);
  }

  /** @param {Work} work */
  show(work) {
    this.work = work;
    if (this.found.childElementCount && work.bench.revision !== this.revision) {
      this.found.replaceChildren(make("p", { class: "hint" },
        "The numbers have changed since: find again what would put it right."));
    }
  }
}
