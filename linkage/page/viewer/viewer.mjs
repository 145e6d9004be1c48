/**
 * The viewer: turns the motion of one or two sheets by positions computed beforehand.
 *
 * An act of a person makes a new state of the old one (state.mjs); `go` draws what differs.
 */

/** @import { Actions, Data, Glanced, Glimpse, State, Surroundings } from "./types.js" */
import { Choices, Turning } from "./controls.mjs";
import { Graph } from "./curve.mjs";
import { make, makeFigure } from "./dom.mjs";
import { degreesAt, shownBy } from "./graph.mjs";
import { partList, spotLists } from "./lists.mjs";
import { OneSide } from "./one_side.mjs";
import { Player } from "./player.mjs";
import { readGlimpse, readModel } from "./poses.mjs";
import {
  carriedTo, degreesOf, jumped, jumpedBy, marksOf, opened, played, reverserOf, sheetOf,
  sheetPicked, sidesOf, slid, stepped, turnedTo, zoomPlace,
} from "./state.mjs";
import { closedAt, standing } from "./turn.mjs";
import { position, tellHere, tellLongest } from "./words.mjs";

const PAPER = 480; // width of a picture in print [px]
const WIDE = 1.45 * PAPER; // of the curve
const SETTLED = 500; // after this a position is read out [ms]

/** @type {Surroundings} */
const ALONE = { tall: () => window.innerHeight, picked: () => {} };

/** Fill an element with a viewer of some data. @param {HTMLElement} root @param {Data} data
 * @param {Surroundings} about */
export function tightspotViewer(root, data, about = ALONE) {
  const viewer = new Viewer(root, data, about);
  return {
    update: (/** @type {Data} */ fresh) => viewer.update(fresh),
    pick: (/** @type {string} */ body) => viewer.go({ ...viewer.state, part: body }),
    /** Go to the worst spot. */
    open: () => viewer.go(opened(viewer.data, root.clientWidth)),
    /** Show one of the two sheets. */
    show: (/** @type {number} */ sheet) => viewer.act.pickSheet(sheet),
    /** How many pixels one mm across is in the plan; 0 where there is none. */
    planScale: () => viewer.sides[0]?.pictures.find(({ frame }) => frame.plan)?.frame.sy ?? 0,
    /** Make the pictures as large as there is room. */
    fit: () => viewer.fit(),
    reverser: () => reverserOf(viewer.data, viewer.state),
    /** Draw a glimpse until there is fresh data. */
    glimpse: (/** @type {Glimpse} */ seen) => viewer.glimpse(seen),
    /** Draw in the plan how some bodies would lie, dashed. */
    ghosts: (/** @type {Glimpse[]} */ seen, /** @type {string[]} */ names) =>
      viewer.haunt(seen, names),
  };
}

class Viewer {
  /** @param {HTMLElement} root @param {Data} data @param {Surroundings} about */
  constructor(root, data, about) {
    this.root = root;
    this.about = about;
    this.model = readModel(data);
    this.state = opened(data, root.clientWidth);
    this.act = this.actions();
    this.player = new Player((degrees) =>
      this.go(carriedTo(this.data, this.state, this.closed, degrees)));
    this.choices = new Choices(this.act);
    this.turning = new Turning(this.act);
    this.curve = makeFigure("curve");
    this.curve.svg.addEventListener("click", ({ clientX }) => {
      const { left, width } = this.curve.svg.getBoundingClientRect();
      this.act.turnTo(degreesAt(width, clientX - left));
    });
    this.here = make("p", { class: "here" });
    this.live = make("p", { class: "unseen", "aria-live": "polite" });
    this.pictures = make("div", { class: "sides" });
    this.lists = make("section", { class: "lists" });
    this.parts = make("section", { class: "parts controls" });
    root.replaceChildren(this.choices.element, this.here, this.pictures, this.turning.element,
                         this.curve.figure, this.lists, this.parts, this.live);
    /** @type {OneSide[]} */
    this.sides = [];
    /** @type {{ seen: Glimpse[], names: string[] }} */
    this.ghosts = { seen: [], names: [] };
    /** @type {Record<string, Glanced>[]} */
    this.glanced = [];
    /** @type {boolean[]} whether the sides in sight have a position, at each stop */
    this.closed = [];
    /** @type {Graph | null} */
    this.graph = null;
    this.reading = 0;
    this.width = root.clientWidth;
    this.fill();
    this.watch();
  }

  get data() { return this.model.data; }

  get sheet() { return sheetOf(this.data, this.state); }

  /** @returns {Actions} */
  actions() {
    const go = (/** @type {Partial<State>} */ change) => this.go({ ...this.state, ...change });
    return {
      turnTo: (degrees) => go(turnedTo(this.data, this.state, degrees)),
      slide: (stop) => go(slid(this.data, this.state, stop)),
      step: (by) => go(stepped(this.data, this.state, by)),
      jumpBy: (step) => go(jumpedBy(this.data, this.state, step)),
      jump: (spot, sheet) => {
        go(jumped(this.data, sheetPicked(this.data, this.state, sheet), spot));
        this.root.scrollIntoView({ block: "start" });
      },
      play: (way) => go(played(this.state, way)),
      speed: (speed) => go({ speed }),
      zoom: () => go({ zoom: !this.state.zoom }),
      pickSheet: (number) => go(sheetPicked(this.data, this.state, number)),
      pickSide: (shown) => go({ shown }),
      pickPart: (part) => {
        go({ part });
        if (part !== null) this.about.picked(part);
      },
    };
  }

  /** Go over to a state: draw what differs from the last. @param {State} next */
  go(next) {
    const last = this.state;
    this.state = next;
    if (next.playing !== last.playing || next.speed !== last.speed) {
      this.player.set(next, degreesOf(this.data, next));
    }
    if (next.sheet !== last.sheet || next.shown !== last.shown) this.setUp();
    else if (next.spot !== last.spot || next.zoom !== last.zoom) this.layout();
    this.place();
    if (next.index !== last.index || next.sheet !== last.sheet) this.readOut();
  }

  /** Go on with fresh data. @param {Data} fresh */
  update(fresh) {
    this.state = sheetPicked(fresh, this.state, this.state.sheet, this.data);
    this.model = readModel(fresh);
    this.fill();
  }

  /** @param {Glimpse} seen */
  glimpse(seen) {
    const sides = readGlimpse(seen, this.sheet.crank);
    const there = this.sides.filter(({ name }) => sides[name]);
    for (const side of there) side.glimpse(sides[side.name]);
    this.placeSides(there);
  }

  /** @param {Glimpse[]} seen @param {string[]} names */
  haunt(seen, names) {
    this.ghosts = { seen, names };
    this.glanced = seen.map((one) => readGlimpse(one, this.sheet.crank));
    this.place();
  }

  fill() {
    this.glanced = this.ghosts.seen.map((one) => readGlimpse(one, this.sheet.crank));
    this.lists.replaceChildren(...spotLists(this.data, this.act));
    this.setUp();
    this.place();
  }

  /** Set up the sides in sight, with their dials and choices. */
  setUp() {
    const names = sidesOf(this.data, this.state);
    this.closed = closedAt(this.model, this.state.sheet, names);
    this.sides = names.map((name) => new OneSide(name, this.model, this.state.sheet, this.act));
    this.pictures.replaceChildren(...this.sides.map((side) => side.element));
    this.pictures.classList.toggle("two", names.length > 1);
    this.parts.replaceChildren(...partList(this.data, this.state, this.act));
    this.choices.layout(this.data, this.state);
    this.layout();
  }

  /** Draw all that hangs on the width, the current spot and whether it is enlarged.
   * @param {boolean} printed whether it is as wide as paper is, whatever the screen is */
  layout(printed = false) {
    const { curve, data, here, sheet, state } = this;
    // room for the longest of the words, so that no picture moves while one turns the dial
    here.style.minHeight = "0";
    this.tell(tellLongest(data, state, this.closed.includes(false)));
    here.style.minHeight = `${here.offsetHeight}px`;
    const beside = [this.choices, this.turning].reduce((all, { element }) =>
      all + element.offsetHeight, here.offsetHeight);
    const paper = { print: printed ? PAPER : 0, tall: this.about.tall(beside) };
    for (const side of this.sides) side.layout(data, state, paper);
    const spot = sheet.spots[state.spot];
    const drawn = spot ? spot.curve : this.sides[0].side.curve;
    const width = printed ? WIDE : this.root.clientWidth || 320;
    curve.figure.hidden = !drawn;
    const shown = drawn ? shownBy(sheet.spots, drawn, spot?.place ?? null) : [];
    this.graph = drawn && new Graph(curve.svg, drawn, shown, width);
    curve.caption.textContent = `${drawn?.title}. Across: ${sheet.crankWord}, degrees, `
                                + "0 straight ahead, growing in forward running.";
    this.choices.enlarge(this.sides.some(({ name }) => zoomPlace(data, state, name)), state.zoom);
  }

  /** Show the stop. */
  place() {
    const { data, state } = this;
    const locked = this.placeSides(this.sides);
    this.graph?.place(degreesOf(data, state));
    this.tell(tellHere(data, state, locked));
    this.turning.show(data, state);
  }

  /** Return whether there is no position at the stop. @param {OneSide[]} sides to show it */
  placeSides(sides) {
    const { data, state } = this;
    const k = standing(this.closed, state.way, state.index);
    for (const side of sides) {
      side.place(k, state.index, marksOf(data, state, side.name, k !== state.index));
      const others = this.glanced.flatMap((glanced) => glanced[side.name] ?? []);
      side.ghosts(k, others, this.ghosts.names);
    }
    return k !== state.index;
  }

  /** @param {{ head: string, rest: string }} words */
  tell({ head, rest }) {
    this.here.replaceChildren(...(head ? [make("strong", {}, head)] : []), rest);
    this.here.classList.toggle("tight", Boolean(head));
  }

  /** Read a position out once it stands; not while it is being turned. */
  readOut() {
    clearTimeout(this.reading);
    this.reading = setTimeout(() => {
      if (this.state.playing) return;
      this.live.textContent = `${position(this.data, this.state)}. ${this.here.textContent}`;
    }, SETTLED);
  }

  fit(printed = false) {
    this.layout(printed);
    this.place();
  }

  watch() {
    new ResizeObserver(() => {
      if (this.root.clientWidth === this.width) return;
      this.width = this.root.clientWidth;
      this.fit();
    }).observe(this.root);
    addEventListener("beforeprint", () => this.fit(true));
    addEventListener("afterprint", () => this.fit());
  }
}
