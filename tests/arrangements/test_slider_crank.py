"""Crank, connecting rod, crosshead."""

import math
import tomllib

import numpy as np
import pytest

from linkage.arrangements import build
from linkage.kinematics import solve_turn
from linkage.mechanism import FRAME, Place, Slide, Travel
from linkage.sheet import sheet_from

DATA = {
    "arrangement": "slider-crank",
    "wheels": {"throw": 3.0, "rim_radius": 8.0, "rim_thickness": 2.0},
    "connecting_rod": {"centres": 5.0, "width": 1.0, "thickness": 0.8, "out": 2.0},
    "crosshead": {
        "slipper": {"ahead": 1.0, "back": 0.5, "depth": 2.0},
        "thickness": 1.0,
        "out": 1.9,
        "drop_arm_pin": {"ahead": 0.5, "below": 2.0},
    },
    "slide_bars": {"rear": 1.0, "front": 9.5, "gap": 2.1, "depth": 0.6, "thickness": 1, "out": 1.9},
    "crank_pin": {
        "diameter": 1.2,
        "nut": {"diameter": 2.0, "out": 2.8, "thickness": 0.5},
        "boss": {"diameter": 2.4, "out": 0.0, "thickness": 0.4},
    },
    "cylinder": {
        "piston": {"ahead_of_crosshead_pin": 6.0, "thickness": 1.0},
        "rear_cover": 7.0,
        "front_cover": 15.0,
    },
}


def mechanism(**tables):
    return build(sheet_from(DATA | tables, ask=False))["only"]


def test_three_four_five():
    # Crank straight down: throw 3, rod 5, crosshead 4 ahead.
    motion = solve_turn(mechanism(), np.array([0.0, np.pi / 2, np.pi]))
    assert motion.travel("crosshead slide") == pytest.approx([8.0, 4.0, 2.0])
    assert motion.joint("crank pin")[1] == pytest.approx((0.0, -3.0), abs=1e-12)


def test_an_inclined_cylinder_turns_the_whole_about_the_axle():
    inclination = math.radians(10)
    turned = mechanism(cylinder={"inclination": 10.0})
    level = solve_turn(mechanism(), np.radians([0.0, 35.0, 200.0]))
    # The same position relative to the line comes with the crank 10 degrees less far on.
    motion = solve_turn(turned, np.radians([0.0, 35.0, 200.0]) - inclination)
    assert motion.travel("crosshead slide") == pytest.approx(level.travel("crosshead slide"))


def test_an_offset_line_stands_square_above_the_axle():
    (slide,) = [
        j
        for j in mechanism(cylinder={"inclination": 30, "axis_height": 2.0}).joints
        if isinstance(j, Slide)
    ]
    assert slide.b.part == FRAME
    assert (slide.b.x, slide.b.y) == pytest.approx((-1.0, math.sqrt(3)))
    assert slide.a == Place("crosshead", 0.0, 0.0)


def test_an_offset_slider_crank():
    # Centre line 3 above the axle, crank straight up: pin on the line, rod 5 along it.
    offset = mechanism(cylinder={"axis_height": 3.0})
    assert solve_turn(offset, np.array([1.5 * np.pi])).travel("crosshead slide") == pytest.approx(
        [5.0]
    )


def test_travel_of_crosshead_and_piston():
    assert mechanism().travels == (
        Travel("crosshead slide", "crosshead", "slide bars", 1.5, 8.5),
        Travel("crosshead slide", "piston", "rear cover", 1.5, math.inf, stop=True),
        Travel("crosshead slide", "piston", "front cover", -math.inf, 8.5, stop=True),
    )


def test_pieces_of_the_crank():
    pieces = {piece.label: piece for piece in mechanism().part("crank").pieces}
    assert set(pieces) == {"wheel", "pin", "nut", "boss"}
    assert (pieces["wheel"].radius, pieces["wheel"].out) == (8.0, (-1.0,))
    assert (pieces["nut"].corners, pieces["nut"].out) == (((3.0, 0.0),), (3.05,))
    # The pin reaches from the wheel's face to the rod's outer face.
    assert (pieces["pin"].out, pieces["pin"].thickness) == ((1.4,), 2.8)


def test_pieces_of_the_crosshead_and_bars():
    crosshead = {piece.label: piece for piece in mechanism().part("crosshead").pieces}
    assert crosshead["slipper"].corners == ((-0.5, -1.0), (1.0, -1.0), (1.0, 1.0), (-0.5, 1.0))
    assert crosshead["drop arm"].corners == ((0.0, 0.0), (0.5, -2.0))
    bars = mechanism().part("slide bars")
    assert bars.fixed
    lower = {piece.label: piece for piece in bars.pieces}["lower bar"]
    assert lower.corners[0] == pytest.approx((1.0, -1.65))
    assert lower.corners[2] == pytest.approx((9.5, -1.05))


def test_one_bar_only():
    bars = DATA["slide_bars"] | {"number": "upper"}
    assert [p.label for p in mechanism(slide_bars=bars).part("slide bars").pieces] == ["upper bar"]


def test_extra_outlines_pins_and_heads():
    text = """
    pins.head = { diameter = 1.4, thickness = 0.3 }
    [[extra]]
    on = "connecting rod"
    name = "oil cup"
    bar = { from = [0, 0.5], to = [0, 1.0], width = 0.4 }
    out = 2.0
    thickness = 0.8
    [[part]]
    name = "feed-pump rod"
    centres = 12
    [[pin]]
    name = "pump pin"
    joins = ["crosshead.crosshead pin", "feed-pump rod.rear"]
    near = [8, 0]
    [[pin]]
    name = "pump pivot"
    joins = ["feed-pump rod.front", [18, 4]]
    [motion_bracket]
    disc = { x = 5, y = 5, diameter = 1 }
    out = 1
    thickness = 1
    """
    made = mechanism(**tomllib.loads(text))
    rod = made.part("connecting rod").pieces
    assert "oil cup" in [piece.label for piece in rod]
    assert made.part("motion bracket").fixed
    assert made.joints[-1].b == Place(FRAME, 18.0, 4.0)
    heads = [piece for part in made.parts for piece in part.pieces if piece.label.endswith("head")]
    # Each on the outer face of the outermost metal there; the rod's is at 2.8, the crosshead's 2.9.
    assert {head.label for head in heads} == {"crank pin head", "little end head", "pump pin head"}
    outs = {head.label: head.out[0] for head in heads}
    assert outs["crank pin head"] == pytest.approx(3.3 + 0.15)  # on the nut's outer face
