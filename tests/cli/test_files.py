"""Files come whole or not at all, keep their rights, and leave nothing hidden behind."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from linkage.cli.files import write_all, write_whole
from linkage.errors import OutputError


@pytest.fixture(autouse=True)
def _here(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)


def test_rights_are_kept():
    Path("a.txt").write_bytes(b"old")
    Path("a.txt").chmod(0o640)
    write_whole(Path("a.txt"), b"new", force=True)
    assert Path("a.txt").read_bytes() == b"new"
    assert Path("a.txt").stat().st_mode & 0o777 == 0o640


def test_a_new_file_has_the_usual_rights():
    mask = os.umask(0o027)
    try:
        write_whole(Path("a.txt"), b"new", force=False)
    finally:
        os.umask(mask)
    assert Path("a.txt").stat().st_mode & 0o777 == 0o640


def test_a_link_stays_and_what_it_leads_to_is_written():
    Path("a.txt").write_bytes(b"old")
    Path("link.txt").symlink_to("a.txt")
    write_whole(Path("link.txt"), b"new", force=True)
    assert Path("link.txt").is_symlink()
    assert Path("a.txt").read_bytes() == b"new"


def test_what_a_killed_run_left_is_taken_away_and_a_running_ones_is_not():
    gone = subprocess.Popen([sys.executable, "-c", ""])
    gone.wait()
    Path(f".a.txt.{gone.pid}.unfinished").touch()
    Path(f".a.txt.{os.getppid()}.unfinished").touch()
    Path(".a.txt.mine.unfinished").touch()
    write_whole(Path("a.txt"), b"new", force=False)
    assert {path.name for path in Path().iterdir()} == {
        "a.txt", f".a.txt.{os.getppid()}.unfinished", ".a.txt.mine.unfinished",
    }  # fmt: skip


def test_all_or_none(monkeypatch):
    Path("a.txt").write_bytes(b"old")
    replace = Path.replace

    def full(self, target):
        if target.name == "b.txt":
            raise OSError(28, "No space left on device")
        return replace(self, target)

    monkeypatch.setattr(Path, "replace", full)
    with pytest.raises(OutputError, match=r"b\.txt: cannot be written \(No space left"):
        write_all({Path("a.txt"): b"new", Path("b.txt"): b"new"}, force=True)
    assert [path.name for path in Path().iterdir()] == ["a.txt"]
    assert Path("a.txt").read_bytes() == b"old"


def test_apply_asks_for_nothing_that_is_not_there(run, write):
    name = write({})
    done = run("check", name, "--apply", name)
    assert done.exit_code == 2
    assert done.output == (
        f"Error: {name}: stands there already; name a file that is not there yet\n"
    )
