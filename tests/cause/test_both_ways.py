"""Turned on until it stops, and back until it stops: two lines that tell of one free stretch."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from linkage.cause import Weighing
from linkage.cause.feeling import SLIP, both_ways, likelihood, likelihood_of_both
from linkage.cause.sampling import CRANK, SAMPLES
from linkage.sheet import sheet_from
from linkage.tables.felt import Felt, Off, Turning, What
from tests.ready import ready

ERROR = math.radians(5.0)
STEP = 2 * math.pi / SAMPLES


def turned(way, at, **others):
    at = math.radians(at)
    line = Felt(What.LOCKS, "right", at, at, ERROR, turning=way)
    return replace(line, **others)


def ways(on, back):
    return turned(Turning.FORWARD, on), turned(Turning.BACKWARD, back)


def arcs(*some):
    """Return where the wheels are stopped, from one of some degrees to another."""
    turn = np.degrees(CRANK)
    return np.any([(turn - a) % 360 <= (b - a) % 360 for a, b in some], axis=0)


def both(two, *masks):
    """Return the density where one side, or either, stops the wheels; their cranks stand alike."""
    stopped = {line.side: mask[None] for line, mask in zip(two, masks, strict=True)}
    together, _ = likelihood_of_both(two, stopped, dict.fromkeys(stopped, 0.0))
    return together[0]


def by_hand(two, every, on, back):
    """Return the density one stretch at a time, as the head of `feeling.py` has it."""
    found, free = 0.0, int((~every).sum())
    for begin in range(SAMPLES):
        if not every[begin] or every[begin - 1] or not on[begin]:
            continue
        length = 1
        while not every[begin - 1 - length]:
            length += 1
        end = (begin - 1 - length) % SAMPLES
        near = 1.0
        for line, sample in zip(two, (begin, end), strict=True):
            apart = abs(math.remainder(CRANK[sample] - line.begin, 2 * math.pi))
            off = max(apart - STEP / 2, 0.0) / (ERROR / 2)
            near *= math.exp(-0.5 * off**2) / (ERROR / 2 * math.sqrt(2 * math.pi))
        found += near * length / free * back[end]
    anywhere = 1 / (2 * math.pi)
    each = [
        float(likelihood(line, mask[None])[0]) for line, mask in zip(two, (on, back), strict=True)
    ]
    return (1 - SLIP) ** 2 * found + SLIP * anywhere * sum(each) - (SLIP * anywhere) ** 2


def test_it_is_the_sum_over_the_stretches_with_whatever_arcs():
    rng = np.random.default_rng(7)
    tried = 0
    for _ in range(60):
        on, back = (
            np.roll(np.repeat(rng.random(12) < 0.3, 10), rng.integers(SAMPLES)) for _ in "ab"
        )
        every = on | back
        if every.all() or not every.any():
            continue
        two = ways(*np.degrees(CRANK)[rng.choice(np.flatnonzero(every), 2)])
        two = two[0], replace(two[1], side="left")
        got = both(two, on, back)
        assert got == pytest.approx(by_hand(two, every, on, back), rel=1e-9)
        tried += 1
    assert tried > 40


def test_a_stop_in_what_was_turned_through_speaks_against_it():
    """Either end is explained by itself; only together they are not."""
    alone, another = arcs((100, 150)), arcs((100, 150), (300, 320))
    two = ways(100, 150)

    def of(mask):
        return both(two, mask, mask)

    assert likelihood(two[0], another[None])[0] > 1
    assert of(another) < 0.05 * of(alone)


def test_the_hand_is_likelier_in_a_long_stretch_than_in_a_short_one():
    mask = arcs((0, 60), (90, 180))  # free for 30 degrees, and for 180
    long, short = ways(0, 180), ways(90, 60)
    likely = [both(two, mask, mask) for two in (long, short)]

    assert likely[0] / likely[1] == pytest.approx(177 / 27, rel=0.05)  # of samples, 3 degrees each


def test_only_what_was_felt_with_the_same_things_on_belongs_together():
    forward, backward = ways(100, 150)
    off = replace(backward, off=(Off("left", "return_crank"),))

    assert both_ways([forward, backward]) == ((0, 1),)
    assert both_ways([forward, off]) == ()
    assert both_ways([forward, replace(backward, running="full back")]) == ()
    assert both_ways([forward, backward, turned(Turning.FORWARD, 200)]) == ()  # which with which
    assert both_ways([off, forward, backward]) == ((1, 2),)


def test_either_stop_may_be_by_the_other_sides_clock():
    """The left-hand crank is a quarter behind: the same stops told by it weigh the same."""
    base = ready("ardmoor-0-6-0-good")

    def weighed(side, before=None):
        behind = 0 if side == "right" else 90
        felt = [
            {"what": "locks", "side": side, "at": (at - behind) % 360, "turning": way}
            for at, way in ((160, "forward"), (200, "backward"))
        ]
        data = {**base.data, "felt": felt}
        return Weighing(sheet_from(data, "engine.toml", ask=False), before=before)

    likely = []
    right = weighed("right")
    for weighing in (right, weighed("left", right)):
        apart = [one for one in weighing.suspects.every if one.fault.what == "ahead"]
        likely.append([float(weighing._of_all(one).mean()) for one in apart])

    assert likely[0] == pytest.approx(likely[1])
    assert max(likely[0]) > 10 * min(likely[0])
