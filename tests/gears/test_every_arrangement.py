"""Every arrangement, and one that is defined in the tests alone, through every command.

What a room has to know of a gear it has from the arrangement, so the one in `fast_eccentric.py`,
which no room has heard of, must come as far as those that are built in.
"""

from __future__ import annotations

import json
import re
import tomllib

import pytest
import tomlkit
from click.testing import CliRunner

from linkage.arrangements import ARRANGEMENTS, HOMES, build
from linkage.cli import COMMANDS, main
from linkage.form.letters import sections_of
from linkage.form.model import models_of
from linkage.mechanism import Sort
from linkage.report.glossary import look_up
from linkage.report.naming import name_number
from linkage.sheet import read_sheet, sheet_from
from linkage.sheet.blank import blank_sheet
from linkage.sheet.lines import blank_lines
from linkage.tables.fields import read_length
from tests.gears import fast_eccentric
from tests.gears.fast_eccentric import FAST_ECCENTRIC
from tests.voices import MM_BENCH, MM_OWNER

NAMES = [*ARRANGEMENTS, FAST_ECCENTRIC.name]
ONE_SIDED = {
    "stephenson",
    "stephenson-rocker",
    "gooch",
    "allan",
    "joy",
    "hackworth",
    "southern",
    "baker",
}
"""Walked with their right-hand side alone: what two sides add, the other gears show."""
LIKE = {"allan", "hackworth", "southern", "stephenson-rocker", "conjugated"}
"""Of the same kinds of table and part as another gear: their commands are for long runs."""


def some(names, dear):
    """Return the names of arrangements, some of them for long runs alone."""
    return [pytest.param(n, marks=pytest.mark.long) if n in dear else n for n in names]


def walked(names):
    """Return the names of arrangements, those that are like another for long runs alone."""
    return some(names, LIKE)


MADE_OF_TABLES = [name for name in NAMES if name != "linkage"]


@pytest.fixture(autouse=True)
def _registered(monkeypatch):
    home = (fast_eccentric.__name__, "FAST_ECCENTRIC")
    monkeypatch.setitem(HOMES, FAST_ECCENTRIC.name, home)


@pytest.fixture
def run(tmp_path, monkeypatch):
    """Run a command in an empty folder."""
    monkeypatch.chdir(tmp_path)
    return lambda *words: CliRunner().invoke(main, list(words), prog_name="tightspot")


@pytest.fixture
def sheet(run, tmp_path):
    """Write an arrangement's blank sheet, as `new` does, with some of it changed."""

    def write(name, change=lambda _: None):
        assert run("new", name, "--out", "engine.toml").exit_code == 0
        text = (tmp_path / "engine.toml").read_text(encoding="utf-8")
        document = tomlkit.parse(text)
        if name in ONE_SIDED:
            document["sides"] = ["right"]
            document["wheels"].pop("right_leads_by", None)
        change(document)
        (tmp_path / "engine.toml").write_text(tomlkit.dumps(document), encoding="utf-8")
        return "engine.toml"

    return write


def rods_of(name) -> list[str]:
    """Return the keys of the rods of an arrangement's blank sheet."""
    made = build(sheet_from(tomllib.loads(blank_sheet(name))))
    parts = next(iter(made.values())).parts
    return [part.key for part in parts if part.sort is Sort.ROD]


def at(document, key):
    for step in key.split("."):
        document = document[step]
    return document


def fine(done, *codes) -> str:
    assert done.exit_code in (codes or (0,)), done.output
    return done.output


# --- the sheet and the form -----------------------------------------------------------------------


@pytest.mark.parametrize("name", walked(NAMES))
def test_the_blank_sheet_is_checked_and_free(run, sheet, name):
    said = fine(run("check", sheet(name)))
    assert said.count("Free all round the turn") + said.count("Free by the figures as") == 1
    assert json.loads(fine(run("check", "engine.toml", "--json")))["free"] is True


@pytest.mark.parametrize("name", NAMES)
def test_the_schema_knows_every_key_of_the_blank_sheet(run, name):
    schema = json.loads(fine(run("new", name, "--schema")))
    assert schema["properties"]["arrangement"]["enum"] == [name]
    for line in blank_lines(name):
        key = (line.section or line.key).split(".")[0]
        assert key in schema["properties"], key


@pytest.mark.parametrize("name", NAMES)
def test_every_number_of_the_blank_sheet_is_on_the_form_or_has_a_reason(name):
    sections = sections_of(models_of(name))
    drawn = {mark.key for held in sections if held.detail for mark in held.detail.marks}
    for line in (line for held in sections for line in held.lines if line.unit != "word"):
        assert (line.full in drawn) != bool(line.no_place), line.full


def test_the_form_of_a_gear_that_no_room_has_heard_of(run):
    said = fine(run("new", FAST_ECCENTRIC.name, "--out", "my.toml", "--diagram", "form.pdf"))
    assert said.startswith("form.pdf: print, and fill in at the bench")


def test_new_names_what_there_is(run):
    assert "name an arrangement: walschaerts, stephenson, " in fine(run("new"), 2)
    assert f"is not one of 'walschaerts', {', '.join(map(repr, NAMES[1:]))}" in fine(
        run("new", "joey"), 2
    )


# --- words ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", MADE_OF_TABLES)
def test_every_part_is_in_the_glossary(name):
    made = build(sheet_from(tomllib.loads(blank_sheet(name))))
    for part in next(iter(made.values())).parts:
        assert part.unseen or look_up(part.name) is not None, part.name


@pytest.mark.parametrize("name", NAMES)
def test_every_number_can_be_said_in_either_register(name):
    read = sheet_from(tomllib.loads(blank_sheet(name)))
    for held in read.dimensions.values():
        for key in held:
            for voice in (MM_BENCH, MM_OWNER):
                said = name_number(key, voice)
                assert not re.search(r"[_{}.]", said), said
                assert " the the " not in f" {said} "


# --- the commands ---------------------------------------------------------------------------------

WALKED = {
    "animate", "bend", "cause", "check", "compare", "draw", "events", "fits", "new", "page", "part",
    "report", "scale", "sure", "template", "window",
}  # fmt: skip
"""Commands that are taken with a sheet of each gear in this file."""
OF_NO_GEAR = {"elsewhere": "takes no sheet", "bench": "each gear's changes: tests/bench"}
DEAR = {"walschaerts", "stephenson", "gooch", "joy", "baker"}
"""Gears whose fits are for long runs."""
QUICK = {"slip-eccentric", FAST_ECCENTRIC.name}
"""Gears of which even the dearest commands are quick."""


def test_every_command_is_walked():
    assert set(COMMANDS) == WALKED | set(OF_NO_GEAR)


@pytest.mark.parametrize("name", some(MADE_OF_TABLES, DEAR | LIKE))
def test_events_fits_and_scales(run, sheet, name):
    """What has no valve says that it has none."""
    told = fine(run("events", sheet(name), "--places", "3"), 0, 2)
    assert ("travel" in told) != ("valve" in told and "Error" in told)
    assert "Fits of 2 mm" in fine(run("fits", "2", "--sheet", "engine.toml"))
    assert "nearest" in fine(run("scale", "--sheet", "engine.toml"))


@pytest.mark.parametrize("name", some(NAMES, set(NAMES) - QUICK))
def test_how_sure_and_what_may_be_wrong(run, sheet, name):
    assert "Nothing stops the wheels" in fine(run("sure", sheet(name), "--engines", "100"))
    sides = read_sheet("engine.toml").sides
    felt = f"locks at about 5 o'clock{' on the right' if 'right' in sides else ''}"
    assert "Chance: " in fine(run("cause", "engine.toml", "--felt", felt))


@pytest.mark.parametrize("show", ["spot", "mechanism", "paths", "positions", "angles"])
@pytest.mark.parametrize("name", walked([name for name in NAMES if name not in ONE_SIDED]))
def test_draw(run, sheet, name, show):
    fine(run("draw", sheet(name), "--show", show, "--out", "picture.svg"))


@pytest.mark.parametrize("name", walked(sorted(ONE_SIDED)))
def test_draw_one_side(run, sheet, name):
    fine(run("draw", sheet(name), "--show", "mechanism", "--out", "picture.svg"))


@pytest.mark.parametrize("name", walked(NAMES))
def test_window(run, sheet, name):
    key = f"{rods_of(name)[0]}.centres" if name != "linkage" else "part[1].centres"
    assert "mm" in fine(run("window", sheet(name), key), 0, 1)


@pytest.mark.parametrize("name", walked(MADE_OF_TABLES))
def test_bend(run, sheet, name):
    key = next(key for key in rods_of(name))

    def bent(document):
        end = "driving" if name == "coupled-wheels" else "rear"
        at(document, key)["bend"] = [{"kind": "bow", "from": end, "towards_frames": 0.3}]

    fine(run("bend", sheet(name, bent), key), 0, 1)


@pytest.mark.parametrize("name", walked(MADE_OF_TABLES))
def test_template(run, sheet, name):
    sheet(name)
    for key in rods_of(name)[:2]:
        fine(run("template", "engine.toml", key, "--out", "rod.pdf", "--force"))


@pytest.mark.parametrize("name", walked(MADE_OF_TABLES))
def test_part(run, sheet, tmp_path, name):
    key = rods_of(name)[-1]
    held = sheet_from(tomllib.loads(blank_sheet(name)))
    number = f"{key}.centres"
    size = next(iter(held.dimensions.values())).get(number)
    offer = f"[{key}]\n" + (f"centres = {size + 0.01}\n" if size else "width = 1.0\n")
    (tmp_path / "offer.toml").write_text(offer, encoding="utf-8")
    fine(run("part", sheet(name), "offer.toml"), 0, 1)


@pytest.mark.parametrize("name", walked(NAMES))
def test_compare(run, sheet, tmp_path, name):
    (tmp_path / "before.toml").write_text(blank_sheet(name), encoding="utf-8")

    def longer(document):
        part = document["part"][0] if name == "linkage" else at(document, rods_of(name)[0])
        part["centres"] = read_length(part["centres"], "mm") + 0.02

    assert "centres" in fine(run("compare", "before.toml", sheet(name, longer)), 0, 1)


@pytest.mark.parametrize("name", walked(NAMES))
def test_what_goes_back_with_the_engine(run, sheet, tmp_path, name):
    fine(run("report", sheet(name), "--out", "report.html"), 0, 1)
    fine(run("page", "engine.toml", "--out", "page.html"))
    fine(run("animate", "engine.toml", "--out", "turn.gif", "--frames", "12", "--width", "320"))
    names = {path.name for path in tmp_path.iterdir()}
    assert {"report.html", "page.html", "turn.gif"} <= names


def test_a_sheet_of_it_is_read_and_its_slips_are_found(run, sheet):
    sheet(FAST_ECCENTRIC.name, lambda document: document["eccentric"].update(throwe=1.0))
    said = fine(run("check", "engine.toml"), 2)
    assert 'eccentric.throwe: is not a known key; did you mean "throw"?' in said


def test_what_is_assumed_of_it_is_said_and_follows_what_is_given(sheet):
    read = read_sheet(sheet(FAST_ECCENTRIC.name, lambda d: d["eccentric"].update(out=-5.0)))
    assert "eccentric diameter 3.6 mm" in read.assumed
    assert read.sides["only"].eccentric_rod.out == -5.0


@pytest.mark.parametrize(
    ("gear", "scale"), [("walschaerts", "Z"), ("walschaerts", "2 mm"), ("gooch", "Z")]
)
def test_the_smallest_models_are_free_as_issued(run, gear, scale):
    """What is guessed, to two decimals, leaves the room that is wanted at small scales too."""
    fine(run("new", gear, "--scale", scale, "--out", "small.toml"))
    assert json.loads(fine(run("check", "small.toml", "--json")))["free"] is True
