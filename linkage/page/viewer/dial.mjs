/** The dial of the turn: shows where the crank stands, and turns it. */

/** @import { Point, Sheet } from "./types.js" */
import { draw, hatch, makeFigure, set, write } from "./dom.mjs";
import { angleAt, at, bandOf, CENTRE, HEIGHT, hours, RIM, running, WIDTH } from "./face.mjs";
import { clockOf } from "./words.mjs";

export class Dial {
  /** @param {string} name @param {Sheet} sheet
   * @param {(degrees: number) => void} turnTo what a hand on it does [right-hand crank] */
  constructor(name, sheet, turnTo) {
    this.name = name;
    this.sheet = sheet;
    this.side = sheet.sides[name];
    this.sign = this.side.mirrored ? -1 : 1;
    const { svg, caption, figure } = makeFigure("dial");
    this.svg = svg;
    this.caption = caption;
    this.figure = figure;
    figure.classList.add("dial");
    this.hand(turnTo);
    this.still();
    this.ghost = draw("path", { class: "ghost" }, svg);
    this.pointer = draw("path", { class: "pointer" }, svg);
    this.pin = draw("circle", { r: 7, class: "crankpin" }, svg);
    draw("circle", { cx: CENTRE[0], cy: CENTRE[1], r: 4, class: "axle" }, svg);
    this.words();
  }

  /** @param {(degrees: number) => void} turnTo */
  hand(turnTo) {
    const turn = (/** @type {PointerEvent} */ event) => {
      const box = this.svg.getBoundingClientRect();
      const scale = WIDTH / box.width;
      /** @type {Point} */
      const place = [(event.clientX - box.left) * scale, (event.clientY - box.top) * scale];
      turnTo(angleAt(this.sign, place) + this.side.behind);
    };
    this.svg.addEventListener("pointerdown", (event) => {
      event.preventDefault(); // no text is picked out, no page moved
      this.svg.setPointerCapture(event.pointerId);
      turn(event);
    });
    this.svg.addEventListener("pointermove", (event) => {
      if (this.svg.hasPointerCapture(event.pointerId)) turn(event);
    });
  }

  /** Return the spots that are on this side, with their numbers. */
  spots() {
    return this.sheet.spots.map((spot, n) => ({ spot, number: n + 1 }))
      .filter(({ spot }) => spot.sides.includes(this.name));
  }

  /** Draw what does not move. */
  still() {
    const { svg, sign, side } = this;
    const seen = side.mirrored ? "left" : "right";
    set(svg, { viewBox: `0 0 ${WIDTH} ${HEIGHT}`,
               "aria-label": `Dial of the turn, ${side.seen}. FRONT is to the ${seen}. `
                             + "The slider turns the crank, too." });
    const id = `dial-${this.name}`;
    hatch(draw("defs", {}, svg), id, 6, "M0 6L6 0M0 0L6 6",
          { ground: "ground-first", hatch: "hatch-first" });
    draw("circle", { cx: CENTRE[0], cy: CENTRE[1], r: RIM, class: "rim" }, svg);
    for (const { spot } of this.spots()) {
      const band = draw("path", { d: bandOf(sign, spot, side.behind), class: "band" }, svg);
      band.style.fill = `url(#${id})`;
    }
    for (const { hour, main, line, place } of hours()) {
      draw("path", { class: main ? "hour main" : "hour", d: line }, svg);
      if (main) write(svg, place, `${hour}`, { "text-anchor": "middle", class: "hourword" });
    }
    const arrow = running(sign);
    draw("path", { d: arrow.shaft, class: "running" }, svg);
    draw("path", { d: arrow.tip, class: "tip" }, svg);
  }

  /** Written last, over the pointer. */
  words() {
    const { svg, sign, side } = this;
    const anchor = sign > 0 ? "end" : "start";
    const edge = CENTRE[0] + sign * 164;
    write(svg, [edge, 216], "forward", { "text-anchor": anchor, class: "small" });
    write(svg, [edge, 230], "running", { "text-anchor": anchor, class: "small" });
    write(svg, [edge, 92], sign > 0 ? "FRONT →" : "← FRONT",
          { "text-anchor": anchor, class: "front" });
    for (const { spot, number } of this.spots()) {
      const [x, y] = at(sign, (spot.begin + spot.end) / 2 - side.behind, 46);
      write(svg, [x, y + 4], `${number} ${spot.word}`,
            { "text-anchor": "middle", class: "arcword" });
    }
  }

  /** Show a stop; a ghost of the pointer, where the one wanted has no position.
   * @param {number} k @param {number} wanted */
  place(k, wanted) {
    const line = (/** @type {number} */ stop, /** @type {number} */ radius) =>
      at(this.sign, this.sheet.crank[stop] - this.side.behind, radius);
    const [cx, cy] = line(k, 79);
    set(this.pointer, { d: `M${CENTRE}L${line(k, 72)}` });
    set(this.pin, { cx, cy });
    set(this.ghost, { d: k === wanted ? "" : `M${CENTRE}L${line(wanted, 79)}` });
    this.caption.textContent = `Crank pin ${clockOf(this.side, k)}`;
  }
}
