"""Proven verdicts on random linkages with bent parts, against plain sampling at 0.001 degree.

``python -m tests.second_way.proof --seeds 0:5000`` prints each that differs, and the table. A pair
is *missed* where a sample has less air than is reported by more than the stated bound, *false*
where nothing near the reported least is found: samples are a step apart, and in half of one a pair
comes no more than `FASTEST` a radian nearer.
"""

from __future__ import annotations

import argparse
import math
import sys
import time
from dataclasses import dataclass

import numpy as np

from linkage.clearance import pair_parts, survey_clearances
from linkage.clearance.near import WITHIN
from linkage.kinematics import follow, solve_at
from tests.clearance.bodies import random_crank_rocker
from tests.second_way.test_clearance_brute_force import curve_of

TURN = 2 * math.pi
SAMPLES, FINER, LOT = 360_000, 100, 200
PLAIN = 3_600  # samples that would be taken without a proof: every 0.1 degree
WANTED = 0.15
FASTEST = 60.0
"""By which two parts of these linkages come nearer at the most [mm/rad].

A crank of 4 or less, a coupler of 8 to 16 and a rocker of 6 to 14, at angles of 20 degrees or more
to one another: the coupler turns by no more than 4 / (8 sin 20) = 1.5 of the crank's angle, the
rocker by 4 / (6 sin 20) = 2.0, so a point of the one goes 4 + 16.5 x 1.5 = 29 mm/rad and of the
other 14.6 x 2.0 = 29 mm/rad at most.
"""


@dataclass(frozen=True)
class Held:
    """What came of one linkage; times are the processor's [s]."""

    seed: int
    pairs: int
    proven: int
    missed: tuple[str, ...]
    false: tuple[str, ...]
    proof: float
    plain: float


def sampled(course, pairs, reach, samples):
    """Return the least of each pair over so many samples of the turn, no more than `reach`.

    Samples a hundred times as far apart say first where it cannot be: in half a step a pair comes
    no more than `FASTEST` a radian nearer.
    """
    rough = np.arange(samples // FINER) * TURN / (samples // FINER)
    margin = FASTEST * TURN / len(rough) / 2
    fine = (np.arange(FINER) - FINER // 2) * TURN / samples
    least = {}
    for pair in pairs:
        curve = curve_of(course, pair, rough, reach + margin)
        may = np.flatnonzero(curve < min(curve.min(), reach) + margin)
        found = [float(curve.min()), reach]
        for first in range(0, len(may), LOT):
            crank = (rough[may[first : first + LOT], None] + fine).ravel() % TURN
            found.append(float(curve_of(course, pair, crank, reach).min()))
        least[pair.parts] = min(found)
    return least


def hold(seed: int, samples: int = SAMPLES) -> Held:
    """Survey the linkage of a seed, and hold every pair against the samples."""
    course = follow(random_crank_rocker(np.random.default_rng(seed)))
    solve_at(course, [0.0])  # what is made once is in neither time
    start = time.process_time()
    survey = survey_clearances(course, WANTED)
    proof = time.process_time() - start
    pairs = pair_parts(course.mechanism, WANTED, survey.reach)
    start = time.process_time()
    for pair in pairs:
        curve_of(course, pair, np.arange(PLAIN) * TURN / PLAIN, survey.reach)
    plain = time.process_time() - start
    said = {pair.parts: pair for pair in survey.pairs}
    missed, false = [], []
    for parts, brute in sampled(course, pairs, survey.reach, samples).items():
        least = said[parts].least if parts in said else survey.reach
        if brute < least - WITHIN:
            missed.append(f"{parts}: {least:.5f} said, {brute:.5f} found")
        if least < brute - FASTEST * TURN / samples / 2:
            false.append(f"{parts}: {least:.5f} said, {brute:.5f} found")
    proven = sum(pair.between_samples == "proven" for pair in survey.pairs)
    return Held(seed, len(survey.pairs), proven, tuple(missed), tuple(false), proof, plain)


def table(every: list[Held]) -> str:
    """Return what came of all, as lines."""
    proof, plain = (sum(getattr(one, name) for one in every) for name in ("proof", "plain"))
    return "\n".join((
        f"linkages {len(every)}, near pairs {sum(one.pairs for one in every)}, "
        f"of them proven {sum(one.proven for one in every)}",
        f"missed {sum(len(one.missed) for one in every)}, "
        f"false {sum(len(one.false) for one in every)}",
        f"the proof takes {proof / plain:.2f} times what plain sampling every 0.1 degree takes",
    ))  # fmt: skip


def main() -> int:
    """Hold the linkages of some seeds, and print what came of it."""
    asked = argparse.ArgumentParser(prog="python -m tests.second_way.proof", description=__doc__)
    asked.add_argument("--seeds", default="0:5000", help="from:to")
    asked.add_argument("--show", type=int, default=100, help="linkages between two tables")
    given = asked.parse_args()
    first, last = (int(end) for end in given.seeds.split(":"))
    every: list[Held] = []
    for seed in range(first, last):
        every.append(hold(seed))
        for word, found in (("missed", every[-1].missed), ("false", every[-1].false)):
            sys.stdout.writelines(f"seed {seed}: {word} {text}\n" for text in found)
        if len(every) % given.show == 0 or seed == last - 1:
            sys.stdout.write(f"{table(every)}\n")
            sys.stdout.flush()
    return int(any(one.missed or one.false for one in every))


if __name__ == "__main__":
    sys.exit(main())
