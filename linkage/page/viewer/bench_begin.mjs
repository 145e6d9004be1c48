/** What begins another sheet: one from nothing, or one that is there. */

/** @import { Bench } from "./bench_types.js" */
/** @import { Deeds } from "./bench_deeds.js" */
import { field, list } from "./bench_pieces.mjs";
import { button, make } from "./dom.mjs";

const NO_WHEELS = "";
const BESIDE = "What you have not saved stays kept beside its file.";
const UNSAVED = "What you have changed has no file yet. It stays kept in this folder, and is there "
              + "again when the bench is opened without a sheet.";

export class Begin {
  /** @param {Deeds} deeds */
  constructor(deeds) {
    this.deeds = deeds;
    this.element = make("dialog", { "aria-label": "Begin or open" });
  }

  /** @param {Bench} bench */
  open({ choices, file, undo, unit, saved }) {
    const arrangement = list(choices.arrangements.map(({ key, says }) =>
      [key, `${key}: ${says}`]), choices.arrangements[0].key);
    const scale = list(choices.scales.map(({ key, says }) => [key, says]), "4 mm");
    const units = list([["mm", "millimetres"], ["in", "inches"]], unit);
    const wheels = list([[NO_WHEELS, "leave them out"], ...choices.wheels.map((one) =>
      /** @type {[string, string]} */ ([one, one]))], NO_WHEELS);
    const begin = () => this.close(() => this.deeds.begin({
      arrangement: arrangement.value, scale: scale.value, unit: units.value,
      ...(wheels.value === NO_WHEELS ? {} : { wheels: wheels.value }) }));
    const sheets = list(choices.sheets.map((name) => [name, name]), choices.sheets[0] ?? "");
    this.element.replaceChildren(
      make("h2", {}, "Begin with an empty bench"),
      make("p", {}, "Choose what it is. Usual sizes fill in as guesses, and it is drawn at once."),
      ...(saved || !(file || undo) ? [] : [make("p", {}, file ? BESIDE : UNSAVED)]),
      field("Valve gear", arrangement, "new-arrangement"), field("Scale", scale, "new-scale"),
      field("Sizes in", units, "new-unit"), field("Coupled wheels", wheels, "new-wheels"),
      button("Begin", begin, { class: "big", id: "new-begin" }),
      ...(choices.sheets.length ? [make("h2", {}, "Or open a sheet of this folder"),
        field("Sheet", sheets, "open-sheet"), button("Open it", () =>
          this.close(() => this.deeds.open(sheets.value)), { class: "big", id: "open-it" })] : []),
      make("p", { class: "apart" }, button("Go back", () => this.element.close(),
                                           { id: "begin-back" })));
    this.element.showModal();
  }

  /** @param {() => void} then */
  close(then) {
    this.element.close();
    then();
  }
}
