"""What a sheet says, taken up as it is meant."""

import dataclasses
import itertools
import json
import math
import re
import tomllib

import pytest

from linkage.arrangements import ARRANGEMENTS
from linkage.arrangements.walschaerts.side import WalschaertsSide
from linkage.errors import SheetError
from linkage.sheet import change, json_schema, sheet_from
from linkage.sheet.assumptions import fill_in
from linkage.sheet.blank import DAMAGE, TYPICAL, blank_sheet
from linkage.sheet.dimensions import default_error
from linkage.sheet.merging import merge
from linkage.tables.facts import facts_of, fields_by_key, table_of
from linkage.tables.fields import read_length
from linkage.tables.origin import Origin, Source
from linkage.units import SCALES


def test_dimensions_in_every_form(read):
    sheet = read(
        ("throw = 4.0", 'throw = "4,0"'),
        ("height = 6.0", 'height = "1/4 in"'),
        ("pin_circle = 1.6", 'pin_circle = { value = "63 thou", measured_to = "1 thou" }'),
    )
    right = sheet.sides["right"]
    assert right.wheels.throw == 4.0
    assert right.valve_spindle.height == pytest.approx(6.35, rel=1e-15)
    assert right.return_crank.pin_circle == pytest.approx(1.6002, rel=1e-15)
    # 10.4 over all, less half of each eye; 3.4 between the holes, and half of each hole.
    assert right.combination_lever.radius_rod_pin_to_union_pin == pytest.approx(8.9, rel=1e-15)
    assert right.union_link.centres == pytest.approx(4.1, rel=1e-15)
    assert right.return_crank.leads == pytest.approx(math.pi / 2, rel=1e-15)


def test_a_sheet_in_inches(read):
    sheet = read(
        ('units = "mm"', 'units = "in"'),
        ("throw = 4.0", "throw = 0.16"),
        ("throw = 0.16", 'throw = 0.16\nside_play = "0.2 mm"'),
        *(
            (f"{key} = {value}", f'{key} = "{value} mm"')
            for key, value in [
                ("centres", "36.0"),
                ("pin_circle", "1.6"),
                ("centres", "20.0"),
                ("centres", "16.0"),
                ("slot_half_length", "3.0"),
                ("die_above_trunnion", "2.0"),
                ("wanted_clearance", "0.2"),
                ("height", "6.0"),
                ("towards_frames", "0.5"),
                ("below", "7.0"),
                ("ahead", "20.0"),
                ("radius_rod_pin_to_valve_pin", "1.2"),
            ]
        ),
        ("{ inside_to_inside = 3.4, holes = [0.6, 0.8] }", '"4.1 mm"'),
        ("{ outside_to_outside = 10.4, ends = [1.4, 1.6], measured_to = 0.03 }", '"9 mm"'),
        ("ahead = 2.0, below = 3.0", 'ahead = "2 mm", below = "3 mm"'),
    )
    right = sheet.sides["right"]
    assert right.wheels.throw == pytest.approx(4.064, rel=1e-15)
    assert right.expansion_link.trunnion.up == pytest.approx(177.8, rel=1e-15)
    assert sheet.origins["wheels.throw"].error == pytest.approx(1.27, rel=1e-15)
    assert right.wheels.side_play == pytest.approx(0.2, rel=1e-15)
    assert sheet.wanted_clearance == 0.2


def test_measuring_errors_stand_beside_or_at_the_top(read):
    origins = read().origins
    assert origins["wheels.throw"] == Origin(Source.MEASURED, 0.05)
    lever = "combination_lever.radius_rod_pin_to_union_pin"
    assert origins[lever] == Origin(Source.MEASURED, 0.03)
    assert origins["return_crank.leads"] == Origin(Source.MEASURED, 1.0)
    assert origins["radius_rod.width"].source is Source.ASSUMED


def test_without_a_word_errors_are_iso_2768_1_grade_m(read):
    sheet = read(("measured_to = 0.05\n", ""))
    assert sheet.origins["wheels.throw"].error == 0.1
    assert sheet.origins["connecting_rod.centres"].error == 0.3
    assert any("ISO 2768-1 grade m" in line for line in sheet.assumed)


def test_an_angle_may_have_its_own_error(read):
    sheet = read(("leads = 90", "leads = { value = 88, measured_to = 2.5 }"))
    assert sheet.origins["return_crank.leads"].error == pytest.approx(2.5, rel=1e-15)
    assert sheet.dimensions["right"]["return_crank.leads"] == pytest.approx(88.0, rel=1e-15)


def test_a_tool_says_how_well_it_measures(read):
    assert read(("= 0.05", '= "callipers"')).origins["wheels.throw"].error == 0.03


@pytest.mark.parametrize(
    ("length", "error"), [(0.0, 0.02), (0.4, 0.08), (0.5, 0.1), (400, 0.5), (800, 1.0)]
)
def test_errors_go_on_where_the_standard_ends(length, error):
    assert default_error(length) == pytest.approx(error, rel=1e-12)


def test_a_side_differs_only_in_what_it_gives(read):
    sheet = read(more="[left]\nradius_rod.centres = 15.9\nradius_rod.bend = []\n")
    left, right = sheet.sides["left"], sheet.sides["right"]
    assert (left.radius_rod.centres, right.radius_rod.centres) == (15.9, 16.0)
    assert len(right.radius_rod.bend) == 1
    assert left.radius_rod.bend == ()
    assert left.connecting_rod == right.connecting_rod
    assert sheet.dimensions["left"]["left.radius_rod.centres"] == 15.9
    assert sheet.dimensions["right"]["radius_rod.centres"] == 16.0
    assert "radius_rod.centres" not in sheet.dimensions["left"]


def test_a_side_may_choose_the_other_of_two_ways(read):
    more = "[left]\nradius_rod.die_below_trunnion = 1.5\nreturn_crank.follows = 88\n"
    left = read(more=more).sides["left"]
    assert left.radius_rod.die_offset == -1.5
    assert left.return_crank.leads is None
    assert left.return_crank.follows == pytest.approx(math.radians(88), rel=1e-15)


@pytest.mark.parametrize(
    ("table", "common", "own", "left"),
    [
        ("coupling", {"hole": 1.54, "pin": 1.5}, {"play": 0.04}, {"pin"}),
        (
            "axles",
            {"leading": {"ahead": 29.0, "throw": 4.0}},
            {"leading": {"back": 3.0}},
            {"throw"},
        ),
        (
            "axles",
            {"a": {"ahead": 29.0}, "b": {"ahead": 9.0}},
            {"b": {"pin_ahead_by": 1.0}},
            {"ahead"},
        ),
        (
            "coupling_rods",
            {"a": {"from": "b", "to": "c", "width": 1}},
            {"a": {"pins": []}},
            {"width"},
        ),
        ("radius_rod", {"die_above_trunnion": 1.0}, {"die_below_trunnion": 2.0}, set()),
        ("return_crank", {"pin_circle": 1.6, "leads": 90.0}, {"follows": 90.0}, {"pin_circle"}),
        ("return_crank", {"pin_circle": 1.6, "leads": 90.0}, {"arm": 4.0}, set()),
        ("motion_bracket", {"disc": {"diameter": 1.0}}, {"side_view": []}, set()),
    ],
)
def test_one_choice_of_a_side_ends_the_common_one(table, common, own, left):
    merged = merge({table: common}, {table: own}, WalschaertsSide)[table]
    for name, value in own.items():
        given, whole = (value, merged[name]) if isinstance(value, dict) else (own, merged)
        assert set(whole) == left | set(given)


def test_a_sides_dimension_table_replaces_the_common_one_whole(read):
    lever = "radius_rod_pin_to_union_pin"
    sheet = read(more=f"[left]\ncombination_lever.{lever} = {{ value = 9.1 }}\n")
    assert sheet.sides["left"].combination_lever.radius_rod_pin_to_union_pin == 9.1
    assert sheet.origins[f"left.combination_lever.{lever}"].error == 0.05


def test_one_side_alone(read):
    assert list(read(("measured_to = 0.05", 'sides = ["left"]')).sides) == ["left"]


def test_a_sheet_does_not_change(read):
    sheet = read()
    with pytest.raises(dataclasses.FrozenInstanceError):
        sheet.title = "x"
    with pytest.raises(ValueError, match="frozen"):
        sheet.sides["right"].wheels.throw = 5.0


# --- what is assumed ----------------------------------------------------------------------------


def test_everything_filled_in_is_listed(read):
    sheet = read()
    assert "right-hand crank leads by 90 degrees" in sheet.assumed
    assert any(line.startswith("radius rod width") for line in sheet.assumed)
    assert not any("wanted clearance" in line for line in sheet.assumed)
    given = read(("centres = 16.0", "centres = 16.0\nwidth = 1.1"))
    assert not any(line.startswith("radius rod width") for line in given.assumed)
    assert given.sides["right"].radius_rod.width == 1.1


def test_wanted_clearance_by_scale_or_without(read):
    bare = ("wanted_clearance = 0.2\n", "")
    assert read(bare).wanted_clearance == 0.1
    scaled = read(bare, ("measured_to = 0.05", 'scale = "OO"'))
    assert scaled.wanted_clearance == SCALES["OO"].wanted_clearance
    assert "wanted clearance 0.15 mm" in scaled.assumed


@pytest.mark.parametrize("ratio", [None, 87.0, 32.0])
@pytest.mark.parametrize(
    "given", [{}, {"radius_rod": {"out": 4.1}}, {"connecting_rod": {"out": 5.0, "thickness": 1.5}}]
)
def test_assumed_layers_do_not_overlap(ratio, given):
    names = (
        "connecting_rod",
        "crosshead",
        "slide_bars",
        "return_crank",
        "eccentric_rod",
        "expansion_link",
        "radius_rod",
        "lifting_link",
        "weighshaft",
        "combination_lever",
        "union_link",
        "valve_spindle",
    )
    tables = {name: dict(given.get(name, {})) for name in names} | {"wheels": {"throw": 4.33}}
    filled = fill_in(WalschaertsSide, tables, "mm", ratio).tables

    def mm(table, key):
        value = filled[table][key]
        return read_length(value, "mm")

    def faces(table, thickness="thickness", out="out"):
        return mm(table, out), mm(table, out) + mm(table, thickness)

    stack = [
        faces("weighshaft"),
        faces("lifting_link"),
        faces("radius_rod"),
        faces("expansion_link"),
        faces("eccentric_rod"),
    ]
    for (_, outer), (inner, _) in itertools.pairwise(stack):
        assert inner > outer
    assert faces("radius_rod") == faces("union_link")
    assert faces("valve_spindle", "diameter")[1] < faces("radius_rod")[0]
    assert faces("crosshead", "drop_arm_thickness", "drop_arm_out")[1] < faces("radius_rod")[0]
    assert faces("combination_lever")[0] > faces("radius_rod")[1]
    assert faces("return_crank")[1] < faces("eccentric_rod")[0]
    assert faces("connecting_rod")[1] < faces("radius_rod")[0]
    assert sum(faces("crosshead")) == pytest.approx(sum(faces("connecting_rod")), abs=2e-3)


# --- the same sheet with another number ---------------------------------------------------------


def test_change_alters_one_number_on_both_sides(read):
    sheet = read()
    changed = change(sheet, {"radius_rod.centres": 15.75})
    assert [side.radius_rod.centres for side in changed.sides.values()] == [15.75, 15.75]
    assert sheet.sides["right"].radius_rod.centres == 16.0
    assert changed.sides["right"].wheels == sheet.sides["right"].wheels


def test_change_alters_one_side(read):
    changed = change(
        read(), {"left.radius_rod.bend[1].towards_frames": 0.1, "left.wheels.throw": 4.1}
    )
    left, right = changed.sides["left"], changed.sides["right"]
    assert left.radius_rod.bend[0].amount == 0.1
    assert right.radius_rod.bend[0].amount == 0.5
    assert (left.wheels.throw, right.wheels.throw) == (4.1, 4.0)


def test_change_takes_degrees_and_keeps_measuring_errors(read):
    changed = change(
        read(),
        {"return_crank.leads": 87.5, "combination_lever.radius_rod_pin_to_union_pin": 9.25},
    )
    assert changed.sides["left"].return_crank.leads == pytest.approx(math.radians(87.5), rel=1e-15)
    assert changed.origins["combination_lever.radius_rod_pin_to_union_pin"].error == 0.03
    assert changed.sides["left"].combination_lever.radius_rod_pin_to_union_pin == 9.25


def test_change_takes_what_was_assumed_and_asks_no_question(read):
    changed = change(read(), {"radius_rod.width": 2.5, "wheels.throw": 8.0})
    assert changed.sides["right"].radius_rod.width == 2.5
    assert changed.sides["right"].wheels.throw == 8.0


def test_every_dimension_can_be_changed_to_what_it_is(read):
    sheet = read(more="[left]\nradius_rod.centres = 15.9\n")
    for side, held in sheet.dimensions.items():
        again = change(sheet, dict(held))
        assert again.dimensions[side] == pytest.approx(held, rel=1e-14)


def test_change_of_what_is_no_dimension(read):
    with pytest.raises(SheetError, match=r'is no dimension of this sheet; did you mean "wheels.th'):
        change(read(), {"wheels.thro": 1.0})


def test_change_to_what_cannot_be(read):
    with pytest.raises(SheetError, match=r"wheels\.throw: should be above 0"):
        change(read(), {"wheels.throw": -1.0})


# --- a blank sheet, and the schema --------------------------------------------------------------


@pytest.mark.parametrize("scale", [None, *SCALES])
@pytest.mark.parametrize("arrangement", ["walschaerts", "slider-crank", "linkage"])
def test_a_blank_sheet_reads_as_it_stands(arrangement, scale):
    sheet = sheet_from(tomllib.loads(blank_sheet(arrangement, scale)))
    assert sheet.arrangement == arrangement


def test_a_blank_sheet_is_of_its_scale():
    sheet = sheet_from(tomllib.loads(blank_sheet("walschaerts", "5 in")))
    assert sheet.sides["right"].wheels.throw == pytest.approx(4.33 * 76.2 / 11.3, abs=5e-3)


def test_every_number_of_a_blank_sheet_is_flagged_typical():
    lines = blank_sheet("walschaerts", "OO").splitlines()
    body = lines[lines.index("[wheels]") :]
    numbers = [line for line in body if " = " in line and not line.startswith("#")]
    assert len(numbers) > 25
    assert all(TYPICAL in line for line in numbers)


def test_what_is_commented_out_reads_too():
    text = blank_sheet("walschaerts", "OO").replace("die_above_trunnion", "# die_above_trunnion")
    wanted = [
        line.removeprefix("# ")
        if line.startswith("# ") and (" = " in line or line[2] == "[")
        else line
        for line in text.splitlines()
        if not line.startswith(
            ("#:schema", "# A number", "# An angle", "# { ", "# die_above", "# slot_radius")
        )
    ]
    sheet = sheet_from(tomllib.loads("\n".join(wanted)))
    assert sheet.sides["right"].weighshaft is not None
    assert sheet.sides["right"].eccentric_rod.bend[0].kind == "bow"


@pytest.mark.parametrize("name", [name for name, held in ARRANGEMENTS.items() if not held.blank])
def test_a_blank_sheet_has_a_line_for_all_that_is_taken_for_usual(name):
    """So that what is to be measured next has a place, and a guess taken in changes nothing."""
    text, section, lines = blank_sheet(name, "7 mm"), "", dict[str, str]()
    for line in text.partition(DAMAGE)[0].splitlines():
        bare = line.removeprefix("# ")
        if bare.startswith("[") and " = " not in bare:
            section = bare.strip("[]")
        elif found := re.match(r"(\w+) = (.*?)  ?#", bare):
            lines[f"{section}.{found[1]}"] = found[2]
    sheet = sheet_from(tomllib.loads(text))
    kind = ARRANGEMENTS[name].tables
    side = next(iter(sheet.sides))
    usual = {
        key: value
        for key, value in sheet.dimensions[side].items()
        if sheet.origins[key].source is Source.ASSUMED and key not in sheet.handed_on
        and facts_at(kind, key).usual is not None
    }  # fmt: skip
    assert usual
    for key, value in usual.items():
        assert read_length(
            tomllib.loads(f"a = {lines[key]}")["a"].removeprefix("about "), "mm"
        ) == (pytest.approx(value, abs=6e-4))


def facts_at(kind, key):
    *above, last = key.split(".")
    return facts_of(fields_by_key(table_of(kind, above))[last])


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("walschaerts", "H0"), "scale 'H0' is none of"),
        (("joey", None), "arrangement 'joey' is none"),
    ],
)
def test_no_blank_sheet_of_what_is_not_known(arguments, message):
    with pytest.raises(ValueError, match=message):
        blank_sheet(*arguments)


def test_the_schema_knows_every_table_and_no_other():
    schema = json_schema()
    assert json.loads(json.dumps(schema)) == schema
    assert schema["additionalProperties"] is False
    named = set(schema["properties"])
    assert {"arrangement", "wheels", "radius_rod", "fixed", "crank", "left", "right"} <= named
    rod = schema["$defs"]["RadiusRod"]["properties"]
    assert rod["centres"]["description"] == "die block to the front pin"
    assert rod["bend"]["items"] == {"$ref": "#/$defs/Bend"}
    assert "from" in schema["$defs"]["Bend"]["properties"]


def test_every_reference_of_the_schema_is_there():
    schema = json_schema()
    text = json.dumps(schema)
    wanted = {piece.split('"')[0] for piece in text.split("#/$defs/")[1:]}
    assert wanted <= set(schema["$defs"])


@pytest.mark.parametrize("unit", ["mm", "in"])
@pytest.mark.parametrize("name", [k for k, v in ARRANGEMENTS.items() if len(v.sides) > 1])
def test_what_is_seldom_wrong_has_its_place_on_a_blank_sheet(name, unit):
    """The examples, their marks taken off, can be read as they stand."""
    text = blank_sheet(name, unit=unit)
    examples = text.partition(DAMAGE)[2].partition("\n\n")[0].splitlines()[1:]
    lines = [line.removeprefix("# ") for line in examples]
    assert {"crank_pin.lean", "crank_pin.bush"} < {line.partition(" = ")[0] for line in lines}
    sheet = sheet_from(tomllib.loads("\n".join((text, *lines))), ask=False)
    assert sheet.data["right"]["crank_pin"]["lean"]
