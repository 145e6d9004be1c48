"""The viewer's modules: what needs no browser, under node; and its data, against their types."""

from __future__ import annotations

import json
import math
import os
import re
import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest
from scipy.spatial.distance import cdist

from linkage.examine import examine
from linkage.page.bodies import bodies_data
from linkage.page.data import viewer_data
from linkage.scene.bodies import bodies_of, plan_shape
from linkage.scene.moment import Moment
from linkage.sheet import read_sheet

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
VIEWER = ROOT / "linkage" / "page" / "viewer"
CHECKS = ROOT / ".ci" / "viewer"
ENOUGH = 12  # of a list, at either end, to show every form that its items have
ROUNDED = 0.002
"""The viewer writes paths to 0.001 mm, from corners rounded to 0.0001 [mm]."""


@pytest.fixture(scope="module")
def node():
    program = shutil.which("node")
    if program is None and "CI" not in os.environ:
        pytest.skip("no node is installed here")

    def run(*words, **more):
        return subprocess.run(
            [str(program), *map(str, words)], capture_output=True, text=True, timeout=300, **more
        )

    return run


def test_the_modules_under_node(node):
    done = node("--test", "--test-reporter=tap", *sorted(HERE.glob("*.test.mjs")))

    assert done.returncode == 0, done.stdout + done.stderr
    assert int(re.search(r"^# pass (\d+)", done.stdout, re.MULTILINE)[1]) > 50


def test_the_plan_in_the_viewer_is_that_of_the_pictures(node, demo):
    """The same bodies, seen from above by the viewer and by `draw`."""
    examination = examine(demo)
    findings = examination.sides["right"]
    sent = bodies_data(examination, "right", ())
    asked, drawn = [], []
    for k in (0, 77, 200):
        poses = {name: np.broadcast_to(pose, (360, 3))[k]
                 for name, pose in findings.motion.poses.items()}  # fmt: skip
        moment = Moment(examination, findings, 0.0, poses)
        for body, data in zip(bodies_of(moment), sent, strict=True):
            x, y, turn = (float(value) for value in poses[body.part.name])
            pose = {"x": x, "y": y, "cos": math.cos(turn), "sin": math.sin(turn)}
            asked.append([data["plan"], pose])
            drawn.append(plan_shape(body, moment).outlines)
    done = node(HERE / "plan_paths.mjs", input=json.dumps(asked), check=True)
    for paths, shapes in zip(json.loads(done.stdout), drawn, strict=True):
        for path, shape in zip(paths, shapes, strict=True):
            numbers = [float(n) for n in re.findall(r"-?[\d.]+", path)]
            between = cdist(np.reshape(numbers, (-1, 2)), np.array(shape))
            # every corner of either is one of the other; where two fall together, one is there
            assert between.min(axis=0).max() < ROUNDED
            assert between.min(axis=1).max() < ROUNDED


PROGRAM = """import type {{ Data }} from "{types}";
export const data: Data = {data};
// @ts-expect-error: a window is no number
export const wrong: Data = {{ ...data, window: 1 }};
"""


def thinned(value):
    """Return a document with only the ends of its long lists, for the compiler's sake."""
    if isinstance(value, dict):
        return {key: thinned(one) for key, one in value.items()}
    if isinstance(value, list):
        ends = value if len(value) <= 2 * ENOUGH else value[:ENOUGH] + value[-ENOUGH:]
        return [thinned(one) for one in ends]
    return value


@pytest.mark.parametrize("name", ["ardmoor-2-6-0", "peaucellier"])
def test_the_document_is_of_the_types_that_the_viewer_is_written_to(node, tmp_path, name):
    if not (CHECKS / "node_modules").exists() and "CI" not in os.environ:
        pytest.skip("no TypeScript compiler is installed here")
    data = thinned(viewer_data(examine(read_sheet(ROOT / "configs" / f"{name}.toml"))))
    program = PROGRAM.format(types=VIEWER / "types.js", data=json.dumps(data))
    (tmp_path / "document.ts").write_text(program, encoding="utf-8")
    settings = {"extends": str(CHECKS / "tsconfig.json"), "include": ["*.ts"]}
    (tmp_path / "tsconfig.json").write_text(json.dumps(settings), encoding="utf-8")

    done = node(CHECKS / "node_modules" / "typescript" / "bin" / "tsc", "-p", tmp_path)

    assert (done.returncode, done.stdout) == (0, "")
