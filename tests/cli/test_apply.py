"""`tightspot check --apply`: the sheet with its cures done, comments kept, and free."""

from __future__ import annotations

import difflib
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from linkage.examine import examine
from linkage.sheet import read_sheet
from linkage.sheet.ready import ready_sheets

CURED = {  # sheet: the numbers that change
    "ardmoor-2-6-0": {"right.radius_rod.bend[1].towards_frames", "right.radius_rod.centres"},
    "ardmoor-0-6-0-nut-on-curves": {"axles.leading.side_play"},
    "ardmoor-0-6-0-rod-long": {"right.coupling_rods.front.centres"},
    "ardmoor-0-6-0-short-throw": {"right.axles.leading.throw"},
    "ardmoor-0-6-0-coupled": {"left.axles.leading.pin_ahead_by"},
    "ardmoor-2-6-0-return-crank-slipped": {"right.return_crank.lean"},
    "ardmoor-pacific-5in-die-off-slot": {"weighshaft.gear.full_forward"},
}


ALIKE = {"ardmoor-0-6-0-short-throw", "ardmoor-0-6-0-coupled", "ardmoor-pacific-5in-die-off-slot"}
"""Their cure is one number as well: for long runs."""


@pytest.mark.parametrize(
    "name",
    [pytest.param(name, marks=pytest.mark.long) if name in ALIKE else name for name in CURED],
)
def test_the_applied_sheet_is_free(run, tmp_path, name):
    sheet, out = ready_sheets()[name], tmp_path / "cured.toml"
    done = run("check", str(sheet), "--apply", str(out))
    assert done.exit_code == 1  # of the sheet as it is
    assert f"{out} is written: free" in done.stderr
    assert examine(read_sheet(out)).free
    assert {line.split(" = ")[0] for line in done.stderr.splitlines()[:-1]} == CURED[name]


def test_comments_and_all_else_are_kept(run, tmp_path):
    sheet, out = ready_sheets()["ardmoor-2-6-0"], tmp_path / "cured.toml"
    run("check", str(sheet), "--apply", str(out))
    before, after = sheet.read_text().splitlines(), out.read_text().splitlines()
    changed = [line for line in difflib.ndiff(before, after) if line.startswith(("+ ", "- "))]
    assert len(changed) == 3  # the bend's line, before and after, and the rod's new centres
    assert sum("#" in line for line in before) == sum("#" in line for line in after)


def test_in_an_inch_sheet_millimetres_are_marked(run, tmp_path):
    text = ready_sheets()["ardmoor-0-6-0-7mm"].read_text()
    fouling = tmp_path / "inch.toml"
    fouling.write_text(text.replace("thickness = 0.080", "thickness = 0.145"))  # the bracket
    out = tmp_path / "cured.toml"
    done = run("check", str(fouling), "--apply", str(out))
    assert "is written: free" in done.stderr
    assert ' mm"' in out.read_text()
    assert examine(read_sheet(out)).free


def test_a_free_sheet_has_nothing_to_apply(run, tmp_path):
    sheet = str(ready_sheets()["ardmoor-2-6-0-straightened"])
    done = run("check", sheet, "--apply", str(tmp_path / "out.toml"))
    assert done.exit_code == 2
    assert "is free: nothing to apply" in done.stderr
    assert not (tmp_path / "out.toml").exists()


def test_no_cure_on_the_sheet_is_said(run, tmp_path):
    sheet = str(ready_sheets()["ardmoor-0-6-0-middle-hole"])
    done = run("check", sheet, "--patience", "0", "--apply", str(tmp_path / "out.toml"))
    assert done.exit_code == 2
    assert "The time allowed ran out before a cure was found." in done.stdout
    assert "without a cure, for the 0 s allowed were over" in done.stderr
    assert "has no cure that can be put on the sheet" in done.stderr


def test_never_over_a_file_that_is_there(run, tmp_path):
    out: Path = tmp_path / "out.toml"
    out.write_text("mine")
    done = run("check", str(ready_sheets()["ardmoor-2-6-0"]), "--apply", str(out))
    assert done.exit_code == 2
    assert "stands there already" in done.stderr
    assert out.read_text() == "mine"


def test_a_sheet_from_a_pipe_is_cured_too(tmp_path):
    """It can be read but once."""
    with ready_sheets()["slider-crank-rod-too-long"].open("rb") as sheet:
        done = subprocess.run(
            [sys.executable, "-m", "linkage", "check", "/dev/stdin", "--apply", "out.toml"],
            input=sheet.read(), cwd=tmp_path, capture_output=True, check=False,
            env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])},
        )  # fmt: skip
    assert done.returncode == 1
    assert b"out.toml is written: free" in done.stderr
    assert examine(read_sheet(tmp_path / "out.toml")).free


def test_on_the_sharpest_curves_told_it_stands_and_is_free(run, tmp_path):
    """Either radius typed into the sheet as it was said."""
    nut = ready_sheets()["ardmoor-0-6-0-nut-on-curves"].read_text(encoding="utf-8")
    nut = nut.replace('sides            = ["right", "left"]', 'sides = ["only"]')

    def check(curve):
        made = nut.replace("[wheels]", f"[wheels]\ncurve = {curve}") if curve else nut
        Path(tmp_path, "engine.toml").write_text(made, encoding="utf-8")
        done = run("check", "engine.toml", "--patience", "0")
        return done.exit_code, " ".join(done.output.split())

    status, said = check(None)
    stands, free = re.search(
        r"can stand on a curve of (\d+) mm radius.* it stays free down to (\d+) mm", said
    ).groups()

    assert status == 1
    assert "too sharp" not in check(stands)[1]
    assert check(free)[0] == 0
