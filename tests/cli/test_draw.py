"""`tightspot draw` on real files."""

from __future__ import annotations

import os

import pytest
from click.testing import CliRunner

from linkage.cli import main
from linkage.sheet.ready import demonstration

STARTS = {".png": b"\x89PNG\r\n", ".svg": b"<?xml", ".pdf": b"%PDF-"}


@pytest.fixture
def draw(tmp_path, monkeypatch):
    """Run the command in an empty folder."""
    monkeypatch.chdir(tmp_path)

    def run(*words):
        return CliRunner().invoke(main, ["draw", *map(str, words)])

    return run


def test_with_no_sheet_the_demonstration_is_drawn(draw, tmp_path):
    result = draw()

    assert result.exit_code == 0, result.output
    assert [path.name for path in tmp_path.iterdir()] == [f"{demonstration().stem}.png"]


@pytest.mark.parametrize("ending", sorted(STARTS))
def test_the_ending_chooses_the_format(draw, tmp_path, ending):
    result = draw(demonstration(), "--out", f"lock{ending}")

    assert result.exit_code == 0, result.output
    assert (tmp_path / f"lock{ending}").read_bytes().startswith(STARTS[ending])


@pytest.mark.parametrize(
    ("name", "said"),
    [("lock.gif", "ends in '.gif'; pictures end in .png, .svg or .pdf"), ("lock", "has no ending")],
)
def test_another_ending_is_refused(draw, tmp_path, name, said):
    result = draw("--out", name)

    assert result.exit_code == 2
    assert said in result.output
    assert not list(tmp_path.iterdir())


def test_a_file_that_is_there_is_kept_without_force(draw, tmp_path):
    there = tmp_path / "lock.svg"
    there.write_text("mine")

    refused = draw("--out", there)

    assert refused.exit_code == 2
    assert "--force" in refused.output
    assert there.read_text() == "mine"
    assert draw("--out", there, "--force").exit_code == 0
    assert "radius rod" in there.read_text(encoding="utf-8")


def test_nothing_is_left_behind_when_writing_fails(draw, tmp_path, monkeypatch):
    def fails(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("pathlib.Path.replace", fails)
    result = draw("--out", "lock.svg")

    assert result.exit_code == 2
    assert "No space left" in result.output
    assert os.listdir(tmp_path) == []


def test_a_sheet_that_cannot_be_read_is_said(draw, tmp_path):
    result = draw("nowhere.toml")

    assert result.exit_code == 2
    assert "nowhere.toml" in result.output
    assert not list(tmp_path.iterdir())


def test_a_spot_that_is_not_there_is_said(draw, tmp_path):
    result = draw("--spot", 99)

    assert result.exit_code == 2
    assert "no tight spot 99" in result.output
    assert not list(tmp_path.iterdir())


def test_a_spot_of_the_other_side_is_said(draw):
    result = draw("--spot", 1, "--side", "left")

    assert result.exit_code == 2
    assert "is on the right side" in result.output


def test_a_side_that_is_not_there_is_said(draw):
    result = draw("--side", "only")

    assert result.exit_code == 2
    assert "this sheet has: right, left" in result.output


def test_a_free_side_can_be_drawn(draw, tmp_path):
    result = draw("--side", "left", "--out", "left.svg")

    assert result.exit_code == 0, result.output
    source = (tmp_path / "left.svg").read_text(encoding="utf-8")
    assert "The left side is free all round the turn." in source


@pytest.mark.parametrize("show", ["mechanism", "paths", "positions", "angles"])
def test_other_pictures_can_be_asked_for(draw, tmp_path, show):
    result = draw("--show", show)

    assert result.exit_code == 0, result.output
    assert (tmp_path / f"ardmoor-2-6-0-{show}.png").read_bytes()[:4] == b"\x89PNG"


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--show", "path"], "'path' is not one of"),
        (["--at", 90], "--show mechanism only"),
        (["--show", "mechanism", "--at", "nan"], "a number of degrees"),
        (["--show", "paths", "--count", 12], "--show positions only"),
        (["--show", "positions", "--count", 1], "2<=x<=36"),
    ],
)
def test_options_that_make_no_picture_are_said(draw, arguments, said):
    result = draw(*arguments)

    assert result.exit_code == 2
    assert said in " ".join(result.output.split())
