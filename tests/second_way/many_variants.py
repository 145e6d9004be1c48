"""How long many variants take: all numbers moved, both sides, all pairs, all round the turn.

``python -m tests.second_way.many_variants --count 10000`` prints the time of the whole, of the
first half and of the second, and the most memory there was; ``--jobs 2`` shares them over two
processes.
"""

from __future__ import annotations

import argparse
import resource
import sys
import time
from concurrent.futures import ProcessPoolExecutor

import numpy as np

from linkage.cause.drawn import Drawn
from linkage.sheet.drawing import drawn
from tests.ready import ready


def turned(sheet: str, count: int, part: int, parts: int) -> tuple[float, float, float]:
    """Turn a share of the variants: processor seconds of either half, and the memory [MiB]."""
    engines = Drawn(ready(sheet))
    moves = (drawn(engines.numbers, count) * engines.errors)[part::parts]
    seconds = []
    for half in np.array_split(moves, 2):
        begun = time.process_time()
        engines.turn(half)
        seconds.append(time.process_time() - begun)
    return seconds[0], seconds[1], resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def main() -> None:
    """Print the figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sheet", default="ardmoor-2-6-0")
    parser.add_argument("--count", type=int, default=10_000)
    parser.add_argument("--jobs", type=int, default=2)
    asked = parser.parse_args()
    begun = time.monotonic()
    with ProcessPoolExecutor(asked.jobs) as pool:
        every = [pool.submit(turned, asked.sheet, asked.count, k, asked.jobs)
                 for k in range(asked.jobs)]  # fmt: skip
        found = [one.result() for one in every]
    wall = time.monotonic() - begun
    first, second = (sum(one[k] for one in found) for k in (0, 1))
    sys.stdout.write(
        f"{asked.count} variants of {asked.sheet}: {wall:.1f} s by the clock, {asked.jobs} jobs, "
        f"made ready included; processor {first + second:.1f} s, first half {first:.1f} s, second "
        f"{second:.1f} s; most memory {sum(one[2] for one in found):.0f} MiB\n"
    )


if __name__ == "__main__":
    main()
