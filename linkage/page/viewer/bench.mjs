/** The page to work at: the sheet's numbers beside the viewer, and all that is asked of them. */

/** @import { First, Panel, Work } from "./bench_types.js" */
import { Begin } from "./bench_begin.mjs";
import { CuresPanel } from "./bench_cures.mjs";
import { Desk } from "./bench_desk.mjs";
import { FeltPanel } from "./bench_felt.mjs";
import { KeptPanel } from "./bench_kept.mjs";
import { LeavePanel } from "./bench_leave.mjs";
import { Link } from "./bench_link.mjs";
import { Numbers } from "./bench_numbers.mjs";
import { PartPanel } from "./bench_part.mjs";
import { Shown } from "./bench_shown.mjs";
import { begun } from "./bench_state.mjs";
import { Top } from "./bench_top.mjs";
import { button, make } from "./dom.mjs";
import { themeButton } from "./theme.mjs";

/** @type {[panel: Panel, text: string][]} */
const PANELS = [["numbers", "Numbers"], ["felt", "What I felt"], ["cures", "Put it right"],
                ["part", "Offered part"], ["kept", "Snapshots"], ["leave", "Take away"]];

const AT_WORK = "at-work"; // in this tab a page is at work, or was before a reload

/** Open the page to work at. */
export function openBench() {
  const there = (/** @type {string} */ id) =>
    /** @type {HTMLElement} */ (document.getElementById(id));
  const first = /** @type {First} */ (JSON.parse(there("first").textContent ?? ""));
  const token = new URLSearchParams(location.search).get("token") ?? "";
  new Page(there("bench"), new Link(token, first.page), begun(first));
}

class Page {
  /** @param {HTMLElement} root @param {Link} link @param {Work} work */
  constructor(root, link, work) {
    this.desk = new Desk(link, work, (now, last) => this.show(now, last));
    const { deeds } = this.desk;
    this.begin = new Begin(deeds);
    this.completing = false;
    this.top = new Top(deeds, () => void this.beginAnother(), themeButton());
    this.shown = new Shown(this.desk);
    this.panels = { numbers: new Numbers(deeds), felt: new FeltPanel(deeds),
                    cures: new CuresPanel(deeds), part: new PartPanel(deeds),
                    kept: new KeptPanel(deeds), leave: new LeavePanel(deeds) };
    this.tabs = PANELS.map(([key, text]) => ({ key, element: button(text, () =>
      deeds.turnOver(key), { role: "tab", id: `tab-${key}`, "aria-controls": `panel-${key}` }) }));
    this.tablist = make("div", { role: "tablist", class: "tabs", "aria-label": "What to do" },
                        ...this.tabs.map(({ element }) => element));
    this.tablist.addEventListener("keydown", (event) => this.tabKey(event));
    this.sheets = PANELS.map(([key]) => ({ key, element: make("div", { role: "tabpanel",
      id: `panel-${key}`, "aria-labelledby": `tab-${key}`, tabindex: 0 },
      this.panels[key].element) }));
    this.second = make("dialog", { "aria-label": "Another page is at work" });
    this.second.addEventListener("cancel", (event) => event.preventDefault());
    this.panel = make("section", { class: "side-panel", "aria-label": "The sheet" }, this.tablist,
                      ...this.sheets.map(({ element }) => element));
    root.replaceChildren(this.top.element, this.shown.element, this.panel,
      this.begin.element, this.second);
    addEventListener("keydown", (event) => this.key(event));
    addEventListener("pagehide", () => link.bye());
    if (work.second !== null && sessionStorage.getItem(AT_WORK)) deeds.takeOver(); // a reload
    else this.show(work, null);
    this.desk.start();
    link.stay();
  }

  /** Ask for what a first picture could do without, once it stands. @param {Work} work */
  complete(work) {
    if (!work.bench.brief || this.completing || work.found === null) return;
    this.completing = true;
    requestAnimationFrame(() => setTimeout(() => void this.desk.refresh(), 0));
  }

  async beginAnother() {
    if (this.desk.work.bench.brief) await this.desk.refresh();
    if (!this.desk.work.bench.brief) this.begin.open(this.desk.work.bench);
  }

  /** @param {Work} work @param {Work | null} last */
  show(work, last) {
    if (work.second === null) sessionStorage.setItem(AT_WORK, "yes");
    else sessionStorage.removeItem(AT_WORK);
    this.top.show(work);
    this.shown.show(work, last);
    this.complete(work);
    for (const { key, element } of this.tabs) {
      element.setAttribute("aria-selected", `${key === work.panel}`);
      element.tabIndex = key === work.panel ? 0 : -1;
    }
    for (const { key, element } of this.sheets) element.hidden = key !== work.panel;
    this.panels[work.panel].show(work);
    if (work.panel !== last?.panel) this.panel.scrollTo(0, 0);
    if (work.second !== null && !this.second.open) this.tellSecond(work.second);
    if (work.second === null && this.second.open) this.second.close();
    if (work.chosen !== last?.chosen && work.chosen !== null) {
      document.getElementById(`number-${work.chosen}`)?.scrollIntoView({ block: "start" });
    }
  }

  /** @param {string} says */
  tellSecond(says) {
    this.second.replaceChildren(make("p", {}, says),
      button("Take over here", () => this.desk.deeds.takeOver(), { class: "big", id: "take" }));
    this.second.showModal();
  }

  /** @param {KeyboardEvent} event */
  tabKey(event) {
    const step = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    if (!step) return;
    event.preventDefault();
    const at = this.tabs.findIndex(({ key }) => key === this.desk.work.panel);
    const { key, element } = this.tabs[(at + step + this.tabs.length) % this.tabs.length];
    this.desk.deeds.turnOver(key);
    element.focus();
  }

  /** Keys that hold everywhere but in a field. @param {KeyboardEvent} event */
  key(event) {
    if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
    const key = event.key.toLowerCase();
    const { deeds } = this.desk;
    if (key === "s") deeds.save(this.desk.work.bench.file ? "save" : "beside");
    else if (key === "z" && event.shiftKey || key === "y") deeds.redo();
    else if (key === "z") deeds.undo();
    else return;
    event.preventDefault();
  }
}
