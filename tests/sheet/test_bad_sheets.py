"""Every way of spoiling a sheet, with the exact words that meet it."""

import pytest

from linkage.arrangements import ARRANGEMENTS
from linkage.errors import SheetError
from linkage.sheet import read_sheet

LENGTH = 'should be a length, such as 4.33, "4,33", "3/32 in", "38 thou" or "4.3 mm"'
SURE = 'If it is right, write sure = ["{}"] at the top of the sheet'
CORNERS = "[[21.5, 4.0], [23.5, 4.0], [23.5, 10.5], [21.5, 10.5]]"
*_FIRST, _ = ARRANGEMENTS
_ARRANGEMENTS = ", ".join(f'"{name}"' for name in _FIRST)

ONE_BY_ONE = [
    ("throw = 4.0", "throw = -4.0", "wheels.throw: should be above 0 (found -4.0)"),
    ("throw = 4.0", "throw = 0", "wheels.throw: should be above 0 (found 0)"),
    ("throw = 4.0", "throw = nan", "wheels.throw: should be a finite number (found nan)"),
    ("throw = 4.0", "throw = inf", "wheels.throw: should be a finite number (found inf)"),
    ("throw = 4.0", 'throw = "four"', f'wheels.throw: {LENGTH} (found "four")'),
    ("throw = 4.0", "throw = true", f"wheels.throw: {LENGTH} (found true)"),
    (
        "throw = 4.0",
        "throw = { valeu = 4 }",
        'wheels.throw: has an unknown key "valeu"; did you mean "value"?',
    ),
    (
        "throw = 4.0",
        "throw = { value = 4, measured_too = 1 }",
        'wheels.throw: has an unknown key "measured_too"; did you mean "measured_to"? '
        "(found { value = 4, measured_too = 1 })",
    ),
    (
        "throw = 4.0",
        "throw = { value = 4, measured_to = 0 }",
        "wheels.throw: measured_to should be above 0 (found { value = 4, measured_to = 0 })",
    ),
    (
        "throw = 4.0",
        "throw = { value = 4, outside_to_outside = 4 }",
        "wheels.throw: should give exactly one of value, outside_to_outside, inside_to_inside "
        "(found { value = 4, outside_to_outside = 4 })",
    ),
    (
        "throw = 4.0",
        "throw = { inside_to_inside = 4 }",
        "wheels.throw: needs holes = [one end, other end], both diameters "
        "(found { inside_to_inside = 4 })",
    ),
    (
        "throw = 4.0",
        "throw = { inside_to_inside = 4, holes = [0, 1] }",
        "wheels.throw: holes should be above 0 (found { inside_to_inside = 4, holes = [0, 1] })",
    ),
    (
        "throw = 4.0",
        "throw = { value = 4, ends = [1, 1] }",
        "wheels.throw: has ends, which does not go with value (found { value = 4, ends = [1, 1] })",
    ),
    (
        "height = 6.0",
        "",
        "valve_spindle.height: is missing: above the driving axle, at the axle, square to the "
        "cylinder's line",
    ),
    (
        "[wheels]",
        "[wheels]\nside_plya = 1",
        'wheels.side_plya: is not a known key; did you mean "side_play"?',
    ),
    ("[wheels]", "[wheels]\nzzz = 1", "wheels.zzz: is not a known key"),
    (
        "[wheels]",
        "[wheels]\nside_play = -0.1",
        "wheels.side_play: should not be below 0 (found -0.1)",
    ),
    (
        '"walschaerts"',
        '"walschearts"',
        f'arrangement: should be {_ARRANGEMENTS} or "linkage"; '
        'did you mean "walschaerts"? (found "walschearts")',
    ),
    ('units = "mm"', 'units = "cm"', 'units: should be "mm" or "in" (found "cm")'),
    ('units = "mm"', "titel = 1", 'titel: is not a known key; did you mean "title"?'),
    ('"Marsh Lane goods engine"', "4", "title: should be text (found 4)"),
    (
        "measured_to = 0.05",
        'measured_to = "caliper"',
        "measured_to: should be a length, or one of "
        'micrometer, callipers, scanner, rule (found "caliper")',
    ),
    ("measured_to = 0.05", "measured_to = 0", "measured_to: should be above 0 (found 0)"),
    (
        "measured_to = 0.05",
        'scale = "H0"',
        "scale: should be one of Z, N, 2 mm, TT, 3 mm, HO, "
        "3.5 mm, OO, 4 mm, EM, P4, S, O, 7 mm, O 1:48, gauge 1, 10 mm, gauge 3, 16 mm, 5 in "
        '(found "H0")',
    ),
    (
        "measured_to = 0.05",
        'sides = ["right", "right"]',
        'sides: names one side twice (found ["right", "right"])',
    ),
    (
        "measured_to = 0.05",
        'running = "mid"',
        "running: needs a lifting_link and a weighshaft to set",
    ),
    (
        "measured_to = 0.05",
        'running = "full_foward"',
        "running: should be full_forward, mid, "
        'full_back or degrees; did you mean "full_forward"? (found "full_foward")',
    ),
    ("[union_link]", "[union_lnk]", 'union_lnk: is not a known key; did you mean "union_link"?'),
    ("leads = 90", "", "return_crank: give exactly one of leads, follows"),
    (
        "leads = 90",
        "leads = 90\nfollows = 90",
        "return_crank: give exactly one of leads, follows, not leads and follows together",
    ),
    ("leads = 90", "leads = 90\nlean = 9", "return_crank: lean does not go with pin_circle"),
    (
        "pin_circle = 1.6\nleads = 90",
        "arm = 4.0",
        'return_crank: arm needs lean and leans = "leading" or "following" beside it',
    ),
    (
        "die_above_trunnion = 2.0",
        "die_above_trunnion = 3.1",
        "the fixed die stands beyond the end of expansion_link's slot",
    ),
    (
        "die_above_trunnion = 2.0",
        "",
        "the die block is held by exactly one of "
        "radius_rod.die_above_trunnion, radius_rod.die_below_trunnion, [lifting_link]",
    ),
    (
        "slot_half_length = 3.0",
        "slot_half_length = 3.0\ndie_length = 6.0",
        "expansion_link: die_length should be less than the whole slot",
    ),
    (
        "slot_half_length = 3.0",
        "slot_half_length = 3.0\nslot_radius = 2.0",
        "expansion_link: slot_radius should be more than slot_half_length",
    ),
    (
        "drop_arm_pin = { ahead = 2.0, below = 3.0 }",
        "",
        "combination_lever needs crosshead.drop_arm_pin to move its foot",
    ),
    (
        "radius_rod_pin_to_valve_pin = 1.2",
        "radius_rod_pin_to_valve_pin = 9.2",
        "combination_lever: "
        "radius_rod_pin_to_valve_pin should be less than radius_rod_pin_to_union_pin",
    ),
    (
        '"die block"',
        '"dye block"',
        'radius_rod: bend 1: from should be one of "die block", "rear", '
        '"lever pin", "valve pin", "front", not "dye block"',
    ),
    (
        "towards_frames = 0.5",
        "towards_frames = 0.5, up = 1",
        "radius_rod.bend[1]: give exactly one "
        "of towards_frames, away_from_frames, up, down, ahead, back, not towards_frames and up "
        "together",
    ),
    (
        "towards_frames = 0.5",
        "ahead = 0.5",
        "radius_rod: bend 1: ahead is no way for this part to bend: use up or down",
    ),
    (
        "towards_frames = 0.5",
        "towards_frames = -0.5",
        "radius_rod.bend[1].towards_frames: should not be below 0 (found -0.5)",
    ),
    (
        "towards_frames = 0.5",
        "towards_frames = 0.5, at = 5",
        "radius_rod: bend 1: a bow over the "
        "whole rod is greatest at the middle, 8 mm: give over = its length, or call it a kink",
    ),
    (
        "towards_frames = 0.5",
        "towards_frames = 0.5, at = 5, over = 12",
        "radius_rod: bend 1: the bend should lie between the two ends, which are 16 mm apart",
    ),
    (
        '"bow"',
        '"kinck"',
        'radius_rod.bend[1].kind: should be "kink", "bow" or "joggle"; did you '
        'mean "kink"? (found "kinck")',
    ),
    ('"bow"', '"kink"', "radius_rod.bend[1]: a kink needs at = the distance from the end named"),
    (
        '"bow", from',
        '"joggle", at = 4, from',
        "radius_rod.bend[1]: length belongs to a joggle, and a joggle needs it",
    ),
    (
        '"bow", from',
        '"joggle", at = 4, length = 0.4, from',
        "radius_rod: bend 1: bends further than the metal there can reach",
    ),
    (
        '"bow", from',
        '"kink", at = 4, over = 2, from',
        "radius_rod.bend[1]: over belongs to a bow, with at = the place of its greatest sag",
    ),
    (
        CORNERS,
        "[[0, 0], [1, 1], [1, 0], [0, 1]]",
        "fixed[1].side_view: crosses itself: the edge "
        "from corner 1 meets that from corner 3 (found [[0, 0], [1, 1], [1, 0], [0, 1]])",
    ),
    (
        CORNERS,
        "[[0, 0], [1, 1], [0, 0]]",
        "fixed[1].side_view: should have at least 3 different "
        "corners (found [[0, 0], [1, 1], [0, 0]])",
    ),
    (
        CORNERS,
        "[[0, 0], [1, 1], [2, 2]]",
        "fixed[1].side_view: should not have all its corners in "
        "one line (found [[0, 0], [1, 1], [2, 2]])",
    ),
    (
        CORNERS,
        "[[0, 0], [1, 1], 2]",
        "fixed[1].side_view: should be a point [ahead, up] (found [[0, 0], [1, 1], 2])",
    ),
    (CORNERS, "4", "fixed[1].side_view: should be a list of corners [[ahead, up], ...] (found 4)"),
    (f"side_view = {CORNERS}", "", "fixed[1]: give exactly one of side_view, disc, bar"),
    (
        '[[fixed]]\nname = "motion bracket"',
        "[fixed]",
        "fixed: should be a list (a table of several "
        "is written [[fixed]]) (found { side_view = [[21.5, 4.0], [23.5, 4.0], "
        "[23.5, 10.5], [2...)",
    ),
    ("[wheels]\nthrow = 4.0", "wheels = 4.0", "wheels: should be a table (found 4.0)"),
    (
        "foot_pin = { below = 7.0 }",
        "foot_pin = 7.0",
        "expansion_link.foot_pin: should be a table (found 7.0)",
    ),
]


PISTON = "{ ahead_of_crosshead_pin = 12, thickness = 2 }"
LIFTED = """
[lifting_link]
centres = 3.5
pin = { ahead_of_die = 5.0 }
[weighshaft]
ahead = 29
up = 11
arm = 4
"""
ADDED = [
    (
        "[cylinder]\nrear_cover = 40\n",
        "cylinder: rear_cover and front_cover need "
        "piston = { ahead_of_crosshead_pin = ..., thickness = ... }",
    ),
    (
        f"[cylinder]\nrear_cover = 40\nfront_cover = 41\npiston = {PISTON}\n",
        "cylinder: front_cover should be ahead of rear_cover by more than the piston",
    ),
    ("[slide_bars]\nrear = 40\nfront = 30\ngap = 4\n", "slide_bars: front should be ahead of rear"),
    (
        "[slide_bars]\nrear = 30\nfront = 40\ngap = 4\n[left.crosshead.slipper]\nahead = 1\n"
        "back = 1\ndepth = 4.1\n",
        "left: crosshead.slipper.depth should not be more than slide_bars.gap",
    ),
    (
        "[left.valve_spindle.guide]\nrear = 40\nfront = 30\n",
        "left.valve_spindle.guide: front should be ahead of rear",
    ),
    (
        LIFTED.partition("[weighshaft]")[0],
        "the die block is held by exactly one of "
        "radius_rod.die_above_trunnion, radius_rod.die_below_trunnion, [lifting_link], not "
        "radius_rod.die_above_trunnion and lifting_link together",
    ),
    (
        "[weighshaft]" + LIFTED.partition("[weighshaft]")[2],
        "lifting_link and weighshaft belong together: give both or neither",
    ),
    (
        "[left.expansion_link]\nslot_half_length = 17\n",
        "left: expansion_link.slot_half_length should be less than its slot_radius",
    ),
    (
        "[left.return_crank]\nleads = { valu = 90 }\n",
        "left.return_crank.leads: should be an angle, or { value = ..., measured_to = ... }, or "
        "{ rise = ..., run = ... }",
    ),
    (
        "[left.return_crank]\nleads = { value = 90, measured_to = 0 }\n",
        "left.return_crank.leads: "
        "measured_to should be above 0 (found { value = 90, measured_to = 0 })",
    ),
]


@pytest.mark.parametrize(("more", "line"), ADDED)
def test_one_problem_in_what_is_added(problems, more, line):
    assert problems(more=more) == [line]


@pytest.mark.parametrize(
    ("head", "line"),
    [
        ("", "weighshaft.arm_angle: is missing, and so is gear"),
        ('running = "mid"', 'weighshaft.gear: is missing, and running = "mid" needs it'),
    ],
)
def test_the_weighshafts_arm_has_to_stand_somewhere(problems, head, line):
    free = ("die_above_trunnion = 2.0", "")
    assert problems(free, ("measured_to = 0.05", head), more=LIFTED) == [line]


def test_a_union_link_needs_a_lever(problems):
    lever = """[combination_lever]
radius_rod_pin_to_valve_pin = 1.2
radius_rod_pin_to_union_pin = { outside_to_outside = 10.4, ends = [1.4, 1.6], measured_to = 0.03 }
"""
    assert problems((lever, "")) == ["union_link needs a combination_lever to move"]


def test_no_question_where_no_slip_explains_the_numbers(read):
    # All rods of the gear very long beside the throw, none ten- or 25.4-fold out.
    sheet = read(
        ("throw = 4.0", "throw = 2.0"),
        ("centres = 36.0", "centres = 36.5"),
        ("pin_circle = 1.6", "pin_circle = 1.95"),
        ("centres = 20.0", "centres = 25.0"),
        ("ahead = 20.0", "ahead = 25.0"),
    )
    assert sheet.sides["right"].wheels.throw == 2.0


@pytest.mark.parametrize(("good", "bad", "line"), ONE_BY_ONE)
def test_one_problem_in_its_exact_words(problems, good, bad, line):
    assert problems((good, bad)) == [line]


def test_a_mistyped_key_is_one_slip_and_not_a_number_missing_besides(problems):
    assert problems(("throw = 4.0", "thrwo = 4.0")) == [
        'wheels.thrwo: is not a known key; did you mean "throw"?',
    ]


def test_a_mistyped_arrangement_is_read_as_what_was_meant(problems):
    assert problems(("arrangement =", "arrangment ="), ("throw = 4.0", "throw = 0")) == [
        'arrangment: is not a known key; did you mean "arrangement"?',
        "wheels.throw: should be above 0 (found 0)",
    ]


def test_all_tables_that_are_missing_are_one_line_that_says_where_they_come_from(problems):
    assert problems(("[crosshead]", "[xhead]"), ("[valve_spindle]", "[spin]"))[-1] == (
        "crosshead: is missing, and so is valve_spindle; tightspot new walschaerts writes every "
        "table, filled with guesses"
    )


def test_a_table_that_one_side_alone_has_is_missing_on_the_other(problems):
    found = problems(("[crosshead]", "[left.crosshead]"), ("[valve_spindle]", "[spin]"))
    assert found[-2:] == [
        "valve_spindle: is missing; tightspot new walschaerts writes every table, filled with "
        "guesses",
        "right.crosshead: is missing; tightspot new walschaerts writes every table, filled with "
        "guesses",
    ]


def test_all_problems_come_at_once_in_the_order_of_the_file(problems):
    found = problems(
        ("throw = 4.0", 'throw = "x"'),
        ("centres = 36.0", "centres = -36.0"),
        ("height = 6.0", "height = inf"),
        ('"Marsh Lane goods engine"', "1"),
        more="[left]\nwheels.throw = 0\n",
    )
    assert [line.split(":")[0] for line in found] == [
        "title",
        "wheels.throw",
        "connecting_rod.centres",
        "valve_spindle.height",
        "left.wheels.throw",
    ]


def test_the_message_names_file_count_and_lines(read, tmp_path):
    with pytest.raises(SheetError) as caught:
        read(("throw = 4.0", "throw = 0"))
    assert str(caught.value) == (
        f"{tmp_path / 'sheet.toml'}: 1 problem\n  wheels.throw: should be above 0 (found 0)"
    )


@pytest.mark.parametrize(
    ("more", "line"),
    [
        ("[left]\nwheels.throw = 0\n", "left.wheels.throw: should be above 0 (found 0)"),
        ("[left]\nzzz = 1\n", "left.zzz: is not a known key"),
        ("[only]\nx = 1\n", "only: is not one of this sheet's sides, right, left"),
        (
            "[left]\nradius_rod.die_below_trunnion = 9\n",
            "left: the fixed die stands beyond the end of expansion_link's slot",
        ),
    ],
)
def test_what_a_side_types_wrong_is_told_by_that_sides_key(problems, more, line):
    assert problems(more=more) == [line]


def test_a_fault_of_a_common_table_is_told_once_though_a_side_touches_it(problems):
    assert problems(
        ("leads = 90", "leads = 90\nfollows = 90"), more="[left]\nreturn_crank.width = 1\n"
    ) == ["return_crank: give exactly one of leads, follows, not leads and follows together"]


def test_a_side_should_be_a_table(problems):
    assert problems(("measured_to = 0.05", "left = 4")) == ["left: should be a table (found 4)"]


def test_two_fixed_things_of_one_name(problems):
    more = '[[fixed]]\nname = "motion bracket"\ndisc = {x=0,y=0,diameter=1}\nout=1\nthickness=1\n'
    assert problems(more=more) == [
        'fixed[2].name: two parts or fixed things have the name "motion bracket": '
        "the other is fixed[1]"
    ]


@pytest.mark.parametrize(
    ("good", "bad", "key", "words"),
    [
        (
            "throw = 4.0",
            "throw = 8.0",
            "wheels.throw",
            "8 mm is much for a connecting rod of 36 mm:"
            " is this the stroke, which is twice the throw?",
        ),
        (
            "throw = 4.0",
            "throw = 0.16",
            "wheels.throw",
            "0.16 mm is unusual beside the other lengths: is this in inches?",
        ),
        (
            "throw = 4.0",
            "throw = 40.0",
            "wheels.throw",
            "40 mm is unusual beside the other "
            "lengths: is the decimal point one place too far right?",
        ),
        (
            "centres = 20.0",
            "centres = 200.0",
            "eccentric_rod.centres",
            "200 mm is unusual beside a "
            "throw of 4 mm: is the decimal point one place too far right?",
        ),
        (
            "centres = 16.0",
            "centres = 0.63",
            "radius_rod.centres",
            "0.63 mm is unusual beside a "
            "throw of 4 mm: is this in inches? Or is the decimal point one place too far left?",
        ),
    ],
)
def test_slips_are_met_with_a_question(problems, good, bad, key, words):
    spoilt = (
        (good, bad),
        ("slot_half_length = 3.0", "slot_half_length = 0.6"),
        ("die_above_trunnion = 2.0", "die_above_trunnion = 0.1"),
        ("towards_frames = 0.5", "towards_frames = 0.1"),
    )
    found = bad.partition(" = ")[2]
    assert problems(*spoilt) == [f"{key}: {words} {SURE.format(key)} (found {found})"]


@pytest.mark.parametrize(
    ("good", "bad", "words"),
    [
        (
            "throw = 4.0",
            "throw = 8.0",
            "8 mm is unusual at 1:76.2: is this the stroke, which is twice the throw?",
        ),
        ("throw = 4.0", "throw = 0.16", "0.16 mm is unusual at 1:76.2: is this in inches?"),
    ],
)
def test_with_a_scale_numbers_are_held_against_full_size(problems, good, bad, words):
    lines = problems((good, bad), ("measured_to = 0.05", 'scale = "OO"'))
    found = bad.partition(" = ")[2]
    assert lines == [f"wheels.throw: {words} {SURE.format('wheels.throw')} (found {found})"]


@pytest.mark.parametrize(
    ("good", "bad", "key", "words"),
    [
        (
            "pin_circle = 1.6",
            "pin_circle = 4.5",
            "return_crank.pin_circle",
            "4.5 mm is much for a link whose foot pin is 7 mm from its trunnion: is this the "
            "diameter of the circle?",
        ),
        (
            "up = 7.0",
            "up = -7.0",
            "expansion_link.trunnion.up",
            # the foot is at (20, -14): 4.41 mm further off than the rod is long, on 7 mm
            "with -7 mm the eccentric rod holds the link 39 degrees off upright in the middle of "
            "its swing: should it be 7 mm?",
        ),
        (
            "below = 7.0 }",
            "below = 7.0, back = -3.0 }\nwidth = 1.6",
            "expansion_link.foot_pin.back",
            # the foot is 23 mm off: 6 mm further than the rod is long, on hypot(7, 3)
            "with -3 mm the eccentric rod holds the link 52 degrees off upright in the middle of "
            "its swing: should it be 3 mm, or is the link in back to front?",
        ),
        (
            "\nheight = 6.0",
            "\nheight = -6.0",
            "valve_spindle.height",
            # 13 mm up and down on 16 mm
            "with -6 mm the radius rod slopes by 54 degrees, its die in the middle of the slot: "
            "should it be 6 mm?",
        ),
    ],
)
def test_signs_and_radii_are_asked_about_where_proportions_give_them_away(
    problems, good, bad, key, words
):
    rod = (("centres = 20.0", "centres = 17.0"),) if "back" in key else ()
    (line,) = problems((good, bad), *rod)
    assert line.startswith(f"{key}: {words} {SURE.format(key)}")


def test_more_air_than_there_is_room_for_is_asked_about(problems, read):
    much = ("wanted_clearance = 0.2", "wanted_clearance = 2.0")
    (line,) = problems(much)
    assert line.startswith("wanted_clearance: 2 mm of air between moving parts is hardly to be had")
    assert line.endswith(f"{SURE.format('wanted_clearance')} (found 2.0)")
    sheet = read(much, ("measured_to = 0.05", 'sure = ["wanted_clearance"]'))
    assert sheet.wanted_clearance == 2.0


def test_a_length_far_from_that_of_the_other_side_is_asked_about(problems, read):
    other = "[left]\nconnecting_rod.centres = 53.0\n"
    (line,) = problems(more=other)
    assert line.startswith(
        "left.connecting_rod.centres: 53 mm is unusual where the other side has 36 mm: is a digit"
    )
    assert SURE.format("left.connecting_rod.centres") in line
    sure = ("measured_to = 0.05", 'sure = ["left.connecting_rod.centres"]')
    assert read(sure, more=other).sides["left"].connecting_rod.centres == 53.0
    # a short part from another model: left to be found
    assert read(more="[left]\nunion_link.centres = 2.6\n").sides["left"].union_link.centres == 2.6


def test_a_number_that_is_right_can_be_said_to_be_sure(read):
    sheet = read(("throw = 4.0", "throw = 8.0"), ("measured_to = 0.05", 'sure = ["wheels.throw"]'))
    assert sheet.sides["right"].wheels.throw == 8.0


def test_mm_on_a_sheet_in_inches(problems):
    inches = [
        ('units = "mm"', 'units = "in"\nscale = "5 in"'),
        ("wanted_clearance = 0.2\n", ""),
        ("measured_to = 0.05", "measured_to = 0.002"),
        ("throw = 4.0", "throw = 29.0"),
    ]
    lines = [line for line in problems(*inches) if line.startswith("wheels.throw")]
    assert len(lines) == 1
    assert "is this in mm, on a sheet in inches?" in lines[0]


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("throw = 4,33", 'a number with a decimal comma is written in quotes, "4,33"'),
        ("throw = 3/32 in", 'a number with its unit is written in quotes, "3/32 in"'),
        ("throw = 4.3 mm", 'a number with its unit is written in quotes, "3/32 in"'),
    ],
)
def test_no_toml_tells_the_line_and_a_likely_reason(problems, line, words):
    (found,) = problems(("throw = 4.0", line))
    assert found == (f"line 8 cannot be read: {words} (found {line})")


def test_a_file_that_is_not_there(tmp_path):
    with pytest.raises(SheetError, match="there is no such file"):
        read_sheet(tmp_path / "none.toml")


def test_a_directory(tmp_path):
    with pytest.raises(SheetError, match="is a directory; name the sheet's file"):
        read_sheet(tmp_path)


def test_not_utf_8(tmp_path):
    path = tmp_path / "old.toml"
    path.write_bytes(b'title = "caf\xe9"\n')
    with pytest.raises(SheetError, match="is not text in UTF-8; save it as UTF-8"):
        read_sheet(path)


def test_an_empty_file_misses_its_arrangement(tmp_path):
    path = tmp_path / "empty.toml"
    path.write_text("")
    with pytest.raises(SheetError, match="arrangement: is missing"):
        read_sheet(path)
