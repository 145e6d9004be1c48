/** The locomotive of the sheet in the viewer: nothing that was found out of another is shown. */

/** @import { Data, Glimpse } from "./types.js" */
/** @import { Safe, Work } from "./bench_types.js" */
/** @import { Desk } from "./bench_desk.mjs" */
import { across, dragged } from "./bench_plan.mjs";
import { said } from "./bench_pieces.mjs";
import { current, isStale, numberOf, numberOfBody, verdictOf } from "./bench_state.mjs";
import { tellTook } from "./bench_top.mjs";
import { button, make } from "./dom.mjs";
import { tallFor } from "./frames.mjs";
import { tightspotViewer } from "./viewer.mjs";

const WORDS = 120; // under the pictures and between all, at most [px]
const LEAST = 150; // however much stands beside the pictures [px]

export class Shown {
  /** @param {Desk} desk */
  constructor(desk) {
    this.desk = desk;
    this.root = make("div", { class: "viewer-root" });
    this.both = make("div", { class: "notice" },
      make("span", {}, "Before and after, together: as it was is dashed. "),
      button("Only as it is now", () => desk.compared(null), { id: "only-now" }));
    this.range = make("p", { class: "hint range" });
    this.took = make("p", { class: "took hint" });
    this.words = make("details", { class: "document" }, make("summary", {}, "All of it in words"));
    this.words.hidden = true;
    this.caution = make("p", { class: "hint" });
    this.element = make("section", { class: "shown", "aria-label": "The locomotive", tabindex: 0 },
                        this.both, this.root, this.range, this.took, this.words,
                        this.caution);
    /** @type {ReturnType<typeof tightspotViewer> | null} */
    this.viewer = null;
    /** @type {Data | null} */
    this.data = null;
    this.says = "";
    /** Whether there was a verdict yet: with the first, it goes to the worst spot. */
    this.judged = false;
    /** Whether what is drawn is of a number that a hand is on. */
    this.glimpsed = false;
    desk.place = () => this.viewer?.reverser() ?? null;
    desk.glimpsed = (seen) => {
      this.glimpsed = true;
      this.viewer?.glimpse(seen);
    };
    this.drag();
    addEventListener("resize", () => this.viewer?.fit());
  }

  /** @param {Work} work @param {Work | null} last */
  show(work, last) {
    const both = this.desk.both;
    this.both.hidden = both === null;
    const { state } = verdictOf(work);
    this.caution.textContent = work.bench.cautions.at(-1) ?? "";
    this.element.classList.toggle("stale", isStale(work) && both === null);
    this.element.classList.toggle("unproven", state !== "proven" && both === null);
    this.took.textContent = tellTook(work);
    const data = both ?? work.found?.data ?? null;
    const settled = this.glimpsed && current(work) !== null; // what was tried is not the sheet
    if (data && (data !== this.data || settled)) {
      this.glimpsed = false;
      this.draw(data);
      if (both) this.viewer?.show(1); // as it is now, which the verdict is on
    }
    if (!this.judged && state === "proven") {
      this.judged = true;
      this.viewer?.open();
    }
    this.tell(state === "proven" ? work.found?.says ?? "" : "");
    if (work.chosen !== last?.chosen) {
      const bodies = numberOf(work.bench, work.chosen)?.bodies ?? [];
      if (bodies.length) this.viewer?.pick(bodies[0]);
      this.root.classList.toggle("across", across(work) !== null);
    }
    if (work.safe !== last?.safe) void this.bounds(work.safe);
  }

  /** Draw how far the chosen number may go, in the plan. @param {Safe | null} safe */
  async bounds(safe) {
    const { link } = this.desk;
    const ends = safe ? [safe.low, safe.high] : [];
    const seen = [];
    const place = this.desk.place();
    for (const value of ends) { // one after another: a later glimpse lets go of an earlier
      seen.push(await /** @type {Promise<Glimpse | null>} */ (
        link.post("/glimpse", { id: safe?.id, value, place })).catch(() => null));
    }
    if (this.desk.work.safe !== safe) return;
    const there = seen.flatMap((one) => (one?.sides ? [one] : []));
    const number = numberOf(this.desk.work.bench, safe?.id ?? null);
    this.viewer?.ghosts(there, number?.bodies ?? []);
    this.range.textContent = safe && there.length
      ? `Dashed in the plan: as far as it may go, from ${safe.lowTyped} to ${safe.highTyped}.` : "";
  }

  /** @param {Data} data */
  draw(data) {
    this.data = data;
    if (this.viewer) {
      this.viewer.update(data);
      return;
    }
    const picked = (/** @type {string} */ body) => {
      const id = numberOfBody(this.desk.work, body);
      if (id !== null && id !== this.desk.work.chosen) this.desk.deeds.choose(id);
    };
    this.viewer = tightspotViewer(this.root, data, { tall: (beside) => this.tall(beside), picked });
  }

  /** How tall the screen is taken to be, so that the pictures are in sight with all that stands
   * beside them [px]. @param {number} beside how tall that is [px] */
  tall(beside) {
    const room = Math.min(innerHeight, this.element.clientHeight || innerHeight);
    const notice = this.both.hidden ? 0 : this.both.offsetHeight;
    return Math.max(LEAST, tallFor(room - beside - notice - WORDS));
  }

  /** @param {string} says */
  tell(says) {
    if (says === this.says) return;
    this.says = says;
    this.words.hidden = !says;
    if (says) this.words.replaceChildren(this.words.children[0], said(says, "All of it in words"));
  }

  /** A chosen number that lies across is dragged in the plan. */
  drag() {
    let from = 0;
    let begun = 0;
    let held = false;
    let moved = false; // a click that ends a drag picks no other part
    const plan = (/** @type {Event} */ { target }) =>
      (target instanceof Element ? target.closest("svg.plan") : null);
    this.root.addEventListener("pointerdown", (event) => {
      moved = false;
      const number = across(this.desk.work);
      if (!plan(event) || !number) return;
      held = true;
      from = event.clientY;
      begun = number.value ?? 0;
      this.root.setPointerCapture(event.pointerId);
      event.preventDefault();
    });
    this.root.addEventListener("pointermove", (event) => {
      const number = across(this.desk.work);
      const scale = this.viewer?.planScale() ?? 0;
      if (!held || !number || !scale) return;
      const to = dragged(number, begun, (from - event.clientY) / scale, this.desk.work.bench);
      if (to === null || (!moved && to.value === begun)) return;
      moved = true;
      this.desk.deeds.hold(number.id, to.typed, to.value);
    });
    this.root.addEventListener("click", (event) => {
      if (moved) event.stopPropagation();
      moved = false;
    }, true);
    this.root.addEventListener("lostpointercapture", () => {
      if (held) this.desk.deeds.letGo();
      held = false;
    });
  }
}
