"""`tightspot animate` on real files."""

from __future__ import annotations

import imageio_ffmpeg
import pytest
from PIL import Image

from linkage.sheet.ready import ready_sheets

FAST = ("--frames", "12", "--seconds", "2", "--width", "320")
SHEETS = {name: str(path) for name, path in ready_sheets().items()}


def looked_at(path):
    """Return how many frames a picture has, and its size."""
    with Image.open(path) as image:
        return getattr(image, "n_frames", 1), image.size


def test_a_gif_is_written_and_told(run, tmp_path):
    done = run("animate", SHEETS["slider-crank"], *FAST)

    assert done.exit_code == 0, done.output
    path = tmp_path / "slider-crank.gif"
    assert [file.name for file in tmp_path.iterdir()] == [path.name]
    assert looked_at(path)[0] == 12
    size = path.stat().st_size / 1e6
    assert f"{path.name} is written: {size:.2f} MB, 12 frames, 2 seconds" in done.output


def test_with_no_sheet_the_demonstration_is_shown(run, tmp_path):
    done = run("animate", *FAST, "--backwards", "--no-slow")

    assert done.exit_code == 0, done.output
    assert [file.name for file in tmp_path.iterdir()] == ["ardmoor-2-6-0.gif"]


@pytest.mark.parametrize("name", ["pngs", "pngs/", "pngs.d/"])
def test_a_folder_of_pngs(run, tmp_path, name):
    done = run("animate", SHEETS["four-bar"], *FAST, "--out", name)

    assert done.exit_code == 0, done.output
    files = sorted((tmp_path / name).iterdir())
    assert [file.name for file in files] == [f"frame-{k:03d}.png" for k in range(12)]
    assert {looked_at(file)[1][0] for file in files} == {320}


def test_a_folder_that_is_not_empty_is_kept_without_force(run, tmp_path):
    folder = tmp_path / "pngs"
    folder.mkdir()
    (folder / "mine.txt").write_text("mine")
    (folder / "frame-099.png").write_text("of a longer turn")

    refused = run("animate", SHEETS["four-bar"], *FAST, "--out", "pngs/")

    assert refused.exit_code == 2
    assert "--force" in refused.output
    assert len(list(folder.iterdir())) == 2
    assert run("animate", SHEETS["four-bar"], *FAST, "--out", "pngs/", "--force").exit_code == 0
    assert len(list(folder.glob("frame-*.png"))) == 12
    assert (folder / "mine.txt").read_text() == "mine"
    assert [file.name for file in tmp_path.iterdir()] == ["pngs"]


def test_a_file_that_is_there_is_kept_without_force(run, tmp_path):
    there = tmp_path / "turn.gif"
    there.write_text("mine")

    refused = run("animate", SHEETS["four-bar"], *FAST, "--out", "turn.gif")

    assert refused.exit_code == 2
    assert "--force" in refused.output
    assert there.read_text() == "mine"
    done = run("animate", SHEETS["four-bar"], *FAST, "--out", "turn.gif", "--force")
    assert done.exit_code == 0, done.output
    assert looked_at(there)[0] == 12


def test_an_mp4_is_written(run, tmp_path):
    done = run("animate", SHEETS["four-bar"], *FAST, "--out", "turn.mp4")

    assert done.exit_code == 0, done.output
    assert (tmp_path / "turn.mp4").read_bytes()[4:8] == b"ftyp"


def test_an_mp4_needs_nothing_on_the_path(run, tmp_path, monkeypatch):
    monkeypatch.setenv("PATH", str(tmp_path))
    done = run("animate", SHEETS["four-bar"], *FAST, "--out", "turn.mp4")

    assert done.exit_code == 0, done.output


def test_without_ffmpeg_it_says_what_to_do(run, tmp_path, monkeypatch):
    def none():
        raise RuntimeError("No ffmpeg exe could be found.")

    monkeypatch.setattr(imageio_ffmpeg, "get_ffmpeg_exe", none)
    done = run("animate", SHEETS["four-bar"], *FAST, "--out", "turn.mp4")

    assert done.exit_code == 2
    said = " ".join(done.output.split())
    assert "ffmpeg" in said
    assert "install" in said
    assert ".gif" in said
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--out", "turn.avi"), "ends in '.avi'"),
        (("--out", "nowhere/turn.gif"), "there is no folder nowhere"),
        (("--out", "nowhere/pngs/"), "there is no folder nowhere"),
        (("--side", "left"), "has: only"),
        (("--frames", "120", "--seconds", "2"), "need 2.4 seconds at least"),
        (("--after", "nowhere.toml"), "nowhere.toml"),
        (("--after", SHEETS["ardmoor-2-6-0"]), "has: right, left"),
    ],
)
def test_a_call_that_cannot_be_used_is_said(run, tmp_path, words, said):
    done = run("animate", SHEETS["four-bar"], *words)

    assert done.exit_code == 2
    assert said in " ".join(done.output.split())
    assert not list(tmp_path.iterdir())


def test_before_and_after(run, tmp_path):
    after = SHEETS["ardmoor-2-6-0-straightened"]
    done = run("animate", SHEETS["ardmoor-2-6-0"], "--after", after, *FAST, "--out", "both.gif")

    assert done.exit_code == 0, done.output
    width, height = looked_at(tmp_path / "both.gif")[1]
    assert width == 320
    assert height > 600
