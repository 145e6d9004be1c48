"""`tightspot new`: a sheet that can be checked at once, and files that are safe."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pypdfium2
import pytest

from linkage.arrangements import ARRANGEMENTS
from linkage.sheet import json_schema, read_sheet
from linkage.sheet.blank import SCHEMA_FILE
from linkage.units import SCALES


def test_the_sheet_it_writes_turns_freely(run):
    assert run("new", "walschaerts").exit_code == 0
    done = run("check", "walschaerts.toml")

    assert done.exit_code == 0
    assert "Free by the figures as they stand." in done.output
    assert "Cannot be told from what was measured" in done.output  # nothing was


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_every_arrangement_has_a_sheet_that_turns_freely(run, arrangement):
    assert run("new", arrangement).exit_code == 0
    assert run("check", f"{arrangement}.toml").exit_code == 0


def test_it_says_what_to_do_next(run):
    done = run("new", "walschaerts", "--out", "my-engine.toml")

    assert done.output == (
        "my-engine.toml is ready to be filled in; then: tightspot check my-engine.toml\n"
    )
    assert "a guess, measure yours" in Path("my-engine.toml").read_text(encoding="utf-8")


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
    assert "'walscherts' is not one of 'walschaerts', 'stephenson', " in done.output
    assert list(Path().iterdir()) == []


# --- the schema --------------------------------------------------------------------------------


def test_the_schema_is_printed_and_nothing_is_written(run):
    done = run("new", "--schema")

    assert done.exit_code == 0
    assert json.loads(done.output) == json_schema()
    assert list(Path().iterdir()) == []


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_the_first_line_of_a_sheet_says_where_editors_find_it(run, arrangement):
    assert run("new", arrangement).exit_code == 0
    first = Path(f"{arrangement}.toml").read_text(encoding="utf-8").splitlines()[0]

    assert first == f"#:schema ./{SCHEMA_FILE}"
    assert f"tightspot new --schema > {SCHEMA_FILE}" in " ".join(
        run("new", "--help").output.split()
    )


def test_the_schema_of_one_arrangement_has_no_keys_of_another(run):
    named = json.loads(run("new", "coupled-wheels", "--schema").output)["properties"]

    assert "axles" in named
    assert "radius_rod" not in named


# --- the measuring diagram ----------------------------------------------------------------------


def test_the_diagram_is_one_pdf_beside_the_sheet(run):
    done = run("new", "slider-crank", "--out", "my.toml", "--diagram", "my.pdf")

    assert done.exit_code == 0, done.output
    assert done.output == (
        "my.pdf: print, and fill in at the bench\n"
        "my.toml is ready to be filled in; then: tightspot check my.toml\n"
    )
    with pypdfium2.PdfDocument("my.pdf") as document:
        sizes = {tuple(round(side / 72 * 25.4) for side in page.get_size()) for page in document}
        text = "".join(page.get_textpage().get_text_range() for page in document)
    assert sizes == {(210, 297)}
    assert "outside to outside of the eyes" in text
    assert "outside_to_outside = a, ends = [b, c]" in text


@pytest.mark.parametrize("ending", [".svg", ".png"])
def test_pictures_of_several_pages_are_numbered(run, ending):
    done = run("new", "linkage", "--out", "my.toml", "--diagram", f"form{ending}")

    assert done.exit_code == 0, done.output
    names = sorted(path.name for path in Path().iterdir())
    assert names == [*(f"form-{k}{ending}" for k in (1, 2)), "my.toml"]
    assert all(name in done.output for name in names)


def test_one_page_in_the_way_leaves_all_as_it_was(run):
    Path("form-2.svg").write_text("mine", encoding="utf-8")
    done = run("new", "linkage", "--out", "my.toml", "--diagram", "form.svg")

    assert done.exit_code == 2
    assert "form-2.svg: stands there already; give --force to write over it" in done.output
    assert [path.name for path in Path().iterdir()] == ["form-2.svg"]
    assert Path("form-2.svg").read_text(encoding="utf-8") == "mine"

    assert (
        run("new", "linkage", "--out", "my.toml", "--diagram", "form.svg", "--force").exit_code == 0
    )
    assert Path("form-2.svg").read_text(encoding="utf-8") != "mine"


def test_a_sheet_in_the_way_stops_the_diagram_too(run):
    Path("my.toml").write_text("mine", encoding="utf-8")
    done = run("new", "linkage", "--out", "my.toml", "--diagram", "form.pdf")

    assert done.exit_code == 2
    assert [path.name for path in Path().iterdir()] == ["my.toml"]


@pytest.mark.parametrize(
    ("diagram", "message"),
    [
        ("form.txt", "ends in '.txt'; pictures end in .png, .svg or .pdf"),
        ("nowhere/form.pdf", "there is no folder nowhere"),
    ],
)
def test_a_diagram_that_cannot_be_written_leaves_no_sheet(run, diagram, message):
    done = run("new", "linkage", "--diagram", diagram)

    assert done.exit_code == 2
    assert message in done.output
    assert list(Path().iterdir()) == []


def test_files_that_fail_half_way_are_put_back(run, monkeypatch):
    """The sheet stands in its place already when the second file fails: it is put back."""
    Path("my.toml").write_text("mine", encoding="utf-8")
    replace = Path.replace

    def fails_for_the_form(path, to):
        if Path(to).suffix == ".pdf":
            raise OSError(28, "No space left on device")
        return replace(path, to)

    monkeypatch.setattr(Path, "replace", fails_for_the_form)
    done = run("new", "linkage", "--out", "my.toml", "--diagram", "form.pdf", "--force")

    assert done.exit_code == 2
    assert "form.pdf: cannot be written (No space left on device)" in done.output
    assert [path.name for path in Path().iterdir()] == ["my.toml"]
    assert Path("my.toml").read_text(encoding="utf-8") == "mine"


def test_the_diagram_is_the_same_every_time(run):
    for name in ("one.pdf", "other.pdf"):
        assert run("new", "linkage", "--diagram", name, "--force").exit_code == 0

    assert Path("one.pdf").read_bytes() == Path("other.pdf").read_bytes()
