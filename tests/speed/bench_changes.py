"""Change a sheet at the bench again and again, as a page does, and tell what it holds and takes.

    python -m tests.speed.bench_changes --count 2000 [--until looked]

The server and its finder are those of `tightspot bench`. Numbers of the demonstration are moved at
random, as far as they may go without a question, and moved back; told are every tenth part of the
way the memory of the server and of the finder, and in the end the times from a change to each of
its stages in the hands of who asked, as they were on this machine.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import re
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any
from urllib.error import HTTPError
from urllib.request import Request, urlopen

from linkage.sheet.ready import demonstration


class Page:
    """Asks the server as its page does."""

    def __init__(self, url: str) -> None:
        self.base, _, self.token = url.partition("/?token=")
        text = urlopen(url).read().decode()
        first = json.loads(re.search(r'id="first"[^>]*>(.*?)</script>', text, re.S)[1])
        self.page, self.bench = first["page"], first["bench"]

    def ask(self, path: str, body: dict[str, Any] | None = None) -> Any:
        """Return an answer; None where there is none yet."""
        data = None if body is None else json.dumps(body).encode()
        request = Request(self.base + path, data, {
            "X-Bench-Token": self.token, "X-Bench-Page": self.page,
            "Content-Type": "application/json", "Origin": self.base,
        })  # fmt: skip
        with urlopen(request, timeout=120) as said:
            return json.load(said) if said.status == 200 else None

    def change(self, number: str, typed: str) -> bool:
        """Change a number; return whether it was."""
        edits = [{"id": number, "typed": typed, "sure": False}]
        said = self.ask("/change", {"revision": self.bench["revision"], "edits": edits})
        self.bench = said["bench"]
        return not said["problems"]

    def found(self, until: str) -> dict[str, float]:
        """Wait for a stage; return when each came."""
        came, have = {}, ""
        while have not in (until, "failed", "whole"):
            query = f"/found?revision={self.bench['revision']}{have and f'&have={have}'}"
            said = self.ask(query)
            if said is not None:
                have = said["stage"]
                came[have] = time.perf_counter()
        return came


def memory_of(process: int) -> dict[str, float]:
    """Return what a process and those it began hold, by what they are [MB]."""
    found = {}
    for path in Path("/proc").glob("[0-9]*"):
        try:
            status = (path / "status").read_text()
        except OSError:
            continue
        parent = int(re.search(r"PPid:\s+(\d+)", status)[1])
        if parent == process or int(path.name) == process:
            held = re.search(r"VmRSS:\s+(\d+)", status)
            found[path.name] = int(held[1]) / 1024 if held else 0.0
    return found


def numbers_of(page: Page) -> list[tuple[str, float]]:
    """Return the lengths that can be moved, as they are."""
    return [(one["id"], one["value"]) for group in page.bench["groups"] for one in group["numbers"]
            if one["kind"] == "length" and one["value"]]  # fmt: skip


def main() -> None:
    """See the module."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=2000)
    parser.add_argument("--until", default="motion", help="what is waited for after each change")
    parser.add_argument("--seed", type=int, default=0)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "engine.toml"
        path.write_bytes(demonstration().read_bytes())
        process = subprocess.Popen(
            [sys.executable, "-m", "linkage", "bench", str(path), "--no-browser"],
            stdout=subprocess.PIPE, text=True, env={**os.environ, "PYTHONUNBUFFERED": "1"},
        )  # fmt: skip
        try:
            run(Page(re.search(r"http\S+", process.stdout.readline())[0]), process.pid, asked)
        finally:
            process.terminate()
            process.wait()


def run(page: Page, process: int, asked: argparse.Namespace) -> None:
    """Make the changes and tell."""
    chance = random.Random(asked.seed)
    page.found("whole")
    numbers = numbers_of(page)
    times: dict[str, list[float]] = {}
    refused = 0
    for count in range(asked.count):
        number, value = chance.choice(numbers)
        begun = time.perf_counter()
        try:
            refused += not page.change(number, f"{value + chance.uniform(-0.04, 0.04):.3f}")
        except HTTPError as error:
            print(f"{number}: {error}")
            continue
        for stage, at in page.found(asked.until).items():
            times.setdefault(stage, []).append(at - begun)
        if (count + 1) % max(asked.count // 10, 1) == 0:
            held = ", ".join(f"{one:.0f}" for one in memory_of(process).values())
            print(f"{count + 1} changes, {refused} refused: {held} MB", flush=True)
    page.found("whole")
    for stage, some in times.items():
        ordered = sorted(some)
        at = 1000 * ordered[int(0.95 * (len(ordered) - 1))]
        median = 1000 * statistics.median(some)
        print(f"{stage}: {median:.0f} ms median, {at:.0f} at the 95th, {len(some)} times")


if __name__ == "__main__":
    main()
