"""The examples run, and what they compute is right."""

from __future__ import annotations

import runpy
from pathlib import Path

import numpy as np
import pytest

FOLDER = Path(__file__).parents[2] / "examples"


def run(name: str, as_program: bool = False):
    return runpy.run_path(str(FOLDER / f"{name}.py"), run_name="__main__" if as_program else name)


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.py")), ids=lambda p: p.stem)
def test_examples_print_only_when_run(path, capsys):
    run(path.stem)
    assert capsys.readouterr().out == ""
    run(path.stem, as_program=True)
    assert capsys.readouterr().out


def test_rocker_swing_by_the_cosine_rule():
    """The rocker stands at its extremes where crank and coupler are in line."""

    def rocker_angle(reach: float) -> float:
        return np.degrees(np.arccos((80.0**2 + 100.0**2 - reach**2) / (2 * 80.0 * 100.0)))

    expected = rocker_angle(160.0) - rocker_angle(80.0)
    assert run("sweep_a_linkage")["swing"] == pytest.approx(expected, abs=0.01)


def test_demonstration_names_the_pair():
    found = run("find_tight_spots")
    assert "radius rod fouls the motion bracket" in found["sentences"][0]
    assert found["cures"][0]


def test_even_length_makes_the_link_swing_evenly():
    """Solved again at that length alone."""
    from linkage.arrangements import build
    from linkage.kinematics import solve_turn
    from linkage.sheet import change

    found = run("how_long_may_the_rod_be")
    sheet = change(found["sheet"], {"eccentric_rod.centres": found["even"]})
    motion = solve_turn(build(sheet)["left"], np.radians(np.arange(0.0, 360.0, 1.0)))
    link = np.degrees(motion.poses["expansion link"][:, 2])
    assert link.max() + link.min() == pytest.approx(0.0, abs=0.02)
