/** Rings, overlapping metal and names, over a picture. */

/** @import { Marks, Point } from "./types.js" */
/** @import { Picture } from "./picture.mjs" */
import { draw, write } from "./dom.mjs";
import { ringOnPaper, transformOf } from "./frames.mjs";
import { labelsOf } from "./labels.mjs";

const CLOSE = 22; // radius of a ring in an enlarged view [px]
const PLAIN = 12;

/** @param {Picture} picture @param {number} k @param {Marks} marks */
export function drawMarks(picture, k, { heavy, chosen, rings, overlap }) {
  const { frame, over, shapes, view } = picture;
  over.replaceChildren();
  const places = rings.map((ring) => ringOnPaper(frame, ring)).filter((place) => place !== null);
  if (frame.plan && frame.zoomed && overlap && places.length) {
    hatchShared(picture, heavy, places[0]);
  }
  const r = frame.zoomed ? CLOSE : PLAIN;
  for (const [cx, cy] of places) drawTwice(over, "circle", { cx, cy, r }, "ring");
  const named = shapes.flatMap(({ body }) => {
    const wanted = chosen ? body.name === chosen : heavy.includes(body.part);
    const pose = wanted ? view.poseOf(body.part, k) : null;
    return pose ? [{ body, pose }] : [];
  });
  for (const { text, x, y, end, spot } of labelsOf(frame, named, places)) {
    drawTwice(over, "path", { d: `M${x} ${end}L${spot.join(" ")}` }, "leader");
    write(over, [x, y], text, "middle", "name");
  }
}

/** Draw in ink, with paper about it. @param {Element} over @param {"circle" | "path"} tag
 * @param {Record<string, string | number>} attributes @param {string} name */
function drawTwice(over, tag, attributes, name) {
  draw(tag, { ...attributes, class: `${name} paper` }, over);
  draw(tag, { ...attributes, class: `${name} ink` }, over);
}

/** Hatch where the metal of two parts is in one place: what they share inside the ring.
 * @param {Picture} picture @param {string[]} heavy @param {Point} ring on paper */
function hatchShared({ frame, id, over, shapes }, heavy, [cx, cy]) {
  const outline = (/** @type {string} */ part) => shapes.filter(({ body }) => body.part === part)
    .map(({ element }) => element.getAttribute("d")).join("");
  const inside = draw("clipPath", { id: `${id}-inside` }, over);
  draw("circle", { cx, cy, r: CLOSE }, inside);
  const shared = draw("clipPath", { id: `${id}-shared` }, over);
  draw("path", { d: outline(heavy[0]) }, shared);
  const ring = draw("g", { "clip-path": `url(#${id}-inside)` }, over);
  const transform = transformOf(frame);
  const world = draw("g", { "clip-path": `url(#${id}-shared)`, transform }, ring);
  const metal = draw("path", { d: outline(heavy[1]), class: "overlap" }, world);
  metal.style.fill = `url(#${id}-overlap)`;
}
