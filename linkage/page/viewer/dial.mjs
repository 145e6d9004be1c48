/** The dial of the turn: shows where the crank stands, and turns it. */

/** @import { Sheet } from "./types.js" */
import { draw, hatch, makeFigure, set, write } from "./dom.mjs";
import { angleAt, arc, at, bandOf, HEIGHT, placeWords, RIM, WIDTH } from "./face.mjs";
import { clockOf } from "./words.mjs";

const RUNNING = { from: 24, to: 62, radius: 104 }; // the arrow of forward running [degrees, px]

export class Dial {
  /** @param {string} name @param {Sheet} sheet
   * @param {(degrees: number) => void} turnTo what a hand on it does [right-hand crank] */
  constructor(name, sheet, turnTo) {
    this.sheet = sheet;
    this.side = sheet.sides[name];
    this.sign = this.side.mirrored ? -1 : 1;
    this.spots = sheet.spots.map((spot, n) => ({ spot, number: n + 1 }))
      .filter(({ spot }) => spot.sides.includes(name));
    this.paper = makeFigure("dial");
    this.paper.figure.classList.add("dial");
    const { svg } = this.paper;
    const seen = this.side.mirrored ? "left" : "right";
    set(svg, { viewBox: `${-WIDTH / 2} ${-HEIGHT / 2} ${WIDTH} ${HEIGHT}`,
               "aria-label": `Dial of the turn, ${this.side.seen}. FRONT is to the ${seen}. `
                             + "The slider turns the crank, too." });
    const turning = draw("g", { transform: `scale(${this.sign} 1)` }, svg);
    this.still(turning, `dial-${name}`);
    this.ghost = draw("path", { class: "ghost" }, turning);
    this.pointer = draw("path", { class: "pointer" }, turning);
    this.pin = draw("circle", { r: 7, class: "crankpin" }, turning);
    draw("circle", { r: 4, class: "axle" }, turning);
    this.hours(svg);
    this.words(svg);
    this.hand(svg, turnTo);
  }

  /** @param {SVGSVGElement} svg @param {(degrees: number) => void} turnTo */
  hand(svg, turnTo) {
    const turn = (/** @type {PointerEvent} */ event) => {
      const box = svg.getBoundingClientRect();
      const scale = WIDTH / box.width;
      const x = (event.clientX - box.left) * scale - WIDTH / 2;
      const y = (event.clientY - box.top) * scale - HEIGHT / 2;
      turnTo(angleAt([this.sign * x, y]) + this.side.behind);
    };
    svg.addEventListener("pointerdown", (event) => {
      event.preventDefault(); // no text is picked out, no page moved
      svg.setPointerCapture(event.pointerId);
      turn(event);
    });
    svg.addEventListener("pointermove", (event) => {
      if (svg.hasPointerCapture(event.pointerId)) turn(event);
    });
  }

  /** Draw the rim, the arcs of the spots and the way of forward running.
   * @param {Element} turning @param {string} id of the hatching */
  still(turning, id) {
    hatch(draw("defs", {}, turning), id, 6, "M0 6L6 0M0 0L6 6", "first");
    draw("circle", { r: RIM, class: "rim" }, turning);
    for (const { spot } of this.spots) {
      const band = draw("path", { d: bandOf(spot, this.side.behind), class: "band" }, turning);
      band.style.fill = `url(#${id})`;
    }
    const { from, to, radius } = RUNNING;
    draw("path", { d: arc(from, to, radius), class: "running" }, turning);
    const transform = `translate(${at(to, radius)}) rotate(${to + 90})`;
    draw("path", { d: "M8 0L0 -6V6Z", transform, class: "tip" }, turning);
  }

  /** Draw a clock face, the same from either side. @param {Element} svg */
  hours(svg) {
    for (let hour = 1; hour <= 12; hour += 1) {
      const degrees = 30 * hour - 90;
      const main = hour % 3 === 0;
      const d = `M${at(degrees, RIM)}L${at(degrees, RIM + 6)}`;
      draw("path", { class: main ? "hour main" : "hour", d }, svg);
      const [x, y] = at(degrees, RIM + 16);
      if (main) write(svg, [x, y + 5], `${hour}`, "middle", "hourword");
    }
  }

  /** Written last, over the pointer. @param {Element} svg */
  words(svg) {
    const { sign, side } = this;
    const anchor = side.mirrored ? "start" : "end";
    const edge = sign * 164;
    write(svg, [edge, 98], "forward", anchor, "small");
    write(svg, [edge, 112], "running", anchor, "small");
    write(svg, [edge, -26], side.mirrored ? "← FRONT" : "FRONT →", anchor, "front");
    const said = this.spots.map(({ spot, number }) => `${number} ${spot.word}`);
    const places = placeWords(this.spots.map(({ spot }, n) => (
      { degrees: (spot.begin + spot.end) / 2 - side.behind, letters: said[n].length })));
    places.forEach((place, n) => {
      if (place) write(svg, [sign * place[0], place[1] + 4], said[n], "middle", "arcword");
    });
  }

  /** Show a stop; a ghost of the pointer, where the one wanted has no position.
   * @param {number} k @param {number} wanted */
  place(k, wanted) {
    const angle = (/** @type {number} */ stop) => this.sheet.crank[stop] - this.side.behind;
    const [cx, cy] = at(angle(k), 79);
    set(this.pointer, { d: `M0 0L${at(angle(k), 72)}` });
    set(this.pin, { cx, cy });
    set(this.ghost, { d: k === wanted ? "" : `M0 0L${at(angle(wanted), 79)}` });
    this.paper.caption.textContent = `Crank pin about ${clockOf(this.side, k)}`;
  }
}
