"""Many variants solved at once, against each followed and solved by itself."""

from __future__ import annotations

import numpy as np
import pytest

from linkage.clearance import find_run_offs, least_room
from linkage.errors import AssemblyError, MechanismError
from linkage.kinematics import branch_changes, branches_crossed, follow, solve_at, solve_round
from linkage.kinematics.course import TURN, follow_whole
from linkage.mechanism import Travel
from linkage.sheet.ready import ready_sheets
from tests import scatter
from tests.kinematics.linkages import four_bar, slider_crank
from tests.ready import ready
from tests.scatter import scattered, sides_of

SAMPLES = 360
CRANK = np.arange(SAMPLES) * (TURN / SAMPLES)
SAME = 1e-9  # [mm, rad]: both ways end Newton's method far below it


def alone(mechanism):
    """Return the motion of one that goes all the way round, found by itself; None otherwise."""
    try:
        course = follow(mechanism)
    except AssemblyError:
        return None
    if not course.arcs[0].whole:
        return None
    motion = solve_at(course, CRANK)
    return motion if motion.reached.all() else None


def check(mechanisms):
    """Compare a motion of all with those of each; return how many go round."""
    each = [alone(mechanism) for mechanism in mechanisms]
    motion = solve_round(mechanisms, SAMPLES)
    if motion is None:
        assert each == [None] * len(each)
        return 0
    for index, own in enumerate(each):
        if own is None:
            assert not motion.reached[index].any()
            continue
        for name, pose in own.poses.items():
            off = motion.poses[name][index] - pose
            off[:, 2] = np.remainder(off[:, 2] + np.pi, TURN) - np.pi
            assert np.abs(off).max() < SAME
        for ours, rows in zip(motion.unknowns, own.unknowns, strict=True):
            assert np.abs(np.sin(0.5 * (ours[:, index] - rows))).max() < SAME
    return sum(own is not None for own in each)


@pytest.mark.parametrize("name", ready_sheets())
def test_all_at_once_is_each_by_itself(name):
    """Several numbers moved, a little and wide: some lock, some close nowhere."""
    rng = np.random.default_rng(len(name))
    for share, most in ((0.05, 4), (0.5, 2)):
        for mechanisms in sides_of(list(scattered(ready(name), rng, 4, share, most))):
            check(mechanisms)


@pytest.mark.parametrize("name", ["slider-crank-rod-too-long", "ardmoor-2-6-0-straightened"])
def test_numbers_moved_so_far_that_the_branch_is_another(name, monkeypatch):
    """Angles by up to 170 degrees: a cylinder then lies behind the wheel."""
    monkeypatch.setattr(scatter, "ANGLE", 170.0)
    monkeypatch.setattr(scatter, "LENGTH", 6.0)
    rng = np.random.default_rng([0, len(name)])
    for mechanisms in sides_of(list(scattered(ready(name), rng, 12, 0.05, 4))):
        assert check(mechanisms)


def test_each_keeps_the_branch_its_sheet_says():
    bars = [four_bar((3, 10, c, 9), crossed=k % 2 == 1) for k, c in enumerate((8, 8, 8.2, 8.4, 9))]
    assert check(bars) == 5
    assert check(bars[::-1]) == 5
    assert check([slider_crank(5, 24), slider_crank(5, 24, behind=True)]) == 2


def test_four_bars_that_lock_or_close_nowhere():
    """By Grashof's rule, beside what `follow` says; edges nearer than 0.02 mm are left out."""
    rng = np.random.default_rng(3)
    bars, turns = [], []
    while len(bars) < 60:
        a, b, c, d = rng.uniform((2, 3, 3, 3), (6, 12, 12, 12)).tolist()
        room = min(b + c - d - a, abs(d - a) - abs(b - c))
        if abs(room) > 0.02:
            bars.append(four_bar((a, b, c, d), near=(d, c)))
            turns.append(room > 0)
    motion = solve_round(bars, SAMPLES)
    # `near` is rough here: of one that turns it must not matter
    assert motion.reached.all(axis=1).tolist() == turns
    assert motion.reached.any(axis=1).tolist() == turns
    assert 10 < sum(turns) < 50
    assert [follow_whole(bar) is not None for bar in bars] == turns
    check(bars[:20])


def test_none_goes_round():
    locked = [four_bar((6, 8, 5, 9), near=(9, 5)), four_bar((6, 8, 5.1, 9), near=(9, 5))]
    assert all(not follow(bar).arcs[0].whole for bar in locked)
    apart = [four_bar((2, 3, 3, 30), near=(15, 0))]
    assert solve_round(locked, SAMPLES) is None
    assert solve_round(apart, SAMPLES) is None
    assert solve_round([locked[0], *apart], SAMPLES) is None
    motion = solve_round([locked[0], four_bar((3, 10, 8, 9)), *apart], SAMPLES)
    assert motion.reached.any(axis=1).tolist() == [False, True, False]


@pytest.mark.parametrize("name", ["ardmoor-pacific-5in", "slider-crank", "stephenson-gear"])
def test_the_order_does_not_matter(name):
    rng = np.random.default_rng(5)
    mechanisms = max(sides_of(list(scattered(ready(name), rng, 8, 0.3, 3))), key=len)
    motion = solve_round(mechanisms, SAMPLES)
    order = rng.permutation(len(mechanisms))
    other = solve_round([mechanisms[k] for k in order], SAMPLES)
    for part, pose in motion.poses.items():
        off = np.abs(other.poses[part] - pose[order])
        assert (np.isnan(off) == np.isnan(pose[order])).all()
        assert np.nanmax(off, initial=0.0) < SAME


def test_other_joints_are_refused():
    with pytest.raises(MechanismError, match="same parts and joints"):
        solve_round([four_bar((3, 10, 8, 9)), slider_crank(5, 24)], SAMPLES)


@pytest.mark.parametrize(
    "name",
    ["ardmoor-0-6-0-7mm", "ardmoor-0-6-0-nut-on-curves", "ardmoor-2-6-0-straightened",
     "ardmoor-pacific-5in-die-off-slot", "slider-crank-rod-too-long", "stephenson-gear"],
)  # fmt: skip
def test_rooms_are_those_of_the_run_offs(name):
    """Within what the parabola leaves out: 1e-4 mm at half a degree."""
    rng = np.random.default_rng(len(name) + 40)
    seen = 0
    for mechanisms in sides_of(list(scattered(ready(name), rng, 4, 0.2, 3))):
        motion = solve_round(mechanisms, 720)
        if motion is None or not mechanisms[0].travels:
            continue
        rooms = least_room(mechanisms, motion)
        for index, whole in enumerate(motion.reached.all(axis=1)):
            if not whole:
                assert all(np.isnan(room[index]) for _, room, _ in rooms)
                continue
            off = find_run_offs(follow(mechanisms[index]))
            for number, (travel, room, at) in enumerate(rooms):
                mine = [r for r in off if named(r.travel) == named(travel)]
                worst = max(
                    (r.beyond for r in mine if r.forward == (number % 2 == 0)), default=None
                )
                if worst is None:
                    assert not room[index] < -1e-4
                    continue
                seen += 1
                assert room[index] == pytest.approx(-worst, abs=1e-4)
                assert 0 <= at[index] < TURN
    assert seen or name != "ardmoor-pacific-5in-die-off-slot"


def named(travel):
    return travel.joint, travel.part, travel.against


def test_room_of_a_slider_crank_in_closed_form():
    """The crosshead of an inline slider-crank goes from rod - crank to rod + crank."""
    made = []
    for crank, rod, least, most in ((5, 24, 18.5, 29.5), (5.5, 24, 19, 29), (5, 26, -np.inf, 30)):
        mechanism = slider_crank(crank, rod)
        slide = mechanism.joints[-1]
        travel = Travel(slide.name, "crosshead", "frame", least, most)
        made.append(type(mechanism)(mechanism.parts, mechanism.joints, travels=(travel,)))
    motion = solve_round(made, 720)
    (_, ahead, at_front), (_, back, at_back) = least_room(made, motion)
    assert ahead == pytest.approx([0.5, -0.5, -1.0], abs=1e-9)
    assert back[:2] == pytest.approx([0.5, -0.5], abs=1e-9)
    assert np.isnan(back[2])
    assert np.abs(np.sin(at_front)).max() < 1e-6
    assert at_back[:2] == pytest.approx(np.pi, abs=1e-6)


def test_where_a_branch_could_change():
    """Parallelograms can fold over with all links in line; others that turn never can."""
    bars = [four_bar((4, 10, 4.0 + by, 10.0), near=(14.0, 0.001)) for by in (0.0, 0.001, 0.5)]
    bars.append(four_bar((3, 10, 8, 9)))
    motion = solve_round(bars, 720)
    (at,) = branches_crossed(motion).values()
    for index, bar in enumerate(bars):
        assert np.isfinite(at[index]) == bool(branch_changes(follow(bar)))
    assert np.isfinite(at[0])
    assert np.isnan(at[1:]).all()


@pytest.mark.parametrize("name", ["peaucellier", "hoecken", "stephenson-gear", "ardmoor-0-6-0-7mm"])
def test_branches_crossed_are_the_branch_changes(name):
    rng = np.random.default_rng(8)
    for mechanisms in sides_of(list(scattered(ready(name), rng, 6, 0.4, 2))):
        motion = solve_round(mechanisms, 720)
        if motion is None:
            continue
        crossed = branches_crossed(motion)
        for index in np.flatnonzero(motion.reached.all(axis=1)).tolist():
            found = {parts for _, parts in branch_changes(follow(mechanisms[index]))}
            assert {parts for parts, at in crossed.items() if np.isfinite(at[index])} == found
