/** A picture: a side seen from outside, or from above. */

/** @import { Body, Frame, Glanced, Marks, Pose, PoseOf, View } from "./types.js" */
import { draw, hatch, resize, set, write } from "./dom.mjs";
import { transformOf } from "./frames.mjs";
import { Joints } from "./joints.mjs";
import { drawMarks } from "./marks.mjs";
import { upper } from "./numbers.mjs";
import { planPath, written } from "./plan.mjs";
import { inPlace, placed } from "./poses.mjs";

/** @type {[name: string, size: number, line: string][]} */
const HATCHINGS = [
  ["fixed", 6, "M0 6L6 0"], ["first", 5, "M0 5L5 0"], ["second", 5, "M0 0L5 5"],
  ["chosen", 5, "M1 2h1.6"], ["overlap", 4, "M0 4L4 0M0 0L4 4"],
];
const FAR = 1e4; // beyond any engine [mm]

/** @typedef {{ body: Body, element: SVGPathElement }} Shape */

/** What does not move is drawn when it is made; what moves, by `place`. */
export class Picture {
  /** @param {SVGSVGElement} svg to be filled @param {Frame} frame @param {View} view */
  constructor(svg, frame, view) {
    this.frame = frame;
    this.view = view;
    this.id = `${view.name}-${frame.plan ? "plan" : "side"}`;
    resize(svg, frame.width, frame.height);
    svg.replaceChildren();
    this.hatchings(svg);
    /** @type {SVGCircleElement | null} */
    this.path = null;
    this.world = draw("g", { transform: transformOf(frame) }, svg);
    this.ground();
    this.joints = frame.plan ? null : new Joints(svg, this.world, frame, view);
    this.shapes = this.drawn(view).map((body) => this.shape(body));
    /** @type {SVGGElement | null} */
    this.ghost = null;
    /** @type {SVGGElement | null} */
    this.was = null;
    this.raised = "";
    this.raise([]);
    this.over = draw("g", { class: "over" }, svg);
    if (view.side.mirrored) write(svg, [6, 16], "← FRONT", "start", "front");
    else write(svg, [frame.width - 6, 16], "FRONT →", "end", "front");
  }

  /** The bodies that are drawn. @param {View} view */
  drawn({ bodies }) {
    return bodies.filter((body) => !this.frame.plan || body.plan.length);
  }

  /** Show the same bodies of other sizes, to be placed; tell whether they are the same. What is
   * drawn stays, which takes a browser less than to draw it anew. @param {View} view */
  takes(view) {
    const bodies = this.drawn(view);
    if (bodies.length !== this.shapes.length
        || bodies.some(({ name, line }, n) => line || name !== this.shapes[n].body.name)) {
      return false;
    }
    if (this.joints && !this.joints.takes(view)) return false;
    this.view = view;
    this.circle(view.side.crank);
    bodies.forEach((body, n) => {
      const shape = this.shapes[n];
      if (!this.frame.plan && body.side !== shape.body.side) set(shape.element, { d: body.side });
      shape.body = body;
    });
    return true;
  }

  /** The crank's circle. @param {View["side"]["crank"]} crank */
  circle({ axle: [cx, cy], pin }) {
    if (this.path) set(this.path, { cx, cy, r: Math.hypot(...pin) });
  }

  /** Hatchings keep their size on paper whatever the scale. @param {SVGSVGElement} svg */
  hatchings(svg) {
    const defs = draw("defs", {}, svg);
    const transform = `scale(${1 / Math.abs(this.frame.sx)} ${1 / Math.abs(this.frame.sy)})`;
    for (const [name, size, line] of HATCHINGS) {
      hatch(defs, `${this.id}-${name}`, size, line, name, transform);
    }
  }

  /** The face of the wheel; or the crank's circle, and where joints go, of bare linkages. */
  ground() {
    const { bodies, side } = this.view;
    if (this.frame.plan) {
      const face = bodies.some((body) => body.plan.length);
      if (face) draw("path", { d: `M${-FAR} 0H${FAR}`, class: "face" }, this.world);
      return;
    }
    this.path = draw("circle", { class: "circle" }, this.world);
    this.circle(side.crank);
    const bare = bodies.every((body) => body.line);
    if (bare) draw("path", { d: this.courses(), class: "dots" }, this.world);
  }

  courses() {
    return this.view.side.joints.flatMap(({ part, at }) => this.view.side.clock.map((_, k) => {
      const pose = this.view.poseOf(part, k);
      return pose ? `M${written(placed(pose, at))}h0` : "";
    })).join("");
  }

  /** @param {Body} body @returns {Shape} */
  shape(body) {
    const look = body.line ? "line" : "body";
    const element = draw("path", { "data-name": body.name, class: look }, this.world);
    if (!this.frame.plan) set(element, { d: body.side });
    draw("title", {}, element).textContent = upper(body.name);
    return { body, element };
  }

  /** Put everything in place at a stop. @param {number} k */
  place(k) {
    for (const { body, element } of this.shapes) {
      const pose = this.view.poseOf(body.part, k);
      if (pose) set(element, this.moved(body, pose));
    }
    this.joints?.place(k);
  }

  /** @param {Body} body @param {Pose} pose @returns {Record<string, string>} */
  moved(body, pose) {
    return this.frame.plan ? { d: body.plan.map((piece) => planPath(piece, pose)).join("") }
                           : { transform: inPlace(pose) };
  }

  /** Draw how bodies were before, dashed over what they are.
   * @param {number} k @param {{ poseOf: PoseOf, bodies: Body[] }} was */
  before(k, { poseOf, bodies }) {
    this.was?.remove();
    this.was = draw("g", { class: "before" }, this.world);
    for (const body of bodies) {
      const pose = poseOf(body.part, k);
      if (!pose) continue;
      const shape = this.frame.plan ? this.moved(body, pose)
                                    : { d: body.side, ...this.moved(body, pose) };
      draw("path", shape, this.was);
    }
  }

  /** Draw how bodies lie otherwise, dashed over what there is.
   * @param {number} k @param {Glanced[]} others @param {string[]} names of the bodies */
  ghosts(k, others, names) {
    const drawn = others.map(({ poseOf, bodies }) => bodies.filter(({ name }) =>
      names.includes(name)).map((body) => {
      const pose = poseOf(body.part, k);
      return pose ? body.plan.map((piece) => planPath(piece, pose)).join("") : "";
    }).join(""));
    this.ghost?.remove();
    this.ghost = draw("g", { class: "ghosts" }, this.world);
    for (const d of drawn) draw("path", { d }, this.ghost);
  }

  /** Pick out what a tight spot is about at a stop, and the body that was asked for.
   * @param {number} k @param {Marks} marks */
  mark(k, marks) {
    for (const { body, element } of this.shapes) {
      const rank = marks.heavy.indexOf(body.part);
      const chosen = body.name === marks.chosen;
      const plain = body.fixed ? "fixed" : "";
      const look = chosen ? "chosen" : ["first", "second"][Math.min(rank, 1)] ?? plain;
      element.classList.toggle("heavy", rank >= 0);
      element.classList.toggle("chosen", chosen);
      element.style.fill = look && !body.line ? `url(#${this.id}-${look})` : "";
    }
    if (marks.heavy.join("|") !== this.raised) this.raise(marks.heavy);
    drawMarks(this, k, marks);
  }

  /** Paint the heavy parts last, the others in their own order; slots over all.
   * @param {string[]} heavy */
  raise(heavy) {
    this.raised = heavy.join("|");
    const last = (/** @type {Shape} */ { body }) => heavy.includes(body.part);
    const order = [...this.shapes.filter((shape) => !last(shape)), ...this.shapes.filter(last)];
    this.world.append(...[...order, ...(this.joints?.slots ?? [])].map(({ element }) => element));
  }
}
