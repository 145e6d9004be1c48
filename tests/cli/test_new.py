"""`tightspot new`: a sheet that can be checked at once, and files that are safe."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from linkage.cli.new import ARRANGEMENTS
from linkage.sheet import read_sheet
from linkage.units import SCALES


def test_the_sheet_it_writes_turns_freely(run):
    assert run("new", "walschaerts").exit_code == 0
    done = run("check", "walschaerts.toml")

    assert done.exit_code == 0
    assert "Free all round the turn." in done.output


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_every_arrangement_has_a_sheet_that_turns_freely(run, arrangement):
    assert run("new", arrangement).exit_code == 0
    assert run("check", f"{arrangement}.toml").exit_code == 0


def test_it_says_what_to_do_next(run):
    done = run("new", "walschaerts", "--out", "my-engine.toml")

    assert done.output == (
        "my-engine.toml is ready to be filled in; then: tightspot check my-engine.toml\n"
    )
    assert "TYPICAL" in Path("my-engine.toml").read_text(encoding="utf-8")


@pytest.mark.parametrize("scale", SCALES)
def test_every_scale_gives_a_sheet_that_can_be_read(run, scale):
    assert run("new", "walschaerts", "--scale", scale).exit_code == 0

    assert read_sheet("walschaerts.toml").scale == scale


def test_it_does_not_write_over_a_file(run):
    Path("walschaerts.toml").write_text("mine", encoding="utf-8")
    done = run("new", "walschaerts")

    assert done.exit_code == 2
    assert "walschaerts.toml: stands there already; give --force to write over it" in done.output
    assert Path("walschaerts.toml").read_text(encoding="utf-8") == "mine"


def test_it_writes_over_a_file_when_told_to(run):
    Path("walschaerts.toml").write_text("mine", encoding="utf-8")

    assert run("new", "walschaerts", "--force").exit_code == 0
    assert "arrangement" in Path("walschaerts.toml").read_text(encoding="utf-8")


def test_a_folder_that_is_not_there(run):
    done = run("new", "walschaerts", "--out", "nowhere/engine.toml")

    assert done.exit_code == 2
    assert "there is no folder nowhere" in done.output
    assert list(Path().iterdir()) == []


def test_a_folder_named_for_the_file(run):
    Path("folder").mkdir()
    done = run("new", "walschaerts", "--out", "folder", "--force")

    assert done.exit_code == 2
    assert list(Path("folder").iterdir()) == []


@pytest.mark.parametrize("before", [None, "mine"])
def test_it_is_never_half_written(run, monkeypatch, before):
    if before:
        Path("walschaerts.toml").write_text(before, encoding="utf-8")

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", full)
    monkeypatch.setattr(Path, "replace", full)
    done = run("new", "walschaerts", "--force")

    assert done.exit_code == 2
    assert "walschaerts.toml: cannot be written (No space left on device)" in done.output
    left = {path.name: path.read_text(encoding="utf-8") for path in Path().iterdir()}
    assert left == ({"walschaerts.toml": before} if before else {})


def test_an_arrangement_that_is_not_known_tells_those_that_are(run):
    done = run("new", "walscherts")

    assert done.exit_code == 2
    assert "'walscherts' is not one of 'walschaerts', 'slider-crank'" in done.output
    assert list(Path().iterdir()) == []
