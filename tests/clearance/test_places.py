"""What is least over all places of the reverser, against thousands of positions looked at."""

import numpy as np
import pytest

from linkage.arrangements import build
from linkage.clearance import survey_places
from linkage.clearance.near import WITHIN, PairCurves
from linkage.clearance.pairs import pair_parts
from linkage.kinematics import enclose_places, follow, solve_places, swing_of
from linkage.kinematics.reversing import set_reverser
from linkage.sheet import change, read_sheet, set_running
from linkage.sheet.ready import ready_sheets

PACIFIC = read_sheet(ready_sheets()["ardmoor-pacific-5in"])
# so that parts meet at one end, in between, or at the other
SHEETS = {
    "as it is": PACIFIC,
    "back": change(PACIFIC, {"weighshaft.gear.full_back": 24.0}),
    "close": change(PACIFIC, {"lifting_link.out": 20.2, "radius_rod.out": 24.4}),
}
WANTED = PACIFIC.wanted_clearance


def swing(name):
    found = swing_of(follow(build(SHEETS[name], "right")["right"]))
    assert found is not None
    return found


@pytest.mark.parametrize("place", ["full_forward", "mid", "full_back"])
def test_a_place_is_reached_as_it_is_built(place):
    """By moving the reverser from where it stands, and by building the gear there."""
    ours, crank = swing("as it is"), np.radians(np.arange(0, 360, 7.0))
    built = build(set_running(PACIFIC, place), "right")["right"]
    theirs = follow(built)
    turned = ours.reverser.turned(place)
    moved = solve_places(ours, crank, np.full(len(crank), turned))
    alone = solve_places(swing_of(theirs), crank, np.zeros(len(crank)))
    for name in set(moved.poses) - {"weighshaft"}:
        assert np.abs(moved.poses[name] - alone.poses[name]).max() < 1e-9
    made = set_reverser(ours.course.mechanism, place, built)
    assert [part for part in made.parts if part.name != "weighshaft"] == [
        part for part in built.parts if part.name != "weighshaft"
    ]
    arms = [one.part("weighshaft").pieces[0].corners for one in (made, built)]
    assert np.array(arms[0]) == pytest.approx(np.array(arms[1]), abs=1e-9)
    for one, other in zip(made.joints, built.joints, strict=True):
        assert (one.a.x, one.a.y, one.b.x, one.b.y) == pytest.approx(
            (other.a.x, other.a.y, other.b.x, other.b.y), abs=1e-9
        )
        assert one.near == other.near


def test_enclosures_hold_all_poses_and_speeds_in_their_cells():
    ours, rng = swing("as it is"), np.random.default_rng(5)
    low, high = ours.turned[[0, -1]]
    middle = rng.uniform(0, 2 * np.pi, 60), rng.uniform(low, high, 60)
    half = np.full(60, 0.03), np.full(60, 0.01)
    by_crank, by_place = enclose_places(ours, middle, half)
    assert by_crank.proven.all()
    step = 1e-6
    for _ in range(5):
        crank, turned = (m + h * rng.uniform(-1, 1, 60) for m, h in zip(middle, half, strict=True))
        here = solve_places(ours, crank, turned)
        beside = solve_places(ours, crank, turned + step)
        for name in by_place.speeds:
            if name not in here.poses:
                continue
            for k in range(3):
                held, fast = by_crank.poses[name][k], by_place.speeds[name][k]
                value = here.poses[name][:, k]
                rate = (beside.poses[name][:, k] - value) / step
                assert (held.low - 1e-9 <= value).all()
                assert (value <= held.high + 1e-9).all()
                assert (fast.low - 1e-3 <= rate).all()
                assert (rate <= fast.high + 1e-3).all()


@pytest.mark.parametrize("name", sorted(SHEETS))
def test_nothing_is_less_than_the_least_by_more_than_is_said(name):
    ours = swing(name)
    found = survey_places(ours, WANTED)
    assert found.between == "proven"
    reach = 5 * WANTED
    crank = np.radians(np.arange(0, 360, 2.0))
    for turned in np.linspace(*ours.turned[[0, -1]], 9):
        motion = solve_places(ours, crank, np.full(len(crank), turned))
        for (joint, forward), one in found.rooms.items():
            travel = next(t for t in ours.course.mechanism.travels if t.joint == joint)
            place = motion.travel(joint)
            room = (travel.most - place if forward else place - travel.least).min()
            assert room > one.least - max(WITHIN, 0.2 * abs(one.least)) - 1e-9
        angle = ours.reverser.stands + ours.reverser.sense * turned
        course = follow(build(set_running(SHEETS[name], float(angle)), "right")["right"])
        pairs = [p for p in pair_parts(course.mechanism, WANTED, reach) if found.moved & {*p.parts}]
        curves = PairCurves(course, pairs, reach)
        owner = np.repeat(np.arange(len(pairs)), len(crank))
        values = curves.values(owner, np.tile(crank, len(pairs))).reshape(len(pairs), -1)
        for pair, least in zip(pairs, values.min(axis=1).tolist(), strict=True):
            held = found.pairs[pair.parts].least if pair.parts in found.pairs else reach
            assert least > held - max(WITHIN, 0.2 * abs(held - pair.asked)) - 1e-9


def test_only_what_the_reverser_moves_is_looked_at():
    moved = survey_places(swing("as it is"), WANTED).moved
    assert {"radius rod", "lifting link", "weighshaft", "combination lever"} <= moved
    assert moved.isdisjoint({"crank", "connecting rod", "crosshead", "expansion link", "frame"})
