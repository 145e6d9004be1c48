/** The tight spots of every sheet and the parts in sight, in words, each with a way to it. */

/** @import { Actions, Data, Spot, State } from "./types.js" */
import { button, make } from "./dom.mjs";
import { upper } from "./numbers.mjs";
import { sheetOf } from "./state.mjs";

const WHEN = ["Before: ", "After: "];

/** @param {Data} data @param {Actions} act */
export function spotLists(data, act) {
  const several = data.sheets.length > 1;
  return data.sheets.flatMap((sheet, number) => [
    make("h2", {}, several ? `${WHEN[number]}${sheet.title}` : "Tight spots"),
    make("p", { class: "verdict" }, sheet.verdict),
    ...(sheet.spots.length ? [make("ol", {}, ...sheet.spots.map((spot, n) =>
      spotItem(spot, n + 1, () => act.jump(n, number))))] : []),
  ]);
}

/** @param {Spot} spot @param {number} number @param {() => void} go */
const spotItem = (spot, number, go) => make("li", {}, make("span", {}, spot.says), " ",
  button("Show", go, { class: "go controls", "aria-label": `Show tight spot ${number}` }));

/** @param {Data} data @param {State} state @param {Actions} act */
export function partList(data, state, act) {
  const there = new Set(Object.values(sheetOf(data, state).sides)
    .flatMap((side) => data.outlines[side.outlines].map((body) => body.name)));
  const items = data.parts.filter(({ name }) => there.has(name)).map(({ name }) => {
    const pick = () => act.pickPart(name);
    const element = button(upper(name), pick, { "data-part": name });
    element.addEventListener("focus", pick);
    return make("li", {}, element);
  });
  return [make("h2", {}, "Parts"), make("p", {}, "Tap a part in a picture, or its name here."),
          make("ul", {}, ...items)];
}
