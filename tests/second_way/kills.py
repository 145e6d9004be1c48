"""Commands that write, killed at random moments of it: what stands is all old or all new.

``python -m tests.second_way.kills --count 1000 --seed 0`` prints the table. A command is run up to
the first thing that it changes on the disk, and there forked as often as it is to be killed: each
fork goes on by itself and dies either at one of its calls that touch the disk, before it is done,
or some microseconds to milliseconds after that, in the midst of whatever it then does. Every fourth
time what is left is brought to an end by a run that is killed likewise, and then by another. One
kill in `COMPUTING` falls anywhere in the whole run, by the time its own processor has spent.
"""

from __future__ import annotations

import argparse
import contextlib
import json
import os
import random
import shutil
import signal
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path

from linkage.cli import main as tightspot
from linkage.files import finish_killed
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
THREADS = "OPENBLAS_NUM_THREADS"
OUTCOMES = ("old", "new", "half", "hidden")
ASKED_FOR_NEW = {"cured.toml"}  # never written over
COMPUTING = 20
TOUCHES = {
    "open", "os.mkdir", "os.rename", "os.remove", "os.rmdir", "os.link", "os.chmod", "os.truncate",
    "os.scandir", "shutil.copyfile",
}  # fmt: skip
"""What Python says of itself before a call that touches the disk (`sys.audit`)."""
CHANGES = {"os.mkdir", "os.rename", "os.remove", "os.rmdir", "os.link"}
SOON, LATE = 1e-6, 5e-3  # after a call [s]

State = dict[str, bytes]


def state(folder: Path) -> State:
    """Return what stands in a folder, by name, the sheet left out."""
    files = (path for path in folder.rglob("*") if path.is_file() and path.name != SHEET)
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in files}


class _Watch:
    """Called at each call that touches the disk, once it is set; there is no taking it off."""

    def __init__(self) -> None:
        self.does: Callable[[str, str], None] | None = None
        sys.addaudithook(self._heard)

    def _heard(self, event: str, words: tuple[object, ...]) -> None:
        if event in TOUCHES and self.does is not None:
            self.does(event, str(words[0]))


def forked(work: Callable[[], None]) -> int:
    """Do some work in a process of its own, and return its number."""
    child = os.fork()
    if child:
        return child
    status = 1
    try:
        with contextlib.suppress(SystemExit):
            work()
        status = 0
    finally:
        os._exit(status)  # never back into what the parent was doing


def dying_at(watch: _Watch, rng: random.Random, calls: int) -> None:
    """Let this process die at one of its next calls, or a little after."""
    left, at_once = rng.randrange(calls + 1), rng.random() < 0.5
    later = SOON * (LATE / SOON) ** rng.random()

    def heard(_: str, __: str) -> None:
        nonlocal left
        if left == 0 and at_once:
            os.kill(os.getpid(), signal.SIGKILL)
        elif left == 0:  # nothing of Python's runs when that is over: the system ends the process
            signal.signal(signal.SIGALRM, signal.SIG_DFL)
            signal.setitimer(signal.ITIMER_REAL, later)
        left -= 1

    watch.does = heard


class Trials:
    """One command, with what it writes, to be killed over and over."""

    def __init__(self, words: tuple[str, ...], folder: Path, rng: random.Random) -> None:
        self.words, self.folder, self.rng = words, folder, rng
        folder.mkdir()
        text = ready_sheets()["slider-crank-rod-too-long"].read_text(encoding="utf-8")
        (folder / SHEET).write_text(text, encoding="utf-8")
        self.watch, self.counted = _Watch(), folder.with_suffix(".calls")
        self.seconds = self._run_whole()
        self.new = state(folder)
        self.old: State = {} if set(self.new) & ASKED_FOR_NEW else dict.fromkeys(self.new, b"old")

    def _run(self) -> None:
        os.chdir(self.folder)
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, 1)
        os.dup2(nowhere, 2)
        tightspot(list(self.words))

    def _changes(self, event: str, place: str) -> bool:
        return event in CHANGES and place.startswith(f"{self.folder}{os.sep}")

    def _run_whole(self) -> float:
        """Run it to its end; return what its processor spends [s]."""
        out, inn = os.pipe()

        def work() -> None:
            begin = sum(os.times()[:2])  # of this process: a fork begins at nought
            with contextlib.suppress(SystemExit):
                self._run()
            os.write(inn, json.dumps(sum(os.times()[:2]) - begin).encode())

        os.waitpid(forked(work), 0)
        return float(json.loads(os.read(out, 100)))

    def _put_old(self) -> None:
        for path in self.folder.iterdir():
            if path.is_dir():
                shutil.rmtree(path)
            elif path.name != SHEET:
                path.unlink()
        for name, content in self.old.items():
            path = self.folder / name
            path.parent.mkdir(exist_ok=True)
            path.write_bytes(content)

    def kills(self, count: int) -> Counter[str]:
        """Kill the command so many times, and say what stood after it."""
        few = count // COMPUTING
        found = Counter(self._killed_anywhere() for _ in range(few))
        return found + Counter(self._killed_writing(count - few))

    def _killed_anywhere(self) -> str:
        self._put_old()
        moment = self.rng.uniform(0.001, 1.1 * self.seconds)

        def work() -> None:
            signal.signal(signal.SIGPROF, signal.SIG_DFL)
            signal.setitimer(signal.ITIMER_PROF, moment)
            self._run()

        os.waitpid(forked(work), 0)
        return self._outcome()

    def _killed_writing(self, count: int) -> Sequence[str]:
        """Run up to the first change on the disk, and from there on as often as it is to die."""
        out, inn = os.pipe()
        self._put_old()

        def first_change(event: str, place: str) -> None:
            if not self._changes(event, place):
                return
            self.watch.does = None
            if not os.fork():  # one that goes on to its end first
                self._count_calls()
                return
            os.wait()
            calls = int(self.counted.read_text())
            for _ in range(count):
                self._put_old()
                seed = self.rng.getrandbits(64)
                if not os.fork():  # goes on with the command from here
                    dying_at(self.watch, random.Random(seed), calls)
                    return
                os.wait()
                os.write(inn, f"{self._outcome(calls)}\n".encode())
            os._exit(0)

        def work() -> None:
            os.close(out)
            self.watch.does = first_change
            self._run()

        child = forked(work)
        os.close(inn)
        with os.fdopen(out) as said:
            words = said.read().split()
        os.waitpid(child, 0)
        return words

    def _count_calls(self) -> None:
        """Keep on file how many calls this process makes, up to now, at each of them."""
        calls = 0
        kept = os.open(self.counted, os.O_WRONLY | os.O_CREAT)

        def heard(_: str, __: str) -> None:
            nonlocal calls
            calls += 1
            os.pwrite(kept, f"{calls}".encode(), 0)

        self.watch.does = heard

    def _outcome(self, calls: int = 0) -> str:
        """Say what stands once the next run has begun; of calls that one may be killed at."""
        if calls and self.rng.random() < 0.25:  # that is killed as well
            seed = self.rng.getrandbits(64)

            def work() -> None:
                dying_at(self.watch, random.Random(seed), calls)
                self._finish()

            os.waitpid(forked(work), 0)
        self._finish()
        now = state(self.folder)
        if any(part.startswith(".") for name in now for part in Path(name).parts):
            return "hidden"
        if now == self.old:
            return "old"
        return "new" if now == self.new else "half"

    def _finish(self) -> None:
        for folder in (self.folder, *(path.parent for path in self.folder.glob("film/*"))):
            finish_killed(folder)


def kills(
    count: int, seed: int, names: Iterable[str] = COMMANDS
) -> Iterator[dict[str, Counter[str]]]:
    """Kill commands, so many times in all; yield what came of those so far."""
    names = list(names)
    found: dict[str, Counter[str]] = {}
    with tempfile.TemporaryDirectory() as room:
        for k, what in enumerate(names):
            mine = count * (k + 1) // len(names) - count * k // len(names)
            trials = Trials(COMMANDS[what], Path(room, f"{k}"), random.Random(f"{seed} {what}"))
            found[what] = trials.kills(mine)
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
    asked.add_argument(
        "--only", action="append", choices=COMMANDS, help="commands; all if not given"
    )
    given = asked.parse_args()
    if os.environ.get(THREADS) != "1":
        # a process that has threads may stand still for ever when it is forked
        again = [sys.executable, "-m", "tests.second_way.kills", *sys.argv[1:]]
        os.execve(sys.executable, again, {**os.environ, THREADS: "1"})
    found: dict[str, Counter[str]] = {}
    for found in kills(given.count, given.seed, given.only or COMMANDS):
        sys.stdout.write(f"{table(found)}\n\n")
        sys.stdout.flush()
    return int(any(counts["half"] or counts["hidden"] for counts in found.values()))


if __name__ == "__main__":
    sys.exit(main())
