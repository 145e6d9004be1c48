/** What turns the crank, and what chooses what is in sight. */

/** @import { Actions, Data, State, Way } from "./types.js" */
import { button, make, radios } from "./dom.mjs";
import { upper } from "./numbers.mjs";
import { sheetOf, stepOf } from "./state.mjs";
import { position, tellPart } from "./words.mjs";

const SPEEDS = /** @type {const} */ ([[40, "slow"], [12, "medium"], [6, "fast"]]); // a turn [s]

/** The bar that turns the crank; it stays in sight. */
export class Turning {
  /** @param {Actions} act */
  constructor(act) {
    this.part = make("p", { class: "part", "aria-live": "polite" });
    this.position = make("p", { class: "position" });
    this.slider = make("input", { type: "range", id: "turn", min: 0, step: 1, class: "controls" });
    this.slider.addEventListener("input", () => act.slide(Number(this.slider.value)));
    this.slider.addEventListener("keydown", (event) => {
      const step = stepOf(event);
      if (!step) return;
      event.preventDefault();
      act.step(step);
    });
    /** @type {[way: Way, text: string, element: HTMLButtonElement][]} */
    this.playing = [[-1, "Backwards", button("Backwards", () => act.play(-1))],
                    [1, "Forwards", button("Forwards", () => act.play(1))]];
    this.jumps = [button("Previous spot", () => act.jumpBy(-1)),
                  button("Next spot", () => act.jumpBy(1))];
    const row = make("div", { class: "row controls" }, this.jumps[0],
                     ...this.playing.map(([, , element]) => element), this.jumps[1]);
    const label = make("label", { for: "turn", class: "unseen" }, "Turn the crank");
    this.element = make("div", { class: "turning" }, this.part, this.position, label, this.slider,
                        row);
  }

  /** @param {Data} data @param {State} state */
  show(data, state) {
    const sheet = sheetOf(data, state);
    const words = position(data, state);
    this.slider.max = `${sheet.crank.length - 1}`;
    this.slider.value = `${state.index}`;
    this.slider.setAttribute("aria-valuetext", words);
    this.position.textContent = upper(words);
    const part = tellPart(data, state);
    reword(this.part, part);
    this.part.hidden = !part;
    for (const element of this.jumps) element.disabled = !sheet.spots.length;
    for (const [way, text, element] of this.playing) {
      const on = state.playing === way;
      element.classList.toggle("on", on);
      reword(element, on ? "Stop" : text);
    }
  }
}

/** Change words only where they differ, for a change is read out.
 * @param {HTMLElement} element @param {string} text */
function reword(element, text) {
  if (element.textContent !== text) element.textContent = text;
}

/** The choices above the pictures. */
export class Choices {
  /** @param {Actions} act */
  constructor(act) {
    this.act = act;
    this.element = make("div", { class: "top controls" });
    this.zoom = button("Enlarge at the spot", act.zoom, { "aria-pressed": "false" });
    this.speed = make("select", { id: "speed" }, ...SPEEDS.map(([seconds, text]) =>
      make("option", { value: seconds, selected: text === "medium" }, text)));
    this.speed.addEventListener("change", () => act.speed(Number(this.speed.value)));
  }

  /** Set them out anew, for another sheet or side; who was in them stays where they were.
   * @param {Data} data @param {State} state */
  layout(data, state) {
    const { act } = this;
    const held = this.element.contains(document.activeElement) ? document.activeElement?.id : "";
    const sides = Object.keys(sheetOf(data, state).sides);
    const names = sides.length > 1 ? [...sides, "both"] : sides;
    this.element.replaceChildren(
      radios("sheet", "Engine", data.sheets.map((_, n) => [`${n}`, ["Before", "After"][n]]),
             `${state.sheet}`, (value) => act.pickSheet(Number(value))),
      radios("side", "Side", names.map((name) => [name, upper(name)]), state.shown, act.pickSide),
      this.zoom,
      make("span", { class: "speed" }, make("label", { for: "speed" }, "Speed"), this.speed));
    if (held) document.getElementById(held)?.focus();
  }

  /** @param {boolean} possible @param {boolean} on */
  enlarge(possible, on) {
    this.zoom.disabled = !possible;
    this.zoom.setAttribute("aria-pressed", `${on && possible}`);
  }
}
