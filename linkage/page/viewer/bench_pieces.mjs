/** Small pieces that the panels of the page to work at are made of. */

/** @import { Job, Work } from "./bench_types.js" */
import { button, make } from "./dom.mjs";

/** A field with its name over it. @param {string} text @param {HTMLElement} input
 * @param {string} id */
export function field(text, input, id) {
  input.id = id;
  return make("div", { class: "field" }, make("label", { for: id }, text), input);
}

/** A choice from a list. @param {[value: string, text: string][]} choices
 * @param {string} chosen @param {(value: string) => void} [pick] */
export function list(choices, chosen, pick) {
  const select = make("select", {}, ...choices.map(([value, text]) =>
    make("option", { value, selected: value === chosen }, text)));
  if (pick) select.addEventListener("change", () => pick(select.value));
  return select;
}

/** Words made by the server from a sheet: it has made them safe.
 * @param {string} html @param {string} name what they are */
export function said(html, name) {
  const element = make("div", { class: "said", tabindex: 0, role: "region", "aria-label": name });
  element.innerHTML = html;
  return make("div", {}, make("h3", {}, name), element);
}

/** Set an element's children, and who was at work in it at the same place again.
 * @param {HTMLElement} element @param {(Node | string)[]} children */
export function refill(element, children) {
  const held = document.activeElement;
  const key = held && element.contains(held) ? held.id : "";
  element.replaceChildren(...children);
  const again = key ? document.getElementById(key) : null;
  if (again && again !== document.activeElement) again.focus({ preventScroll: true });
}

/** Put an answer in its place, and in sight: it stands below what was asked.
 * @param {HTMLElement} place @param {Node[]} children */
export function answer(place, children) {
  place.classList.add("answer");
  place.replaceChildren(...children);
  place.scrollIntoView({ block: "nearest" });
  if (place.getBoundingClientRect().height > innerHeight / 3) {
    place.scrollIntoView({ block: "start" }); // as long as it is, it is read from its beginning
  }
}

/** The parts that the worst tight spot is about, first of all. @param {Work} work
 * @returns {string[]} */
export const suspects = ({ found }) => found?.data?.sheets.at(-1)?.spots[0]?.parts ?? [];

/** How far a question is, with a button that stops it. */
export class Going {
  /** @param {string} name what is being done */
  constructor(name) {
    this.name = name;
    /** @type {() => void} */
    this.stop = () => {};
    this.words = make("span", {}, "");
    this.bar = make("progress", { max: 1, "aria-label": name });
    this.button = button("Stop", () => this.stop(), { class: "big" });
    this.element = make("div", { class: "going" }, make("div", { role: "status" }, this.words),
                        this.bar, this.button);
    this.element.hidden = true;
  }

  /** @param {() => void} stop */
  begin(stop) {
    this.stop = stop;
    this.element.hidden = false;
    this.bar.removeAttribute("value");
    this.words.textContent = `${this.name}…`;
  }

  /** @param {Job} job */
  show({ progress }) {
    if (!progress) return;
    const [done, of, says] = progress;
    this.words.textContent = of > 1 ? `${says}: ${done} of ${of}` : `${says}…`;
    if (of > 1) this.bar.value = done / of;
  }

  end() { this.element.hidden = true; }
}
