import assert from "node:assert/strict";
import { test } from "node:test";

import { at, placeWords, RIM } from "../../linkage/page/viewer/face.mjs";

const LETTER = 7.4;
const LINE = 17;

/** Whether two words run into each other. @param {[number, number]} one */
const meet = (one, oneLetters, other, otherLetters) =>
  Math.abs(one[0] - other[0]) < ((oneLetters + otherLetters) * LETTER) / 2 - 1e-9
  && Math.abs(one[1] - other[1]) < LINE - 1e-9;

test("a word alone stands in the middle of its arc", () => {
  assert.deepEqual(placeWords([{ degrees: 101, letters: 7 }]), [at(101, 46)]);
});

test("words of arcs that begin together do not run into each other, whatever the angle", () => {
  for (let degrees = 0; degrees < 360; degrees += 5) {
    for (const apart of [0, 3, 10, 25, 40]) {
      const wanted = [
        { degrees, letters: 7 }, { degrees: degrees + apart, letters: 7 },
        { degrees: degrees + 2 * apart, letters: 8 }, { degrees: degrees + 180, letters: 15 },
      ];
      const places = placeWords(wanted);
      assert.ok(places.every((place) => place !== null), `${degrees} ${apart}`);
      places.forEach((one, n) => {
        assert.ok(Math.hypot(...one) < RIM);
        places.slice(n + 1).forEach((other, k) => {
          const [mine, theirs] = [wanted[n].letters, wanted[n + 1 + k].letters];
          assert.ok(!meet(one, mine, other, theirs), `${degrees} ${apart}`);
        });
      });
    }
  }
});

test("where there are too many, some have none, and none is over another", () => {
  const wanted = Array.from({ length: 40 }, (_, n) => ({ degrees: 9 * n, letters: 9 }));
  const places = placeWords(wanted);
  const said = places.filter((place) => place !== null);
  assert.ok(said.length >= 5 && said.length < 40);
  said.forEach((one, n) =>
    said.slice(n + 1).forEach((other) => assert.ok(!meet(one, 9, other, 9))));
});
