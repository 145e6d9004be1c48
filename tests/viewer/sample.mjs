/** A small engine: a crank and a rod, both sides, twelve stops of 30 degrees, two tight spots. */

export const NO_PLACE = -32768;
export const MM = 0.001; // one step of x and y

/** Positions as the page has them: `at` gives [x, y, angle] in steps, or null. */
export function posesOf(parts, count, at) {
  const numbers = new Int16Array(3 * parts.length * count);
  parts.forEach((part, row) => {
    for (let k = 0; k < count; k += 1) {
      numbers.set(at(part, k) ?? [NO_PLACE, NO_PLACE, NO_PLACE], 3 * (row * count + k));
    }
  });
  return { mm: MM, rad: Math.PI / 32767, numbers: Buffer.from(numbers.buffer).toString("base64") };
}

const crank = Array.from({ length: 12 }, (_, k) => 30 * k);

/** A side; `open` are the stops where it has no position. */
export function side(name, open = []) {
  return {
    seen: name === "only" ? "seen from outside" : `${name} side, seen from outside`,
    mirrored: name === "left", behind: name === "left" ? 90 : 0, parts: ["crank", "rod"],
    poses: posesOf(["crank", "rod"], 12, (part, k) => (open.includes(k) ? null : [1000 * k, 0, 0])),
    outlines: 0, joints: [], crank: { part: "crank", axle: [0, 0], pin: [4, 0] },
    clocks: crank.map((degrees) => `${degrees / 30 || 12} o'clock`),
    clock: crank.map((_, k) => k), curve: null,
  };
}

/** A spot from its first stop on, with words and a ring at each. */
export const spot = (first, count, more = {}) => ({
  says: "The rod fouls.", where: "right-hand side", word: "fouls", hinders: true,
  sides: ["right"],
  parts: ["rod", "crank"], begin: 30 * first, end: 30 * (first + count - 1), stop: first, first,
  here: Array.from({ length: count }, (_, n) => [n, { right: [[first + n, 2, n ? null : 3]] }]),
  texts: Array.from({ length: count }, (_, n) => `Here: ${n}.`),
  overlap: true, outlines: {}, place: null, curve: null, ...more,
});

const body = { part: "rod", name: "connecting rod", fixed: false, side: "M0 0L1 0", at: [1, 0],
               plan: [[[[0, 0], [10, 0]], [2, 3], 1, 0.5]] };

export const sheet = (more = {}) => ({
  title: "Ours", verdict: "2 tight spots.", assumed: [], crank,
  crankWord: "right-hand crank", sides: { right: side("right"), left: side("left") },
  places: [], spots: [spot(8, 2), spot(3, 3)], ...more,
});

export const document = (...sheets) => ({
  sheets: sheets.length ? sheets : [sheet()],
  window: { x: [-10, 40], y: [-5, 15], out: [0, 8] },
  outlines: [[body]],
  parts: [{ name: "connecting rod", says: "connecting rod (US: main rod)", does: "It connects." }],
  noPlace: NO_PLACE,
  words: { shown: "", locked: "It locks.", nothing: "Free here.", paths: "Dotted: paths.",
           noOutlines: "Nothing from above.", wheelsets: "Wheelsets over." },
  cautions: [],
});
