"""Runs killed at every step of their writing: what was to be written is there, or what was."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from linkage.files import finish_killed

HOUSE = Path(__file__).parents[2]


@pytest.fixture(autouse=True)
def _here(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)


def hidden():
    return [path for path in Path().rglob(".*")]


def read():
    return [Path(name).read_bytes() if Path(name).exists() else None for name in ("a.txt", "b.txt")]


# A run that is killed at the call of that number, of all that change what is on the disk.
DIES = """
import os, sys, pathlib
from pathlib import Path
from linkage.files import write_all, write_folder

left = int(sys.argv[1])

def dying(name):
    does = getattr(Path, name)
    def one(self, *words, **more):
        global left
        left -= 1
        if left < 0:
            os._exit(9)
        if name == "replace" and sys.argv[2] == "full" and words[0].name == "b.txt":
            raise OSError(28, "No space left on device")
        return does(self, *words, **more)
    setattr(Path, name, one)

for name in ("replace", "open", "unlink", "hardlink_to", "touch", "mkdir"):
    dying(name)
if sys.argv[2] == "folder":
    new = {"a.txt": b"new", "b.txt": b"new"}
    write_folder(Path(sys.argv[3]), new, [Path(sys.argv[3], "c.txt")])
else:
    write_all({Path("a.txt"): b"new", Path("b.txt"): b"new"}, force=True)
"""


def killed(*words):
    done = subprocess.run(
        [sys.executable, "-c", DIES, *map(str, words)],
        env={**os.environ, "PYTHONPATH": str(HOUSE)}, stderr=subprocess.PIPE, check=False,
    )  # fmt: skip
    return done.returncode == 9


@pytest.mark.parametrize("full", [False, True])
@pytest.mark.parametrize("before", [None, b"old"])
def test_two_files_are_one_wherever_a_run_is_killed(before, full):
    """At each step in turn; where the second cannot be put in its place as well."""
    seen = set()
    for step in range(100):
        Path("a.txt").write_bytes(b"old")
        Path("b.txt").unlink(missing_ok=True)
        if before:
            Path("b.txt").write_bytes(before)
        dead = killed(step, "full" if full else "")
        finish_killed(Path())
        assert not hidden()
        assert read() in ([b"old", before], [b"new", b"new"])
        seen.add(bytes(read()[0]))
        if not dead:
            break
    assert step > 8
    assert b"old" in seen
    assert read() == ([b"old", before] if full else [b"new", b"new"])


@pytest.mark.parametrize("stands", [False, True])
def test_a_folder_is_filled_whole_wherever_a_run_is_killed(stands):
    old, new = {"a.txt": b"old", "c.txt": b"old", "d.txt": b"d"}, {"a.txt": b"new", "b.txt": b"new"}
    new |= {"d.txt": b"d"} if stands else {}
    for step in range(100):
        shutil.rmtree("held", ignore_errors=True)
        if stands:
            Path("held").mkdir()
            for name, content in old.items():
                Path("held", name).write_bytes(content)
        dead = killed(step, "folder", "held")
        finish_killed(Path())
        finish_killed(Path("held"))
        held = {path.name: path.read_bytes() for path in Path().glob("held/*")}
        assert held in ((old if stands else {}), new)
        assert Path("held").exists() == bool(held)
        assert not hidden()
        if not dead:
            break
    assert held == new
    assert step > 8
