"""Files come whole or not at all, keep their rights, and leave nothing hidden behind."""

from __future__ import annotations

import fcntl
import os
import subprocess
import sys
from pathlib import Path

import pytest

from linkage.errors import OutputError
from linkage.files import write_all, write_whole

HOUSE = Path(__file__).parents[2]


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


def hidden():
    return [path for path in Path().iterdir() if path.name.startswith(".")]


def read():
    return [Path(name).read_bytes() if Path(name).exists() else None for name in ("a.txt", "b.txt")]


@pytest.mark.parametrize("before", [None, b"old"])
def test_all_or_none(monkeypatch, before):
    Path("a.txt").write_bytes(b"old")
    if before:
        Path("b.txt").write_bytes(before)
    replace = Path.replace

    def full(self, target):
        if target.name == "b.txt":
            raise OSError(28, "No space left on device")
        return replace(self, target)

    monkeypatch.setattr(Path, "replace", full)
    with pytest.raises(OutputError, match=r"b\.txt: cannot be written \(No space left"):
        write_all({Path("a.txt"): b"new", Path("b.txt"): b"new"}, force=True)
    assert read() == [b"old", before]
    assert not hidden()


def test_what_a_killed_run_left_goes_with_the_next_and_a_running_ones_stays(run):
    left, running = (Path(f".tightspot-{name}.unfinished") for name in ("left", "running"))
    for folder in (left, running):
        folder.mkdir()
        (folder / "0").touch()
    with (running / "lock").open("wb") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        run("new", "--schema")
        assert hidden() == [running]
    write_whole(Path("a.txt"), b"new", force=False)
    assert not hidden()


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("a.html", ["page", "a.html", "--force"]),
        ("a.html", ["page", "b.toml", "--after", "a.html", "--out", "a.html", "--force"]),
        ("a.pdf", ["report", "a.pdf", "--out", "a.pdf", "--force"]),
        ("a.pdf", ["report", "b.toml", "--photo", "a.pdf", "--out", "a.pdf", "--force"]),
        ("a.png", ["draw", "a.png", "--force"]),
        ("a.gif", ["animate", "a.gif", "--force"]),
        ("a.svg", ["template", "a.svg", "radius_rod", "--out", "./a.svg", "--force"]),
        ("a.csv", ["window", "a.csv", "x", "y", "--out", "a.png", "--force"]),
    ],
)
def test_a_sheet_is_never_written_over_by_what_is_made_of_it(run, name, words):
    Path(name).write_bytes(b"old")
    done = run(*words)
    assert done.exit_code == 2
    assert f"{name}: is what this is made from; name another file" in done.output
    assert Path(name).read_bytes() == b"old"


def test_what_is_no_file_is_not_written_over():
    os.mkfifo("a.txt")
    Path("b.txt").symlink_to("b.txt")
    for name, words in (("a.txt", "is no file that"), ("b.txt", "Symlink loop|Too many levels"),
                        ("x" * 300, "name too long")):  # fmt: skip
        with pytest.raises(OutputError, match=words):
            write_whole(Path(name), b"new", force=True)


def test_a_disk_that_is_full_leaves_all_as_it_was():
    """A file may not grow beyond so many bytes: as a full disk has it."""
    Path("a.txt").write_bytes(b"old")
    most = "import resource; resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))"
    write = "write_all({Path('b.txt'): b'new', Path('a.txt'): b'x' * 2000}, force=True)"
    done = subprocess.run(
        [sys.executable, "-c", f"{most}; from pathlib import Path; "
         f"from linkage.files import write_all; {write}"],
        env={**os.environ, "PYTHONPATH": str(HOUSE)}, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert "OutputError: b.txt: cannot be written (File too large)" in done.stderr
    assert read() == [b"old", None]
    assert not hidden()


def test_apply_asks_for_nothing_that_is_not_there(run, write):
    name = write({})
    done = run("check", name, "--apply", name)
    assert done.exit_code == 2
    assert done.output == (
        f"Error: {name}: stands there already; name a file that is not there yet\n"
    )
