"""Forty deliberate errors, each put into a copy of `linkage/`: which folders of tests notice.

``python -m tests.second_way.errors`` asks one folder of tests after another, the likeliest first,
and lets a folder be once one of its tests has failed or it has had its time (``--each``, processor
seconds; what was not looked at to its end is said). Each error's answer is written to a file as
soon as it is known, and one that stands there is not asked for again: a run that was ended goes on
where it was. Error 0 is none at all: what it fails for has nothing to do with errors.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
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


NONE = Error("units.py", "return 12 * MM_PER_INCH / mm", "return 12 * MM_PER_INCH / mm")

ERRORS = (
    # how parts are made of numbers
    Error("arrangements/starts.py", "left = foot[0] - across * uy", "left = foot[0] + across * uy"),
    Error("arrangements/rods.py", "return length - at if rod.far_end", "return at if rod.far_end"),
    Error(
        "arrangements/rods.py",
        'return -1.0 if bend.way in ("towards_frames"',
        'return 1.0 if bend.way in ("towards_frames"',
    ),
    Error("arrangements/rods.py", "math.hypot(spread, amount) - spread", "spread - spread"),
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
        "return np.asarray(parted)",
        "return np.zeros_like(parted)",
    ),
    Error("clearance/pairs.py", "shifted if pair.lateral < reach", "shifted if pair.lateral < 0.0"),
    Error("clearance/pairs.py", "around = _eye(a,", "around = _eye(b,"),
    Error(
        "clearance/sideways.py",
        "return (-wheelset.side_play, wheelset.side_play) if",
        "return (-wheelset.side_play / 2, wheelset.side_play / 2) if",
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
    Error("play/misfit.py", "run - sizes.eyes_at)", "run + sizes.eyes_at)"),
    Error("play/least.py", "np.asarray(x**2 + y**2)", "np.asarray(x**2)"),
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


LATE = ("browser", "viewer", "speed", "fuzz", "bench", "film")
"""Not asked unless named: they drive browsers, servers, clocks, and fail for want of time too."""

TELLING = (
    "second_way", "outside", "tightspots", "clearance", "kinematics", "play", "arrangements",
    "faults", "examine", "valve", "sheet", "advice", "scene", "gears", "certainty", "configs",
)  # fmt: skip
"""Folders in the order in which they are asked, after the one of the module's own name."""


class OneFolder:
    """Stops at the first test of a folder that fails, or once the folder has had its time."""

    def __init__(self, each: float) -> None:
        self.each = each
        self.begun = time.process_time()
        self.failed = ""
        self.left = 0

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """Have the quick tests of a folder first."""
        items.sort(key=lambda item: item.get_closest_marker("slow") is not None)

    def pytest_runtest_setup(self, item: pytest.Item) -> None:
        """Skip what is left of a folder that has noticed, or had its time."""
        if self.failed:
            pytest.skip("this folder has noticed")
        if time.process_time() - self.begun > self.each:
            self.left += 1
            pytest.skip("this folder has had its time")
        signal.setitimer(signal.ITIMER_PROF, 2 * self.each)  # a test that does not end has noticed

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Note a test that failed."""
        if report.failed and not self.failed:
            self.failed = report.nodeid

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        """Note a file that could not be read."""
        if report.failed and not self.failed:
            self.failed = report.nodeid


def in_order(module: str, folders: list[str]) -> list[str]:
    """Return the folders, those likeliest to notice an error of a module first."""
    first = [Path(module).parts[0].removesuffix(".py"), *TELLING]
    return sorted(folders, key=lambda one: (first.index(one) if one in first else len(first), one))


def too_long(_signal: int, _frame: object) -> None:
    """End a test that has gone on for too long."""
    raise TimeoutError("the error keeps this test from ending")


def run(folders: list[str], chosen: str, each: float, enough: int) -> None:
    """Run folder after folder here; print the first test that fails in each, and what was left."""
    signal.signal(signal.SIGPROF, too_long)
    noticed: dict[str, str] = {}
    left: dict[str, int] = {}
    for folder in folders:
        if len(noticed) == enough:
            break
        watch = OneFolder(each)
        pytest.main(
            [f"tests/{folder}", "-q", "-n", "0", "-m", chosen, "--no-header",
             "-p", "no:cacheprovider", "--tb=no"], plugins=[watch],
        )  # fmt: skip
        signal.setitimer(signal.ITIMER_PROF, 0)
        if watch.failed:
            noticed[folder] = watch.failed
        left[folder] = 0 if watch.failed else watch.left
    found = {"noticed": noticed, "left": left, "seconds": round(time.process_time())}
    sys.stdout.write(f"\n{NOTICED}{json.dumps(found)}\n")


def ask(house: Path, module: str, given: argparse.Namespace) -> dict[str, object]:
    """Return what the tests of a copy say, folder by folder."""
    all_folders = [one.name for one in sorted((HOUSE / "tests").iterdir()) if one.is_dir()]
    folders = given.folders or [one for one in all_folders if one not in (*LATE, "__pycache__")]
    words = ["--run", *in_order(module, folders), "--mark", given.mark]
    words += ["--each", str(given.each), "--enough", str(given.enough)]
    path = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    try:
        done = subprocess.run(
            [sys.executable, "-m", "tests.second_way.errors", *words],
            cwd=house, env={**path, "PYTHONPATH": str(house)}, capture_output=True,
            text=True, timeout=LONGEST, check=False,
        )  # fmt: skip
    except subprocess.TimeoutExpired:
        return {"why": f"not at its end after {LONGEST:.0f} s"}
    said = [line for line in done.stdout.splitlines() if line.startswith(NOTICED)]
    if not said:
        return {"why": f"no answer: {done.stderr[-200:]}"}
    return dict(json.loads(said[-1].removeprefix(NOTICED)))


def put_in(house: Path, error: Error, given: argparse.Namespace) -> dict[str, object]:
    """Put an error into a copy, and return who notices, or why it cannot be put in."""
    module = house / "linkage" / error.module
    text = module.read_text(encoding="utf-8")
    if text.count(error.right) != 1:
        return {"why": f"stands there {text.count(error.right)} times, not once"}
    module.write_text(text.replace(error.right, error.wrong), encoding="utf-8")
    try:
        return ask(house, error.module, given)
    finally:
        module.write_text(text, encoding="utf-8")


def table(results: Path) -> str:
    """Return what a file of results says, a line an error, and how many notice how often."""
    lines = [json.loads(line) for line in results.read_text(encoding="utf-8").splitlines()]
    said = []
    for one in sorted(lines, key=lambda one: int(one["number"])):
        names = " ".join(one.get("noticed", {})) or str(one.get("why", "none"))
        cut = [name for name, left in one.get("left", {}).items() if left]
        not_whole = f"   (not to the end: {' '.join(cut)})" if cut else ""
        said.append(f"{one['number']:2d} {len(one.get('noticed', {}))} {one['error']}\n      "
                    f"{names}{not_whole}")  # fmt: skip
    return "\n".join(said) + "\n"


def asked_for() -> argparse.Namespace:
    """Return what was asked for on the command line."""
    asked = argparse.ArgumentParser(prog="python -m tests.second_way.errors", description=__doc__)
    asked.add_argument("--folders", nargs="*", help="which folders of tests, all but a few if none")
    asked.add_argument("--only", type=int, nargs="*", help="numbers of errors, from 1; 0 is none")
    asked.add_argument("--mark", default="not long", help="marker expression for pytest")
    asked.add_argument(
        "--each", type=float, default=30.0, help="processor seconds a folder may take"
    )
    asked.add_argument("--enough", type=int, default=99, help="folders that need notice, no more")
    asked.add_argument("--results", type=Path, default=Path("errors.jsonl"), help="where they go")
    asked.add_argument("--table", action="store_true", help="only print what the results say")
    asked.add_argument("--run", nargs="*", help=argparse.SUPPRESS)
    return asked.parse_args()


def main() -> int:
    """Put in one error after the other, note who notices, and print it."""
    given = asked_for()
    if given.run is not None:
        run(given.run, given.mark, given.each, given.enough)
        return 0
    known = given.results.read_text(encoding="utf-8") if given.results.exists() else ""
    done = {json.loads(line)["error"] for line in known.splitlines()}
    cases = [] if given.table else [(number, one) for number, one in enumerate((NONE, *ERRORS))]
    with tempfile.TemporaryDirectory() as room:
        house = Path(room, "house")
        if cases:
            shutil.copytree(HOUSE, house, ignore=shutil.ignore_patterns(".git", "node_modules"))
        for number, error in cases:
            name = f"{error.module}: {error.wrong.strip().splitlines()[0]}"
            if name in done or (given.only and number not in given.only):
                continue
            found = {"number": number, "error": name, **put_in(house, error, given)}
            with given.results.open("a", encoding="utf-8") as file:
                file.write(json.dumps(found) + "\n")
    sys.stdout.write(table(given.results))
    return 0


if __name__ == "__main__":
    sys.exit(main())
