/** The numbers of the sheet by part: one press on one opens it. */

/** @import { Group, Num, WindowAnswer, Work } from "./bench_types.js" */
/** @import { Deeds } from "./bench_deeds.js" */
import { Adding } from "./bench_adding.mjs";
import { Chosen } from "./bench_number.mjs";
import { Going, refill } from "./bench_pieces.mjs";
import { current, groupOf, numberOf } from "./bench_state.mjs";
import { button, make } from "./dom.mjs";
import { upper } from "./numbers.mjs";

const MARKS = { measured: "measured", guessed: "a guess", assumed: "assumed", "to be": "to be",
                word: "" };
const SIDES = { right: "right", left: "left", both: "", only: "" };
const NEXT = 5; // of what to measure next, at most

export class Numbers {
  /** @param {Deeds} deeds */
  constructor(deeds) {
    this.deeds = deeds;
    this.next = make("div");
    this.groups = make("div", { class: "groups" });
    this.adding = new Adding(deeds);
    this.element = make("div", {}, this.next, this.groups, this.adding.element);
    /** The parts whose numbers are in sight. @type {Set<string>} */
    this.open = new Set();
    /** @type {Chosen | null} */
    this.chosen = null;
    /** What is drawn. @type {Work | null} */
    this.last = null;
    this.nextShown = "";
    /** @type {{ id: string, says: string }[]} */
    this.nextHeld = [];
    /** The file that they are of. @type {string | null} */
    this.nextOf = null;
    /** Pictures of the calliper, by number. @type {Map<string, string>} */
    this.pictures = new Map();
    this.asked = { id: "", basis: -1 };
  }

  /** @param {Work} work */
  show(work) {
    const { bench, chosen, problems } = work;
    const number = numberOf(bench, chosen);
    if (this.chosen?.number.id !== number?.id) {
      this.chosen = number ? new Chosen(number, bench, this.deeds) : null;
      const group = groupOf(bench, chosen);
      if (group) this.open.add(group.part);
    }
    if (number) this.chosen?.show(number, problems, work.hand);
    if (number && this.chosen) this.ask(work, number, this.chosen);
    // until it is found out anew, what was worth it stays: nothing may move under a hand
    const before = this.nextOf === bench.file ? this.nextHeld : [];
    const next = current(work)?.measureNext ?? before;
    [this.nextHeld, this.nextOf] = [next, bench.file];
    // what is drawn anew loses the press that is on it: only what is otherwise than it was
    if (next.map(({ id }) => id).join() !== this.nextShown) refill(this.next, this.worth(next));
    this.nextShown = next.map(({ id }) => id).join();
    if (this.deeds.holds()) return;
    this.adding.show(bench);
    if (this.last && this.last.bench.file !== bench.file && bench.undo === null) { // another engine
      this.open.clear();
      this.element.closest(".side-panel")?.scrollTo(0, 0);
    }
    if (this.last?.bench !== bench || this.last.chosen !== chosen) {
      refill(this.groups, bench.groups.map((group) => this.group(group, chosen)));
    }
    this.last = work;
  }

  /** Have its picture drawn, and how far it may go looked for once the verdict stands.
   * @param {Work} work @param {Num} number @param {Chosen} chosen */
  ask(work, { id, value }, chosen) {
    if (!this.pictures.has(id)) {
      this.pictures.set(id, "");
      void this.picture(id, chosen);
    } else if (!chosen.picture.childElementCount) chosen.calliper(this.pictures.get(id) ?? "");
    const stage = current(work)?.stage;
    const judged = stage === "proven" || stage === "sure" || stage === "whole";
    const basis = this.deeds.basis(id);
    if (!judged || value === null) return;
    if (this.asked.id === id && this.asked.basis === basis) return;
    this.asked = { id, basis };
    void this.window(id, chosen);
  }

  /** @param {string} id @param {Chosen} chosen */
  async picture(id, chosen) {
    const found = await this.deeds.ask("calliper", { id }, new Going(""));
    const { svg } = /** @type {{ svg?: string | null }} */ (found?.answer ?? {});
    if (!found || found.problem) this.pictures.delete(id); // asked again when it is chosen again
    else this.pictures.set(id, svg ?? "");
    if (svg) chosen.calliper(svg);
  }

  /** @param {string} id @param {Chosen} chosen */
  async window(id, chosen) {
    const found = await this.deeds.ask("window", { id }, chosen.going);
    if (this.chosen !== chosen) return;
    if (!found) chosen.found("Stopped.");
    else if (!found.problem) chosen.found(/** @type {WindowAnswer} */ (found.answer));
    else {
      chosen.found(found.problem);
      if (found.stale) this.asked = { id: "", basis: -1 }; // looked for when it stands again
    }
  }

  /** @param {{ id: string, says: string }[]} next */
  worth(next) {
    const items = next.slice(0, NEXT);
    if (!items.length) return [];
    return [make("h3", {}, "Worth measuring next"), make("ol", { class: "next" },
      ...items.map(({ id, says }, n) => make("li", {}, button(upper(says), () =>
        this.deeds.choose(id), { class: "big", id: `next-${n}` }))))];
  }

  /** @param {Group} group @param {string | null} chosen */
  group({ part, says, numbers }, chosen) {
    const open = this.open.has(part);
    const guesses = numbers.filter(({ origin }) => origin === "guessed" || origin === "assumed");
    const count = guesses.length ? `${guesses.length} not measured` : "";
    const head = make("button", { type: "button", class: "group-head", id: `group-${part}`,
                                  "aria-expanded": `${open}` },
                      make("span", {}, says), make("span", { class: "hint" }, count));
    head.addEventListener("click", () => {
      if (open) this.open.delete(part);
      else this.open.add(part);
      refill(section, this.inside(head, numbers, chosen, !open));
      head.setAttribute("aria-expanded", `${!open}`);
      this.deeds.choose(open && numbers.some(({ id }) => id === chosen) ? null : chosen);
    });
    const section = make("section", {});
    section.append(...this.inside(head, numbers, chosen, open));
    return section;
  }

  /** @param {HTMLElement} head @param {Num[]} numbers @param {string | null} chosen
   * @param {boolean} open */
  inside(head, numbers, chosen, open) {
    return [make("h3", { class: "group" }, head), ...(open ? [make("ul", { class: "numbers" },
      ...numbers.map((number) => this.row(number, number.id === chosen)))] : [])];
  }

  /** @param {Num} number @param {boolean} chosen */
  row(number, chosen) {
    const { id, says, side, letter, shown, typed, origin, changed, doubt } = number;
    const marks = [SIDES[side], changed ? "changed" : ""].filter(Boolean);
    const head = make("button", { type: "button", class: `number ${origin.replace(" ", "-")}`,
                                  id: `number-${id}`, "aria-expanded": `${chosen}` },
      ...(letter ? [make("span", { class: "letter" }, letter)] : []),
      make("span", { class: "name" }, upper(says),
           ...marks.map((mark) => make("span", { class: "mark" }, mark))),
      make("span", { class: "value" }, shown || typed || "not said"),
      make("span", { class: "origin" }, MARKS[origin]));
    head.addEventListener("click", () => this.deeds.choose(chosen ? null : id));
    return make("li", { class: chosen ? "chosen" : "" }, head,
      ...(doubt ? [make("p", { class: "problem" }, doubt)] : []),
      ...(chosen && this.chosen ? [this.chosen.element] : []));
  }
}
