"""Scales and gauges as published, and full-size lengths in feet, inches and fractions.

References
----------
MOROP, *NEM 010*, 2011: scales and gauges (`NEM_010`), read. NMRA, *S-1.2*: track gauges in inches
(`NMRA_S_1_2`), cited from memory. Neither is corrected where its own figures do not agree.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction

from linkage.units import MM_PER_INCH, SCALES, parse_length

FOOT = 12 * MM_PER_INCH
FULL_SIZE = "full size"


@dataclass(frozen=True)
class Published:
    """A line of a standard."""

    name: str
    ratio: float  # [1] how many times smaller than full size
    gauge: float  # [mm]


NEM_010 = (
    Published("Z", 220.0, 6.5),
    Published("N", 160.0, 9.0),
    Published("TT", 120.0, 12.0),
    Published("H0", 87.0, 16.5),
    Published("S", 64.0, 22.5),
    Published("0", 45.0, 32.0),
    Published("I", 32.0, 45.0),
    Published("II", 22.5, 64.0),
    Published("III", 16.0, 89.0),
    Published("V", 11.0, 127.0),
    Published("VII", 8.0, 184.0),
    Published("X", 5.5, 260.0),
)
NARROW = {"m": 1, "e": 2, "i": 3, "p": 4}
"""NEM 010's letters for narrow gauges: how many steps smaller than the scale's own gauge."""
NMRA_S_1_2 = (
    Published("O", 48.0, 1.250 * MM_PER_INCH),
    Published("S", 64.0, 0.883 * MM_PER_INCH),
    Published("HO", FOOT / 3.5, 0.650 * MM_PER_INCH),
    Published("TT", 120.0, 0.471 * MM_PER_INCH),
    Published("N", 160.0, 0.353 * MM_PER_INCH),
    Published("Z", 220.0, 0.257 * MM_PER_INCH),
)
"""Cited from memory."""

_FEET = re.compile(
    r"\s*(?P<feet>\d+(?:[.,]\d+)?)\s*(?:ft|feet|foot|'|\u2032)\.?\s*(?P<rest>.*)", re.I
)
_MM_PER_FOOT = re.compile(r"\s*(?P<mm>.+?)\s*(?:to the foot|/\s*ft|per foot)\s*", re.I)
_RATIO = re.compile(r"\s*1\s*[:/]\s*(?P<ratio>\d+(?:[.,]\d+)?)\s*")
_WANTED = 'should be a scale: "4 mm", "HO", "NEM 0", "1:32", "3/16 in to the foot", or "full size"'


def ratio_of(scale: str) -> float:
    """Return how many times smaller than full size a scale is [1].

    `scale`: "full size"; "1:32"; so many mm or inches "to the foot"; a key of `units.SCALES`, or
    "NEM " and a name of `NEM_010`.

    Raises
    ------
    ValueError
        Where it is none of these.

    Examples
    --------
    >>> round(ratio_of("3/16 in to the foot"), 9), ratio_of("NEM 0"), ratio_of("1:11")
    (64.0, 45.0, 11.0)
    """
    plain = scale.strip()
    if plain.lower() == FULL_SIZE:
        return 1.0
    if plain in SCALES:
        return SCALES[plain].ratio
    named = {f"NEM {one.name}": one.ratio for one in NEM_010}
    if plain in named:
        return named[plain]
    match = _RATIO.fullmatch(plain)
    if match is not None:
        ratio = float(match["ratio"].replace(",", "."))
        if ratio > 0:
            return ratio
    foot = _MM_PER_FOOT.fullmatch(plain)
    if foot is not None and (size := parse_length(foot["mm"])) > 0:
        return FOOT / size
    raise ValueError(_WANTED)


def parse_full_size(text: str) -> float:
    r"""Return a length in feet and inches, or any that a sheet may hold [mm].

    Raises
    ------
    ValueError
        Where it is none.

    Examples
    --------
    >>> parse_full_size("5 ft 8 in"), parse_full_size("4' 8 1/2\"")
    (1727.2, 1435.1)
    """
    match = _FEET.fullmatch(text)
    if match is None:
        return parse_length(text)
    inches = parse_length(match["rest"], "in") if match["rest"].strip() else 0.0
    return round(float(match["feet"].replace(",", ".")) * FOOT + inches, 9)


def say_feet(length: float, under: int = 16) -> str:
    """Say a length [mm] in feet and inches, to the nearest fraction of an inch.

    `under`: of the finest fraction, a power of 2.

    Examples
    --------
    >>> say_feet(1435.1), say_feet(2.0, 64)
    ('4 ft 8 1/2 in', '5/64 in')
    """
    parts = round(abs(length) / MM_PER_INCH * under)
    inches, over = divmod(parts, under)
    feet, inches = divmod(inches, 12)
    fraction = Fraction(over, under)
    said = [f"{feet} ft"] if feet else []
    figure = " ".join([*([str(inches)] if inches or not fraction else []),
                       *([str(fraction)] if fraction else [])])  # fmt: skip
    if figure != "0" or not feet:
        said.append(f"{figure} in")
    return ("-" if length < 0 and parts else "") + " ".join(said)


def nearest_fraction(length: float, under: int = 64) -> float:
    """Return the nearest length of whole fractions of an inch [mm]."""
    return round(length / MM_PER_INCH * under) * MM_PER_INCH / under


def scaled(length: float, from_: str, to: str) -> float:
    """Return a length [mm] of one scale at another [mm].

    Raises
    ------
    ValueError
        As `ratio_of`.

    Examples
    --------
    >>> round(scaled(10.0, "1:45", "1:87"), 3)
    5.172
    """
    found = length * ratio_of(from_) / ratio_of(to)
    if not math.isfinite(found):
        raise ValueError("comes to more than can be said")
    return found
