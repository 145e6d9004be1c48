"""The form and the sheet that goes with it in inches, with its letters; angles by two edges."""

from __future__ import annotations

import math
import tomllib

import pytest

from linkage.errors import SheetError
from linkage.form.letters import letters_of
from linkage.form.model import models_of
from linkage.lengths import Inches
from linkage.sheet import sheet_from
from linkage.sheet.blank import blank_sheet
from linkage.sheet.lines import blank_lines
from linkage.sheet.wheel_arrangement import WheelArrangement

WHEELS = WheelArrangement.of("0-6-0", 2)


def test_a_blank_sheet_in_inches_is_the_same_engine():
    inches, mm = (
        sheet_from(tomllib.loads(blank_sheet("walschaerts", "7 mm", WHEELS, unit)))
        for unit in ("in", "mm")
    )
    assert isinstance(inches.lengths, Inches)
    for key, value in mm.dimensions["right"].items():
        assert inches.dimensions["right"][key] == pytest.approx(value, abs=0.02), key


def test_the_form_asks_for_inches():
    units = {line.unit for line in blank_lines("walschaerts", "7 mm", WHEELS, "in")}
    assert units == {"in", "degrees", "word"}


def test_an_example_in_mm_is_not_called_one_in_inches():
    with pytest.raises(ValueError, match="example of linkage is in mm"):
        blank_sheet("linkage", unit="in")


@pytest.mark.parametrize(("name", "wheels"), [("walschaerts", WHEELS), ("linkage", None)])
def test_every_letter_of_the_form_stands_once_beside_its_line(name, wheels):
    models = models_of(name, "4 mm", wheels)
    letters = letters_of(models)
    text = blank_sheet(name, "4 mm", wheels, letters=letters)
    beside = [
        letter
        for line in text.splitlines()
        if "# " in line and "[" in line and "= " in line
        for letter in line.rpartition("# ")[2].partition("]")[0].rpartition("[")[2].split(", ")
        if letter.isupper()
    ]
    assert len(letters) > 3
    assert beside == list(letters.values())
    assert sheet_from(tomllib.loads(text)).sides  # and it can still be read


def test_every_axle_has_a_letter_for_where_it_stands():
    letters = letters_of(models_of("walschaerts", "4 mm", WHEELS))
    assert {"axles.leading.ahead", "axles.trailing.back"} <= letters.keys()


DATA = tomllib.loads(blank_sheet("walschaerts"))


def _inclined(value):
    data = {**DATA, "cylinder": {**DATA["cylinder"], "inclination": value}}
    return sheet_from(data, ask=False).sides["right"].cylinder.inclination


def test_an_angle_may_be_given_by_two_edges():
    assert _inclined({"rise": 1.0, "run": 24.0}) == pytest.approx(math.atan(1 / 24))
    assert _inclined({"rise": "25.4 mm", "run": "24 in"}) == pytest.approx(math.atan(1 / 24))


@pytest.mark.parametrize("value", [{"rise": 1.0}, {"rise": 0.0, "run": 0.0}])
def test_half_an_angle_is_refused(value):
    with pytest.raises(SheetError, match=r"cylinder.inclination: (should be an angle|has neither)"):
        _inclined(value)
