"""Proven verdicts on random linkages with bent parts, against plain sampling at 0.001 degree.

``python -m tests.second_way.proof --seeds 0:5000`` prints each that differs, and the table. A pair
is *missed* where a sample has less air than is reported by more than the stated bound, *false*
where nothing near the reported least is found: samples are a step apart, and in half of one a pair
comes no nearer than the speeds of its parts (`FASTEST`) let it.

A sample that cannot be lower than the lowest found is not worked out: those beside samples a tenth
and then a hundredth of a degree apart, where these are higher by more than the pair comes nearer in
half a step; and all of two pieces whose gap seen from above is no less than the lowest found.
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
from tests.second_way.test_clearance_brute_force import curve_of, curve_of_pieces, table_at

TURN = 2 * math.pi
SAMPLES = 360_000
FINER = (10, 10)  # parts that steps are cut into where the least may be, of a tenth of a degree
LOT = 20_000  # samples at once
PLAIN = 3_600  # samples that would be taken without a proof: every 0.1 degree
TIMED = 10  # one linkage of so many is sampled so as well, for the time it takes
WANTED = 0.15
FASTEST = {"crank": 5.0, "coupler": 29.0, "rocker": 29.0}
"""How fast a point of a part of these linkages goes at the most; all else stands [mm/rad].

A crank of 4 or less, a coupler of 8 to 16 and a rocker of 6 to 14, at angles of 20 degrees or more
to one another: the coupler turns by no more than 4 / (8 sin 20) = 1.5 of the crank's angle, the
rocker by 4 / (6 sin 20) = 2.0, so a point of the one goes 4 + 16.5 x 1.5 = 29 mm/rad and of the
other 14.6 x 2.0 = 29 mm/rad at most; of the crank 4.8.
"""


@dataclass(frozen=True)
class Held:
    """What came of one linkage; times are the processor's, nan of what was not done [s]."""

    seed: int
    pairs: int
    proven: int
    missed: tuple[str, ...]
    false: tuple[str, ...]
    proof: float
    plain: float


def nearer(pair) -> float:
    """Return how fast the parts of a pair come nearer at the most [mm/rad]."""
    return sum(FASTEST.get(part, 0.0) for part in pair.parts)


def seen_from_above(pieces) -> float:
    """Return the gap of two pieces seen from above, below 0 what they overlap at the most [mm].

    Their clearance is never less: it is the greater of the gaps in either view.
    """
    one, other = pieces.pieces
    middles = max(min(one.out) - max(other.out), min(other.out) - max(one.out), 0.0)
    return middles - (one.thickness + other.thickness) / 2


def sampled(course, pairs, reach, samples):
    """Return the least of each pair over so many samples of the turn, no more than `reach`."""
    step = TURN / samples * math.prod(FINER)
    rough = np.arange(round(TURN / step)) * step
    table = table_at(course, rough)
    least = {}
    for pair in pairs:
        margin = nearer(pair) * step / 2
        curves = [curve_of_pieces(pieces, table, reach + margin) for pieces in pair.pieces]
        low = min(reach, *(float(curve.min()) for curve in curves))
        for pieces, curve in sorted(
            zip(pair.pieces, curves, strict=True), key=lambda one: one[1].min()
        ):
            low = _lower(course, pair, pieces, (rough, curve), low)
        least[pair.parts] = low
    return least


def _lower(course, pair, pieces, found, low):
    """Return the lowest of two pieces, where that is lower than `low`: of ever finer samples.

    `found`: crank angles a tenth of a degree apart, and how near the pieces are there.
    """
    crank, curve = found
    step = TURN / len(crank)
    for finer in FINER:
        may = crank[curve < low + nearer(pair) * step / 2]
        between = (np.arange(finer) - (finer - 1) / 2) * step / finer
        step /= finer
        crank = (may[:, None] + between).ravel()
        lots = []
        for first in range(0, len(crank), LOT):
            if seen_from_above(pieces) >= low:
                return low
            table = table_at(course, crank[first : first + LOT] % TURN)
            lots.append(curve_of_pieces(pieces, table, low + nearer(pair) * step / 2))
            low = min(low, float(lots[-1].min()))
        curve = np.concatenate(lots) if lots else crank
    return low


def hold(seed: int, samples: int = SAMPLES) -> Held:
    """Survey the linkage of a seed, and hold every pair against the samples."""
    course = follow(random_crank_rocker(np.random.default_rng(seed)))
    solve_at(course, [0.0])  # what is made once is in neither time
    start = time.process_time()
    survey = survey_clearances(course, WANTED)
    proof = time.process_time() - start
    pairs = pair_parts(course.mechanism, WANTED, survey.reach)
    plain = math.nan
    if seed % TIMED == 0:
        start = time.process_time()
        for pair in pairs:
            curve_of(course, pair, np.arange(PLAIN) * TURN / PLAIN, survey.reach)
        plain = time.process_time() - start
    said = {pair.parts: pair for pair in survey.pairs}
    speeds = {pair.parts: nearer(pair) for pair in pairs}
    missed, false = [], []
    for parts, brute in sampled(course, pairs, survey.reach, samples).items():
        least = said[parts].least if parts in said else survey.reach
        if brute < least - WITHIN:
            missed.append(f"{parts}: {least:.5f} said, {brute:.5f} found")
        if least < brute - speeds[parts] * TURN / samples / 2:
            false.append(f"{parts}: {least:.5f} said, {brute:.5f} found")
    proven = sum(pair.between_samples == "proven" for pair in survey.pairs)
    return Held(seed, len(survey.pairs), proven, tuple(missed), tuple(false), proof, plain)


def table(every: list[Held]) -> str:
    """Return what came of all, as lines."""
    timed = [one for one in every if not math.isnan(one.plain)]
    proof, plain = (sum(getattr(one, name) for one in timed) for name in ("proof", "plain"))
    times = f"{proof / plain:.2f} times" if timed else "not known how many times"
    return "\n".join((
        f"linkages {len(every)}, near pairs {sum(one.pairs for one in every)}, "
        f"of them proven {sum(one.proven for one in every)}",
        f"missed {sum(len(one.missed) for one in every)}, "
        f"false {sum(len(one.false) for one in every)}",
        f"the proof takes {times} what plain sampling every 0.1 degree takes, of {len(timed)}",
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
