/** A dial to drag over where it sticks. */

import { draw, hatch, makeFigure, set, write } from "./dom.mjs";
import { angleAt, arc, at, bandOf, HEIGHT, RIM, WIDTH } from "./face.mjs";
import { wrap } from "./numbers.mjs";

/** Return whether an arc is the whole turn: nothing was dragged.
 * @param {number} from @param {number} to [degrees] */
export const whole = (from, to) => from === to || Math.abs(to - from) >= 360;

export class FeltDial {
  /** @param {() => void} moved is told when the arc is another */
  constructor(moved) {
    this.moved = moved;
    this.from = 0;
    this.to = 0;
    this.sign = 1;
    const { svg, caption, figure } = makeFigure("dial felt");
    this.svg = svg;
    this.figure = figure;
    figure.classList.add("dial");
    caption.textContent = "Nothing dragged: all round";
    this.caption = caption;
    set(svg, { viewBox: `${-WIDTH / 2} ${-HEIGHT / 2} ${WIDTH} ${HEIGHT}`,
               "aria-label": "Dial to drag over where it sticks. The two fields beside it do "
                             + "the same." });
    hatch(draw("defs", {}, svg), "felt-arc", 6, "M0 6L6 0M0 0L6 6", "first");
    this.turning = draw("g", {}, svg);
    draw("circle", { r: RIM, class: "rim" }, this.turning);
    this.band = draw("path", { class: "band" }, this.turning);
    this.band.style.fill = "url(#felt-arc)";
    draw("path", { d: arc(24, 62, 104), class: "running" }, this.turning);
    const transform = `translate(${at(62, 104)}) rotate(152)`;
    draw("path", { d: "M8 0L0 -6V6Z", transform, class: "tip" }, this.turning);
    draw("circle", { r: 4, class: "axle" }, this.turning);
    this.front = draw("g", {}, svg);
    for (const hour of [3, 6, 9, 12]) {
      const [x, y] = at(30 * hour - 90, RIM + 14);
      write(svg, [x, y + 5], `${hour}`, "middle", "hourword");
    }
    this.mirror(false);
    this.hand();
  }

  /** @param {boolean} left */
  mirror(left) {
    this.sign = left ? -1 : 1;
    set(this.turning, { transform: `scale(${this.sign} 1)` });
    this.front.replaceChildren();
    write(this.front, [this.sign * 164, -26], left ? "← FRONT" : "FRONT →", left ? "start" : "end",
          "front");
    this.set(this.from, this.to);
  }

  /** @param {number} from @param {number} to [degrees] */
  set(from, to) {
    this.from = wrap(from, 360);
    this.to = wrap(to, 360);
    const nothing = whole(this.from, this.to);
    const end = this.to < this.from ? this.to + 360 : this.to;
    set(this.band, { d: nothing ? "" : bandOf({ begin: this.from, end }, 0) });
    this.caption.textContent = nothing ? "Nothing dragged: all round"
      : `From ${Math.round(this.from)}° to ${Math.round(this.to)}° of its crank`;
  }

  hand() {
    const { svg } = this;
    let begin = 0;
    let last = 0;
    let turned = 0;
    const place = (/** @type {PointerEvent} */ event) => {
      const box = svg.getBoundingClientRect();
      const scale = WIDTH / box.width;
      const x = (event.clientX - box.left) * scale - WIDTH / 2;
      const y = (event.clientY - box.top) * scale - HEIGHT / 2;
      return angleAt([this.sign * x, y]);
    };
    svg.addEventListener("pointerdown", (event) => {
      event.preventDefault();
      svg.setPointerCapture(event.pointerId);
      begin = last = place(event);
      turned = 0;
    });
    svg.addEventListener("pointermove", (event) => {
      if (!svg.hasPointerCapture(event.pointerId)) return;
      const now = place(event);
      turned += wrap(now - last + 180, 360) - 180;
      last = now;
      const way = Math.max(-359, Math.min(359, turned));
      // dragged backwards, it ends where one began
      if (way >= 0) this.set(begin, begin + way);
      else this.set(begin + way, begin);
      this.moved();
    });
  }
}
