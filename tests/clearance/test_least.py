"""The least air of pairs and of variants, against surveys and brute force, in any order."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from linkage.arrangements import build
from linkage.clearance import AirOfVariants, pair_parts, survey_clearances
from linkage.clearance.least import Bodies, Jobs, least_air, within
from linkage.clearance.near import WITHIN, reach_of
from linkage.clearance.outlines import (
    PairTable,
    PiecePair,
    Poses,
)
from linkage.kinematics import follow, solve_at, solve_round
from linkage.mechanism import Wheelset
from linkage.sheet import change, put_on_curve
from tests.clearance.bodies import (
    TURN,
    bar,
    disc,
    dressed_gear,
    dressed_slider_crank,
    random_crank_rocker,
    random_piece,
)
from tests.kinematics.linkages import four_bar
from tests.ready import ready
from tests.scatter import scattered, sides_of

SAMPLES = 720
ROUNDING = 1e-6  # interpolated poses are this good, see below [mm]
SHEETS = {  # name: variants looked at
    "ardmoor-2-6-0": 3,  # bent rod, side play
    "ardmoor-2-6-0-straightened": 4,
    "ardmoor-0-6-0-7mm": 3,
    "ardmoor-0-6-0-nut-on-curves": 4,  # coupled wheels, nuts
    "ardmoor-pacific-5in": 3,
    "slider-crank": 6,
    "four-bar": 6,
}


def moved(mechanisms):
    """Return the mechanisms that go round, and their motion."""
    motion = solve_round(mechanisms, SAMPLES)
    good = [] if motion is None else np.flatnonzero(motion.reached.all(axis=1)).tolist()
    mechanisms = [mechanisms[k] for k in good]
    return mechanisms, solve_round(mechanisms, SAMPLES) if good else None


def spread(name, count, seed=0, share=0.1):
    """Return some variants of each form of side of a ready sheet, with their motions."""
    rng = np.random.default_rng([seed, len(name)])
    found = [moved(some) for some in sides_of(list(scattered(ready(name), rng, count, share, 3)))]
    return [(mechanisms, motion) for mechanisms, motion in found if mechanisms]


def least_by_survey(mechanism, wanted):
    """Return the least air beyond what is asked, by a survey; at most what counts as free."""
    survey = survey_clearances(follow(mechanism), wanted)
    return min([p.least - p.asked for p in survey.pairs] + [reach_of(wanted) - wanted])


def agree(value, least):
    """Tell whether an air found is the least: never less, and more by what is promised."""
    return -WITHIN - ROUNDING <= value - least <= within(least) + ROUNDING


@pytest.mark.parametrize("name", SHEETS)
def test_air_of_variants_is_that_of_surveys(name):
    wanted = ready(name).wanted_clearance
    for mechanisms, motion in spread(name, SHEETS[name]):
        for mechanism, slack in zip(
            mechanisms, AirOfVariants(wanted)(mechanisms, motion), strict=True
        ):
            assert agree(slack.value, least_by_survey(mechanism, wanted))


def test_air_on_a_curve():
    """The rails push the wheelsets over: their states are of the curve, not each for itself."""
    sheet = put_on_curve(ready("ardmoor-0-6-0-nut-on-curves"), 900.0)
    wanted = sheet.wanted_clearance
    rng = np.random.default_rng(2)
    for some in sides_of([sheet, *scattered(sheet, rng, 5, 0.1, 3)]):
        mechanisms, motion = moved(some)
        assert mechanisms[0].curve
        found = AirOfVariants(wanted)(mechanisms, motion)
        for mechanism, slack in zip(mechanisms, found, strict=True):
            assert agree(slack.value, least_by_survey(mechanism, wanted))


def every_pair(mechanism, wanted, course=None):
    """Return the pairs of a mechanism, and the least air of each by itself."""
    pairs = pair_parts(mechanism, wanted, reach_of(wanted))
    motion = solve_at(course or follow(mechanism), np.arange(SAMPLES) * (TURN / SAMPLES))
    moves = np.stack([motion.poses[part.name] for part in mechanism.parts])
    pieces = [piece for pair in pairs for piece in pair.pieces]
    owner = np.repeat(np.arange(len(pairs)), [len(pair.pieces) for pair in pairs])
    asked = np.array([pair.asked for pair in pairs])
    groups = [(np.array([k]), np.inf) for k in range(len(pairs))]
    return pairs, least_air(Jobs(pieces, owner, asked, moves, groups), reach_of(wanted) - wanted)


def mechanisms_in_outline():
    rockers = {
        f"crank rocker {seed}": (random_crank_rocker(np.random.default_rng(seed)), 0.15)
        for seed in (71,)
    }
    rockers["valve gear, bent"] = (dressed_gear(1.0), 0.15)
    for name in ("ardmoor-2-6-0", "ardmoor-0-6-0-nut-on-curves", "ardmoor-pacific-5in"):
        sheet = ready(name)
        for side, mechanism in build(sheet).items():
            rockers[f"{name}, {side}"] = (mechanism, sheet.wanted_clearance)
    return rockers


@pytest.mark.parametrize("name", mechanisms_in_outline())
def test_every_pair_by_itself_is_that_of_the_survey(name):
    """With each in a group of its own none is left because another has less."""
    mechanism, wanted = mechanisms_in_outline()[name]
    pairs, air = every_pair(mechanism, wanted)
    survey = {pair.parts: pair for pair in survey_clearances(follow(mechanism), wanted).pairs}
    free = reach_of(wanted) - wanted
    compared = 0
    for pair, value, at in zip(pairs, air.value, air.at, strict=True):
        assert 0 <= at < TURN
        known = survey.get(pair.parts)
        least = free if known is None else min(known.least - known.asked, free)
        assert agree(value, least)
        compared += value < free
    assert compared
    assert (air.floor <= air.value).all()


def test_against_7200_crank_angles_each():
    """Brute force may miss what lies between: the speeds there times half a step."""
    wanted = 0.15
    crank = np.arange(7200) * (TURN / 7200)
    for seed in (81,):
        mechanism = random_crank_rocker(np.random.default_rng(seed))
        course = follow(mechanism)
        pairs, air = every_pair(mechanism, wanted, course)
        motion = solve_at(course, crank)
        poses = Poses.of(np.stack([motion.poses[part.name] for part in mechanism.parts]))
        rows = np.arange(len(crank))
        for pair, value in zip(pairs, air.value, strict=True):
            table = PairTable(pair.pieces)
            every = np.array([
                table.clearances(np.full(len(crank), k), rows, poses)
                for k in range(len(pair.pieces))
            ])  # fmt: skip
            curve = every.min(axis=0) - pair.asked
            missed = np.abs(np.diff(curve)).max()
            least = min(curve.min(), reach_of(wanted) - wanted)
            assert -missed - ROUNDING <= value - least <= within(least) + ROUNDING


def test_the_least_of_a_group_is_found_and_no_floor_is_above():
    """Of many pairs together that with the least is known as well as by itself."""
    mechanism, wanted = random_crank_rocker(np.random.default_rng(71)), 0.15
    pairs, alone = every_pair(mechanism, wanted)
    motion = solve_at(follow(mechanism), np.arange(SAMPLES) * (TURN / SAMPLES))
    moves = np.stack([motion.poses[part.name] for part in mechanism.parts])
    owner = np.repeat(np.arange(len(pairs)), [len(pair.pieces) for pair in pairs])
    pieces = [piece for pair in pairs for piece in pair.pieces]
    asked = np.array([pair.asked for pair in pairs])
    rng = np.random.default_rng(1)
    halves = np.array_split(rng.permutation(len(pairs)), 2)
    for groups in ([np.arange(len(pairs))], halves, [halves[0], np.arange(len(pairs))]):
        jobs = Jobs(pieces, owner, asked, moves, [(group, np.inf) for group in groups])
        air = least_air(jobs, reach_of(wanted) - wanted)
        for group in groups:
            least = alone.value[group].min()
            assert abs(air.value[group].min() - least) <= within(least) + ROUNDING
        assert (air.floor <= alone.value + ROUNDING).all()
        known = [(group, alone.value[group].min() - 0.01) for group in groups]
        less = least_air(Jobs(pieces, owner, asked, moves, known), reach_of(wanted) - wanted)
        assert (less.floor <= alone.value + ROUNDING).all()


def parts_of(motion, rows):
    """Return the motion of some of the variants, as if asked for alone."""
    poses = {name: pose[rows] for name, pose in motion.poses.items()}
    return replace(motion, poses=poses, unknowns=tuple(q[:, rows] for q in motion.unknowns))


@pytest.mark.parametrize(
    "name",
    [
        "ardmoor-0-6-0-nut-on-curves",
        pytest.param("ardmoor-2-6-0-straightened", marks=pytest.mark.long),
    ],
)
def test_the_memo_mixes_nothing_up(name):
    """In another order, by halves, one by one, and twice: the same within what is promised."""
    wanted = ready(name).wanted_clearance
    rng = np.random.default_rng(9)
    for mechanisms, motion in spread(name, 6, seed=4):
        count = len(mechanisms)
        fresh = [
            AirOfVariants(wanted)([mechanisms[k]], parts_of(motion, [k]))[0].value
            for k in range(count)
        ]
        kept = AirOfVariants(wanted)
        for rows in (
            np.arange(count),
            *np.array_split(rng.permutation(count), 3),
            *rng.permutation(count)[:, None],
        ):
            some = [mechanisms[k] for k in rows.tolist()]
            for again in (kept, AirOfVariants(wanted)):
                found = again(some, parts_of(motion, rows))
                for k, slack in zip(rows.tolist(), found, strict=True):
                    near = within(min(fresh[k], slack.value)) + ROUNDING
                    assert abs(slack.value - fresh[k]) <= near


@pytest.mark.parametrize(
    ("key", "values"),
    [
        ("radius_rod.thickness", (0.3, 0.4, 0.6, 0.8)),
        ("eccentric_rod.out", (5.2, 5.4, 5.6, 5.8)),
        ("wheels.side_play", (0.0, 0.1, 0.3, 0.6)),
        ("return_crank.pin_circle", (2.0, 2.2, 2.3, 2.5)),
        ("motion_bracket.out", (2.0, 2.6, 3.4, 4.2)),
    ],
)
def test_only_one_number_changes(key, values):
    """Looked at together and again, each keeps what is its own."""
    sheet = ready("ardmoor-2-6-0-straightened")
    variants = [change(sheet, {key: value}) for value in values]
    mechanisms, motion = moved([build(variant)["right"] for variant in variants])
    assert len(mechanisms) == len(values)
    air = AirOfVariants(sheet.wanted_clearance)
    found = air(mechanisms, motion)
    assert air(mechanisms, motion) == found
    survey = [least_by_survey(m, sheet.wanted_clearance) for m in mechanisms]
    assert np.ptp(survey) > 0.001
    assert all(agree(f.value, least) for f, least in zip(found, survey, strict=True))


def test_the_same_parts_in_another_order():
    """Sides may have other parts besides: a part's row is then another, the pair the same."""
    outlines = {"rod": (bar((0, 0), (24, 0), 0.8),), "stud": (disc((12.0, 4.0), 0.7),)}
    air = AirOfVariants(0.15)
    first = dressed_slider_crank(5.0, 24.0, outlines)
    air([first], solve_round([first], SAMPLES))
    other = dressed_slider_crank(5.1, 24.0, outlines)
    other = replace(other, parts=(other.parts[1], other.parts[0], *other.parts[2:]))
    motion = solve_round([other], SAMPLES)
    (found,) = air([other], motion)
    assert found == AirOfVariants(0.15)([other], motion)[0]
    assert agree(found.value, least_by_survey(other, 0.15))


def test_two_alike_but_for_side_play():
    """The same parts in the same motion, and only the wheelset goes farther over."""
    outlines = {"crank": (disc((5, 0), 0.8, 0.0, 1.0),), "stud": (disc((5.5, 0.0), 0.7, 1.5),)}
    base = dressed_slider_crank(5.0, 24.0, outlines)
    made = build(ready("ardmoor-2-6-0-straightened"))["right"]
    rides = next(part.rides for part in made.parts if part.rides)
    crank = replace(base.parts[0], rides=rides)
    (axle,) = [wheelset.axle for wheelset in made.wheelsets]
    variants = [
        replace(base, parts=(crank, *base.parts[1:]), wheelsets=(Wheelset(axle, 0.0, play),))
        for play in (0.0, 0.2, 0.4)
    ]
    found = AirOfVariants(0.15)(variants, solve_round(variants, SAMPLES))
    assert [f.value for f in found] == pytest.approx([0.35, 0.15, -0.05], abs=1e-3)


def test_no_motion_no_air():
    """A variant that locks has none, whatever the others have."""
    bars = [four_bar((3, 10, 8, 9)), four_bar((6, 8, 5, 9), near=(9, 5))]
    found = AirOfVariants(0.15)(bars, solve_round(bars, SAMPLES))
    assert np.isnan(found[1].value)
    assert found[0].parts == ()


def test_poses_between_the_samples():
    """Within 1e-9 mm and rad of solving there (5e-12 was found), over the seam too."""
    for name in ("ardmoor-pacific-5in", "ardmoor-2-6-0", "ardmoor-0-6-0-nut-on-curves"):
        for mechanism in build(ready(name)).values():
            check_between(mechanism, 1e-9)


def check_between(mechanism, close):
    course = follow(mechanism)
    motion = solve_at(course, np.arange(SAMPLES) * (TURN / SAMPLES))
    moves = np.stack([motion.poses[part.name] for part in mechanism.parts])
    bodies = Bodies(moves)
    at = np.concatenate((np.random.default_rng(0).uniform(0, SAMPLES, 400),
                         SAMPLES - np.array([2.5, 1.9, 0.5, 1e-9]), [0.1, 1.7]))  # fmt: skip
    exact = solve_at(course, at * (TURN / SAMPLES))
    for row, part in enumerate(mechanism.parts):
        for turn in (-SAMPLES, 0, SAMPLES):
            found = bodies.poses(np.full(len(at), row), at + turn)
            off = found - exact.poses[part.name]
            off[:, 2] = np.remainder(off[:, 2] + np.pi, TURN) - np.pi
            assert np.abs(off).max() < close


@pytest.mark.parametrize("way", [1, -1, 0, 2, -3])
def test_bodies_that_turn_whole_turns(way):
    """Rising and falling; one that swings gains none."""
    at = np.arange(SAMPLES) * (TURN / SAMPLES)

    def pose(crank):
        x, y = 3 * np.cos(crank), 2 * np.sin(2 * crank)
        return np.stack((x, y, way * crank + 0.5 * np.sin(crank) + 3.0), axis=-1)

    bodies = Bodies(pose(at)[None])
    places = np.concatenate((np.linspace(-3, SAMPLES + 3, 997), np.arange(-3, SAMPLES + 3)))
    row = np.zeros(len(places), dtype=np.intp)
    exact = pose(places % SAMPLES * (TURN / SAMPLES))
    x, y, cos, sin = bodies.pick(row, places)
    assert np.abs(x - exact[:, 0]).max() < 1e-9
    assert np.abs(y - exact[:, 1]).max() < 1e-9
    assert np.abs(cos - np.cos(exact[:, 2])).max() < 1e-9
    assert np.abs(sin - np.sin(exact[:, 2])).max() < 1e-9
    whole = np.arange(-3, SAMPLES + 3)
    speeds = bodies.speeds(np.zeros(len(whole), dtype=np.intp), whole)
    rate = way + 0.5 * np.cos(whole * TURN / SAMPLES)
    assert np.abs(speeds[:, 2] * SAMPLES / TURN - rate).max() < 1e-4


@pytest.mark.parametrize("sloping", [(False, False), (False, True), (True, True)])
def test_enough_for_each_item(sloping):
    """Below what is enough a clearance is exact; others lie from enough to exact."""
    rng = np.random.default_rng(6)
    pairs = [
        PiecePair((0, 1), tuple(random_piece(rng, 2, slope) for slope in sloping))
        for _ in range(120)
    ]
    table = PairTable(pairs)
    poses = Poses.of(rng.uniform(-2, 2, (2, 20, 3)))
    item, at = (grid.ravel() for grid in np.meshgrid(np.arange(120), np.arange(20)))
    exact = table.clearances(item, at, poses)
    enough = rng.uniform(-1, 3, len(item))
    enough[::7], enough[1::7] = -np.inf, np.inf
    found = table.clearances(item, at, poses, enough)
    below = exact < enough
    assert np.abs(found[below] - exact[below]).max() < 1e-7
    assert (found[~below] >= enough[~below] - 1e-7).all()
    assert (found <= exact + 1e-7).all()
    for level in (-0.5, 0.3):
        same = table.clearances(item, at, poses, np.full(len(item), level))
        assert (same == table.clearances(item, at, poses, level)).all()
