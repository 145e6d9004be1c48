"""`tightspot cause` on real files."""

from __future__ import annotations

import json

from linkage.sheet.ready import ready_sheets

GOOD = "ardmoor-0-6-0-good"


def test_the_command_says_the_cause_and_leaves_the_sheet(run, tmp_path):
    path = ready_sheets()["ardmoor-0-6-0-rod-long"]
    before = path.read_bytes()
    words = ["--felt", "locks at about 3 o'clock on the right"]
    said = run("cause", str(path), *words)
    data = json.loads(run("cause", str(path), *words, "--json", "--out", "dials.png").stdout)

    assert "1. The right front coupling rod is about" in said.output
    assert data["causes"][0]["key"] == "right.coupling_rods.front.centres"
    assert path.read_bytes() == before
    assert (tmp_path / "dials.png").read_bytes().startswith(b"\x89PNG")


def test_the_command_refuses_what_it_does_not_understand(run):
    done = run("cause", str(ready_sheets()[GOOD]), "--felt", "it wobbles")

    assert done.exit_code == 2
    assert "should say what was felt" in done.output


def test_sentences_that_are_not_understood_are_told_all_at_once(run):
    said = run("cause", str(ready_sheets()[GOOD]), "--felt", "it wobbles", "--felt", "never locks")

    assert said.exit_code == 2
    assert '"it wobbles" should say what was felt' in said.output
    assert '"never" is not understood' in said.output
