/** The curve over the turn, with a cursor where the crank stands. */

/** @import { Curve, Spot } from "./types.js" */
import { draw, hatch, resize, set, write } from "./dom.mjs";
import {
  across, BOTTOM, endOf, graphPath, HEIGHT, LEFT, roomAtLeft, shaded, ticks, TOP, up, valueAt,
} from "./graph.mjs";

/** What does not move is drawn when it is made. */
export class Graph {
  /** @param {SVGSVGElement} svg to be filled @param {Curve} curve @param {Spot[]} spots it shows
   * @param {number} width [px] */
  constructor(svg, curve, spots, width) {
    this.curve = curve;
    this.width = width;
    resize(svg, width, HEIGHT);
    set(svg, { "aria-label": `${curve.title}, over one turn of the crank` });
    svg.replaceChildren();
    hatch(draw("defs", {}, svg), "curve-arc", 6, "M0 6L6 0", "fixed");
    for (const [from, to] of spots.flatMap(shaded)) {
      const [left, right] = [this.x(from), this.x(to)];
      const d = `M${left} ${TOP}H${right}V${BOTTOM}H${left}Z`;
      draw("path", { d, class: "arc" }, svg).style.fill = "url(#curve-arc)";
    }
    this.axes(svg);
    draw("path", { d: graphPath(curve, width), class: "graph" }, svg);
    for (const [value, words] of curve.levels) this.level(svg, value, words);
    this.cursor = draw("path", { class: "cursor" }, svg);
    this.dot = draw("circle", { r: 5, class: "crankpin" }, svg);
  }

  /** @param {number} degrees */
  x(degrees) { return across(this.width, degrees); }

  /** @param {SVGSVGElement} svg */
  axes(svg) {
    draw("path", { d: `M${LEFT} ${TOP}V${BOTTOM}H${endOf(this.width)}`, class: "axis" }, svg);
    for (let at = 0; at <= 360; at += this.width < 500 ? 90 : 45) {
      draw("path", { d: `M${this.x(at)} ${BOTTOM}v4`, class: "axis" }, svg);
      const last = at === 360;
      write(svg, [last ? this.width - 2 : this.x(at), BOTTOM + 17], `${at}°`,
            last ? "end" : "middle", "small");
    }
    for (const { value, text } of ticks(this.curve)) {
      write(svg, [LEFT - 6, up(this.curve, value) + 4], text, "end", "small");
    }
  }

  /** @param {SVGSVGElement} svg @param {number} value @param {string} words */
  level(svg, value, words) {
    const y = up(this.curve, value);
    const end = endOf(this.width);
    draw("path", { d: `M${LEFT} ${y}H${end}`, class: value === 0 ? "level zero" : "level" }, svg);
    const left = roomAtLeft(this.curve, value);
    write(svg, [left ? LEFT + 5 : end - 4, y - 4], words, left ? "start" : "end", "level");
  }

  /** @param {number} degrees */
  place(degrees) {
    set(this.cursor, { d: `M${this.x(degrees)} ${TOP}V${BOTTOM}` });
    const value = valueAt(this.curve, degrees);
    this.dot.style.display = value === null ? "none" : "";
    if (value !== null) set(this.dot, { cx: this.x(degrees), cy: up(this.curve, value) });
  }
}
