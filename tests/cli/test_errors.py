"""Sheets and calls that cannot be used: one clear message, exit status 2, nothing written."""

from __future__ import annotations

from pathlib import Path

import pytest

BOWTIE = [[29.4, 3.4], [30.6, 9.2], [30.6, 3.4], [29.4, 9.2]]
SQUARE = {"name": "step", "side_view": [[0, 0], [2, 0], [2, 2]], "out": 2.6, "thickness": 1.0}

ORDERS = "A[/]\x1b[2J\ufeff\u202e\x85 rod"

BAD = [
    ({"wheels.throw": "four"}, "wheels.throw: should be a length, such as", 'found "four"'),
    ({"wheels.throw": True}, "wheels.throw: should be", "found true"),
    ({"wheels.throw": 0}, "wheels.throw: should be above 0", "found 0"),
    ({"wheels.throw": -4.33}, "wheels.throw: should be above 0", "found -4.33"),
    ({"wheels.throw": float("nan")}, "wheels.throw: should be a finite number", "found nan"),
    ({"union_link.centres": float("inf")}, "union_link.centres: should be", "found inf"),
    (
        {"union_link.centres": None},
        "union_link.centres: is missing: drop arm's pin to", "the lever's foot",
    ),
    ({"expansion_link": None}, "expansion_link: is missing", ""),
    (
        {"union_link.centers": 4.5},
        "union_link.centers: is not a known key", 'did you mean "centres"?',
    ),
    (
        {"conecting_rod": {"width": 1.8}},
        "conecting_rod: is not a known key", 'did you mean "connecting_rod"?',
    ),
    ({"arrangement": "walschearts"}, "arrangement: should be", 'found "walschearts"'),
    ({"motion_bracket.side_view": BOWTIE}, "motion_bracket.side_view: crosses itself", "corner 1"),
    ({"wheels.throw": 8.66}, "wheels.throw: 8.66 mm is unusual", "is this the stroke"),
    ({"wheels.throw": 0.1705}, "wheels.throw: 0.1705 mm is unusual", "is this in inches?"),
    (
        {"connecting_rod.centres": 1.65},
        "connecting_rod.centres: 1.65 mm is unusual", "is this in inches?",
    ),
    ({"right.radius_rod.centres": -1.0}, "right.radius_rod.centres: should be above 0", "-1.0"),
]  # fmt: skip


@pytest.mark.parametrize(("changes", "key", "found"), BAD, ids=[key for _, key, _ in BAD])
def test_a_bad_sheet_is_told_by_file_key_and_what_was_found(run, write, changes, key, found):
    name = write(changes)
    done = run("check", name)

    assert done.exit_code == 2
    assert isinstance(done.exception, SystemExit)
    assert done.output.startswith(f"Error: {name}: 1 problem\n  {key}")
    assert found in done.output
    assert "Traceback" not in done.output
    assert len(done.output.splitlines()) == 2
    assert [path.name for path in Path().iterdir()] == [name]


def test_two_things_of_one_name(run, write):
    done = run("check", write({"fixed": [SQUARE, SQUARE]}))

    assert done.exit_code == 2
    assert done.output.startswith("Error: engine.toml: ")
    assert 'two parts or fixed things have the name "step"' in done.output


def test_no_file(run):
    done = run("check", "none.toml")

    assert done.exit_code == 2
    assert done.output == "Error: none.toml: 1 problem\n  there is no such file\n"


def test_a_folder(run):
    done = run("check", ".")

    assert done.exit_code == 2
    assert "is a directory; name the sheet's file" in done.output


def test_not_toml_tells_the_line(run):
    Path("engine.toml").write_text("[wheels]\nthrow = 4,33\n", encoding="utf-8")
    done = run("check", "engine.toml")

    assert done.exit_code == 2
    assert "engine.toml: 2 problems" in done.output
    assert "arrangement: is missing" in done.output
    assert "line 2 cannot be read" in done.output
    assert '"4,33"' in done.output


@pytest.mark.parametrize("command", [["check"], ["check", "--json"]])
@pytest.mark.parametrize("side", ["right", "left"])
def test_a_rod_too_short_to_be_joined_anywhere(run, write, side, command):
    sure = [f"{side}.eccentric_rod.centres"]
    name = write({"sure": sure, side: {"eccentric_rod": {"centres": 14.0}}})
    done = run(*command, name)

    assert done.exit_code == 2
    assert done.output.startswith(f"Error: {name}, {side}-hand side: cannot be put together at any")
    assert "eccentric rod, expansion link" in done.output
    assert "mm apart. Check their centres" in done.output
    assert len(done.output.splitlines()) == 1


def test_an_unknown_command(run):
    done = run("chek")

    assert done.exit_code == 2
    assert "No such command 'chek'. Did you mean 'check'?" in done.output


def test_an_unknown_command_like_none_has_no_hint(run):
    done = run("xyzzy")

    assert done.exit_code == 2
    assert "No such command 'xyzzy'." in done.output
    assert "Did you mean" not in done.output


def test_an_unknown_option(run):
    done = run("check", "--jsn")

    assert done.exit_code == 2
    assert "--json" in done.output


TYPED = """\
title = "Fennel Wharf tank, typed at the bench"
arrangement = "walschaerts"
units = "mm"

[wheels]
throw = -4.33

[crank_pin]
diameter = 1.5

[connecting_rod]
centres = "fourty two"

[slide_bars]
rear = 31.0
front = 49.5
gap = 4.6

[crosshead]
slipper = { ahead = 2.5, back = 2.5, depth = 4.2 }
drop_arm_pin = { ahead = 0.5, below = 2.1 }

[return_crank]
pin_circle = 2.3
leads = 90

[eccentric_rod]
centers = 24.1

[expansion_link]
trunnion = { ahead = 24.0, up = 4.5 }
foot_pin = { below = 4.6, back = 0.0 }
slot_half_length = nan

[radius_rod]
centres = 23.0
die_above_trunnion = 2.5
bend = [{ kind = "bow", from = "die blok", at = 9.6, over = 6.0, towards_frames = 0.55 }]

[combination_lever]
radius_rod_pin_to_valve_pin = 1.21
radius_rod_pin_to_union_pin = 9.0

[union_link]
centres = 4.5

[valve_spindle]
height = 5.8
"""


def test_all_slips_of_a_sheet_typed_from_scratch_come_in_one_run(run):
    Path("tank.toml").write_text(TYPED, encoding="utf-8")
    done = run("check", "tank.toml")

    assert done.exit_code == 2
    assert done.output == (
        "Error: tank.toml: 5 problems\n"
        "  wheels.throw: should be above 0 (found -4.33)\n"
        "  connecting_rod.centres: should be a length, such as 4.33, \"4,33\", \"3/32 in\", "
        "\"38 thou\" or \"4.3 mm\" (found \"fourty two\")\n"
        "  eccentric_rod.centers: is not a known key; did you mean \"centres\"?\n"
        "  expansion_link.slot_half_length: should be a finite number (found nan)\n"
        "  radius_rod: bend 1: from should be one of \"die block\", \"rear\", \"lever pin\", "
        "\"valve pin\", \"front\", not \"die blok\"\n"
    )  # fmt: skip


MENDED = [
    ("throw = -4.33", "throw = 4.33"), ('"fourty two"', "42.0"), ("centers", "centres"),
    ("nan", "3.2"), ("die blok", "die block"),
]  # fmt: skip


def test_with_the_slips_mended_the_same_sheet_is_examined(run):
    text = TYPED
    for slip, good in MENDED:
        assert slip in text
        text = text.replace(slip, good)
    Path("tank.toml").write_text(text, encoding="utf-8")

    assert run("check", "tank.toml").exit_code in (0, 1)


def test_orders_to_the_terminal_do_not_reach_it(run, write):
    name = write({"title": ORDERS, "fixed": [{**SQUARE, "name": ORDERS}]})
    done = run("check", name, "--all", "--patience", "0")

    assert done.output.startswith("A[/][2J rod\n")
    assert not any(mark in done.output for mark in "\x1b\ufeff\u202e\x85")


def test_orders_in_what_is_wrong_do_not_reach_it_either(run):
    for words in (["check", "a\x1b[2Jb.toml"], ["a\x1b[2J"], ["check", "--spot\x1b[2J"]):
        done = run(*words)
        assert done.exit_code == 2
        assert "\x1b" not in done.output


@pytest.mark.parametrize("ending", ["pdf", "svg", "png"])
def test_pictures_take_any_letter_without_a_word(run, write, ending):
    name = write({"title": ORDERS + "\U0001f600"})
    done = run("template", name, "radius_rod", "--out", f"rod.{ending}")

    assert done.exit_code == 0
    assert done.output == f"rod.{ending} is written\n"


def test_a_template_without_a_title_does_not_tell_where_its_sheet_lay(run, write, tmp_path):
    name = write({"title": None})
    assert run("template", str(tmp_path / name), "radius_rod", "--out", "rod.svg").exit_code == 0
    assert tmp_path.name not in Path("rod.svg").read_text(encoding="utf-8")


def test_cures_are_put_on_the_text_that_was_read(run, write, monkeypatch):
    """A sheet edited while it is checked is noticed, and nothing is written."""
    from linkage.advice import search_cures

    name = write({})

    def meanwhile(*asked):
        with Path(name).open("a", encoding="utf-8") as sheet:
            sheet.write("# a remark\n")
        return search_cures(*asked)

    monkeypatch.setattr("linkage.cli.check.search_cures", meanwhile)
    done = run("check", name, "--apply", "cured.toml", "--patience", "0")
    assert done.exit_code == 2
    assert (
        "engine.toml: 1 problem\n  was edited while it was checked; check it again" in done.stderr
    )
    assert not Path("cured.toml").exists()
