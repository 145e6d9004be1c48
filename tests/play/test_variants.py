"""Many variants of coupled wheels at once, against each by itself."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from linkage.arrangements import coupled_wheels
from linkage.play import NEARLY, PlayOfVariants, play_used, stay_below, variants
from linkage.play.least import least_play
from linkage.play.misfit import Misfits
from linkage.play.turning import Turning
from linkage.sheet import change
from tests.play.pairs import pair, random_locomotive
from tests.ready import ready
from tests.scatter import scattered

TURN = 2 * np.pi
ROUNDING = 1e-12
WITHIN = 0.003  # of the level asked about, for faults such as the ready sheets have [share]


def shaken(wheels, rng):
    """Return the same axles and rods with all their numbers a little other."""

    def by(value):
        return float(value * rng.uniform(0.95, 1.05))

    axles = tuple(
        dataclasses.replace(
            axle,
            ahead=by(axle.ahead),
            up=axle.up + 0.01,
            pins={
                side: dataclasses.replace(pin, throw=by(pin.throw), angle=pin.angle + 0.01)
                for side, pin in axle.pins.items()
            },
            fore_aft=by(axle.fore_aft),
            vertical=by(axle.vertical),
        )
        for axle in wheels.axles
    )
    rods = tuple(
        dataclasses.replace(
            rod,
            eyes=tuple(
                dataclasses.replace(
                    eye,
                    place=(by(eye.place[0]), eye.place[1]),
                    along=by(eye.along),
                    across=by(eye.across),
                )
                for eye in rod.eyes
            ),
        )
        for rod in wheels.rods
    )
    knuckles = tuple(dataclasses.replace(k, play=by(k.play)) for k in wheels.knuckles)
    return dataclasses.replace(wheels, axles=axles, rods=rods, knuckles=knuckles)


def wheels_of(rng):
    """Return sets of coupled wheels of several forms, one with knuckles."""
    made = [random_locomotive(rng) for _ in range(6)]
    return [*made, coupled_wheels(ready("ardmoor-0-6-0-nut-on-curves"))]


def test_misfits_of_variants_are_those_of_each():
    """Shares, slopes, bending and first arrangements, to rounding; and of rows picked."""
    rng = np.random.default_rng(0)
    for wheels in wheels_of(rng):
        others = [wheels, *(shaken(wheels, rng) for _ in range(4))]
        variants = [others[k] for k in rng.integers(0, len(others), 12).tolist()]
        together = Misfits.of_variants(variants)
        rows = rng.permutation(12)[:7]
        mask = np.isin(np.arange(12), rows)
        size = Misfits(wheels).size
        q, crank = rng.normal(0, 0.05, (12, size)), rng.uniform(0, TURN, 12)
        swing = rng.normal(0, 0.02, (12, together.others))
        for some, which in (
            (together, np.arange(12)),
            (together.pick(rows), rows),
            (together.pick(mask), np.flatnonzero(mask)),
            (together.pick(rows).pick(np.arange(3)), rows[:3]),
        ):
            check_misfits(some, [variants[k] for k in which], q[which], crank[which], swing[which])


def check_misfits(together, variants, q, crank, swing):
    stand, start = together.at(q, crank), together.start(crank, swing)
    pull = np.random.default_rng(1).normal(0, 1, stand.values.shape)
    for k, wheels in enumerate(variants):
        one = Misfits(wheels)
        row = slice(k, k + 1)
        alone = one.at(q[row], crank[row])
        assert one.constraints == together.constraints
        for ours, theirs in (
            (start[row], one.start(crank[row], swing[row])),
            (stand.values[row], alone.values),
            (stand.slopes[row], alone.slopes),
            (stand.bending(pull)[row], alone.bending(pull[row])),
        ):
            assert np.abs(ours - theirs).max() <= ROUNDING * (1 + np.abs(theirs).max())


def test_those_of_one_set_of_wheels_are_for_any_rows():
    misfits = Misfits(pair())
    assert misfits.pick(np.array([2, 0])) is misfits
    one = Misfits.of_variants([pair()])
    assert one.pick(np.array([0, 0])) is one


def test_least_play_of_variants_is_that_of_each():
    rng = np.random.default_rng(2)
    wheels = random_locomotive(rng)
    variants = [shaken(wheels, rng) for _ in range(5)] * 2
    crank = rng.uniform(0, TURN, 10)
    found = least_play(Misfits.of_variants(variants), crank)
    for k, one in enumerate(variants):
        alone = least_play(Misfits(one), crank[k : k + 1])
        assert found.used[k] == pytest.approx(alone.used[0], abs=1e-9)


def test_the_most_of_two_axles_in_closed_form():
    """A rod too long by e, with play p at either end and boxes that hold: e / (2 p) of it."""
    for error, play in ((0.08, 0.1), (0.085, 0.1), (0.095, 0.1), (0.18, 0.2)):
        wheels = pair(rods=(error, error), play=play)
        used, _ = PlayOfVariants(NEARLY)([wheels])
        assert used[0] == pytest.approx(play_used(Turning(wheels)).most, abs=WITHIN)
        # the boxes give way by 2e-4 mm each
        assert used[0] == pytest.approx(error / play, abs=0.005)


@pytest.mark.parametrize(
    ("name", "key"),
    [
        ("ardmoor-0-6-0-good", "right.coupling_rods.front.centres"),
        ("ardmoor-0-4-0-worn-hole", "coupling_rods.front.centres"),
    ],
)
def test_the_most_near_the_level(name, key):
    """By how much a sheet's rod is wrong is set so that the level is about reached."""
    sheet = ready(name)
    now = next(held[k] for held in sheet.dimensions.values() for k in (key, key.split(".", 1)[1])
               if k in held)  # fmt: skip
    most = PlayOfVariants(NEARLY)
    variants = [coupled_wheels(change(sheet, {key: now + by})) for by in np.linspace(-0.4, 0.4, 33)]
    used, at = most(variants)
    near = np.argsort(np.abs(used - NEARLY))[:2]
    assert np.abs(used[near] - NEARLY).max() < 0.1
    for k in near.tolist():
        alone = play_used(Turning(variants[k]))
        assert used[k] == pytest.approx(alone.most, abs=WITHIN)
        there = Turning(variants[k]).at(at[[k]]).used[0]
        assert there == pytest.approx(used[k], abs=WITHIN)
    # much above and below the level too it stands on the right side
    for k in (0, 16, 32):
        assert (used[k] > NEARLY) == (play_used(Turning(variants[k])).most > NEARLY)


def loosened(wheels, times):
    """Return the same wheels with all play so many times as large."""
    axles = tuple(
        dataclasses.replace(a, fore_aft=times * a.fore_aft, vertical=times * a.vertical)
        for a in wheels.axles
    )
    rods = tuple(
        dataclasses.replace(
            rod,
            eyes=tuple(
                dataclasses.replace(e, along=times * e.along, across=times * e.across)
                for e in rod.eyes
            ),
        )
        for rod in wheels.rods
    )
    knuckles = tuple(dataclasses.replace(k, play=times * k.play) for k in wheels.knuckles)
    return dataclasses.replace(wheels, axles=axles, rods=rods, knuckles=knuckles)


@pytest.mark.parametrize("seed", range(8))
def test_the_most_of_random_locomotives_near_the_level(seed):
    """Other samples and other starts than those of a whole turn, where either may miss a valley."""
    rng = np.random.default_rng(seed)
    wheels = random_locomotive(rng)
    wheels = loosened(wheels, play_used(Turning(wheels)).most / NEARLY)
    used, _ = PlayOfVariants(NEARLY)([wheels])
    assert used[0] == pytest.approx(play_used(Turning(wheels)).most, abs=WITHIN)


def test_wheels_alike_but_for_their_keys_are_one(monkeypatch):
    """And what was found is kept by what the play hangs on, whatever is asked with it."""
    wheels = coupled_wheels(ready("ardmoor-0-4-0-worn-hole"))
    same = dataclasses.replace(wheels, keys={"nothing": 1.0})
    made = []
    real = Misfits.of_variants.__func__

    def counted(cls, variants):
        made.append(len({id(v) for v in variants}))
        return real(cls, variants)

    monkeypatch.setattr(Misfits, "of_variants", classmethod(counted))
    most = PlayOfVariants(NEARLY)
    used, at = most([wheels, same, wheels])
    assert set(made) == {1}
    assert len(set(used.tolist())) == len(set(at.tolist())) == 1
    count = len(made)
    assert most([same])[0][0] == used[0]
    assert len(made) == count


def test_every_number_that_the_play_hangs_on_counts():
    """Wheels that differ in one number alone are not taken for one another."""
    base = shaken(coupled_wheels(ready("ardmoor-0-6-0-nut-on-curves")), np.random.default_rng(3))
    axle, rod, knuckle = base.axles[0], base.rods[0], base.knuckles[0]
    pin, eye = axle.pins["left"], rod.eyes[0]

    def axles(**changed):
        return {"axles": (dataclasses.replace(axle, **changed), *base.axles[1:])}

    def eyes(**changed):
        some = (dataclasses.replace(eye, **changed), *rod.eyes[1:])
        return {"rods": (dataclasses.replace(rod, eyes=some), *base.rods[1:])}

    others = [
        axles(ahead=axle.ahead + 0.1),
        axles(up=axle.up + 0.1),
        axles(fore_aft=axle.fore_aft / 2),
        axles(vertical=axle.vertical / 2),
        axles(pins={**axle.pins, "left": dataclasses.replace(pin, throw=pin.throw + 0.1)}),
        axles(pins={**axle.pins, "left": dataclasses.replace(pin, angle=pin.angle + 0.02)}),
        eyes(place=(eye.place[0] + 0.1, eye.place[1])),
        eyes(along=eye.along / 2),
        eyes(across=eye.across / 2),
        {"knuckles": (dataclasses.replace(knuckle, play=knuckle.play / 2), *base.knuckles[1:])},
    ]
    variants = [base, *(dataclasses.replace(base, **changed) for changed in others)]
    together = PlayOfVariants(NEARLY)
    used, _ = together(variants)
    again, _ = together(variants[::-1])
    assert (again == used[::-1]).all()
    for k in range(len(variants)):
        assert PlayOfVariants(NEARLY)([variants[k]])[0][0] == pytest.approx(used[k], abs=1e-6)
    assert (np.abs(used[1:] - used[0]) > 1e-5).sum() >= 8


def test_wheels_of_several_forms():
    """Each as by itself: other axles, other rods, another axle driven."""
    rng = np.random.default_rng(6)
    sets = [random_locomotive(rng) for _ in range(4)] + [pair(), pair(rods=(0.08, 0.0))]
    sets.append(dataclasses.replace(sets[-1], driving=1))
    used, _ = PlayOfVariants(NEARLY)(sets)
    for k, wheels in enumerate(sets):
        assert PlayOfVariants(NEARLY)([wheels])[0][0] == pytest.approx(used[k], abs=1e-6)


def test_random_faults_are_on_the_right_side_of_the_level():
    """Throws and quarters far out, all play used up or little of it."""
    rng = np.random.default_rng(12)
    seen = set()
    for sheet in scattered(ready("ardmoor-0-6-0-middle-hole"), rng, 5, 0.01, 2):
        wheels = coupled_wheels(sheet)
        most = play_used(Turning(wheels)).most
        used, _ = PlayOfVariants(NEARLY)([wheels])
        if abs(most - NEARLY) > 0.05:
            assert (used[0] > NEARLY) == (most > NEARLY)
            seen.add(bool(most > NEARLY))
    assert seen


def test_what_stays_below_a_level_is_told_as_by_the_most(monkeypatch):
    """A rod set from far too short to far too long; what is above is not looked at closely."""
    sheet, key = ready("ardmoor-0-6-0-good"), "right.coupling_rods.front.centres"
    now = sheet.dimensions["right"]["coupling_rods.front.centres"]
    some = [
        coupled_wheels(change(sheet, {key: now + by})) for by in np.linspace(-0.4, 0.4, 33)
    ]  # fmt: skip
    used, _ = PlayOfVariants(NEARLY)(some)
    closely = []
    real = variants._Most._close_in
    monkeypatch.setattr(
        variants._Most,
        "_close_in",
        lambda self, which, crank: closely.extend(which.tolist()) or real(self, which, crank),
    )
    below = stay_below(some, NEARLY)
    assert below.tolist() == (used < NEARLY).tolist()
    assert set(closely) < {*np.flatnonzero(used < NEARLY + WITHIN).tolist()}
    assert 0 < below.sum() < len(some)
    assert not stay_below([], NEARLY).size
