"""Coupled wheels on the sheet: what is read, what is assumed, what is refused."""

import copy
import math
import tomllib
from typing import Any

import pytest

from linkage.errors import SheetError
from linkage.sheet import change, json_schema, sheet_from
from linkage.sheet.blank import blank_sheet
from linkage.tables.couplings import axle_names, axle_place, hole_of, pin_of
from linkage.tables.holes import Hole

TEXT = """
arrangement = "coupled-wheels"
scale = "4 mm"
measured_to = 0.05
wanted_clearance = 0.1
wheels = { throw = 4.0, right_leads_by = 90, side_play = 0.3 }

[coupling]
pin = 1.5
hole = 1.6
box_play = { fore_aft = 0.06, vertical = 0.1 }
width = 2.0
thickness = 0.8
out = 1.5

[axles.leading]
ahead = 29.0

[axles.trailing]
back = 25.0
pin = 1.4

[coupling_rods.front]
from = "driving"
to = "leading"
centres = { outside_to_outside = 31.4, ends = [2.4, 2.4], measured_to = 0.02 }

[coupling_rods.rear]
from = "trailing"
to = "driving"
centres = 25.0
"""
JOINTED = {
    "from": "trailing",
    "centres": 21.0,
    "knuckle": {"on": "front", "behind": "driving", "distance": 4.0, "play": 0.05},
}


def data_with(changes: dict[str, Any]) -> dict[str, Any]:
    data = tomllib.loads(TEXT)
    for key, value in changes.items():
        *above, last = key.split("/")
        here = data
        for step in above:
            here = here.setdefault(step, {})
        if value is None:
            del here[last]
        else:
            here[last] = copy.deepcopy(value)
    return data


def read(**changes):
    return sheet_from(data_with(changes))


def read_with(changes):
    return sheet_from(data_with(changes))


def test_axles_stand_by_words_and_come_rear_to_front():
    side = read().sides["right"]
    assert axle_names(side) == ("trailing", "driving", "leading")
    assert [axle_place(side, name) for name in axle_names(side)] == [(-25, 0), (0, 0), (29, 0)]


def test_holes_and_pins_come_from_the_nearest_table_that_gives_them():
    side = read_with({"coupling_rods/rear/holes": [{"along": 1.62, "across": 1.55}, 1.58]}).sides[
        "left"
    ]
    rear, front = side.coupling_rods["rear"], side.coupling_rods["front"]
    assert [hole_of(side, rear, k) for k in (0, 1)] == [Hole(1.62, 1.55, False), Hole(1.58, 1.58)]
    assert hole_of(side, front, 0) == Hole(1.6, 1.6)
    assert (pin_of(side, "trailing"), pin_of(side, "leading"), pin_of(side, "driving")) == (
        1.4,
        1.5,
        1.5,
    )


def test_a_side_gives_only_what_differs():
    sheet = read_with(
        {
            "left/axles/leading": {"throw": 4.1, "pin_behind_by": 2},
            "left/coupling_rods/front/centres": 28.9,
        }
    )
    right, left = sheet.sides["right"], sheet.sides["left"]
    assert (right.axles["leading"].throw, left.axles["leading"].throw) == (None, 4.1)
    assert left.axles["leading"].ahead == 29.0
    assert math.degrees(left.axles["leading"].pin_early) == pytest.approx(-2.0)
    assert right.coupling_rods["front"].spans == pytest.approx((29.0,))
    assert left.coupling_rods["front"].spans == (28.9,)


def test_a_side_may_turn_ahead_into_back():
    side = read_with({"left/axles/trailing": {"back": 24.9}, "left/coupling": {"play": 0.2}})
    assert axle_place(side.sides["left"], "trailing") == (-24.9, 0.0)
    # the common hole no longer holds on a side that gives its play
    left = side.sides["left"]
    assert hole_of(left, left.coupling_rods["front"], 0) == Hole(1.7, 1.7)


def test_every_dimension_has_its_key_and_error():
    sheet = read_with(
        {
            "coupling/hole": {"along": 1.7, "across": 1.6},
            "coupling_rods/rear": JOINTED,
            "axles/leading/quarter": {"value": 89.0, "measured_to": 0.5},
        }
    )
    held = sheet.dimensions["right"]
    expected = {
        "coupling.hole.along": 1.7,
        "coupling.hole.across": 1.6,
        "coupling.box_play.vertical": 0.1,
        "axles.trailing.back": 25.0,
        "axles.leading.quarter": 89.0,
        "coupling_rods.front.centres": 29.0,
        "coupling_rods.rear.knuckle.distance": 4.0,
        "coupling_rods.rear.knuckle.play": 0.05,
    }
    assert {key: held[key] for key in expected} == pytest.approx(expected)
    assert sheet.origins["coupling_rods.front.centres"].error == 0.02
    assert sheet.origins["axles.leading.quarter"].error == pytest.approx(0.5)


def test_spans_and_holes_of_a_list_are_counted_from_one_and_can_be_changed():
    rod = {"pins": ["trailing", "driving", "leading"], "centres": [25.0, 29.0]}
    sheet = read_with({"coupling_rods": {"whole": {**rod, "holes": [1.6, 1.61, 1.62]}}})
    assert sheet.dimensions["right"]["coupling_rods.whole.centres[2]"] == 29.0
    assert sheet.dimensions["right"]["coupling_rods.whole.holes[3]"] == 1.62
    changed = change(
        sheet,
        {"left.coupling_rods.whole.centres[2]": 29.1, "coupling_rods.whole.holes[1]": 1.7},
    )
    assert changed.sides["left"].coupling_rods["whole"].spans == (25.0, 29.1)
    assert changed.sides["right"].coupling_rods["whole"].spans == (25.0, 29.0)
    assert changed.sides["right"].coupling_rods["whole"].holes[0].along == 1.7


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("coupling.hole", 1.65),
        ("coupling.out", 1.4),
        ("axles.leading.ahead", 29.2),
        ("left.axles.trailing.pin", 1.3),
        ("coupling.box_play.fore_aft", 0.2),
    ],
)
def test_what_is_changed_is_found_again(key, value):
    sheet = change(read_with({"left/axles/trailing/pin": 1.45}), {key: value})
    assert sheet.dimensions["left"][key] == value


def test_bends_start_from_an_axle_or_an_end():
    for start in ("driving", "rear"):
        bend = {"kind": "kink", "from": start, "at": 10.0, "towards_frames": 0.4}
        side = read_with({"coupling_rods/front/bend": [bend]}).sides["right"]
        assert not side.coupling_rods["front"].far_end(start)
    assert side.coupling_rods["front"].far_end("leading")


# At 4 mm to the foot: pins as a chassis jig's spigots, play as reported for that scale.
def test_plays_are_assumed_and_said_never_nought():
    sheet = read_with({"coupling": {}})
    coupling = sheet.sides["right"].coupling
    assert (coupling.pin, coupling.play, coupling.hole) == (1.5, 0.038, None)
    assert (coupling.box_play.fore_aft, coupling.box_play.vertical) == (0.05, 0.05)
    for words in (
        "coupling pin 1.5 mm",
        "coupling play 0.038 mm",
        "coupling box play fore aft 0.05 mm",
        "coupling box play vertical 0.05 mm",
        "coupling width 2 mm",
        "coupling out 1.6 mm",
    ):
        assert words in sheet.assumed


def test_assumed_play_grows_with_the_scale():
    changes = {
        "scale": "10 mm",
        "wheels/throw": 10.0,
        "coupling": {},
        "axles": {"leading": {"ahead": 72.0}},
        "coupling_rods": {"front": {"from": "driving", "to": "leading", "centres": 72.0}},
    }
    play = read_with(changes).sides["right"].coupling.play
    assert play == pytest.approx(0.038 * 10 / 4)


def test_side_play_of_the_wheels_holds_for_the_others():
    assert read().sides["right"].coupling.side_play == 0.3
    assert read_with({"coupling/side_play": 0.5}).sides["right"].coupling.side_play == 0.5


def test_a_hole_given_without_its_pin_leaves_the_usual_play():
    coupling = read_with({"coupling/pin": None, "axles/trailing/pin": None}).sides["right"].coupling
    assert coupling.pin == pytest.approx(1.6 - 0.038)


def test_inches_reach_every_coupled_dimension():
    sheet = sheet_from(
        {
            "arrangement": "coupled-wheels",
            "units": "in",
            "wheels": {"throw": "3/16"},
            "coupling": {"pin": 0.06, "hole": {"along": "0.063", "across": "63 thou"}},
            "axles": {"leading": {"ahead": 1.25}},
            "coupling_rods": {"front": {"pins": ["driving", "leading"], "centres": [1.25]}},
        }
    )
    side = sheet.sides["right"]
    assert side.coupling.hole == Hole(pytest.approx(1.6002), pytest.approx(1.6002), False)
    assert side.axles["leading"].ahead == pytest.approx(31.75)
    assert side.coupling_rods["front"].spans == pytest.approx((31.75,))


NO_PLAY = (
    "should be above 0: with no play at all nothing turns; measure it, or leave it out to have it "
    "assumed"
)
REFUSED = [
    ("coupling/box_play/vertical", 0, f"coupling.box_play.vertical: {NO_PLAY} (found 0)"),
    ("coupling", {"pin": 1.5, "play": 0}, f"coupling.play: {NO_PLAY} (found 0)"),
    (
        "coupling/hole",
        1.5,
        'coupling.hole: the hole of rod "front" on the driving pin, 1.5 mm, should be larger than '
        "the pin, 1.5 mm: with no play at all nothing turns (found 1.5)",
    ),
    (
        "coupling_rods/front/holes",
        [1.6, {"along": 1.7, "across": 1.45}],
        'coupling_rods.front.holes[2]: the hole of rod "front" on the leading pin, 1.45 mm, should '
        "be larger than the pin, 1.5 mm: with no play at all nothing turns",
    ),
    ("coupling/play", 0.1, "coupling: give exactly one of hole, play, not hole and play together"),
    (
        "coupling/hole",
        {"along": 1.6},
        "coupling.hole: a worn hole needs both along and across, as wide as it is",
    ),
    (
        "coupling/hole",
        {"along": 1.6, "accross": 1.6},
        'coupling.hole: has an unknown key "accross"; did you mean "across"?',
    ),
    ("axles/leading/back", 3.0, "axles.leading: give only one of ahead, back"),
    (
        "axles/leading",
        {"up": 0.1},
        "axles.leading.ahead: is missing: how far it stands from the driving axle: ahead = ... or "
        "back = ...",
    ),
    ("axles/leading/ahead", -29.0, "axles.leading.ahead: should be above 0 (found -29.0)"),
    ("axles/leading/thorw", 4.0, 'axles.leading.thorw: is not a known key; did you mean "throw"?'),
    (
        "axles/driving",
        {"throw": 4.0},
        "axles.driving.throw: the driving wheels' throw stands under wheels.throw (found 4.0)",
    ),
    (
        "axles/driving",
        {"ahead": 1.0},
        "axles.driving.ahead: everything is measured from the driving axle; leave this out "
        "(found 1.0)",
    ),
    (
        "coupling_rods/front/to",
        "leeding",
        "coupling_rods.front.to: names an axle that is not there; "
        'did you mean "leading"? (found "leeding")',
    ),
    (
        "coupling_rods/front/pins",
        ["driving", "leading"],
        "coupling_rods.front: give from and to, or pins, not from and to beside pins",
    ),
    (
        "coupling_rods/rear",
        {"from": "driving", "to": "trailing", "centres": 25.0},
        'coupling_rods.rear: name the rear pin first: from = "trailing", to = "driving"',
    ),
    (
        "coupling_rods/rear",
        {"pins": ["leading", "driving", "trailing"], "centres": [29.0, 25.0]},
        "coupling_rods.rear: name the pins from the rear: "
        'pins = ["trailing", "driving", "leading"], and their centres so too',
    ),
    (
        "coupling_rods/rear",
        {"pins": ["trailing", "driving", "leading"], "centres": 54.0},
        "coupling_rods.rear: needs 2 centres, one for each span from the rear, not 1",
    ),
    (
        "coupling_rods/rear/holes",
        [1.6],
        "coupling_rods.rear: needs 2 holes, one for each crank pin it is on",
    ),
    (
        "coupling_rods/rear",
        {"from": "trailing", "centres": 25.0},
        "coupling_rods.rear: should name two axles, or one and a knuckle on another rod",
    ),
    ("coupling_rods/rear", None, "axles.trailing: no coupling rod of this side runs on its pin"),
    (
        "axles/trailing/back",
        "nought",
        "axles.trailing.back: should be a length, such as 4.33, "
        '"4,33", "3/32 in", "38 thou" or "4.3 mm" (found "nought")',
    ),
]


def problems_of(changes):
    with pytest.raises(SheetError) as caught:
        read_with(changes)
    return [str(problem) for problem in caught.value.problems]


@pytest.mark.parametrize(("key", "value", "line"), REFUSED)
def test_refused_in_its_exact_words(key, value, line):
    assert line in problems_of({key: value})


KNUCKLES = [
    ({"play": 0}, f"coupling_rods.rear.knuckle.play: {NO_PLAY} (found 0)"),
    (
        {"on": "frnt"},
        "coupling_rods.rear.knuckle.on: names a rod that is not there; "
        'did you mean "front"? (found "frnt")',
    ),
    (
        {"on": "rear"},
        'coupling_rods.rear.knuckle.on: should be another rod than this one (found "rear")',
    ),
    (
        {"behind": "leading"},
        'coupling_rods.rear.knuckle.behind: the end of "front" that way is its driving pin '
        '(found "leading")',
    ),
    (
        {"behind": "trailing"},
        'coupling_rods.rear.knuckle.behind: "front" does not run on that axle\'s pin: it has '
        'driving, leading (found "trailing")',
    ),
    (
        {"behind": None, "ahead_of": "leading"},
        "coupling_rods.rear.knuckle: a knuckle ahead of a pin goes with to = ...",
    ),
    (
        {"ahead_of": "leading"},
        "coupling_rods.rear.knuckle: give exactly one of behind, ahead_of, not behind and ahead_of "
        "together",
    ),
]


@pytest.mark.parametrize(("changes", "line"), KNUCKLES)
def test_a_knuckle_refused_in_its_exact_words(changes, line):
    knuckle = {k: v for k, v in (JOINTED["knuckle"] | changes).items() if v is not None}
    assert problems_of({"coupling_rods/rear": JOINTED | {"knuckle": knuckle}}) == [line]


def test_rods_that_carry_one_another_are_refused():
    ring = {
        "front": {
            "to": "leading",
            "centres": 24.0,
            "knuckle": {"on": "rear", "ahead_of": "trailing", "distance": 30.0, "play": 0.1},
        },
        "rear": JOINTED | {"knuckle": JOINTED["knuckle"] | {"behind": "leading", "distance": 33.0}},
    }
    assert "the rods carry one another in a ring" in " ".join(problems_of({"coupling_rods": ring}))


def test_rods_away_from_the_driving_axle_are_refused():
    more = {
        "axles/pony": {"ahead": 40.0},
        "coupling_rods/front": {"from": "leading", "to": "pony", "centres": 11.0},
    }
    assert problems_of(more) == [
        "coupling_rods.front: does not couple its axles to the driving axle"
    ]


def test_ten_axles_are_enough():
    axles = {f"axle {k}": {"ahead": 10.0 * k} for k in range(1, 11)}
    lines = problems_of({"axles": axles, "coupling_rods": None})
    assert lines == ["axles: there should be no more than 10, driving included"]
    del axles["axle 10"]
    pins = ["driving", *axles]
    rods = {"all": {"pins": pins, "centres": [10.0] * 9}}
    sheet = read_with({"axles": axles, "coupling_rods": rods, "coupling/pin": 1.5})
    assert len(axle_names(sheet.sides["right"])) == 10


def test_two_axles_in_one_place_are_refused():
    changes = {"axles/pony": {"ahead": 29.0}}
    lines = problems_of(changes)
    assert "axles.pony: stands where the leading axle stands" in lines


def test_an_axle_has_one_quarter():
    lines = problems_of({"left/axles/leading/quarter": 88})
    assert lines == ["left.axles.leading.quarter: belongs to the whole axle: give it under axles"]


def test_a_span_unlike_its_axles_is_asked_about_until_it_is_said_to_be_right():
    (line,) = problems_of({"coupling_rods/front/centres": 25.0})
    assert line == (
        "coupling_rods.front.centres: 25 mm is unusual between pins 29 mm apart: does the rod run "
        "on these axles, and are their places right? If it is right, write sure = "
        '["coupling_rods.front.centres"] at the top of the sheet (found 25.0)'
    )
    assert read_with({"coupling_rods/front/centres": 25.0, "sure": ["coupling_rods.front.centres"]})


@pytest.mark.parametrize("slip", [11.5, 230.0, 0.9])
def test_a_wheel_unlike_the_driving_ones_is_asked_about(slip):
    lines = problems_of({"wheels/tread": 23.0, "axles/leading/tread": slip})
    assert len(lines) == 1
    assert lines[0].startswith("axles.leading.tread: ")
    assert "beside driving wheels of 23 mm" in lines[0] or "full size" in lines[0]
    assert problems_of({"axles/driving/tread": 23.0}) == [
        "axles.driving.tread: the driving wheels' diameter stands under wheels.tread (found 23.0)"
    ]


def test_all_problems_come_in_one_run():
    changes = {"coupling/hole": "wide", "axles/leading/ahead": 0, "coupling_rods/front/width": -1}
    assert len(problems_of(changes)) == 3


def test_sheets_without_coupled_wheels_assume_nothing_of_them():
    text = blank_sheet("slider-crank")
    sheet = sheet_from(tomllib.loads(text))
    assert sheet.sides["only"].coupling is None
    assert not [words for words in sheet.assumed if "coupling" in words]


@pytest.mark.parametrize("scale", [None, "7 mm", "5 in"])
def test_the_blank_sheet_can_be_read_as_it_stands(scale):
    sheet = sheet_from(tomllib.loads(blank_sheet("coupled-wheels", scale)))
    assert axle_names(sheet.sides["left"]) == ("driving", "leading")


def test_editors_know_the_tables():
    schema = json_schema()
    assert {"coupling", "axles", "coupling_rods"} <= set(schema["properties"])
    assert "knuckle" in schema["$defs"]["CouplingRodTable"]["properties"]
