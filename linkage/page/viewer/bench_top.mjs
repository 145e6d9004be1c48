/** What stays in sight at the top: the sheet, what can be taken back, and the verdict. */

/** @import { Work } from "./bench_types.js" */
/** @import { Deeds } from "./bench_deeds.js" */
import { refill } from "./bench_pieces.mjs";
import { current, numberOf, told, verdictOf } from "./bench_state.mjs";
import { button, make } from "./dom.mjs";

const SURE_TO_COME = "How sure this is by the numbers there are is being worked out.";

export class Top {
  /** @param {Deeds} deeds @param {() => void} begin opens what begins another sheet
   * @param {HTMLElement} theme */
  constructor(deeds, begin, theme) {
    this.deeds = deeds;
    this.title = make("h1");
    this.file = make("p", { class: "file" });
    this.undo = button("Undo", deeds.undo, { id: "undo" });
    this.redo = button("Redo", deeds.redo, { id: "redo" });
    this.save = button("Save", () => deeds.save(this.first), { id: "save" });
    /** @type {"save" | "beside"} */
    this.first = "save";
    this.badge = make("strong", { class: "badge" });
    this.says = make("p");
    this.sure = make("p", { class: "hint" });
    this.verdict = make("div", { class: "verdict-bar", role: "status" }, this.badge,
                        make("div", { class: "verdict-says" }, this.says, this.sure));
    /** Whether the verdict that is shown is said with how sure it is. */
    this.settled = false;
    this.hinders = "";
    this.hindered = make("div", { role: "alert" });
    this.element = make("header", { class: "bench-top" },
      make("div", { class: "bench-row" }, make("div", { class: "titles" }, this.title, this.file),
           make("div", { class: "row" }, this.undo, this.redo, this.save,
                button("New or open", begin, { id: "begin" }), theme)),
      this.verdict, this.hindered);
  }

  /** @param {Work} work */
  show(work) {
    const { bench } = work;
    this.title.textContent = bench.title || "An engine without a name";
    const state = bench.saved ? "saved" : "not saved";
    this.file.textContent = bench.file ? `${bench.file}, ${state}` : "no file yet";
    this.first = bench.file ? "save" : "beside";
    this.save.disabled = bench.saved;
    this.step(this.undo, "Undo", bench.undo);
    this.step(this.redo, "Redo", bench.redo);
    const { state: how, badge, says, free } = verdictOf(work);
    this.stand(how === "proven" && Boolean(current(work)?.sure));
    this.verdict.dataset.state = how;
    this.verdict.dataset.free = `${free}`;
    reword(this.badge, badge);
    const worst = current(work)?.data?.sheets[0].spots[0]?.says ?? "";
    reword(this.says, how === "proven" && worst ? `${says} ${worst}` : says);
    reword(this.sure, how === "proven" ? current(work)?.sure ?? SURE_TO_COME : "");
    const { lost, problems } = work;
    const now = JSON.stringify([lost, problems, bench.elsewhere, bench.cautions]);
    if (now !== this.hinders) refill(this.hindered, this.hindrances(work));
    this.hinders = now;
  }

  /** Until all is said again the bar stays as high as it was: nothing may move under a hand.
   * @param {boolean} settled */
  stand(settled) {
    const { style, offsetHeight } = this.verdict;
    if (settled) style.minHeight = "";
    else if (this.settled) style.minHeight = `${offsetHeight}px`;
    this.settled = settled;
  }

  /** @param {HTMLButtonElement} element @param {string} word @param {string | null} what */
  step(element, word, what) {
    element.disabled = what === null;
    element.title = what ?? "";
    element.setAttribute("aria-label", what ? `${word}: ${what}` : word);
  }

  /** @param {Work} work */
  hindrances({ bench, lost, problems }) {
    const { deeds } = this;
    const found = [];
    if (lost !== null) {
      found.push(make("div", { class: "notice" }, make("span", {}, lost),
                      button("Try again", deeds.again, { id: "again" })));
    }
    const standing = bench.cautions.slice(0, -1); // but for the caution that always holds
    const general = problems.filter(({ id }) => !numberOf(bench, id)).map((one) => told(one));
    for (const says of [...standing, ...general]) {
      found.push(make("div", { class: "notice" }, make("span", {}, says)));
    }
    if (bench.elsewhere) {
      found.push(make("div", { class: "notice" },
        make("span", {}, `${bench.file} was changed by something else since you opened it. `
                         + "Nothing is overwritten until you choose."),
        button("Keep mine", () => deeds.save("mine"), { id: "mine" }),
        button("Take the file's", () => deeds.save("theirs"), { id: "theirs" }),
        button("Save mine under another name", () => deeds.save("beside"), { id: "beside" })));
    }
    return found;
  }
}

/** What was worked out anew, and what was kept. @param {Work} work */
export function tellTook(work) {
  const took = current(work)?.took ?? [];
  const last = took.at(-1);
  if (!last) return "";
  const anew = [...new Set(took.flatMap(({ recomputed }) => recomputed))].join(", ");
  const kept = Math.max(...took.map((one) => one.kept));
  const times = took.map(({ stage, ms }) => `${stage} ${Math.round(ms)} ms`).join(", ");
  return `Worked out anew: ${anew || "nothing"}. Pairs of parts kept: ${kept}. ${times}.`;
}

/** Change words only where they differ, for a change is read out.
 * @param {HTMLElement} element @param {string} text */
function reword(element, text) {
  if (element.textContent !== text) element.textContent = text;
}
