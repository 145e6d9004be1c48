"""The least clearance round the turn, and the arcs with too little, in closed form."""

import math

import numpy as np
import pytest

from linkage.clearance import least_clearance, survey_clearances
from linkage.clearance.near import WITHIN
from linkage.clearance.survey import INTERVALS
from linkage.kinematics import follow
from tests.clearance.bodies import bar, box, disc, dressed, dressed_slider_crank
from tests.kinematics.linkages import four_bar

TURN = 2 * math.pi
HUNDREDTH = math.radians(0.01)
CRANK, ROD = 5.0, 24.0


def apart(a, b):
    """Return the angle between two crank angles, whatever whole turns lie between."""
    return abs(math.remainder(a - b, TURN))


def survey_of(outlines, wanted=0.15, **more):
    return survey_clearances(follow(dressed_slider_crank(CRANK, ROD, outlines, **more)), wanted)


def only_pair(outlines, wanted=0.15):
    (pair,) = survey_of(outlines, wanted).pairs
    return pair


def check_arc(arc, begin, worst, end, least):
    """Compare an arc with closed form; begin within a turn, the others after it."""
    assert 0 <= arc.begin < TURN
    assert arc.begin <= arc.worst <= arc.end <= arc.begin + TURN
    assert apart(arc.begin, begin) < HUNDREDTH
    assert apart(arc.worst, worst) < HUNDREDTH
    assert apart(arc.end, end) < HUNDREDTH
    assert arc.least == pytest.approx(least, abs=1e-6)


def pins(far, at, radius, fixed_radius, out=0.0):
    """Return a crank pin passing a fixed stud at a distance and crank angle."""
    spot = (far * math.cos(at), -far * math.sin(at))
    return {"crank": (disc((CRANK, 0), radius),), "stud": (disc(spot, fixed_radius, out),)}


def half_arc(far, reach):
    """Return half the arc in which a crank pin is nearer than `reach` to a spot `far` out."""
    return math.acos((CRANK**2 + far**2 - reach**2) / (2 * CRANK * far))


@pytest.mark.parametrize("at_deg", [0.0, 0.3, 37.123, 90.0, 180.5, 271.9, 359.5, 359.999])
@pytest.mark.parametrize("level", ["fouls", "close"])
def test_crank_pin_past_a_stud(at_deg, level):
    """By the cosine rule; at 0 and 360 the arc wraps round."""
    at, far, radius, fixed = math.radians(at_deg), 6.3, 0.8, 0.7
    pair = only_pair(pins(far, at, radius, fixed), wanted=0.2)
    assert pair.parts == ("crank", "stud")
    assert pair.least == pytest.approx(far - CRANK - radius - fixed, abs=1e-6)
    assert apart(pair.at, at) < HUNDREDTH
    assert pair.asked == 0.2
    assert pair.between_samples == "proven"
    half = half_arc(far, radius + fixed + (0.2 if level == "close" else 0.0))
    (arc,) = getattr(pair, level)
    check_arc(arc, at - half, at, at + half, far - CRANK - radius - fixed)


def test_close_but_no_foul():
    pair = only_pair(pins(6.6, 1.0, 0.8, 0.7), wanted=0.2)
    assert pair.fouls == ()
    assert pair.least == pytest.approx(0.1, abs=1e-6)
    half = half_arc(6.6, 1.7)
    check_arc(pair.close[0], 1 - half, 1, 1 + half, 0.1)


def test_enough_everywhere():
    pair = only_pair(pins(6.9, 1.0, 0.8, 0.7), wanted=0.2)
    assert pair.least == pytest.approx(0.4, abs=1e-6)
    assert (pair.fouls, pair.close) == ((), ())


def test_far_pairs_are_not_listed():
    """More than five times the clearance wanted: compared, but not listed."""
    survey = survey_of(pins(9.0, 1.0, 0.8, 0.7), wanted=0.2)
    assert survey.pairs == ()
    assert [pair.parts for pair in survey.compared] == [("crank", "stud")]
    assert survey.reach == pytest.approx(1.0)


def test_never_in_one_layer():
    """Laterally apart by 0.1, and in line with one another in side view."""
    pair = only_pair(pins(5.0, 1.0, 0.8, 0.7, out=1.1), wanted=0.15)
    assert pair.least == pytest.approx(0.1, abs=1e-12)
    assert pair.fouls == ()
    half = half_arc(5.0, 1.5 + 0.15)
    (arc,) = pair.close
    assert apart(arc.begin, 1 - half) < HUNDREDTH
    assert apart(arc.end, 1 + half) < HUNDREDTH
    # the floor is level as long as the side view has less than the plan: the middle is said
    assert apart(arc.worst, 1) < HUNDREDTH
    assert apart(pair.at, 1) < HUNDREDTH


@pytest.mark.parametrize("at_deg", [0.0, 0.2, 37.123, 180.5, 359.9])
@pytest.mark.parametrize("out", [1.6, 1.1, 0.9])
def test_a_level_floor_is_told_at_its_middle(at_deg, out):
    """Free, too near and fouling by 0.6, 0.1 and -0.1 in plan, wherever in the turn."""
    pair = only_pair(pins(5.0, math.radians(at_deg), 0.8, 0.7, out=out), wanted=0.15)
    assert pair.least == pytest.approx(out - 1, abs=1e-12)
    assert apart(pair.at, math.radians(at_deg)) < HUNDREDTH
    for arc in (*pair.fouls, *pair.close):
        assert apart(arc.worst, math.radians(at_deg)) < HUNDREDTH
        assert arc.begin <= arc.worst <= arc.end


@pytest.mark.parametrize("first_deg", [20.3, 140.0, 341.7])
def test_of_two_level_floors_the_longer_is_told_at_its_middle(first_deg):
    """Two studs so near that the pin is too near to one or other all the way past them.

    The floors are those of studs of 0.5 and 0.7, in either of which the air seen from the side is
    less than the 0.1 in plan; between them it is at most 0.17.
    """
    first, wanted = math.radians(first_deg), 0.2
    halves = [half_arc(CRANK, 0.8 + radius + 0.1) for radius in (0.5, 0.7)]
    second = first + sum(halves) + 0.025
    studs = [
        disc((CRANK * math.cos(at), -CRANK * math.sin(at)), radius, 1.1)
        for at, radius in ((first, 0.5), (second, 0.7))
    ]
    pair = only_pair({"crank": (disc((CRANK, 0), 0.8),), "studs": studs}, wanted)
    assert pair.least == pytest.approx(0.1, abs=1e-12)
    (arc,) = pair.close
    assert apart(arc.worst, second) < HUNDREDTH
    assert apart(pair.at, second) < HUNDREDTH


def test_a_level_floor_of_a_whole_outline_is_told_at_its_middle():
    """A plate in two pieces, 0.3 into the pin's layer: a floor where the side has 0.3 or more.

    The plate's upper edge is level and 2 below the axle, so the pin is 0.3 beyond it from an angle
    on to as far behind the bottom; its ends are far.
    """
    pieces = (box(-9, -8, 0, -2, out=0.7), box(0, -8, 9, -2, out=0.7))
    pair = only_pair({"crank": (disc((CRANK, 0), 0.8),), "plate": pieces}, wanted=0.15)
    assert pair.least == pytest.approx(-0.3, abs=1e-9)
    (arc,) = pair.fouls
    assert arc.begin == pytest.approx(math.asin(1.2 / CRANK), abs=HUNDREDTH)
    assert apart(arc.worst, math.pi / 2) < HUNDREDTH
    assert apart(pair.at, math.pi / 2) < HUNDREDTH


def crosshead_at(crank):
    return CRANK * math.cos(crank) + math.sqrt(ROD**2 - (CRANK * math.sin(crank)) ** 2)


def crank_for(crosshead):
    """Return the crank angle in 0..half a turn at which the crosshead stands there."""
    return math.acos((crosshead**2 + CRANK**2 - ROD**2) / (2 * CRANK * crosshead))


def test_crosshead_against_the_cover():
    """A crosshead 2 mm long to the front meets a cover 0.3 mm before the end of its stroke."""
    cover = CRANK + ROD + 2 - 0.3
    pair = only_pair({"crosshead": (box(-2, -1, 2, 1),), "cover": (box(cover, -3, cover + 1, 3),)})
    half = crank_for(cover - 2)
    check_arc(pair.fouls[0], -half, 0.0, half, -0.3)
    half = crank_for(cover - 2 - 0.15)
    check_arc(pair.close[0], -half, 0.0, half, -0.3)


def test_crosshead_against_the_bracket_behind():
    bracket = ROD - CRANK - 2 + 0.2
    pair = only_pair(
        {"crosshead": (box(-2, -1, 2, 1),), "bracket": (box(bracket - 1, -3, bracket, 3),)}
    )
    begin = crank_for(bracket + 2)
    check_arc(pair.fouls[0], begin, math.pi, -begin, -0.2)


def test_connecting_rod_against_a_slide_bar():
    """The rod's upper edge against the rear corner of a bar.

    The line of the rod through the crosshead leans by asin(r sin c / l); the corner (x, y) is off
    it by (x - crosshead) sin + y cos; found here by a fine table and halving.
    """
    corner, radius = (18.0, 2.1), 0.9

    def air(crank):
        lean = math.asin(CRANK * math.sin(crank) / ROD)
        off = corner[1] * math.cos(lean) - (corner[0] - crosshead_at(crank)) * math.sin(lean)
        return abs(off) - radius

    outlines = {"rod": (bar((0, 0), (ROD, 0), radius),), "bars": (box(18, 2.1, 40, 3.1),)}
    pair = only_pair(outlines, wanted=0.1)
    table = np.linspace(math.pi, TURN, 7200)
    values = [air(angle) for angle in table]
    worst = ternary(air, table[np.argmin(values) - 1], table[np.argmin(values) + 1])
    assert pair.least == pytest.approx(air(worst), abs=1e-6)
    assert apart(pair.at, worst) < HUNDREDTH
    edges = [
        halved(lambda angle: air(angle) - 0.1, table[i], table[i + 1])
        for i in range(7199) if (values[i] < 0.1) != (values[i + 1] < 0.1)
    ]  # fmt: skip
    (arc,) = pair.close
    assert [arc.begin, arc.end] == pytest.approx(edges, abs=HUNDREDTH)


def ternary(curve, low, high):
    for _ in range(100):
        third = (high - low) / 3
        low, high = (
            (low, high - third) if curve(low + third) < curve(high - third) else (low + third, high)
        )
    return (low + high) / 2


def halved(curve, low, high):
    positive = curve(low) > 0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if (curve(middle) > 0) == positive else (low, middle)
    return low


@pytest.mark.parametrize("at_deg", [12.0, 12.25, 100.9, 301.49])
def test_thin_pin_past_a_thin_pin_between_two_degrees(at_deg):
    """Foul over 0.1 degree only: at whole and half degrees either side all is clear."""
    at, half, radius = math.radians(at_deg), math.radians(0.05), 0.01
    reach = 2 * radius
    # nearest the pins pass at `far - CRANK`, where the cosine rule gives that half arc
    far = CRANK * math.cos(half) + math.sqrt(reach**2 - (CRANK * math.sin(half)) ** 2)
    pair = only_pair(pins(far, at, radius, radius), wanted=0.15)
    (arc,) = pair.fouls
    assert pair.between_samples == "proven"
    check_arc(arc, at - half, at, at + half, far - CRANK - reach)
    assert arc.end - arc.begin == pytest.approx(math.radians(0.1), abs=HUNDREDTH / 5)
    assert pair.least == pytest.approx(far - CRANK - reach, abs=1e-6)


def test_two_arcs_in_one_turn():
    """A bar on the crank past two studs, one of them across angle 0."""
    studs = (disc((6.2, 0), 0.7), disc((0, -6.25), 0.7))
    pair = only_pair({"crank": (disc((CRANK, 0), 0.8),), "studs": studs})
    first, second = sorted(pair.fouls, key=lambda arc: arc.begin)
    half = half_arc(6.25, 1.5)
    check_arc(first, math.pi / 2 - half, math.pi / 2, math.pi / 2 + half, -0.25)
    half = half_arc(6.2, 1.5)
    check_arc(second, -half, 0.0, half, -0.3)
    assert second.end > TURN
    assert pair.least == pytest.approx(-0.3, abs=1e-6)


@pytest.mark.parametrize("at_deg", [0.0, 0.2, 63.0, 180.0, 359.8])
def test_foul_all_round(at_deg):
    """A disc round the axle that the crank pin never leaves, a little off to one side."""
    at = math.radians(at_deg)
    spot = (0.5 * math.cos(at), -0.5 * math.sin(at))
    pair = only_pair({"crank": (disc((CRANK, 0), 0.8),), "wheel": (disc(spot, 6.0, 0.0, 9.0),)})
    (arc,) = pair.fouls
    assert (arc.begin, arc.end) == (0.0, TURN)
    assert 0 <= arc.worst < TURN
    assert apart(pair.at, at) < HUNDREDTH
    assert pair.least == pytest.approx(4.5 - 6.8, abs=1e-6)
    assert arc.least == pytest.approx(pair.least, abs=1e-6)
    assert apart(arc.worst, at) < HUNDREDTH


@pytest.mark.parametrize("at_deg", [0.0, 40.0, 217.3])
def test_worst_place_of_a_long_arc_is_that_of_the_pair(at_deg):
    """All round 0.06 deep by two bosses that turn on the spot; at one place a pin 0.1 deep.

    The pin is deeper than the bosses over 0.9 degree only, and may stand between whole degrees.
    """
    at = math.radians(at_deg)
    outlines = {
        "crank": (disc((CRANK, 0), 0.05), disc((0.0, 0.0), 1.0)),
        "stud": (disc((CRANK * math.cos(at), -CRANK * math.sin(at)), 0.05), disc((1.5, 0), 0.56)),
    }
    pair = only_pair(outlines)
    (arc,) = pair.fouls
    assert pair.least == pytest.approx(-0.1, abs=WITHIN)
    assert arc.least == pytest.approx(-0.1, abs=WITHIN)
    assert apart(arc.worst, at) < math.radians(0.05)  # WITHIN, at 5 mm a radian


@pytest.mark.parametrize("at_deg", [0.0, 59.0])
def test_the_end_of_a_long_arm_passes_two_wires(at_deg):
    """It goes 0.52 in half a degree: nothing a degree apart sees the nearer one, by 0.01.

    The other stands off by 0.10, in the middle of an interval, for the search to be content with.
    """
    arm = 60.0
    wires = [
        disc((away * math.cos(at), -away * math.sin(at)), 0.05)
        for at, away in ((math.radians(at_deg), arm + 0.11), (math.radians(100.5), arm + 0.20))
    ]
    pair = only_pair({"crank": (bar((0, 0), (arm, 0), 0.05),), "wires": tuple(wires)})
    assert pair.least == pytest.approx(0.01, abs=WITHIN)
    assert apart(pair.at, math.radians(at_deg)) < HUNDREDTH
    assert pair.between_samples == "proven"
    assert sorted(arc.least for arc in pair.close) == pytest.approx([0.01, 0.10], abs=WITHIN)


def open_four_bar(outlines):
    return follow(dressed(four_bar((40, 50, 40, 100)), outlines))


def test_a_loop_that_opens_is_only_sampled():
    """The word is the weakest of the turn; where there is no position there is no clearance."""
    course = open_four_bar({"coupler": (bar((0, 0), (50, 0), 2),), "stud": (disc((45, -10), 1),)})
    survey = survey_clearances(course, 5.0)
    (pair,) = survey.pairs
    assert pair.between_samples == "sampled"
    reached = ~np.isnan(pair.curve)
    inside = np.zeros(INTERVALS, dtype=bool)
    for begin, end in course.open_arcs:
        inside |= (survey.crank - begin) % TURN < end - begin
    assert not reached[inside].any()
    assert reached[~inside].all()


def test_an_arc_ends_where_the_loop_opens():
    """A stud where the coupler is when the loop comes to its end: foul right up to it."""
    course = open_four_bar({"coupler": (bar((0, 0), (50, 0), 2),)})
    begin, _ = course.open_arcs[0]
    spot = (40 * math.cos(begin), -40 * math.sin(begin))
    course = open_four_bar({"coupler": (bar((0, 0), (50, 0), 2),), "stud": (disc(spot, 1),)})
    (pair,) = survey_clearances(course, 0.2).pairs
    assert any(apart(arc.end, begin) < HUNDREDTH for arc in pair.fouls)


def test_curve_and_order_of_pairs():
    outlines = pins(6.3, 1.0, 0.8, 0.7) | {"pin": (disc((0, 6.4), 0.7),)}
    survey = survey_of(outlines)
    assert [pair.parts for pair in survey.pairs] == [("crank", "stud"), ("crank", "pin")]
    assert [pair.least for pair in survey.pairs] == pytest.approx([-0.2, -0.1], abs=1e-6)
    assert survey.crank == pytest.approx(np.radians(np.arange(360) + 0.5))
    across = CRANK**2 + 6.3**2 - 2 * CRANK * 6.3 * np.cos(survey.crank - 1.0)
    expected = np.minimum(np.sqrt(across) - 1.5, survey.reach)
    assert survey.pairs[0].curve == pytest.approx(expected, abs=1e-9)


def test_least_clearance_of_one_pair():
    outlines = pins(6.3, 1.0, 0.8, 0.7) | {"pin": (disc((0, 6.4), 0.7),)}
    course = follow(dressed_slider_crank(CRANK, ROD, outlines))
    least = least_clearance(course, 0.15, frozenset({"crank", "pin"}))
    assert -0.1 - 1e-9 <= least <= -0.1 + WITHIN
    assert least_clearance(course, 0.15, frozenset({"rod", "pin"})) == pytest.approx(0.75)


def test_nothing_to_compare():
    survey = survey_of({"crank": (disc((0, 0), 1),)})
    assert (survey.pairs, survey.compared) == ((), ())
