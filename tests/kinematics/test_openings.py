"""Where a loop cannot close, and by how much, against the cosine rule."""

import math

import numpy as np
import pytest

from linkage.kinematics import branch_changes, find_openings, follow, solve_at, transmission_angles
from linkage.mechanism import Pin, Place
from tests.kinematics.linkages import DEGREE, four_bar, mechanism

EDGE = 1e-9  # what `Opening` promises of its ends [rad]
TURN = 2 * math.pi


def folds_at(crank, ground, reach):
    """Return the crank angle from the ground line at which pin and pivot are `reach` apart."""
    return math.acos((crank**2 + ground**2 - reach**2) / (2 * crank * ground))


def test_too_short_links_by_hand():
    """Crank 40, ground 100, links 50 and 40: open where the pivot is over 90 from the pin."""
    (opening,) = find_openings(follow(four_bar((40, 50, 40, 100))))
    edge = folds_at(40, 100, 90)
    assert opening.begin == pytest.approx(edge, abs=EDGE)
    assert opening.end == pytest.approx(TURN - edge, abs=EDGE)
    assert opening.worst == pytest.approx(math.pi, abs=1e-4)
    assert opening.gap == pytest.approx(50.0, abs=1e-6)
    assert opening.parts == ("coupler", "rocker")
    assert opening.joint in ("rocker pin", "pivot")


@pytest.mark.parametrize("ground_at", [0.3, 1.9, -2.2])
@pytest.mark.parametrize("links", [(40, 50, 40, 100), (30, 90, 25, 100), (60, 55, 50, 80)])
def test_edges_by_the_cosine_rule(links, ground_at):
    crank, coupler, rocker, ground = links
    shift = TURN - ground_at
    near = (ground * math.cos(ground_at) * 0.7, ground * math.sin(ground_at) * 0.7)
    course = follow(four_bar(links, ground_at=ground_at, near=near))
    reaches = [coupler + rocker, abs(coupler - rocker)]
    edges = sorted(
        (shift + way * folds_at(crank, ground, reach)) % TURN
        for reach in reaches
        if abs(ground - crank) < reach < ground + crank
        for way in (1, -1)
    )
    found = sorted(edge % TURN for arc in course.open_arcs for edge in arc)
    assert found == pytest.approx(edges, abs=EDGE)


def test_two_open_arcs():
    """Too far at the back, too near at the front: two stretches close, two are open."""
    links = (60, 100, 40, 90)  # reach 60 to 140, pin and pivot 30 to 150 apart
    course = follow(four_bar(links, near=(50.0, 60.0)))
    near, far = folds_at(60, 90, 60), folds_at(60, 90, 140)
    arcs = course.open_arcs
    assert len(arcs) == 2
    assert arcs[0] == pytest.approx((far, TURN - far), abs=EDGE)
    assert arcs[1] == pytest.approx((TURN - near, TURN + near), abs=EDGE)
    short = sorted(opening.gap for opening in find_openings(course))
    assert short == pytest.approx([10.0, 30.0], abs=1e-6)


def test_nan_in_open_arcs_and_nowhere_else():
    course = follow(four_bar((40, 50, 40, 100)))
    edge = folds_at(40, 100, 90)
    angles = np.array([edge - 1e-6, edge + 1e-6, math.pi, -1.0, TURN - edge + 1e-6, 3 * TURN])
    motion = solve_at(course, angles)
    assert motion.reached.tolist() == [True, False, False, True, True, True]
    assert np.isnan(motion.poses["rocker"][[1, 2]]).all()
    assert np.isfinite(motion.poses["crank"]).all()


def test_a_mechanism_that_turns_has_no_openings():
    course = follow(four_bar((40, 120, 80, 100)))
    assert course.open_arcs == ()
    assert find_openings(course) == ()
    assert branch_changes(course) == ()


THROW, ARM_BACK, CIRCLE = 4.33, 4.33, 2.3  # return crank lying back to 2.3 from the axle [mm]
FOOT, ROD, PIVOT = 4.6, 24.1, (24.0, 4.5)


def slipped(slip):
    """Return the return crank slipped outward on the crank pin by an angle [rad], leading."""
    cos, sin = math.cos(slip), math.sin(slip)
    pin = (THROW - cos * ARM_BACK - sin * CIRCLE, sin * ARM_BACK - cos * CIRCLE)
    joints = (
        Pin("return crank pin", Place("crank", *pin), Place("eccentric rod", 0, 0)),
        Pin("foot pin", Place("eccentric rod", ROD, 0), Place("expansion link", 0, -FOOT),
            near=(PIVOT[0], PIVOT[1] - FOOT)),
        Pin("trunnion", Place("expansion link", 0, 0), Place("frame", *PIVOT)),
    )  # fmt: skip
    course = follow(mechanism(("crank", "eccentric rod", "expansion link"), joints))
    return course, math.hypot(*pin)


def turned_outward(slip):
    """Return the slip with the sign that makes the pin circle grow."""
    return slip if slipped(slip)[1] > CIRCLE else -slip


@pytest.mark.parametrize("slip", [0, 10, 20, 26.8])
def test_slipped_return_crank_still_turns(slip):
    assert slipped(turned_outward(slip * DEGREE))[0].open_arcs == ()


@pytest.mark.parametrize("slip", [26.95, 27.2, 28, 30, 35])
def test_slipped_return_crank_locks(slip):
    """It locks once its circle passes eccentric rod + foot arm - axle to trunnion = 4.28."""
    course, circle = slipped(turned_outward(slip * DEGREE))
    pivot = math.hypot(*PIVOT)
    assert circle > ROD + FOOT - pivot
    width = 2 * (math.pi - folds_at(circle, pivot, ROD + FOOT))
    (opening,) = find_openings(course)
    assert opening.end - opening.begin == pytest.approx(width, abs=2 * EDGE)
    assert opening.gap == pytest.approx(circle + pivot - ROD - FOOT, abs=1e-6)
    if slip == 28:
        assert width / DEGREE == pytest.approx(24, abs=0.5)


def test_slipped_return_crank_that_only_just_locks():
    """Locked for 1.9 degrees of the turn, short by half a thousandth: still a lock."""
    course, circle = slipped(turned_outward(26.865 * DEGREE))
    pivot = math.hypot(*PIVOT)
    (opening,) = find_openings(course)
    width = 2 * (math.pi - folds_at(circle, pivot, ROD + FOOT))
    assert opening.end - opening.begin == pytest.approx(width, abs=2 * EDGE)


# 2 degrees wide, 0.64, 0.064
NARROW = [(excess, ground_at) for excess in (1e-2, 1e-3, 1e-5) for ground_at in (0.3, 1.0)]


@pytest.mark.parametrize(("excess", "ground_at"), NARROW)
def test_narrow_opening(excess, ground_at):
    course = follow(four_bar((80, 175, 175, 270 + excess), ground_at=ground_at))
    width = 2 * (math.pi - folds_at(80, 270 + excess, 350))
    ((begin, end),) = course.open_arcs
    # two ends close together meet at a flat angle: the edge's 1e-10 mm is 1e-8 rad here
    assert end - begin == pytest.approx(width, abs=1e-7)


@pytest.mark.parametrize("wide", [0.2, 0.05])
def test_narrow_openings_wherever_they_are(wide):
    """Both links are made just too short to be in line with the crank over so many degrees."""
    rng = np.random.default_rng(6)
    half = math.radians(wide) / 2
    for _ in range(4):
        crank, ground, share, lean = rng.uniform((2, 10, 0.35, 0), (6, 30, 0.65, TURN))
        reach = math.sqrt(crank**2 + ground**2 + 2 * crank * ground * math.cos(half))
        links = tuple(map(float, (crank, share * reach, (1 - share) * reach, ground)))
        course = follow(four_bar(links, ground_at=float(lean)))
        ((begin, end),) = course.open_arcs
        assert end - begin == pytest.approx(2 * half, abs=1e-5)
        assert branch_changes(course) == ()  # and nothing else is told beside it


@pytest.mark.parametrize("ground_at", [0.3, 1.0])
def test_what_is_passed_over_is_never_called_free(ground_at):
    """Short by a hundred-thousandth of a micrometre, in line: the transmission angle tells."""
    course = follow(four_bar((80, 175, 175, 270 + 1e-8), ground_at=ground_at))
    motion = solve_at(course, np.linspace(0, TURN, 361))
    (angles,) = transmission_angles(motion).values()
    assert np.nanmin(angles) < 1 * DEGREE


@pytest.mark.parametrize("ground_at", [0.0, 0.3, 1.0])
@pytest.mark.parametrize("spare", [0.1, 1e-2, 1e-3])
def test_near_miss_still_turns(spare, ground_at):
    course = follow(four_bar((80, 175, 175, 270 - spare), ground_at=ground_at))
    assert course.open_arcs == ()
    assert solve_at(course, np.linspace(0, TURN, 3001)).reached.all()


def test_fast_swing_is_not_an_opening():
    """Drag link whose coupler swings by half a turn in 0.02 rad of crank: all loops close."""
    links = (71.795, 97.501, 97.015, 70.417)
    course = follow(four_bar(links))
    assert course.open_arcs == ()
