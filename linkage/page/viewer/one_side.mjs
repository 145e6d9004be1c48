/** One side of the engine: its side view, the plan under it, and its dial. */

/** @import { Actions, Data, Glanced, Marks, Model, State } from "./types.js" */
import { beforeOf } from "./before.mjs";
import { make, makeFigure, set } from "./dom.mjs";
import { Dial } from "./dial.mjs";
import { enlarged, framesOf } from "./frames.mjs";
import { upper } from "./numbers.mjs";
import { Picture } from "./picture.mjs";
import { levelOf } from "./plan.mjs";
import { sheetOf, zoomPlace } from "./state.mjs";
import { caption, pictureName } from "./words.mjs";

export class OneSide {
  /** @param {string} name @param {Model} model @param {number} sheet @param {Actions} act */
  constructor(name, model, sheet, act) {
    const { data, poses, places } = model;
    this.name = name;
    this.before = beforeOf(name, model, sheet);
    /** Whether it is drawn at another place of the reverser than the sheet's. */
    this.elsewhere = false;
    this.side = data.sheets[sheet].sides[name];
    this.poseOf = poses[sheet][name];
    this.places = places[sheet];
    this.papers = [makeFigure("side"), makeFigure("plan")];
    /** @type {Picture[]} */
    this.pictures = [];
    for (const { svg } of this.papers) {
      svg.addEventListener("click", ({ target }) => {
        const body = target instanceof Element ? target.closest("[data-name]") : null;
        act.pickPart(body ? body.getAttribute("data-name") : null);
      });
    }
    this.dial = new Dial(name, data.sheets[sheet], act.turnTo);
    const title = name === "only" ? "" : `${upper(name)} side`;
    this.element = make("section", { class: "one", "aria-label": title || "The motion" },
      make("div", { class: "pictures" }, ...(title ? [make("h2", {}, title)] : []),
           ...this.papers.map((paper) => paper.figure)), this.dial.paper.figure);
  }

  /** Draw all that hangs on the width, the current spot and whether it is enlarged.
   * @param {Data} data @param {State} state
   * @param {{ print: number, tall: number }} paper `print`: its width, or 0 for the screen, which
   * is so `tall` [px] */
  layout(data, state, { print, tall }) {
    const spot = sheetOf(data, state).spots[state.spot];
    const shifted = spot?.outlines[this.name];
    const there = spot?.place ?? null;
    this.elsewhere = there !== null;
    const side = there === null ? this.side : sheetOf(data, state).places[there][this.name];
    const poseOf = there === null ? this.poseOf : this.places[there][this.name];
    const bodies = data.outlines[shifted ?? side.outlines];
    const width = print || Math.floor(this.papers[0].figure.clientWidth) || 320;
    const place = state.zoom ? zoomPlace(data, state, this.name) : null;
    const frames = framesOf(data.window,
      { width, tall, mirrored: this.side.mirrored })
      .map((frame) => (place ? enlarged(frame, place, levelOf(bodies, spot.parts)) : frame));
    const view = { name: this.name, side, poseOf, bodies };
    this.pictures = frames.map((frame, n) => new Picture(this.papers[n].svg, frame, view));
    frames.forEach((frame, n) => {
      set(this.papers[n].svg, { "aria-label": pictureName(frame, side, this.name) });
      this.papers[n].caption.textContent =
        caption(frame, side, bodies, data.words, shifted !== undefined);
    });
  }

  /** Draw it as it is in a glimpse, where and as large as it was. @param {Glanced} seen */
  glimpse({ poseOf, bodies, joints, crank }) {
    this.pictures = this.pictures.map((picture, n) => {
      const view = { ...picture.view, poseOf, bodies,
                     side: { ...picture.view.side, joints, crank } };
      return picture.takes(view) ? picture : new Picture(this.papers[n].svg, picture.frame, view);
    });
  }

  /** Draw in the plan how bodies lie otherwise. @param {number} k a stop with a position
   * @param {Glanced[]} others @param {string[]} names of the bodies */
  ghosts(k, others, names) {
    for (const picture of this.pictures) if (picture.frame.plan) picture.ghosts(k, others, names);
  }

  /** Show a stop.
   * @param {number} k with a position @param {number} wanted which may have none
   * @param {Marks} marks */
  place(k, wanted, marks) {
    this.element.classList.toggle("locked", k !== wanted);
    for (const picture of this.pictures) {
      picture.place(k);
      picture.mark(k, marks);
      if (this.before && !this.elsewhere) picture.before(k, this.before);
    }
    this.dial.place(k, wanted);
  }
}
