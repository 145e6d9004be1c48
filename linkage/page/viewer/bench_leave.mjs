/** What goes with the engine: each written beside the sheet by a button, and stopped by one. */

/** @import { Work } from "./bench_types.js" */
/** @import { Deeds } from "./bench_deeds.js" */
import { field, Going, list, refill } from "./bench_pieces.mjs";
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
const NOW = ""; // with no engine from before

export class LeavePanel {
  /** @param {Deeds} deeds */
  constructor(deeds) {
    this.deeds = deeds;
    /** @type {Work["bench"] | null} */
    this.bench = null;
    this.before = make("div");
    this.part = make("div");
    this.beforeName = NOW;
    this.partName = "";
    this.element = make("div", {}, make("p", {}, "Each is written beside your sheet. Nothing "
      + "that is there is overwritten."), this.before,
      ...THINGS.map(([what, name, says]) => this.thing(what, name, says)));
  }

  /** @param {string} what @param {string} name @param {string} says */
  thing(what, name, says) {
    const going = new Going(name);
    const done = make("div", { class: "done", role: "status" });
    const start = button(name, () => this.leave(what, going, done), { class: "big",
                                                                     id: `leave-${what}` });
    return make("div", { class: "thing" }, start, make("span", { class: "hint" }, says),
                ...(what === "template" ? [this.part] : []), going.element, done);
  }

  /** @param {string} what @param {Going} going @param {HTMLElement} done */
  async leave(what, going, done) {
    done.replaceChildren();
    const given = { ...(this.beforeName === NOW ? {} : { snapshot: this.beforeName }),
                    ...(what === "template" ? { part: this.partName } : {}) };
    const found = await this.deeds.leave(what, given, going);
    if (!found) return;
    if (found.problem) {
      done.replaceChildren(make("p", { class: "problem" }, found.problem));
      return;
    }
    const { files = [] } = /** @type {{ files?: string[] }} */ (found.answer ?? {});
    done.replaceChildren(...files.map((file) => make("p", {}, `Written: ${file} `,
      button("Get a copy", () => this.deeds.file(file),
             { "aria-label": `Get a copy of ${file}` }))));
  }

  /** @param {Work} work */
  show({ bench }) {
    if (bench === this.bench) return;
    this.bench = bench;
    const names = bench.snapshots.map(({ name }) => name);
    if (!names.includes(this.beforeName)) this.beforeName = NOW;
    refill(this.before, names.length ? [field("Set beside it, as it was before",
      list([[NOW, "nothing"], ...names.map((name) => /** @type {[string, string]} */ (
        [name, name]))], this.beforeName, (name) => { this.beforeName = name; }), "beside-it")]
      : []);
    const bodies = [...new Set(bench.groups.flatMap(({ numbers }) =>
      numbers.flatMap((one) => one.bodies)))];
    if (!bodies.includes(this.partName)) this.partName = bodies[0] ?? "";
    refill(this.part, [field("Of which part", list(bodies.map((name) => [name, name]),
      this.partName, (name) => { this.partName = name; }), "template-part")]);
  }
}
