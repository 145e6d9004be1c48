"""How commands end: 0, 1 and 2 mean what they say, and nothing else ends in one of them."""

from __future__ import annotations

import itertools
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from linkage.report import document
from linkage.sheet.ready import ready_sheets

HOUSE = Path(__file__).parents[2]
TIGHTSPOT = [sys.executable, "-m", "linkage"]
ENVIRONMENT = {**os.environ, "PYTHONPATH": str(HOUSE)}


@pytest.fixture
def broken(monkeypatch):
    def bug(*_):
        raise ZeroDivisionError("a bug")

    monkeypatch.setattr("linkage.cli.check.examine", bug)


def test_a_bug_says_that_it_is_one_and_what_to_send(run, broken):
    done = run("check")

    assert done.exit_code == 70
    assert len(done.output.splitlines()) == 1
    assert "This is a bug of tightspot, not of your sheet (ZeroDivisionError, test_ending.py" in (
        done.stderr
    )
    assert "send the command, the sheet" in done.stderr


def test_a_bug_shows_its_traceback_on_wish(run, broken, monkeypatch):
    monkeypatch.setenv("TIGHTSPOT_TRACEBACK", "1")
    done = run("check")

    assert done.exit_code == 70
    assert "Traceback" in done.stderr
    assert "a bug" in done.stderr


def test_ctrl_c_before_anything_is_known(run, monkeypatch):
    def stopped(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr("linkage.cli.check.examine", stopped)
    done = run("check")

    assert done.exit_code == 130
    assert done.output.strip() == "Stopped."


def test_ctrl_c_while_findings_are_told(run, monkeypatch):
    """What stood on the screen by then stays, and nothing is said of a bug."""
    told = document.check_blocks

    def stopped(*words):
        yield from itertools.islice(told(*words), 2)
        raise KeyboardInterrupt

    monkeypatch.setattr(document, "check_blocks", stopped)
    done = run("check", str(ready_sheets()["slider-crank-rod-too-long"]), "--patience", "0")

    assert done.exit_code == 130
    assert done.stdout.startswith("Ardmoor Light Railway, test piece no. 1 with a rod too long")
    assert done.stderr.strip() == "Stopped."


def test_too_little_memory_is_no_bug(run, monkeypatch):
    def full(*_):
        raise MemoryError

    monkeypatch.setattr("linkage.cli.check.examine", full)
    done = run("check")

    assert done.exit_code == 2
    assert done.output == "Error: there is not memory enough for this\n"


@pytest.mark.parametrize("words", [["check"], ["check", "--json"], ["--help"]])
def test_a_full_disk_is_one_line(words):
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [*TIGHTSPOT, *words],
            stdout=full, stderr=subprocess.PIPE, text=True, env=ENVIRONMENT, check=False,
        )  # fmt: skip
    assert done.returncode == 2
    assert done.stderr == "Error: cannot be written: No space left on device\n"


@pytest.mark.parametrize("words", [["check"], ["check", "--json"], ["--help"]])
def test_a_closed_pipe_is_quiet(words):
    with subprocess.Popen(
        [*TIGHTSPOT, *words], stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=ENVIRONMENT
    ) as tool:
        tool.stdout.close()
        assert tool.stderr.read() == b""
    assert tool.returncode == 141


def test_ctrl_c_tells_what_is_known_so_far():
    """The signal itself, while the second of two processes' work, the search, is on."""
    slow = (
        # a shell that runs the tests in the background has them pass the signal by
        "import signal, sys, time, linkage.cli.check as check\n"
        "signal.signal(signal.SIGINT, signal.default_int_handler)\n"
        "def search(*_):\n"
        "    print('searching', file=sys.stderr)\n"
        # not one long sleep: a signal that comes just before it is seen when it is over
        "    for _ in range(1200):\n"
        "        time.sleep(0.05)\n"
        "    yield\n"
        "check.search_cures = search\n"
        "from linkage.cli import main\n"
        "main(['check'])\n"
    )
    with subprocess.Popen(
        [sys.executable, "-u", "-c", slow],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=ENVIRONMENT,
    ) as tool:  # fmt: skip
        assert tool.stderr.readline() == "searching\n"
        tool.send_signal(signal.SIGINT)
        told, wrong = tool.communicate(timeout=60)
    assert tool.returncode == 130
    assert "1. Right-hand side: the radius rod fouls" in told
    assert "Nearest of 84 pairs" in told
    assert "Traceback" not in wrong
