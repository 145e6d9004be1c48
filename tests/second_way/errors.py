"""Forty deliberate errors, each put into a copy of `linkage/`: which folders of tests notice.

``python -m tests.second_way.errors`` prints a line for each: the error, and the folders in which a
test fails. Of a folder no more is run once one has. ``--tests`` says which files and folders are
run, ``--only`` which errors, ``--mark`` is handed to pytest as ``-m``.
"""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

import pytest

HOUSE = Path(__file__).parents[2]
NOTICED = "NOTICED "
LONGEST = 3600.0  # for the tests of one error [s]


@dataclass(frozen=True)
class Error:
    """A text of a module, and the wrong one put in its place."""

    module: str
    right: str
    wrong: str


ERRORS = (
    # how parts are made of numbers
    Error("arrangements/starts.py", "left = foot[0] - across * uy", "left = foot[0] + across * uy"),
    Error("arrangements/rods.py", "return length - at if rod.far_end", "return at if rod.far_end"),
    Error(
        "arrangements/rods.py",
        'return -1.0 if bend.way in ("towards_frames"',
        'return 1.0 if bend.way in ("towards_frames"',
    ),
    Error("arrangements/rods.py", "math.sqrt(spread**2 - amount**2)", "spread"),
    Error("arrangements/slider_crank.py", "half = slipper.depth / 2", "half = slipper.depth"),
    Error(
        "arrangements/slider_crank.py",
        'points["drop arm pin"] = (arm.ahead, -arm.below)',
        'points["drop arm pin"] = (arm.ahead, arm.below)',
    ),
    Error(
        "arrangements/couplings.py",
        'early - (quarter if key == "left"',
        'early + (quarter if key == "left"',
    ),
    Error("arrangements/couplings.py", "place = x - aside[0]", "place = x + aside[0]"),
    Error("arrangements/coupled_wheels.py", "return x + along, y", "return x - along, y"),
    Error("units.py", "return 12 * MM_PER_INCH / mm", "return MM_PER_INCH / mm"),
    Error("units.py", "(9 - turned if side", "(9 + turned if side"),
    # how they move
    Error(
        "kinematics/rates.py",
        "first[motion.chain.crank] = (zero, zero, zero - crank_rate)",
        "first[motion.chain.crank] = (zero, zero, zero + crank_rate)",
    ),
    Error("kinematics/rates.py", "right[row] = -rhs[row]", "right[row] = rhs[row]"),
    Error(
        "kinematics/openings.py",
        "sign[:-1] * sign[1:] < 0)\n",
        "sign[:-1] * sign[1:] < -2)\n",
    ),
    Error(
        "kinematics/intervals.py",
        "return _widen(self.low + other.low, self.high + other.high)",
        "return Interval(self.low + other.low, self.low + other.low)",
    ),
    Error("kinematics/intervals.py", "_STEP = 2.0**-52", "_STEP = -(2.0**-40)"),
    # how near they come
    Error("geometry.py", "dx, dy = wx - along * ux", "dx, dy = wx + along * ux"),
    Error(
        "geometry.py",
        "return np.where(parted < 0, parted, distance)",
        "return np.where(parted < 0, 0.0, distance)",
    ),
    Error("clearance/pairs.py", "shifted if pair.lateral < reach", "shifted if pair.lateral < 0.0"),
    Error("clearance/pairs.py", "around = _eye(a,", "around = _eye(b,"),
    Error(
        "clearance/sideways.py",
        "sides = [(-w.side_play, w.side_play) if",
        "sides = [(-w.side_play / 2, w.side_play / 2) if",
    ),
    Error(
        "clearance/sideways.py",
        "rows = np.stack((x**2 / 2, -np.ones_like(x), -x), axis=1)",
        "rows = np.stack((x**2, -np.ones_like(x), -x), axis=1)",
    ),
    Error("clearance/speeds.py", "turning * lengths[:, None]", "0 * lengths[:, None]"),
    Error("clearance/speeds.py", "- w_rider * arm_y + w_base * far_y", "+ w_base * far_y"),
    Error("clearance/strips.py", "return np.asarray(self.out[1] - self.out[0])",
          "return np.asarray(0 * (self.out[1] - self.out[0]))"),
    Error("clearance/wear.py", "2 * _STEP).first", "_STEP).first"),
    Error("clearance/travel.py", "sign = 1.0 if forward else -1.0", "sign = 1.0"),
    Error("clearance/contact.py", "half = 0.5 * sum(piece", "half = sum(piece"),
    Error("clearance/curves.py", "return Curves(stands_on, 1 / low)",
          "return Curves(stands_on, 1 / high)"),
    Error("clearance/near.py", "return max(_REACH * wanted, 10 * WITHIN)", "return wanted"),
    # coupled wheels
    Error("play/misfit.py", "arm = _pair(cos * x - sin * y, sin * x",
          "arm = _pair(cos * x + sin * y, sin * x"),
    Error("play/least.py", "values[..., 0] ** 2 + values[..., 1] ** 2", "values[..., 0] ** 2"),
    Error("play/turning.py", "high = used > level\n", "high = used > 1.2 * level\n"),
    # what is made of it
    Error("valve/figures.py", "found[Figure.LEAD_FRONT], found[Figure.LEAD_BACK] = way * at_front",
          "found[Figure.LEAD_FRONT], found[Figure.LEAD_BACK] = at_front"),
    Error("valve/figures.py", "way * (at_front - at_back) / 2", "way * (at_front + at_back) / 2"),
    Error("tightspots.py", "amount if isinstance(spot, Close) else -amount", "amount"),
    Error("tightspots.py", "return self.grip.stack - self.grip.room",
          "return self.grip.room - self.grip.stack"),
    Error("advice/bench.py", "return math.ceil(", "return math.floor("),
    Error("advice/window.py", "self.stops[value].slack < 0:\n", "self.stops[value].slack < -1:\n"),
    Error("certainty/judging.py", "gone |= one.gone", "gone &= one.gone"),
)  # fmt: skip


class FolderByFolder:
    """Lets the rest of a folder be once one of its tests has failed."""

    def __init__(self) -> None:
        self.failed: set[str] = set()

    def pytest_runtest_setup(self, item: pytest.Item) -> None:
        """Skip what a folder that has noticed has left."""
        if folder_of(item.nodeid) in self.failed:
            pytest.skip("this folder has noticed")

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Note a test that failed."""
        if report.failed:
            self.failed.add(folder_of(report.nodeid))

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        """Note a file that could not be read."""
        if report.failed:
            self.failed.add(folder_of(report.nodeid))


def folder_of(name: str) -> str:
    """Return the folder of a test, by its name."""
    parts = name.split("::")[0].split("/")
    return parts[1] if len(parts) > 1 else name


def run(tests: list[str], chosen: str) -> None:
    """Run tests here, and print the folders in which one failed."""
    watch = FolderByFolder()
    pytest.main(
        [*tests, "-q", "-n", "0", "-m", chosen, "--no-header", "-p", "no:cacheprovider",
         "--tb=no"], plugins=[watch],
    )  # fmt: skip
    sys.stdout.write(f"\n{NOTICED}{' '.join(sorted(watch.failed))}\n")


def noticed(error: Error, tests: list[str], chosen: str) -> str:
    """Put an error into a copy, and return the folders that notice it, or why it cannot be."""
    with tempfile.TemporaryDirectory() as room:
        house = Path(room, "house")
        shutil.copytree(HOUSE, house, ignore=shutil.ignore_patterns(".*", "__pycache__"))
        module = house / "linkage" / error.module
        text = module.read_text(encoding="utf-8")
        if text.count(error.right) != 1:
            return f"(stands there {text.count(error.right)} times, not once)"
        module.write_text(text.replace(error.right, error.wrong), encoding="utf-8")
        words = ["--run", *tests, "--mark", chosen]
        try:
            done = subprocess.run(
                [sys.executable, "-m", "tests.second_way.errors", *words],
                cwd=house, env={**os.environ, "PYTHONPATH": str(house)}, capture_output=True,
                text=True, timeout=LONGEST, check=False,
            )  # fmt: skip
        except subprocess.TimeoutExpired:
            return f"(not at its end after {LONGEST:.0f} s)"
    said = [line for line in done.stdout.splitlines() if line.startswith(NOTICED)]
    return said[-1].removeprefix(NOTICED) if said else f"(no answer: {done.stderr[-200:]})"


def main() -> int:
    """Put in one error after the other, and print who notices."""
    asked = argparse.ArgumentParser(prog="python -m tests.second_way.errors", description=__doc__)
    asked.add_argument("--tests", nargs="*", default=["tests"])
    asked.add_argument("--run", nargs="*", help=argparse.SUPPRESS)
    asked.add_argument("--only", type=int, nargs="*", help="numbers of errors, from 1")
    asked.add_argument("--mark", default="not long", help="marker expression for pytest")
    given = asked.parse_args()
    if given.run is not None:
        run(given.run, given.mark)
        return 0
    for number, error in enumerate(ERRORS, 1):
        if given.only and number not in given.only:
            continue
        folders = noticed(error, given.tests, given.mark)
        wrong = error.wrong.strip().splitlines()[0]
        sys.stdout.write(
            f"{number:2d} {error.module}: {wrong}\n   {len(folders.split())}: {folders}\n"
        )
        sys.stdout.flush()
    return 0


if __name__ == "__main__":
    sys.exit(main())
