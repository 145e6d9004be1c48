"""Commands that write, killed at random moments: what stands is all old or all new.

``python -m tests.second_way.kills --count 1000 --seed 0`` prints the table. Each run is a process
of its own, forked with everything loaded, so that the moment falls into the work and the writing.
"""

from __future__ import annotations

import argparse
import contextlib
import itertools
import os
import random
import shutil
import signal
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterable, Iterator
from pathlib import Path

from linkage.cli import main as tightspot
from linkage.cli.files import finish_killed
from linkage.sheet.ready import ready_sheets

SHEET = "sheet.toml"
COMMANDS: dict[str, tuple[str, ...]] = {
    "check --apply": ("check", SHEET, "--apply", "cured.toml"),
    "draw": ("draw", SHEET, "--out", "a.png", "--force"),
    "page": ("page", SHEET, "--out", "a.html", "--force"),
    "report": ("report", SHEET, "--out", "a.pdf", "--force"),
    "template": ("template", SHEET, "connecting_rod", "--out", "a.svg", "--force"),
    "animate, a file": ("animate", SHEET, "--frames", "12", "--out", "a.gif", "--force"),
    "animate, a folder": ("animate", SHEET, "--frames", "12", "--out", "film", "--force"),
    "new, with its form": (
        "new", "slider-crank", "--out", "b.toml", "--diagram", "b.svg", "--force",
    ),
    "window, a map": (
        "window", SHEET, "connecting_rod.centres", "wheels.throw", "--steps", "4",
        "--out", "map.png", "--force",
    ),
}  # fmt: skip
SHOWN = 45  # kills between two tables
OUTCOMES = ("old", "new", "half", "hidden")
ASKED_FOR_NEW = {"cured.toml"}  # never written over


def state(folder: Path) -> dict[str, bytes]:
    """Return what stands in a folder, by name, the sheet left out."""
    files = (path for path in folder.rglob("*") if path.is_file() and path.name != SHEET)
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in files}


def started(folder: Path, words: tuple[str, ...]) -> int:
    """Start a command in a process of its own, in a folder, and return its number."""
    child = os.fork()
    if child:
        return child
    os.chdir(folder)
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.dup2(nowhere, 2)
    with contextlib.suppress(SystemExit):
        tightspot(list(words))
    os._exit(0)


def whole(folder: Path, words: tuple[str, ...]) -> tuple[dict[str, bytes], float]:
    """Run a command to its end; return what it wrote, and how long it took [s]."""
    start = time.monotonic()
    os.waitpid(started(folder, words), 0)
    return state(folder), time.monotonic() - start


class Trials:
    """One command, with what it writes, to be killed over and over."""

    def __init__(self, words: tuple[str, ...], folder: Path) -> None:
        self.words, self.folder = words, folder
        folder.mkdir()
        text = ready_sheets()["slider-crank-rod-too-long"].read_text(encoding="utf-8")
        (folder / SHEET).write_text(text, encoding="utf-8")
        whole(folder, words)  # the first loads what is loaded late
        self._clear()
        self.new, self.seconds = whole(folder, words)
        self.old = {} if set(self.new) & ASKED_FOR_NEW else dict.fromkeys(self.new, b"old")

    def _clear(self) -> None:
        for path in self.folder.iterdir():
            if path.is_dir():
                shutil.rmtree(path)
            elif path.name != SHEET:
                path.unlink()

    def kill(self, rng: random.Random) -> str:
        """Kill the command at a random moment, and say what stands after the next run began."""
        self._clear()
        for name, content in self.old.items():
            path = self.folder / name
            path.parent.mkdir(exist_ok=True)
            path.write_bytes(content)
        child = started(self.folder, self.words)
        time.sleep(rng.uniform(0, 1.1) * self.seconds)
        with contextlib.suppress(ProcessLookupError):
            os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        for folder in (self.folder, *(path.parent for path in self.folder.glob("film/*"))):
            finish_killed(folder)
        now = state(self.folder)
        if any(part.startswith(".") for name in now for part in Path(name).parts):
            return "hidden"
        if now == self.old:
            return "old"
        return "new" if now == self.new else "half"


def kills(
    count: int, seed: int, names: Iterable[str] = COMMANDS
) -> Iterator[dict[str, Counter[str]]]:
    """Kill commands in turn, so many times in all; yield what came of each so far."""
    rng = random.Random(seed)
    with tempfile.TemporaryDirectory() as room:
        trials = {what: Trials(COMMANDS[what], Path(room, f"{k}")) for k, what in enumerate(names)}
        found: dict[str, Counter[str]] = {what: Counter() for what in trials}
        for what in itertools.islice(itertools.cycle(trials), count):
            found[what][trials[what].kill(rng)] += 1
            yield found


def table(found: dict[str, Counter[str]]) -> str:
    """Return the counts as lines."""
    lines = ["".join((f"{'':20s}", *(f"{name:>8s}" for name in OUTCOMES)))]
    for what, counts in found.items():
        lines.append("".join((f"{what:20s}", *(f"{counts[name]:8d}" for name in OUTCOMES))))
    return "\n".join(lines)


def main() -> int:
    """Kill, and print what came of it."""
    asked = argparse.ArgumentParser(prog="python -m tests.second_way.kills", description=__doc__)
    asked.add_argument("--count", type=int, default=1000, help="kills in all")
    asked.add_argument("--seed", type=int, default=0)
    given = asked.parse_args()
    found: dict[str, Counter[str]] = {}
    for number, found in enumerate(kills(given.count, given.seed), 1):
        if number % SHOWN == 0 or number == given.count:
            sys.stdout.write(f"{table(found)}\n\n")
            sys.stdout.flush()
    return int(any(counts["half"] or counts["hidden"] for counts in found.values()))


if __name__ == "__main__":
    sys.exit(main())
