"""`tightspot template` on real files."""

from __future__ import annotations

import pytest

from linkage.sheet.ready import ready_sheets

SHEET = str(ready_sheets()["ardmoor-2-6-0"])


@pytest.mark.parametrize(
    ("ending", "begins"), [("pdf", b"%PDF"), ("svg", b"<?xml"), ("png", b"\x89PNG")]
)
def test_it_is_written(run, tmp_path, ending, begins):
    out = tmp_path / f"rod.{ending}"
    done = run("template", SHEET, "radius_rod", "--side", "right", "--out", str(out))
    assert done.exit_code == 0
    assert out.read_bytes().startswith(begins)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["radius_rood"], 'did you mean "radius rod"'),
        (["radius_rod", "--side", "only"], "this sheet has: right, left"),
        (["radius_rod", "--times", "0"], "should be above 0"),
        (["radius_rod", "--times", "100"], "too large for A3"),
        (["radius_rod", "--out", "rod.doc"], "pictures end in"),
    ],
)
def test_what_cannot_be_drawn(run, tmp_path, monkeypatch, arguments, words):
    monkeypatch.chdir(tmp_path)
    done = run("template", SHEET, *arguments)
    assert done.exit_code == 2
    assert words in done.output
    assert list(tmp_path.iterdir()) == []
