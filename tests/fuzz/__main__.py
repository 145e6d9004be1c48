"""Try mutated sheets: `python -m tests.fuzz --count 100000 --seed 0`; what fails is printed."""

from __future__ import annotations

import argparse
import sys

from tests.fuzz.sheets import EXAMINED, trial


def main() -> int:
    asked = argparse.ArgumentParser(prog="python -m tests.fuzz", description=__doc__)
    asked.add_argument("--count", type=int, default=2000, help="how many sheets")
    asked.add_argument("--seed", type=int, default=0, help="number of the first")
    asked.add_argument("--examine", type=float, default=EXAMINED, help="share that is examined")
    given = asked.parse_args()
    counts: dict[str, int] = {}
    for seed in range(given.seed, given.seed + given.count):
        found = trial(seed, given.examine)
        counts[found.kind] = counts.get(found.kind, 0) + 1
        if found.fault:
            sys.stdout.write(f"seed {seed}: {found.fault}\n")
            sys.stdout.flush()
    sys.stdout.write(", ".join(f"{kind} {n}" for kind, n in sorted(counts.items())) + "\n")
    return int("fault" in counts)


if __name__ == "__main__":
    sys.exit(main())
