"""`tightspot check` on real files: its three exit statuses, and what it prints."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

HOUSE = Path(__file__).parents[2]


def test_the_demonstration_finds_its_tight_spot(run):
    done = run("check")

    assert done.exit_code == 1
    assert "1 tight spot." in done.output
    said = " ".join(done.output.split())
    assert "Right-hand side: the radius rod fouls the motion bracket by 0.13 mm" in said
    assert "Cure: Set the radius rod away from the frames by at least 0.45" in said
    assert "This was the demonstration" in said


def test_a_straightened_rod_is_free(run, write):
    done = run("check", write({"right": {}}))

    assert done.exit_code == 0
    assert "Free by the figures as they stand. The least air is" in done.output
    # places sideways are assumed
    assert "Cannot be told from what was measured" in done.output
    assert "demonstration" not in done.output


def test_json_is_one_object_and_nothing_else(run, write):
    done = run("check", write({}), "--json")

    assert done.exit_code == 1
    data = json.loads(done.output)
    assert data["free"] is False
    assert data["sheet"] == "engine.toml"
    assert data["tight_spots"][0]["cure"].startswith("Set the radius rod away from the frames")


def test_json_of_a_free_sheet(run, write):
    done = run("check", write({"right": {}}), "--json")

    assert done.exit_code == 0
    assert json.loads(done.output)["tight_spots"] == []


def test_all_lists_what_was_assumed(run, write):
    name = write({"right": {}})

    assert "--all lists them" in run("check", name).output
    assert "Assumed, because the sheet does not say:" in run("check", name, "--all").output


def test_both_sides_alike_fouled_is_told_for_both(run, write):
    bend = [{"kind": "bow", "from": "die block", "at": 9.6, "over": 6.0, "towards_frames": 0.55}]
    done = run("check", write({"radius_rod.bend": bend, "right": {}}))

    assert done.exit_code == 1
    assert "2 tight spots, worst first." in done.output
    assert "Right-hand side" in done.output
    assert "Left-hand side" in done.output


def test_the_unlike_side_is_named_where_a_loop_cannot_close(run, write):
    done = run("check", write({"right": {"union_link": {"centres": 3.0}}}), "--patience", "200")
    said = " ".join(done.output.split())

    assert done.exit_code == 1
    assert "cannot be joined" in said
    assert "Cure: The union link's centres: the sheet has 3.00 mm, the other side 4.50" in said


def piped(*words, **more):
    env = {**os.environ, "PYTHONPATH": str(HOUSE), "PYTHONIOENCODING": "utf-8"}
    env.pop("COLUMNS", None)
    return subprocess.run(
        [sys.executable, "-m", "linkage", *words],
        capture_output=True, text=True, encoding="utf-8", env=env, check=False, **more,
    )  # fmt: skip


def test_piped_it_is_plain_text_of_80_columns(tmp_path):
    done = piped("check", cwd=tmp_path)

    assert done.returncode == 1
    assert done.stderr == ""
    assert "\x1b" not in done.stdout
    sentences = [line for line in done.stdout.splitlines() if "/" not in line]
    assert max(len(line) for line in sentences) <= 80
    assert all(line == line.rstrip() for line in done.stdout.splitlines())
    assert not re.search(r"\d\.\d{3}", done.stdout)
    assert list(tmp_path.iterdir()) == []


def test_piped_json_can_be_read(tmp_path):
    done = piped("check", "--json", cwd=tmp_path)

    assert done.returncode == 1
    assert json.loads(done.stdout)["tight_spots"]


def test_a_bad_sheet_says_so_on_the_error_stream_alone(tmp_path):
    done = piped("check", "none.toml", cwd=tmp_path)

    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr == "Error: none.toml: 1 problem\n  there is no such file\n"


@pytest.mark.parametrize("words", [["--help"], ["check", "--help"], ["new", "--help"], ["-h"]])
def test_help_is_there(run, words):
    done = run(*words)

    assert done.exit_code == 0
    assert "Usage: tightspot" in done.output
    assert max(len(line) for line in done.output.splitlines()) <= 80


def test_version_is_told_installed_or_not(run):
    done = run("--version")

    assert done.exit_code == 0
    assert re.fullmatch(r"tightspot (\d+\.\d+.*|not installed)\n", done.output)


@pytest.mark.parametrize(("broken", "status"), [(KeyboardInterrupt, 130), (AssertionError, 70)])
@pytest.mark.parametrize("form", [(), ("--json",)])
def test_what_was_found_is_said_whatever_happens_in_the_search_for_cures(
    run, monkeypatch, broken, status, form
):
    def search(*_):
        raise broken
        yield

    monkeypatch.setattr("linkage.cli.check.search_cures", search)
    done = run("check", *form)
    if form:
        assert json.loads(done.stdout)["tight_spots"][0]["cure"] is None
    else:
        said = " ".join(done.stdout.split())
        assert "1. Right-hand side: the radius rod fouls the motion bracket by 0.13 mm" in said
        assert "The search for cures was broken off before this one." in said
        assert "Nearest of 84 pairs" in said
    assert "The search for cures was broken off.\n" in done.stderr
    assert done.exit_code == status


def test_nothing_is_applied_of_a_search_that_was_broken_off(run, monkeypatch):
    def search(*_):
        raise KeyboardInterrupt
        yield

    monkeypatch.setattr("linkage.cli.check.search_cures", search)
    assert run("check", "--apply", "cured.toml").exit_code == 130
    assert not Path("cured.toml").exists()


def test_of_several_spots_all_are_told_before_the_first_cure(run, write):
    bend = [{"kind": "bow", "from": "die block", "at": 9.6, "over": 6.0, "towards_frames": 0.55}]
    said = run("check", write({"radius_rod.bend": bend, "right": {}})).output

    places = [said.index(start) for start in ("\n1. Right", "\n2. Left", "   1. Cure: ", "   2. ")]
    assert places == sorted(places)


CRANK_AND_ROD = """
arrangement = "slider-crank"
sides = ["only"]
scale = "gauge 1"
wanted_clearance = 0.15
wheels = { throw = 13.0 }
connecting_rod = { centres = 65.0, width = 4.0, thickness = 2.0, out = 3.0 }
crosshead = {}
"""


def stud(name, x, y, out=3.0):
    """Return a stud of diameter 2 as it is typed on a sheet."""
    return f"""
[[fixed]]
name = "{name}"
disc = {{ x = {x}, y = {y}, diameter = 2.0 }}
out = {out}
thickness = 2.0
"""


def test_the_deepest_of_several_is_told_first(run, tmp_path):
    """The rod's rear eye goes 13 + 2 out; studs of radius 1 stand 15.8, 15.4 and 15.6 out."""
    made = CRANK_AND_ROD
    for name, x, y in (("low", 0.0, -15.8), ("high", 0.0, 15.4), ("rear", -15.6, 0.0)):
        made += stud(f"{name} stud", x, y)
    Path(tmp_path, "studs.toml").write_text(made, encoding="utf-8")

    said = " ".join(run("check", "studs.toml", "--patience", "0").output.split())

    assert "3 tight spots, worst first." in said
    assert re.findall(r"fouls the (\w+) stud by (\d\.\d+) mm", said) == [
        ("high", "0.60"), ("rear", "0.40"), ("low", "0.20")
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("y", "out", "words"),
    [
        # its edge is 15.1 out, that of the rod's eye 15
        (-16.1, 3.0, "passes the stud with 0.10 mm of air, 0.15 wanted (seen from the side)"),
        # the rod's outer face is 3 + 2 out
        (-14.0, 5.1, "passes the stud with 0.10 mm of air, 0.15 wanted (seen in plan)"),
    ],
)
def test_the_view_in_which_a_feeler_goes_between(run, tmp_path, y, out, words):
    made = CRANK_AND_ROD + stud("stud", 0.0, y, out)
    Path(tmp_path, "stud.toml").write_text(made, encoding="utf-8")

    said = " ".join(run("check", "stud.toml", "--patience", "0").output.split())

    assert words in said


PARALLELOGRAM = """
arrangement = "linkage"
crank = { axle = [0.0, 0.0], pins = { pin = [6.0, 0.0] } }
part = [
  { name = "drive rod", centres = 50.0, width = 4.0, thickness = 1.5, out = 4.5 },
  { name = "pawl arm", centres = 6.0, width = 4.0, thickness = 2.0, out = 2.0 },
]
pin = [
  { name = "crank pin", joins = ["crank.pin", "drive rod.rear"] },
  { name = "arm pin", joins = ["drive rod.front", "pawl arm.front"], near = [56.0, 0.0] },
  { name = "arm pivot", joins = ["pawl arm.rear", [50.0, 0.0]] },
]
"""


def test_a_single_pair_of_coupled_cranks_is_undecided_at_both_dead_centres(run, tmp_path):
    """With one side's rod alone the other wheel may go back (F. Reuleaux, 1876, sec. 66)."""
    Path(tmp_path, "one-side.toml").write_text(PARALLELOGRAM, encoding="utf-8")

    done = run("check", "one-side.toml", "--patience", "0")

    assert done.exit_code == 1
    said = " ".join(done.output.split())
    words = (
        "The drive rod and the pawl arm lie in line: the crank does not decide which way they go"
    )
    assert f"{words} on, with the crank pin at about 3 o'clock (crank 0 degrees)" in said
    assert "The same as 1, with the crank pin at about 9 o'clock (crank 180 degrees)" in said


def test_numbers_surely_unlike_on_both_sides_are_told_though_nothing_comes_of_them(run, tmp_path):
    """An anchor link 1 mm too long moves the valve by a tenth, less than what is a finding."""
    text = Path(HOUSE, "configs", "ardmoor-0-6-2-joy.toml").read_text(encoding="utf-8")
    text = "\n".join(line for line in text.splitlines() if not line.startswith("sides"))
    text = text.replace("[wheels]", "[wheels]\nright_leads_by = 90")
    own = "[left]\nanchor_link = { centres = 86.0 }\njack_link = { width = 9.05 }"
    Path(tmp_path, "joy.toml").write_text(f"{text}\n{own}\n", encoding="utf-8")
    done = run("check", "joy.toml")

    assert done.exit_code == 0
    said = " ".join(done.output.split())
    assert "the sides differ in the anchor link's centres (right 85.00, left 86.00). No" in said


@pytest.mark.skipif(not Path("/proc/self/task").exists(), reason="no list of threads here")
def test_a_command_starts_no_threads_that_wait_for_one_another():
    count = (
        "import atexit, os; atexit.register(lambda: print(len(os.listdir('/proc/self/task'))));"
        "from linkage.cli import main; main(['check', 'ardmoor-2-6-0'])"
    )
    env = {name: text for name, text in os.environ.items() if not name.endswith("_NUM_THREADS")}
    done = subprocess.run(
        [sys.executable, "-c", count], env=env, capture_output=True, text=True, check=False
    )

    assert done.stdout.splitlines()[-1] == "1"
