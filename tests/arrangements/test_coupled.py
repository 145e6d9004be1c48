"""Coupled wheels as parts and joints: where they are, and what they meet."""

import math
import tomllib

import numpy as np
import pytest

from linkage.arrangements import build
from linkage.arrangements.coupled_wheels import rod_shape
from linkage.clearance import survey_clearances
from linkage.kinematics import find_openings, follow, solve_turn
from linkage.mechanism import Piece, PieceSort
from linkage.sheet import sheet_from
from linkage.sheet.ready import demonstration

CRANK = np.radians([0.0, 30.0, 90.0, 135.0, 180.0, 270.0, 333.0])
DATA = {
    "arrangement": "coupled-wheels",
    "wheels": {"throw": 4.0},
    "coupling": {
        "pin": 1.5,
        "hole": 1.6,
        "width": 2.0,
        "thickness": 0.8,
        "out": 1.5,
        "head": {"diameter": 2.4, "thickness": 0.5},
    },
    "axles": {"leading": {"ahead": 29.0}, "trailing": {"back": 25.0, "up": 0.5}},
    "coupling_rods": {
        "front": {"from": "driving", "to": "leading", "centres": 29.0},
        "rear": {"from": "trailing", "to": "driving", "centres": 25.0},
    },
}
JOINTED = {
    "front": {"from": "driving", "to": "leading", "centres": 29.0},
    "rear": {
        "from": "trailing",
        "centres": 21.0,
        "knuckle": {"on": "front", "behind": "driving", "distance": 4.0},
    },
}


def sheet(**changes):
    return sheet_from(DATA | changes, ask=False)


def mechanism(side="right", **changes):
    return build(sheet(**changes))[side]


def in_frame(motion, part, point):
    x, y, turn = np.moveaxis(motion.poses[part], -1, 0)
    c, s = np.cos(turn), np.sin(turn)
    return np.stack((x + c * point[0] - s * point[1], y + s * point[0] + c * point[1]), axis=-1)


def pin_path(throw, axle):
    return np.stack((axle[0] + throw * np.cos(CRANK), axle[1] - throw * np.sin(CRANK)), axis=-1)


@pytest.mark.parametrize("side", ["right", "left"])
def test_wheels_turn_with_the_crank_and_rods_keep_their_direction(side):
    motion = solve_turn(mechanism(side), CRANK)
    for part, axle in (("leading wheel", (29.0, 0.0)), ("trailing wheel", (-25.0, 0.5))):
        assert in_frame(motion, part, (0, 0)) == pytest.approx(np.tile(axle, (7, 1)), abs=1e-9)
        assert in_frame(motion, part, (4, 0)) == pytest.approx(pin_path(4.0, axle), abs=1e-9)
    front = motion.poses["front coupling rod"]
    assert front[:, :2] == pytest.approx(pin_path(4.0, (0.0, 0.0)), abs=1e-9)
    assert front[:, 2] == pytest.approx(0.0, abs=1e-12)
    # from the trailing axle, half a millimetre higher, down to the driving axle
    assert motion.poses["rear coupling rod"][:, 2] == pytest.approx(math.atan2(-0.5, 25.0))
    rear_end = in_frame(motion, "rear coupling rod", (25.0, 0.0))
    assert rear_end == pytest.approx(pin_path(4.0, (0.0, 0.0)), abs=1e-9)


def test_one_rod_alone_has_the_short_name():
    parts = mechanism(
        axles={"leading": {"ahead": 29.0}}, coupling_rods={"front": JOINTED["front"]}
    ).parts
    assert [part.name for part in parts if part.pieces] == [
        "crank",
        "leading wheel",
        "coupling rod",
    ]


def test_the_whole_turn_closes_at_the_dead_centres_too():
    course = follow(mechanism())
    assert course.arcs[0].whole
    assert not find_openings(course)


def test_pins_reach_through_the_rods_and_heads_lie_on_them():
    wheel = mechanism().part("leading wheel")
    assert wheel.pieces == (
        Piece(
            ((4.0, 0.0),), 0.75, (1.15,), 2.3, "crank pin", PieceSort.CRANK_PIN
        ),  # from 0 to 1.5 + 0.8
        Piece(((4.0, 0.0),), 1.2, (2.55,), 0.5, "head", PieceSort.NUT),  # from 2.3 to 2.8
    )


def test_a_wheel_has_its_own_throw():
    sheet_with = {"leading": {"ahead": 29.0, "throw": 4.2}, "trailing": {"back": 25.0}}
    wheel = mechanism(axles=sheet_with).part("leading wheel")
    assert {piece.corners for piece in wheel.pieces} == {((4.2, 0.0),)}


def test_hubs_stand_on_every_axle():
    hub = {"diameter": 5.0, "out": 0.0, "thickness": 0.8}
    made = mechanism(coupling=DATA["coupling"] | {"hub": hub})
    for name in ("crank", "leading wheel", "trailing wheel"):
        assert Piece(((0.0, 0.0),), 2.5, (0.4,), 0.8, "hub") in made.part(name).pieces


def test_a_knuckle_is_carried_on_a_tail_of_the_other_rod():
    made = mechanism(axles={"leading": {"ahead": 29.0}, "trailing": {"back": 25.0}},
                     coupling_rods=JOINTED)  # fmt: skip
    front = made.part("front coupling rod")
    assert front.pieces[-1] == Piece(((0.0, 0.0), (-4.0, 0.0)), 1.0, (1.9, 1.9), 0.8, "knuckle")
    motion = solve_turn(made, CRANK)
    knuckle = in_frame(motion, "front coupling rod", (-4.0, 0.0))
    assert in_frame(motion, "rear coupling rod", (21.0, 0.0)) == pytest.approx(knuckle, abs=1e-9)


def test_a_rod_in_one_piece_has_all_its_holes():
    axles = {"leading": {"ahead": 29.0}, "trailing": {"back": 25.0}}
    whole = {"pins": ["trailing", "driving", "leading"], "centres": [25.0, 29.0]}
    made = sheet(axles=axles, coupling_rods={"whole": whole})
    shape = rod_shape(made.sides["right"].coupling_rods["whole"])
    assert shape.places == ((0.0, 0.0), (25.0, 0.0), (54.0, 0.0))
    motion = solve_turn(build(made)["right"], CRANK)
    assert in_frame(motion, "coupling rod", (25.0, 0.0)) == pytest.approx(
        pin_path(4.0, (0.0, 0.0)), abs=1e-9
    )


def test_a_kink_upwards_lifts_the_middle_hole():
    # Two limbs of 25 and 25, kinked up 1.0 at the middle pin: it stands 1.0 above the ends' line.
    axles = {"leading": {"ahead": 25.0}, "trailing": {"back": 25.0}}
    whole = {
        "pins": ["trailing", "driving", "leading"],
        "centres": [25.0, 25.0],
        "bend": [{"kind": "kink", "from": "rear", "at": 25.0, "up": 1.0}],
    }
    rod = sheet(axles=axles, coupling_rods={"whole": whole}).sides["right"].coupling_rods["whole"]
    limb = math.sqrt(25.0**2 - 1.0)
    # Laid at 25 along a line 49.96 long, the kink is 0.02 beyond the hole, and 0.0008 higher.
    places = rod_shape(rod).places
    assert places[1] == pytest.approx((limb, 1.0), abs=0.002)
    assert places[2] == pytest.approx((2 * limb, 0.0), abs=0.002)


def test_a_bend_shortens_a_rod_measured_straight():
    bend = [{"kind": "kink", "from": "driving", "at": 14.5, "towards_frames": 1.0}]
    front = JOINTED["front"] | {"bend": bend, "centres_measured": "straight"}
    rod = sheet(coupling_rods=DATA["coupling_rods"] | {"front": front}).sides["left"]
    places = rod_shape(rod.coupling_rods["front"]).places
    assert places[1][0] == pytest.approx(2 * math.sqrt(14.5**2 - 1.0))


# --- with the connecting rod ---------------------------------------------------------------------

ENGINE = {
    "arrangement": "slider-crank",
    "wanted_clearance": 0.1,
    "wheels": {"throw": 4.33},
    "crank_pin": {"diameter": 1.5},
    "connecting_rod": {"centres": 42.0, "width": 1.8, "thickness": 0.8, "out": 2.6},
    "crosshead": {
        "slipper": {"ahead": 2.5, "back": 2.5, "depth": 4.2},
        "thickness": 1.2,
        "out": 2.4,
    },
    "slide_bars": {
        "rear": 31.0,
        "front": 55.0,
        "gap": 4.4,
        "depth": 1.0,
        "thickness": 1.2,
        "out": 2.4,
    },
    "coupling": {
        "pin": 1.5,
        "hole": 1.6,
        "width": 2.0,
        "thickness": 0.6,
        "out": 1.0,
        "side_play": 0.0,
    },
    "axles": {"leading": {"ahead": 29.0}},
    "coupling_rods": {"front": JOINTED["front"]},
}


def clearances(**changes):
    made = build(sheet_from(ENGINE | changes, ask=False))["only"]
    survey = survey_clearances(follow(made), 0.1)
    return {frozenset(pair.parts): pair for pair in survey.pairs}


def test_in_its_layer_the_coupling_rod_is_clear_and_proven_so():
    assert not any(pair.fouls for pair in clearances().values())
    nearer = ENGINE["coupling"] | {"out": 1.6}  # to 2.2, the connecting rod from 2.6
    pair = clearances(coupling=nearer)[frozenset({"connecting rod", "coupling rod"})]
    assert pair.least == pytest.approx(0.4)
    assert pair.between_samples == "proven"


def test_side_play_brings_the_rods_nearer():
    """Leading wheels out by 0.2, driving ones in: at the eye's rear edge, 28 along the 42."""
    nearer = ENGINE["coupling"] | {"out": 1.6, "side_play": 0.2}
    pair = clearances(coupling=nearer)[frozenset({"connecting rod", "coupling rod"})]
    assert pair.least == pytest.approx(0.4 - 0.2 - 0.2 * (1 - 28 / 42), abs=1e-3)


def test_the_leading_nut_meets_the_slide_bars():
    """A nut 2.4 across, bars with inner faces at 2.2.

    The nut's edge reaches the lower bar's inner face where 4.33 sin(a) + 1.2 = 2.2; it leaves it
    past the corner of the rear end, (31, -3.2), where its centre is 1.2 from that corner.
    """
    head = {"diameter": 2.4, "out": 2.0, "thickness": 0.6}  # 2.0 to 2.6, the bars from 2.4
    found = clearances(coupling=ENGINE["coupling"] | {"head": head})
    pair = found[frozenset({"slide bars", "leading wheel"})]
    assert pair.between_samples == "proven"
    assert pair.least == pytest.approx(-0.2)
    lower, upper = sorted(pair.fouls, key=lambda arc: arc.begin)
    enter = math.asin(1.0 / 4.33)
    assert lower.begin == pytest.approx(enter, abs=2e-5)  # arcs are closed in on to 0.001 degree
    x, y = 29.0 + 4.33 * math.cos(lower.end), -4.33 * math.sin(lower.end)
    assert math.dist((x, y), (31.0, -3.2)) == pytest.approx(1.2, abs=1e-4)
    assert upper.end == pytest.approx(math.tau - enter, abs=2e-5)
    # as worked out for these proportions: 13 to 73, and 287 to 347
    assert np.degrees([lower.begin, lower.end]) == pytest.approx([13.0, 73.0], abs=0.5)
    assert np.degrees([upper.begin, upper.end]) == pytest.approx([287.0, 347.0], abs=0.5)


def test_a_connecting_rod_bent_towards_the_frames_meets_the_next_pin_at_both_dead_centres():
    """Rod 1.8 deep, nut 2.4 across: in the side view they meet within 44.6 of the dead centres."""
    rod = ENGINE["connecting_rod"] | {
        "bend": [{"kind": "bow", "from": "big end", "towards_frames": 1.2}]
    }
    head = {"diameter": 2.4, "thickness": 0.5}  # 1.6 to 2.1
    found = clearances(connecting_rod=rod, coupling=ENGINE["coupling"] | {"head": head})
    pair = found[frozenset({"connecting rod", "leading wheel"})]
    assert pair.fouls
    assert pair.between_samples == "proven"
    for arc in pair.fouls:
        worst = math.degrees(arc.worst) % 180.0
        assert min(worst, 180.0 - worst) < 45.0
    assert {round(math.degrees(arc.worst) / 180.0) % 2 for arc in pair.fouls} == {0, 1}


def test_a_leading_nut_in_the_connecting_rods_layer_meets_it_to_the_worked_out_angle():
    """Throw 4.33, rod 42 by 1.8, axle 29 ahead, nut 2.4: they part at 44.6 from a dead centre."""
    head = {"diameter": 2.4, "out": 2.2, "thickness": 0.6}  # to 2.8, the rod from 2.6
    found = clearances(coupling=ENGINE["coupling"] | {"head": head}, slide_bars=None)
    pair = found[frozenset({"connecting rod", "leading wheel"})]
    edges = sorted(math.degrees(a) % 360 for arc in pair.fouls for a in (arc.begin, arc.end))
    assert edges == pytest.approx([44.6, 135.4, 224.6, 315.4], abs=0.05)


def test_a_coupling_rod_bowed_towards_the_frames_meets_the_hubs():
    """Rod at 1.0 with 0.9 of bow, hubs 0.8 high: at 4.33 from its eye the bow has taken some."""
    hub = {"diameter": 5.0, "out": 0.0, "thickness": 0.8}
    bend = [{"kind": "bow", "from": "driving", "towards_frames": 0.9}]
    rods = {"front": JOINTED["front"] | {"bend": bend}}
    found = clearances(coupling=ENGINE["coupling"] | {"hub": hub}, coupling_rods=rods)
    pair = found[frozenset({"leading wheel", "coupling rod"})]
    (arc,) = pair.fouls
    # The leading pin is ahead of its axle at 0: there the rod lies across the hub.
    assert min(arc.worst % math.tau, math.tau - arc.worst % math.tau) < 0.6
    # the arc's height 4.33 + 2.5 from the eye of a bow of 0.9 over 29: 4 * 0.9 * t * (1 - t)
    share = 6.83 / 29.0
    sag = 4 * 0.9 * share * (1 - share)
    assert pair.least == pytest.approx(0.2 - sag, abs=0.04)  # circle for parabola, chords for arc
    # and the driving hub with its own pin behind the axle
    (arc,) = found[frozenset({"crank", "coupling rod"})].fouls
    assert abs(arc.worst % math.tau - math.pi) < 0.6


def test_rods_lapped_on_one_pin_are_not_held_against_each_other():
    made = mechanism(axles={"leading": {"ahead": 29.0}, "trailing": {"back": 25.0}})
    front, rear = ("front coupling rod", None), ("rear coupling rod", None)
    pin = "leading wheel", PieceSort.CRANK_PIN
    assert frozenset({front, rear}) in made.apart
    assert frozenset({pin, front}) in made.apart
    assert frozenset({pin, rear}) not in made.apart


def test_a_gear_keeps_its_parts_and_gains_the_wheels():
    data = tomllib.loads(demonstration().read_text(encoding="utf-8"))
    plain = build(sheet_from(data))["right"]
    more = {key: ENGINE[key] for key in ("axles", "coupling_rods")}
    coupled = build(sheet_from(data | more))["right"]
    assert [part for part in coupled.parts if part in plain.parts] == list(plain.parts)
    assert [joint for joint in coupled.joints if joint in plain.joints] == list(plain.joints)
    added = [part.name for part in coupled.parts if part not in plain.parts and part.pieces]
    assert added == ["leading wheel", "coupling rod"]
