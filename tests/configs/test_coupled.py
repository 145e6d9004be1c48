"""The ready sheet of coupled wheels: a wheel pressed back out of quarter."""

from __future__ import annotations

import json
import math

import pytest
from click.testing import CliRunner

from linkage.cli import main
from linkage.sheet.ready import ready_sheets

SHEET = str(ready_sheets()["ardmoor-0-6-0-coupled"])


@pytest.fixture(scope="module")
def said():
    done = CliRunner().invoke(main, ["check", SHEET])
    assert done.exit_code == 1
    return " ".join(done.output.split())


def test_four_times_a_turn_at_the_eighths(examined):
    """Quartering that differs binds half way between the dead centres, four times a turn."""
    worst = sorted(math.degrees(arc.worst) % 360 for arc in examined(
        "ardmoor-0-6-0-coupled").play.binding)  # fmt: skip
    assert worst == pytest.approx([45, 135, 225, 315], abs=3)


def test_the_cure_names_the_wheel_and_the_angle(said):
    """The pin was put 6 degrees ahead; nearly all of it must come out, before any hole is eased."""
    assert (
        "Requarter the leading wheelset (how far the left leading axle's crank pin is ahead of its "
        "place): 6.00" in said
    )
    ease = said.index("hides what is wrong (how far the left leading")
    assert said.index("Requarter") < ease


def test_json_gives_the_play_used(examined):
    done = CliRunner().invoke(main, ["check", SHEET, "--json"])
    used = json.loads(done.output)["play_used"]
    assert used["most"] == pytest.approx(examined("ardmoor-0-6-0-coupled").play.used.most, abs=1e-3)
    assert used["at_deg"] == pytest.approx(315, abs=3) or used["at_deg"] == pytest.approx(
        135, abs=3
    )


@pytest.mark.parametrize("side", ["right", "left"])
def test_with_one_sides_rods_on_a_quarter_fault_is_free(side):
    done = CliRunner().invoke(main, ["check", SHEET, "--rods-on", side])
    assert done.exit_code == 0
    assert "steer them past, or a good rod gets the blame" in " ".join(done.output.split())


def test_sound_wheels_need_hardly_any_play(tmp_path):
    """The blank sheet's typical numbers agree with one another."""
    sheet = tmp_path / "wheels.toml"
    assert CliRunner().invoke(main, ["new", "coupled-wheels", "--out", str(sheet)]).exit_code == 0
    done = CliRunner().invoke(main, ["check", str(sheet)])
    assert done.exit_code == 0
    assert "The coupled wheels need hardly any of the play there is." in done.output
