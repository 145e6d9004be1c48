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
