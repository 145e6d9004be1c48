"""Trade dimensions to parts and joints, by hand and by the solver."""

import math

import numpy as np
import pytest

from linkage.arrangements import build, points_of
from linkage.kinematics import solve_turn
from linkage.mechanism import FRAME, PieceSort, Pin, Place, Slide, Slot, Travel

TURN = np.linspace(0.0, 2 * np.pi, 25)
LIFTED = {
    "radius_rod.die_above_trunnion": None,
    "lifting_link": {"centres": 3.5, "pin": {"ahead_of_die": 5.0, "above": 0.4}},
    "weighshaft": {
        "ahead": 29.0,
        "up": 10.0,
        "arm": 4.0,
        "arm_points": "back",
        "gear": {"full_forward": -20.0, "mid": 5.0, "full_back": 30.0},
    },
}
WAYS = {
    "as it is": {},
    "inclined": {"cylinder": {"inclination": 4.0, "axis_height": 0.5}},
    "following": {"return_crank": {"pin_circle": 1.4, "follows": 90}},
    "die below": {"radius_rod.die_above_trunnion": None, "radius_rod.die_below_trunnion": 2.0},
    "outside admission": {
        "combination_lever.admission": "outside",
        "valve_spindle.height": 8.5,
        "combination_lever.radius_rod_pin_to_union_pin": 9.0,
    },
    "lever worked by the drop arm itself": {
        "union_link": None,
        "crosshead.drop_arm_pin": {"ahead": 1.0, "below": 1.0},
    },
    "no lever": {"union_link": None, "combination_lever": None},
    "lifted, forward": LIFTED | {"running": "full_forward"},
    "lifted, mid": LIFTED | {"running": "mid"},
    "lifted, back": LIFTED | {"running": "full_back"},
    "lifted, by degrees": LIFTED | {"running": 12.5},
}


@pytest.fixture
def joint(sheet_with):
    def finder(name, changes=None, side="right"):
        (found,) = [j for j in build(sheet_with(changes))[side].joints if j.name == name]
        return found

    return finder


@pytest.mark.parametrize("way", WAYS)
def test_it_goes_together_the_trades_way_all_the_way_round(sheet_with, way):
    for mechanism in build(sheet_with(WAYS[way])).values():
        motion = solve_turn(mechanism, TURN)
        assert motion.reached.all()
        for joint in mechanism.joints:
            if joint.near is not None:
                # The closed form and the solver meet: both to rounding over 50 mm.
                assert motion.joint(joint.name)[0] == pytest.approx(joint.near, abs=1e-9)


def test_the_usual_way_round(sheet_with):
    mechanism = build(sheet_with())["right"]
    motion = solve_turn(mechanism, np.zeros(1))
    assert motion.joint("little end")[0] == pytest.approx((33.0, 0.0))
    assert abs(motion.poses["expansion link"][0, 2]) < math.radians(20)
    assert abs(motion.poses["combination lever"][0, 2]) < math.radians(45)
    assert abs(motion.poses["radius rod"][0, 2]) < math.radians(20)


def test_the_return_crank_leads_clockwise(joint):
    # A quarter turn ahead in forward running, which is clockwise: straight down.
    place = joint("return crank pin").a
    assert (place.part, place.x, place.y) == ("crank", pytest.approx(0.0, abs=1e-15), -1.4)


def test_the_return_crank_follows_the_other_way(joint):
    place = joint("return crank pin", {"return_crank": {"pin_circle": 2.0, "follows": 30}}).a
    assert (place.x, place.y) == pytest.approx((2 * math.sqrt(0.75), 1.0))


@pytest.mark.parametrize(("leans", "y"), [("leading", -1.4), ("following", 1.4)])
def test_the_return_crank_by_arm_and_lean(joint, leans, y):
    lean = math.degrees(math.atan2(1.4, 3.0))
    table = {"arm": math.hypot(3.0, 1.4), "lean": lean, "leans": leans}
    place = joint("return crank pin", {"return_crank": table}).a
    assert (place.x, place.y) == pytest.approx((0.0, y), abs=1e-12)


def test_the_link_swings_on_its_trunnion_and_hangs_its_foot(joint):
    assert joint("trunnion") == Pin(
        "trunnion", Place("expansion link", 0.0, 0.0), Place(FRAME, 20.0, 6.0)
    )
    foot = joint("link foot pin", {"expansion_link.foot_pin.back": 0.7})
    assert foot.b == Place("expansion link", -0.7, -6.0)
    # Foot 6 below the trunnion at (20, 6), return pin at (0, -1.4): hardly off upright.
    assert joint("link foot pin").near == pytest.approx((20.0, 0.0), abs=0.1)


def test_a_fixed_die_stands_on_the_slots_curve(joint):
    # 2 mm up an arc of radius 15 about a centre ahead: 15 (1 - cos), 15 sin of 2/15 radian.
    die = joint("die block")
    assert (die.b.x, die.b.y) == pytest.approx(
        (15 * (1 - math.cos(2 / 15)), 15 * math.sin(2 / 15)), rel=1e-12
    )
    below = joint("die block", WAYS["die below"])
    assert (below.b.x, below.b.y) == pytest.approx((die.b.x, -die.b.y))
    flat = joint("die block", {"expansion_link.slot_radius": 1e6})
    assert (flat.b.x, flat.b.y) == pytest.approx((0.0, 2.0), abs=1e-5)


def test_a_lifted_die_runs_in_the_slot(sheet_with, joint):
    die = joint("die block", LIFTED)
    assert isinstance(die, Slot)
    assert die.direction == pytest.approx(math.pi / 2)
    assert die.curvature == pytest.approx(-1 / 15)  # turns right, to the centre ahead
    mechanism = build(sheet_with(LIFTED | {"expansion_link.die_length": 1.0}))["left"]
    assert Travel("die block", "die block", "slot", -2.5, 2.5) in mechanism.travels


def test_the_slots_centre_is_ahead_of_the_upright_link(sheet_with):
    # The die in mid slot, or moved along it, stays one slot radius from the same point.
    link = points_of(sheet_with())["right"]["expansion link"]
    assert math.dist(link["die block"], (15.0, 0.0)) == pytest.approx(15.0)


@pytest.mark.parametrize(
    ("running", "degrees"),
    [("full_forward", 200.0), ("mid", 175.0), ("full_back", 150.0), (10, 170.0)],
)
def test_the_reverser_sets_the_arm(sheet_with, running, degrees):
    point = points_of(sheet_with(LIFTED | {"running": running}))["right"]["weighshaft"]["arm end"]
    angle = math.radians(degrees)  # the arm points back: half a turn less the angle above level
    assert point == pytest.approx((29 + 4 * math.cos(angle), 10 + 4 * math.sin(angle)))


def test_an_arm_angle_without_gear(sheet_with):
    shaft = {"ahead": 21.0, "up": 10.0, "arm": 4.0, "arm_angle": -10.0}
    point = points_of(sheet_with(LIFTED | {"weighshaft": shaft}))["left"]["weighshaft"]["arm end"]
    angle = math.radians(-10)
    assert point == pytest.approx((21 + 4 * math.cos(angle), 10 + 4 * math.sin(angle)))


def test_the_lifting_link_holds_the_rod_behind_or_ahead(sheet_with):
    ahead = points_of(sheet_with(LIFTED))["right"]["radius rod"]["lifting pin"]
    behind = LIFTED | {"lifting_link.pin": {"behind_die": 2.0}}
    assert ahead == (5.0, 0.4)
    assert points_of(sheet_with(behind))["right"]["radius rod"]["lifting pin"] == (-2.0, 0.0)


@pytest.mark.parametrize(("admission", "valve"), [("inside", -1.2), ("outside", 1.2)])
def test_the_order_of_the_levers_pins(sheet_with, admission, valve):
    points = points_of(sheet_with({"combination_lever.admission": admission}))
    lever = points["right"]["combination lever"]
    assert lever == {
        "radius rod pin": (0.0, 0.0),
        "valve pin": (0.0, valve),
        "union pin": (0.0, -8.0),
    }


def test_the_lever_reaches_from_its_topmost_pin_to_its_foot(sheet_with):
    changes = {"combination_lever.admission": "outside"}
    (piece,) = build(sheet_with(changes))["right"].part("combination lever").pieces
    assert piece.corners == (pytest.approx((0.0, 1.2)), pytest.approx((0.0, -8.0)))


def test_bends_of_the_lever_go_ahead(sheet_with):
    bend = [{"kind": "kink", "from": "top", "at": 3.0, "ahead": 0.5}]
    pieces = (
        build(sheet_with({"combination_lever.bend": bend}))["right"]
        .part("combination lever")
        .pieces
    )
    assert pieces[0].corners[1] == pytest.approx((0.5, -3.0))


def test_up_is_up_on_a_union_link_that_points_back(sheet_with):
    bend = [{"kind": "kink", "from": "drop arm", "at": 2.0, "up": 0.3}]
    changes = {"union_link.bend": bend, "crosshead.drop_arm_pin": {"ahead": 9.0, "below": 2.5}}
    mechanism = build(sheet_with(changes))["right"]
    motion = solve_turn(mechanism, np.zeros(1))
    kink = mechanism.part("union link").pieces[0].corners[1]
    drop, union = motion.joint("drop arm pin")[0], motion.joint("union pin")[0]
    assert union[0] < drop[0]  # it does point back
    height = motion.point("union link", *kink)[0, 1]
    assert height > (drop[1] + union[1]) / 2


def test_the_spindle_runs_parallel_to_the_cylinder(joint):
    slide = joint("valve spindle slide", WAYS["inclined"])
    angle = math.radians(4)
    assert isinstance(slide, Slide)
    assert (slide.direction, slide.turned) == pytest.approx((angle, angle))
    assert (slide.b.x, slide.b.y) == pytest.approx((-6 * math.sin(angle), 6 * math.cos(angle)))


def test_the_spindles_guide(sheet_with):
    guide = {"valve_spindle.guide": {"rear": 31.0, "front": 36.0}}
    mechanism = build(sheet_with(guide))["right"]
    assert Travel("valve spindle slide", "valve spindle", "guide", 31.0, 36.0) in mechanism.travels


def test_without_a_union_link_the_drop_arm_runs_in_the_lever(joint):
    slot = joint("drop arm pin", WAYS["lever worked by the drop arm itself"])
    assert isinstance(slot, Slot)
    assert slot.a == Place("crosshead", 1.0, -1.0)
    assert slot.b == Place("combination lever", 0.0, -8.0)
    assert slot.curvature == 0.0


def test_without_a_lever_the_rod_moves_the_valve(joint):
    pin = joint("valve pin", WAYS["no lever"])
    assert {pin.a.part, pin.b.part} == {"radius rod", "valve spindle"}


def test_a_rod_measured_straight_is_shortened_by_its_bend(joint):
    bow = [{"kind": "bow", "from": "rear", "towards_frames": 0.8}]
    changes = {"connecting_rod.bend": bow, "connecting_rod.centres_measured": "straight"}
    # 8 s^2 / (3 L) = 0.057 for a sag of 0.8 in 30.
    assert joint("little end", changes).a.x == pytest.approx(30 - 0.057, abs=0.5e-3)


def test_the_return_crank_is_part_of_the_crank(sheet_with):
    changes = {
        "return_crank.out": 5.0,
        "return_crank.width": 1.4,
        "return_crank.thickness": 0.4,
        "crank_pin": {"diameter": 1.5},
    }
    pieces = {p.label: p for p in build(sheet_with(changes))["right"].part("crank").pieces}
    arm = pieces["return crank"]
    assert arm.corners == (pytest.approx((3.0, 0.0)), pytest.approx((0.0, -1.4)))
    assert arm.out == pytest.approx((5.2, 5.2))
    assert arm.radius == 0.7
    # The pin goes on from the connecting rod's outer face at 3.4 to the return crank at 5.0.
    assert pieces["pin"].out == pytest.approx((4.2,))
    assert pieces["pin"].thickness == pytest.approx(1.6)


def test_the_sides_are_true_mirrors(sheet_with):
    """Both sides are seen from outside: the same sheet gives the same mechanism on either."""
    sides = build(sheet_with())
    assert sides["left"] == sides["right"]


def test_a_side_of_its_own(sheet_with):
    sheet = sheet_with({"left": {"radius_rod": {"centres": 14.8}}})
    assert sheet.dimensions["left"]["left.radius_rod.centres"] == 14.8
    assert sheet.dimensions["right"]["radius_rod.centres"] == 15.0
    sides = build(sheet)
    assert sides["left"].joints != sides["right"].joints


def test_parts_that_run_in_one_another_are_kept_apart(sheet_with):
    bars = {"slide_bars": {"rear": 25, "front": 36, "gap": 4}}
    apart = build(sheet_with(bars))["right"].apart
    assert frozenset({("crosshead", PieceSort.SLIPPER), ("slide bars", None)}) in apart
    assert (
        frozenset({("radius rod", None), ("expansion link", None)}) not in apart
    )  # its face may be met


def test_a_loop_that_cannot_close_at_dead_centre_still_says_where(sheet_with):
    changes = {"eccentric_rod.centres": 9.0}
    near = [j.near for j in build(sheet_with(changes))["right"].joints if j.near is not None]
    assert np.isfinite(near).all()
