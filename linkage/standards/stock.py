"""Drills, reamers and stock that can be bought.

Number and letter drills are those of the wire and letter gauges in every American handbook of
shop practice, cited from memory; metric and fractional sizes, reamers and stock are common
practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from linkage.units import MM_PER_INCH


@dataclass(frozen=True)
class Size:
    """Something of one size that can be bought."""

    name: str
    size: float  # [mm]


_NUMBERS = (
    ".2280 .2210 .2130 .2090 .2055 .2040 .2010 .1990 .1960 .1935 .1910 .1890 .1850 .1820 .1800 "
    ".1770 .1730 .1695 .1660 .1610 .1590 .1570 .1540 .1520 .1495 .1470 .1440 .1405 .1360 .1285 "
    ".1200 .1160 .1130 .1110 .1100 .1065 .1040 .1015 .0995 .0980 .0960 .0935 .0890 .0860 .0820 "
    ".0810 .0785 .0760 .0730 .0700 .0670 .0635 .0595 .0550 .0520 .0465 .0430 .0420 .0410 .0400 "
    ".0390 .0380 .0370 .0360 .0350 .0330 .0320 .0310 .0292 .0280 .0260 .0250 .0240 .0225 .0210 "
    ".0200 .0180 .0160 .0145 .0135"
)
"""No. 1 to no. 80 [inch]."""
_LETTERS = (
    ".234 .238 .242 .246 .250 .257 .261 .266 .272 .277 .281 .290 .295 .302 .316 .323 .332 .339 "
    ".348 .358 .368 .377 .386 .397 .404 .413"
)
"""A to Z [inch]."""


def _inches(texts: str, names: Iterable[str]) -> tuple[Size, ...]:
    sizes = [float(text) * MM_PER_INCH for text in texts.split()]
    return tuple(Size(name, size) for name, size in zip(names, sizes, strict=True))


def _steps(*runs: tuple[int, int, int]) -> tuple[Size, ...]:
    """Return metric sizes: from, to and step, in hundredths of a mm."""
    found = [value / 100 for low, high, by in runs for value in range(low, high + 1, by)]
    return tuple(Size(f"{value:g} mm", value) for value in found)


def _fractions(under: int, low: int, high: int) -> tuple[Size, ...]:
    """Return sizes of so many fractions of an inch, from the first to the last."""
    return tuple(
        Size(f"{Fraction(over, under)} in", over * MM_PER_INCH / under)
        for over in range(low, high + 1)
    )


NUMBER_DRILLS = _inches(_NUMBERS, (f"no. {k}" for k in range(1, 81)))
LETTER_DRILLS = _inches(_LETTERS, (f"letter {chr(65 + k)}" for k in range(26)))
FRACTION_DRILLS = _fractions(64, 1, 32)
METRIC_DRILLS = _steps((30, 300, 5), (310, 1000, 10), (1050, 1300, 50))
DRILLS = (*METRIC_DRILLS, *NUMBER_DRILLS, *LETTER_DRILLS, *FRACTION_DRILLS)
REAMERS = (
    *_steps((100, 300, 50), (400, 600, 100), (800, 1000, 200)),
    *_fractions(32, 2, 16),
)
METRIC_STOCK = _steps((20, 30, 5), (40, 100, 10), (120, 120, 1), (150, 300, 50), (400, 600, 100),
                      (800, 1200, 200), (1600, 1600, 1), (2000, 2000, 1))  # fmt: skip
INCH_STOCK = (*_fractions(64, 1, 8), *_fractions(32, 5, 16), *_fractions(16, 9, 16))
STOCK = (*METRIC_STOCK, *INCH_STOCK)


def nearest(size: float, among: Iterable[Size]) -> Size:
    """Return what is nearest to a size [mm]; of two as near the smaller."""
    return min(among, key=lambda one: (abs(one.size - size), one.size))


def next_above(size: float, among: Iterable[Size]) -> Size | None:
    """Return the smallest that is no smaller than a size [mm]; None where all are."""
    return min((one for one in among if one.size >= size - 1e-9), key=lambda one: one.size,
               default=None)  # fmt: skip
