/** A number on its own scale: how far it may go, where it stands, and what stops it. */

/** @import { WindowAnswer } from "./bench_types.js" */
import { draw, make, makeFigure, set, write } from "./dom.mjs";
import { clamp } from "./numbers.mjs";

const WIDTH = 400; // of the picture [px]
const HEIGHT = 74;
const EDGE = 16;
const BAR = 34; // middle of the bar
const HALF = 11;
const NONE = 0.2; // of all that is looked at, to either side where nothing is free
const MOST = 0.35; // the bars' share of the scale is at least so much

/** Return what the scale shows: the windows that are near, with room beside them.
 * @param {Pick<WindowAnswer, "low" | "high" | "now" | "windows">} answer
 * @returns {[low: number, high: number]} */
export function spanOf({ low, high, now, windows }) {
  const near = windows.filter((one) => one.low <= now && now <= one.high);
  const ends = (near.length ? near : windows).flatMap((one) => [one.low, one.high]);
  const from = Math.min(now, ...ends);
  const to = Math.max(now, ...ends);
  const room = Math.max((to - from) * MOST, (high - low) * (windows.length ? 0.01 : NONE));
  return [Math.max(low, from - room), Math.min(high, to + room)];
}

/** Return where on the scale a value is [px]. @param {[low: number, high: number]} span
 * @param {number} value */
export const along = ([low, high], value) =>
  EDGE + ((clamp(value, low, high) - low) / (high - low || 1)) * (WIDTH - 2 * EDGE);

/** Return the value at a place. @param {[low: number, high: number]} span @param {number} x */
export const valueOn = ([low, high], x) =>
  low + clamp((x - EDGE) / (WIDTH - 2 * EDGE), 0, 1) * (high - low);

export class Scale {
  /** @param {WindowAnswer} answer @param {string} name of the number
   * @param {(value: number) => void} move what a hand on it does
   * @param {() => void} letGo */
  constructor(answer, name, move, letGo) {
    this.answer = answer;
    this.span = spanOf(answer);
    const { svg, caption, figure } = makeFigure("scale");
    this.svg = svg;
    this.figure = figure;
    this.name = name;
    this.strong = make("strong");
    set(svg, { viewBox: `0 0 ${WIDTH} ${HEIGHT}` });
    draw("rect", { x: EDGE, y: BAR - HALF, width: WIDTH - 2 * EDGE, height: 2 * HALF,
                   class: "tight" }, svg);
    for (const window of answer.windows) this.window(window);
    this.mark = draw("path", { class: "mark" }, svg);
    this.at(answer.now);
    this.hand(move, letGo);
    caption.append(...this.stops());
  }

  /** @param {number} value where it stands */
  words(value) {
    const { windows } = this.answer;
    const here = windows.some(({ low, high }) => low <= value && value <= high);
    if (!windows.length) return "Nowhere does it turn freely by this number alone.";
    const free = windows.map((one) => `${one.lowTyped} to ${one.highTyped}`).join(", or ");
    return `Free from ${free}.${here ? "" : " It is outside that now."}`;
  }

  /** @param {WindowAnswer["windows"][number]} window */
  window({ low, high, lowTyped, highTyped }) {
    const [from, to] = [along(this.span, low), along(this.span, high)];
    if (to < EDGE || from > WIDTH - EDGE) return;
    draw("rect", { x: from, y: BAR - HALF, width: Math.max(to - from, 1), height: 2 * HALF,
                   class: "free" }, this.svg);
    const narrow = to - from < 90;
    write(this.svg, [narrow ? Math.max(from - 3, 46) : from, HEIGHT - 8], lowTyped,
          narrow ? "end" : "start", "small");
    write(this.svg, [narrow ? Math.min(to + 3, WIDTH - 46) : to, HEIGHT - 8], highTyped,
          narrow ? "start" : "end", "small");
  }

  stops() {
    const { windows } = this.answer;
    return [this.strong, ...windows.flatMap((one) => [
      make("p", {}, `Below ${one.lowTyped}: ${one.lowSays}`),
      make("p", {}, `Above ${one.highTyped}: ${one.highSays}`)])];
  }

  /** Show where the number stands. @param {number} value */
  at(value) {
    const x = along(this.span, value);
    this.strong.textContent = this.words(value);
    set(this.svg, { "aria-label": `${this.name}: how far it may go. ${this.words(value)}` });
    set(this.mark, { d: `M${x} ${BAR + HALF + 3}V${BAR - HALF - 3}m0 0l-8 -13h16z` });
  }

  /** @param {(value: number) => void} move @param {() => void} letGo */
  hand(move, letGo) {
    const { svg } = this;
    const go = (/** @type {PointerEvent} */ event) => {
      const box = svg.getBoundingClientRect();
      const value = valueOn(this.span, ((event.clientX - box.left) * WIDTH) / box.width);
      this.at(value);
      move(value);
    };
    svg.addEventListener("pointerdown", (event) => {
      event.preventDefault();
      svg.setPointerCapture(event.pointerId);
      go(event);
    });
    svg.addEventListener("pointermove", (event) => {
      if (svg.hasPointerCapture(event.pointerId)) go(event);
    });
    svg.addEventListener("lostpointercapture", letGo);
  }
}
