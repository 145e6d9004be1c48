/** Making elements of the page and of its pictures. */

/** @import { Point } from "./types.js" */

const SVG = "http://www.w3.org/2000/svg";

/** @typedef {Record<string, string | number>} Attributes */

/** Make an element of the page; true is an attribute without a value, false none.
 * @template {keyof HTMLElementTagNameMap} K
 * @param {K} tag @param {Record<string, string | number | boolean>} attributes
 * @param {(Node | string)[]} children @returns {HTMLElementTagNameMap[K]} */
export function make(tag, attributes = {}, ...children) {
  const element = document.createElement(tag);
  for (const [key, value] of Object.entries(attributes)) {
    if (value !== false) element.setAttribute(key, value === true ? "" : `${value}`);
  }
  element.append(...children);
  return element;
}

/** Make an element of a picture, last in its parent.
 * @template {keyof SVGElementTagNameMap} K
 * @param {K} tag @param {Attributes} attributes @param {Element} parent
 * @returns {SVGElementTagNameMap[K]} */
export function draw(tag, attributes, parent) {
  const element = document.createElementNS(SVG, tag);
  set(element, attributes);
  parent.append(element);
  return element;
}

/** @param {Element} element @param {Attributes} attributes */
export function set(element, attributes) {
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, `${value}`);
}

/** @param {Element} parent @param {Point} place @param {string} text
 * @param {"start" | "middle" | "end"} anchor @param {string} name its class */
export function write(parent, [x, y], text, anchor, name) {
  draw("text", { x, y, "text-anchor": anchor, class: name }, parent).textContent = text;
}

/** Make a picture with words under it. @param {string} name its class */
export function makeFigure(name) {
  const svg = document.createElementNS(SVG, "svg");
  set(svg, { role: "img", class: name });
  const caption = make("figcaption");
  return { svg, caption, figure: make("figure", {}, svg, caption) };
}

/** Give a picture its size [px].
 * @param {SVGSVGElement} svg @param {number} width @param {number} height */
export const resize = (svg, width, height) =>
  set(svg, { viewBox: `0 0 ${width} ${height}`, width, height });

/** Define a hatching, to be had as `url(#id)`.
 * @param {Element} defs @param {string} id @param {number} size of what repeats [px]
 * @param {string} line @param {string} name how the style knows it @param {string} transform */
export function hatch(defs, id, size, line, name, transform = "") {
  const pattern = draw("pattern", { id, patternUnits: "userSpaceOnUse", width: size, height: size,
                                    patternTransform: transform }, defs);
  draw("rect", { width: size, height: size, class: `ground-${name}` }, pattern);
  draw("path", { d: line, class: `hatch-${name}` }, pattern);
}

/** @param {string} text @param {() => void} action @param {Record<string, string>} attributes */
export function button(text, action, attributes = {}) {
  const element = make("button", { type: "button", ...attributes }, text);
  element.addEventListener("click", action);
  return element;
}

/** Make a choice of one from a few; unseen where there is only one.
 * @param {string} name @param {string} legend @param {[value: string, text: string][]} choices
 * @param {string} chosen @param {(value: string) => void} pick */
export function radios(name, legend, choices, chosen, pick) {
  const group = make("fieldset", {}, make("legend", {}, legend));
  for (const [value, text] of choices) {
    const id = `${name}-${value}`;
    const input = make("input", { type: "radio", name, id, value, checked: value === chosen });
    input.addEventListener("change", () => pick(value));
    group.append(make("span", {}, input, make("label", { for: id }, text)));
  }
  group.hidden = choices.length < 2;
  return group;
}
