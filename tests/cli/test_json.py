"""Every command that finds something says it to other programs too: one JSON object."""

from __future__ import annotations

import json

import pytest

from linkage.cli import COMMANDS, main
from linkage.sheet.ready import ready_sheets

KINKED = '\nbend = [{ kind = "kink", from = "rear", at = 30.0, up = 0.4 }]\n'
CALLS = {
    "bend": ["bend", "kinked.toml", "connecting_rod"],
    "cause": ["cause", "sheet.toml", "--felt", "locks at about 3 o'clock"],
    "check": ["check", "sheet.toml"],
    "compare": ["compare", "sheet.toml", "kinked.toml"],
    "elsewhere": ["elsewhere"],
    "events": ["events", "gear.toml", "--places", "3"],
    "fits": ["fits", "2.5", "H8/f7"],
    "sure": ["sure", "sheet.toml", "--engines", "100"],
    "part": ["part", "sheet.toml", "offer.toml"],
    "scale": ["scale", "5 ft 8 in", "--to", "7 mm"],
    "window": ["window", "sheet.toml", "connecting_rod.centres", "--from", "64", "--to", "66"],
}
"""A call of each command that finds something, on what is quickly looked at."""


def options_of(name):
    command = main.get_command(None, name)
    return {text for option in command.params for text in option.opts}


@pytest.fixture
def sheets(run, tmp_path):
    text = ready_sheets()["slider-crank"].read_text(encoding="utf-8")
    (tmp_path / "sheet.toml").write_text(text, encoding="utf-8")
    kinked = text.replace("\n[slide_bars]", f"{KINKED}\n[slide_bars]")
    (tmp_path / "kinked.toml").write_text(kinked, encoding="utf-8")
    gear = ready_sheets()["ardmoor-2-6-0-straightened"].read_text(encoding="utf-8")
    (tmp_path / "gear.toml").write_text(gear, encoding="utf-8")
    (tmp_path / "offer.toml").write_text("[connecting_rod]\ncentres = 65.1\n", encoding="utf-8")
    return tmp_path


def test_a_command_that_writes_no_file_finds_something():
    finds = {name for name in COMMANDS if "--json" in options_of(name)}
    silent = {"bench"}  # what it finds is on the page that it serves
    assert {name for name in COMMANDS if "--out" not in options_of(name)} - silent <= finds
    assert finds == set(CALLS), "a call of each command that takes --json belongs in CALLS"


@pytest.mark.parametrize("name", sorted(CALLS))
def test_it_prints_one_object(run, sheets, monkeypatch, name):
    monkeypatch.chdir(sheets)
    done = run(*CALLS[name], "--json")
    assert done.exit_code in (0, 1), done.output
    data = json.loads(done.stdout)
    assert isinstance(data, dict)
    assert data
