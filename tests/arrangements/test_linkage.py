"""Sheets of parts and joints alone."""

import tomllib

import numpy as np
import pytest

from linkage.arrangements import build, points_of
from linkage.errors import SheetError
from linkage.kinematics import solve_turn
from linkage.mechanism import FRAME, Place, Slide, Slot, Travel
from linkage.sheet import sheet_from

# Crank 1, frame 2, coupler 2.5 and as much again to the tracing point, rocker 2.5.
STRAIGHT_LINE = """
arrangement = "linkage"
[crank]
pins = { pin = [1.0, 0.0] }
[[part]]
name = "coupler"
points = { rear = [0, 0], middle = [2.5, 0], tracer = [5, 0] }
[[part]]
name = "rocker"
centres = 2.5
width = 0.4
thickness = 0.2
out = 1.0
[[pin]]
name = "crank pin"
joins = ["crank.pin", "coupler.rear"]
[[pin]]
name = "coupler pin"
joins = ["coupler.middle", "rocker.front"]
near = [1.5, 2.4]
[[pin]]
name = "rocker pivot"
joins = ["rocker.rear", [2.0, 0.0]]
"""


def sheet(text):
    return sheet_from(tomllib.loads(text), "own.toml")


def problems(*changes, more=""):
    text = STRAIGHT_LINE
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    with pytest.raises(SheetError) as caught:
        build(sheet(text + more))
    return [str(problem) for problem in caught.value.problems]


def test_a_straight_line_linkage_draws_its_straight_line():
    """Height 4 to 4.009754 and 4 cranks long over half a turn: K. Hoecken, Werkstattstechnik 1926.

    The proportions are published; the heights follow from them, recomputed to six decimals.
    """
    read = sheet(STRAIGHT_LINE)
    motion = solve_turn(build(read)["only"], np.linspace(np.pi / 2, 3 * np.pi / 2, 721))
    path = motion.point("coupler", *points_of(read)["only"]["coupler"]["tracer"])
    assert np.ptp(path[:, 0]) == pytest.approx(4.0, abs=1e-9)
    assert path[:, 1].min() == pytest.approx(4.0, abs=1e-9)
    assert path[:, 1].max() == pytest.approx(4.009754, abs=1e-6)


def test_points_and_outlines():
    read = sheet(STRAIGHT_LINE)
    made = build(read)["only"]
    assert made.part("coupler").pieces == ()
    assert made.part("rocker").pieces[0].corners == ((0.0, 0.0), (2.5, 0.0))
    assert read.dimensions["only"]["part[2].centres"] == 2.5
    assert made.joints[2].b == Place(FRAME, 2.0, 0.0)


def test_the_axle_may_stand_anywhere():
    axle = STRAIGHT_LINE.replace("[crank]", "[crank]\naxle = [3, 4]")
    assert build(sheet(axle))["only"].axle == (3.0, 4.0)


def test_slides_and_slots_of_every_kind():
    text = """
    arrangement = "linkage"
    [crank]
    pins = { pin = [1.0, 0.0] }
    [[part]]
    name = "yoke"
    points = { stem = [0, 0] }
    [[slide]]
    name = "stem"
    moves = "yoke.stem"
    along = [2, 0]
    direction = 30
    travel = { least = -1, most = 1.5 }
    [[slot]]
    name = "yoke slot"
    pin = "crank.pin"
    on = "yoke"
    middle = [-2, 0]
    direction = 90
    radius = 8
    curves = "left"
    half_length = 1.2
    """
    made = build(sheet(text))["only"]
    stem, slot = made.joints
    assert stem == Slide(
        "stem",
        Place("yoke", 0.0, 0.0),
        Place(FRAME, 2.0, 0.0),
        pytest.approx(np.pi / 6),
        turned=pytest.approx(np.pi / 6),
    )
    assert slot == Slot(
        "yoke slot",
        Place("crank", 1.0, 0.0),
        Place("yoke", -2.0, 0.0),
        pytest.approx(np.pi / 2),
        0.125,
    )
    assert made.travels == (
        Travel("stem", "yoke", "stem", -1.0, 1.5),
        Travel("yoke slot", "crank", "yoke slot", -1.2, 1.2),
    )
    right = build(sheet(text.replace('"left"', '"right"')))["only"]
    assert right.joints[1].curvature == -0.125
    half_open = build(sheet(text.replace("least = -1, ", "")))["only"]
    assert half_open.travels[0].least == -np.inf


@pytest.mark.parametrize(
    ("old", "new", "line"),
    [
        (
            '"rocker.front"',
            '"rokcer.front"',
            "pin[2].joins[2]: names a part that is not there; did "
            'you mean "rocker"? (found "rokcer")',
        ),
        (
            '"rocker.front"',
            '"rocker.top"',
            'pin[2].joins[2]: names a point that "rocker" does not '
            'have: it has rear, front (found "rocker.top")',
        ),
        (
            '"rocker.front"',
            '"coupler.tracer"',
            'pin[2].joins: should name two different parts (found "coupler" twice)',
        ),
        (
            "near = [1.5, 2.4]",
            "",
            "pin[2].near: is missing: about where the pin stands when the "
            "crank points straight ahead",
        ),
        (
            'name = "rocker"',
            'name = "crank"',
            'part[2].name: is the name of another (found "crank")',
        ),
        (
            '"rocker.front"',
            '"rocker"',
            'pin[2].joins[2]: should be "part.point", or [ahead, up] '
            'for a place on the frame (found "rocker")',
        ),
        (
            'name = "rocker"',
            'name = "coupler"',
            'part[2].name: two parts or fixed things have the name "coupler": the other is part[1]',
        ),
        (
            'name = "coupler pin"',
            'name = "crank pin"',
            'pin[2].name: two joints have the name "crank pin": the other is pin[1]',
        ),
        ("centres = 2.5", "", "part[2]: give exactly one of centres, points"),
        ("width = 0.4", "", "part[2]: an outline needs width, thickness and out, all three"),
        ('name = "rocker"', 'name = ""', 'part[2].name: should not be empty (found "")'),
        ("pins = { pin = [1.0, 0.0] }", "", "crank.pins: is missing"),
    ],
)
def test_what_does_not_make_a_linkage(old, new, line):
    lines = problems((old, new))
    assert lines[0] == line


@pytest.mark.parametrize(
    ("more", "line"),
    [
        (
            '[[slide]]\nname="s"\nmoves="bolt.a"\nalong=[0,0]\n',
            'slide[1].moves: names a part that is not there (found "bolt")',
        ),
        (
            '[[slide]]\nname="s"\nmoves="rocker.rear"\non="bolt"\nalong=[0,0]\n',
            'slide[1].on: names a part that is not there (found "bolt")',
        ),
        (
            '[[slide]]\nname="crank pin"\nmoves="rocker.rear"\nalong=[0,0]\n',
            'slide[1].name: two joints have the name "crank pin": the other is pin[1]',
        ),
        (
            '[[slot]]\nname="s"\npin="rocker.rear"\non="bolt"\nmiddle=[0,0]\n',
            'slot[1].on: names a part that is not there (found "bolt")',
        ),
        (
            '[[slot]]\nname="s"\npin="rocker.x"\non="coupler"\nmiddle=[0,0]\n',
            "slot[1].pin: names a "
            'point that "rocker" does not have: it has rear, front (found "rocker.x")',
        ),
        (
            '[[slot]]\nname="s"\npin="rocker.rear"\non="coupler"\nmiddle=[0,0]\nradius=4\n',
            'slot[1]: a curved slot needs both radius and curves = "left" or "right"',
        ),
        (
            '[[extra]]\non="bolt"\ndisc={x=0,y=0,diameter=1}\nout=0\nthickness=1\n',
            'extra[1].on: names a part that is not there (found "bolt")',
        ),
    ],
)
def test_what_cannot_be_added(more, line):
    assert problems(more=more) == [line]


@pytest.mark.parametrize("kind", ["slide", "slot"])
def test_a_joint_of_the_arrangements_own_name_is_refused(kind):
    joints = {
        "slide": 'moves = "connecting rod.big end"\nalong = [0, 0]',
        "slot": 'pin = "connecting rod.big end"\non = "crosshead"\nmiddle = [0, 0]',
    }
    text = f"""
    arrangement = "slider-crank"
    wheels.throw = 3
    connecting_rod.centres = 20
    crosshead = {{}}
    [[{kind}]]
    name = "crank pin"
    {joints[kind]}
    """
    with pytest.raises(SheetError, match=r'name: is the name of another \(found "crank pin"\)'):
        build(sheet(text))


@pytest.mark.parametrize(
    ("bend", "message"),
    [
        ("at = 1, up = 0.1", "a bend needs centres, width, thickness and out"),
        ("at = 3, up = 0.1", "part\\[1\\]: bend 1: the bend should lie between the two ends"),
    ],
)
def test_bends_of_a_part_are_checked(bend, message):
    layer = "" if "needs" in message else "width = 1\nthickness = 1\nout = 1\n"
    text = (
        'arrangement = "linkage"\ncrank.pins = { pin = [1, 0] }\n'
        f'[[part]]\nname = "rod"\ncentres = 2\n{layer}'
        f'bend = [{{ kind = "kink", from = "rear", {bend} }}]\n'
    )
    with pytest.raises(SheetError, match=message):
        sheet(text)


def test_all_that_is_wrong_comes_at_once():
    lines = problems(('"rocker.front"', '"rocker.top"'), ("[2.0, 0.0]", '"bolt.hole"'))
    assert [line.split(":")[0] for line in lines] == ["pin[2].joins[2]", "pin[3].joins[2]"]
