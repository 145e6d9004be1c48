"""What comes true of what is said to be likely: engines drawn from the errors of their sheets.

``python -m tests.second_way.calibration --sheets 0:50 --each 10 --jobs 2`` prints the table. Every
number of a sheet is anywhere within its own error, alike, and independent of the others, as
`linkage.certainty` takes it; each engine so drawn is examined whole.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from itertools import repeat
from multiprocessing import Pool

import numpy as np

from linkage.certainty import how_sure
from linkage.errors import LinkageError
from linkage.examine import examine
from linkage.sheet import Sheet
from linkage.sheet.numbers import SheetNumber, numbers_of, with_number
from tests.second_way.broken import free_engine, read

BANDS = ((0.05, 0.35), (0.35, 0.65), (0.65, 0.95))
"""Chances that are taken together."""


@dataclass(frozen=True)
class Drawn:
    """One sheet, and what the engines drawn from it were."""

    seed: int
    engine: str
    chance: float  # that something is wrong, as it is said [1]
    wrong: int  # how many of them something was wrong with
    count: int

    @property
    def share(self) -> float:
        """The share that something was wrong with [1]."""
        return self.wrong / self.count


def drawn_sheet(sheet: Sheet, numbers: Iterable[SheetNumber], rng: np.random.Generator) -> Sheet:
    """Return a sheet as the engine may really be: every number moved within its error."""
    for number in numbers:
        if number.origin.error:
            by = float(rng.uniform(-1.0, 1.0)) * number.origin.error
            sheet = with_number(sheet, number, by)
    return sheet


def draw_engines(seed: int, each: int, among: Collection[str] = ()) -> Drawn | None:
    """Draw the engines of one sheet; None where it is as good as sure what they are.

    `among`: as for `free_engine`.
    """
    rng = np.random.default_rng([23, seed])
    name, text, _ = free_engine(rng, among)
    free = read(text)
    numbers = numbers_of(free)
    sheet = drawn_sheet(free, numbers, rng)  # as it is measured, an error in every number
    try:
        chance = how_sure(examine(sheet)).whole.chance
    except LinkageError:
        return None
    if not BANDS[0][0] <= chance <= BANDS[-1][1]:
        return None
    engines = [drawn_sheet(sheet, numbers, rng) for _ in range(each)]
    return Drawn(seed, name, chance, sum(map(_is_wrong, engines)), each)


def _is_wrong(sheet: Sheet) -> bool:
    try:
        return not examine(sheet).free
    except LinkageError:  # it cannot even be put together
        return True


def bands(every: Iterable[Drawn]) -> Iterator[tuple[int, float, float]]:
    """Yield of each band how many engines it holds, what was said of them, and what came true."""
    for low, high in BANDS:
        held = [one for one in every if low <= one.chance < high]
        count = sum(one.count for one in held)
        if count:
            said = sum(one.chance * one.count for one in held) / count
            yield count, said, sum(one.wrong for one in held) / count
        else:
            yield 0, float("nan"), float("nan")


def _one(asked: tuple[int, int]) -> Drawn | None:
    return draw_engines(*asked)


def main() -> None:
    """Draw from some sheets and print what came true."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sheets", default="0:150", help="from:to")
    parser.add_argument("--each", type=int, default=10, help="engines drawn from each")
    parser.add_argument("--jobs", type=int, default=1)
    asked = parser.parse_args()
    first, last = (int(part) for part in asked.sheets.split(":"))
    every: list[Drawn] = []
    with Pool(asked.jobs) as pool:
        for one in pool.imap(_one, zip(range(first, last), repeat(asked.each), strict=False)):
            if one is not None:
                every.append(one)
                sys.stdout.write(
                    f"{one.seed}: {one.engine}: said {100 * one.chance:.0f} %, "
                    f"came true {one.wrong} of {one.count}\n"
                )
                sys.stdout.flush()
    for count, said, true in bands(every):
        sys.stdout.write(f"{count:>5d} engines: said {100 * said:.1f} %, true {100 * true:.1f} %\n")


if __name__ == "__main__":
    main()
