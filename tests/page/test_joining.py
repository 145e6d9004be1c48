"""Modules joined to one script: what is understood, and what is refused."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from linkage.page.joining import joined
from linkage.page.parts import viewer_script

VIEWER = Path(__file__).parents[2] / "linkage" / "page" / "viewer"
SUMS = """\
/** Sums.
 * @import { None } from "./nowhere.js" */
const hidden = 2;

// doubled
export const twice = (x) => hidden * x;

export function none() { return 0; }
"""
ENTRY = """\
import { none, twice } from "./sums.mjs";
import {
  Box,
} from "./box.mjs";

export function go() { return new Box(twice(3) + none()); }
"""
BOX = """\
import { twice } from "./sums.mjs";
export class Box { /** Kept. */ constructor(x) { this.x = twice(x); } }
"""
MODULES = {"entry": ENTRY, "box": BOX, "sums": SUMS}


def test_each_module_stands_once_after_those_it_imports_from():
    assert (
        joined(MODULES, "entry", "go")
        == """\
(() => {
"use strict";
const $sums = (() => {
const hidden = 2;

const twice = (x) => hidden * x;

function none() { return 0; }
return { twice, none };
})();
const $box = (() => {
const { twice } = $sums;
class Box { /** Kept. */ constructor(x) { this.x = twice(x); } }
return { Box };
})();
const $entry = (() => {
const { none, twice } = $sums;
const {
  Box,
} = $box;

function go() { return new Box(twice(3) + none()); }
return { go };
})();
return $entry.go;
})()"""
    )


@pytest.mark.parametrize(
    ("module", "text", "said"),
    [
        ("sums", "export default 3;", "entry > sums: does not export none, twice"),
        ("sums", SUMS + "export default 3;\n", "entry > sums: not understood: export default 3;"),
        ("sums", SUMS + "export { hidden };\n", "not understood: export { hidden };"),
        ("sums", SUMS + "export async function f() {}\n", "not understood: export async"),
        ("sums", SUMS + 'import * as box from "./box.mjs";\n', "not understood: import * as box"),
        ("sums", SUMS + 'import { Box as B } from "./box.mjs";\n', "not understood: import { Box"),
        ("sums", SUMS + 'import { f } from "elsewhere";\n', "not understood: import { f }"),
        ("sums", SUMS + 'const f = () => import("./box.mjs");\n', "not understood: const f"),
        ("sums", SUMS + 'const end = "</script>";\n', "not understood: const end"),
        ("sums", SUMS + "/** @type {A} */ export const a = 1;\n", "not understood: /** @type"),
        (
            "sums",
            'import { go } from "./entry.mjs";\n' + SUMS,
            "entry > sums > entry: a module imp",
        ),
        ("sums", 'import { go } from "./gone.mjs";\n' + SUMS, "entry > sums > gone: there is no"),
        ("box", 'import { more } from "./sums.mjs";\n' + BOX, "box > sums: does not export more"),
    ],
)
def test_what_is_not_understood_is_refused(module, text, said):
    with pytest.raises(ValueError, match=re.escape(said)):
        joined({**MODULES, module: text}, "entry", "go")


def test_the_pages_hold_every_module_once():
    names = {path.stem for path in VIEWER.glob("*.mjs")}
    scripts = [viewer_script("page", "openPage"), viewer_script("bench", "openBench")]
    times = {name: [script.count(f"const ${name} = (() => {{") for script in scripts]
             for name in names}  # fmt: skip

    assert {name for name, counts in times.items() if max(counts) == 1} == names
    assert times["viewer"] == [1, 1]
    assert times["bench_state"] == [0, 1]
