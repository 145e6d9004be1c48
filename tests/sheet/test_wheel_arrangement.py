"""Blank sheets of a gear with its coupled wheels, whatever their number and the driven axle."""

import tomllib

import pytest
from click.testing import CliRunner

from linkage.cli import main
from linkage.examine import examine
from linkage.sheet import sheet_from
from linkage.sheet.blank import blank_sheet
from linkage.sheet.lines import blank_lines
from linkage.sheet.wheel_arrangement import WheelArrangement

WHYTE = ["0-4-0", "2-4-2", "0-6-0", "4-6-2", "2-8-0", "2-10-2"]
EVERY = [(whyte, k + 1) for whyte in WHYTE for k in range(int(whyte.split("-")[1]) // 2)]


@pytest.mark.parametrize(("whyte", "driven"), EVERY)
def test_every_axle_stands_where_it_belongs_and_every_rod_couples_two(whyte, driven):
    asked = WheelArrangement.of(whyte, driven)
    side = sheet_from(tomllib.loads(blank_sheet("walschaerts", "4 mm", asked))).sides["right"]
    assert len(side.axles) == asked.coupled - 1
    assert len(side.coupling_rods) == asked.coupled - 1
    places = {name: axle.x for name, axle in side.axles.items()} | {"driving": 0.0}
    assert sum(x > 0 for x in places.values()) == driven - 1
    for rod in side.coupling_rods.values():
        rear, front = (places[axle] for axle in rod.axles)
        assert front - rear == pytest.approx(rod.spans[0])


@pytest.mark.parametrize(("whyte", "driven"), [("0-4-0", 1), ("2-8-0", 3), ("2-10-2", 2)])
def test_it_is_free_as_issued(whyte, driven):
    text = blank_sheet("walschaerts", "4 mm", WheelArrangement.of(whyte, driven))
    assert examine(sheet_from(tomllib.loads(text))).free


@pytest.mark.parametrize(("whyte", "driven"), [("0-4-0", 1), ("2-8-0", 3)])
def test_it_comes_with_its_form(tmp_path, whyte, driven):
    """Whichever axle and rod there are, the form draws one of each."""
    out, form = tmp_path / "engine.toml", tmp_path / "form.svg"
    called = ["new", "walschaerts", "--wheels", whyte, "--driven", str(driven)]
    result = CliRunner().invoke(main, [*called, "--out", str(out), "--diagram", str(form)])
    assert result.exit_code == 0, result.output
    assert list(tmp_path.glob("form*.svg"))


def test_its_form_has_a_place_for_every_axle_and_rod():
    lines = blank_lines("walschaerts", "4 mm", WheelArrangement.of("2-8-0", 3))
    sections = {line.section for line in lines}
    assert {"axles.leading", "axles.second", "axles.trailing"} <= sections
    assert {"coupling_rods.front", "coupling_rods.middle", "coupling_rods.rear"} <= sections


@pytest.mark.parametrize(
    ("whyte", "driven", "wrong"),
    [
        ("six", None, "is no wheel arrangement"),
        ("0-5-0", None, "is no wheel arrangement"),
        ("4-2-2", None, "has 1 coupled axles; 2 to 5 can be written"),
        ("2-12-0", None, "has 6 coupled axles"),
        ("0-6-0", 4, "coupled axle 4 is none of 3"),
    ],
)
def test_what_is_no_such_engine_is_refused(whyte, driven, wrong):
    with pytest.raises(ValueError, match=wrong):
        WheelArrangement.of(whyte, driven)
