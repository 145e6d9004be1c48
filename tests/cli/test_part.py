"""`tightspot part` on real files."""

from __future__ import annotations

import json

import pytest

from linkage.sheet.ready import ready_sheets

SHEET = str(ready_sheets()["ardmoor-2-6-0"])


@pytest.fixture
def offer(tmp_path):
    def made(name, text):
        path = tmp_path / name
        path.write_text(text)
        return str(path)

    return made


def test_several_offers_in_one_table(run, offer):
    spare = offer("spare.toml", 'title = "spare rod"\n[radius_rod]\ncentres = 23.0\n')
    long = offer("long.toml", "[radius_rod]\ncentres = 26.4\n")
    done = run("part", SHEET, spare, long, "--side", "right")
    said = " ".join(done.output.split())
    assert done.exit_code == 0
    assert "spare rod: radius rod, right-hand side It fits. Nearest: the expansion link" in said
    assert "long: radius rod, right-hand side It will not do. Right-hand side:" in said


def test_none_that_fits(run, offer):
    """One goes on, with another motion: that is for the repairer to decide."""
    goes_on = offer("bit-long.toml", "[radius_rod]\ncentres = 23.2\n")
    done = run("part", SHEET, goes_on, "--side", "right")
    assert done.exit_code == 1
    assert "It goes on, but changes the motion" in done.output


def test_data_for_other_programs(run, offer):
    done = run("part", SHEET, offer("spare.toml", "[radius_rod]\ncentres = 23.0\n"),
               "--side", "right", "--json")  # fmt: skip
    told = json.loads(done.output)
    assert done.exit_code == 0
    assert [one["verdict"] for one in told["offers"]] == ["fits"]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[radius_rood]\ncentres = 23.1\n", "is no part of"),
        ("[radius_rod]\ncenters = 23.1\n", "is not a known key"),
        ("[radius_rod]\n", "offers nothing"),
        ("", "should hold the table of a part"),
    ],
)
def test_what_is_no_offer(run, offer, text, words):
    done = run("part", SHEET, offer("slip.toml", text))
    assert done.exit_code == 2
    assert words in done.output
