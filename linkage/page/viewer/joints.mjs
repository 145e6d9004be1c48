/** The joints of a side view: pins, slides and slots, and the crank's arm. */

/** @import { Frame, View } from "./types.js" */
import { draw, set } from "./dom.mjs";
import { onPaper } from "./frames.mjs";
import { written } from "./plan.mjs";
import { inPlace, placed } from "./poses.mjs";

const LAYERS = ["foot", "pin ink", "pin paper", "square ink", "square paper"];

export class Joints {
  /** @param {Element} svg where they keep their size
   * @param {Element} world where they move with parts @param {Frame} frame @param {View} view */
  constructor(svg, world, frame, view) {
    this.frame = frame;
    this.view = view;
    this.arm = draw("path", { class: "arm" }, world);
    this.slots = view.side.joints.flatMap(({ slot, on }) =>
      (slot && on ? [{ on, element: draw("path", { d: slot, class: "slot" }, world) }] : []));
    this.layers = LAYERS.map((name) => draw("path", { class: name }, svg));
  }

  /** Show the same joints of other sizes, to be placed; tell whether they are the same.
   * @param {View} view */
  takes(view) {
    const slots = view.side.joints.flatMap(({ slot, on }) => (slot && on ? [{ slot, on }] : []));
    if (slots.length !== this.slots.length || slots.some(({ on }, n) => on !== this.slots[n].on)) {
      return false;
    }
    slots.forEach(({ slot }, n) => set(this.slots[n].element, { d: slot }));
    this.view = view;
    return true;
  }

  /** @param {number} k */
  place(k) {
    const { poseOf, side } = this.view;
    const { part, axle, pin } = side.crank;
    const crank = poseOf(part, k);
    if (crank) set(this.arm, { d: `M${axle.join(" ")}L${written(placed(crank, pin))}` });
    for (const { on, element } of this.slots) {
      const pose = poseOf(on, k);
      if (pose) set(element, { transform: inPlace(pose) });
    }
    const d = LAYERS.map(() => "");
    for (const joint of side.joints) {
      const pose = poseOf(joint.part, k);
      if (!pose) continue;
      const spot = written(onPaper(this.frame, placed(pose, joint.at)));
      if (joint.ground) d[0] += `M${spot}l-5 9h10z`;
      for (const layer of joint.square ? [3, 4] : [1, 2]) d[layer] += `M${spot}h0.01`;
    }
    this.layers.forEach((element, layer) => set(element, { d: d[layer] }));
  }
}
