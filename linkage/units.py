"""Lengths, angles, scales and clock faces at the border; inside, all is mm and radians."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction

MM_PER_INCH = 25.4
FARTHEST = 1e7
"""Number of mm or degrees beyond which a slip of the pen is meant, and figures would run over."""
_PARTS = 16  # in so many parts and more an inch is read, and no millimetre
_PARTS_OF_WHAT = 'should say its unit, such as "{} in": a millimetre is not read in such parts'
_DIGITS = 20  # of a fraction's numbers; more are none
_UNITS = {
    "mm": 1.0,
    "cm": 10.0,
    "in": MM_PER_INCH,
    "inch": MM_PER_INCH,
    "inches": MM_PER_INCH,
    '"': MM_PER_INCH,
    "thou": MM_PER_INCH / 1000,
}
_LENGTH = re.compile(
    r"""\s*(?P<sign>[-+]?)\s*
    (?:(?:(?P<whole>\d+)[\s-]+)?(?P<over>\d+)\s*/\s*(?P<under>\d+)
       |(?P<decimal>\d+(?:[.,]\d*)?(?:e[-+]?\d+)?|[.,]\d+))
    \s*(?P<unit>mm|cm|inches|inch|in|"|thou)?\.?\s*""",
    re.VERBOSE | re.IGNORECASE,
)
_ANGLE = re.compile(
    r"\s*(?P<number>[-+]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:e[-+]?\d+)?)"
    r"\s*(?:deg|degs|degree|degrees|°)?\s*",
    re.IGNORECASE,
)
_LENGTH_WANTED = 'should be a length, such as 4.33, "4,33", "3/32 in", "38 thou" or "4.3 mm"'
_ANGLE_WANTED = 'should be an angle in degrees, such as 12.5 or "12.5 deg"'


def _finite(value: object, wanted: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValueError(wanted)
    if not abs(value) < math.inf:  # `math.isfinite` cannot take a whole number of any length
        raise ValueError("should be a finite number")
    if abs(value) > FARTHEST:
        raise ValueError(f"should be no more than {FARTHEST:.0f}")
    return float(value)


def parse_length(value: object, unit: str = "mm") -> float:
    """Return a length as written on a sheet.

    Parameters
    ----------
    value : object
        A number in `unit`, or text with or without a unit of its own: ``"4,33"``, ``"3/32 in"``,
        ``"1 3/16 in"``, ``"38 thou"``, ``"4.3 mm"``.
    unit : {"mm", "in"}
        Unit of a bare number.

    Returns
    -------
    float [mm]
        The length.

    Raises
    ------
    ValueError
        Where it cannot be read as a finite length; the message says what is wanted.

    Examples
    --------
    >>> parse_length("3/32 in")
    2.38125
    >>> parse_length("4,33")
    4.33
    """
    if not isinstance(value, str):
        return _finite(_finite(value, _LENGTH_WANTED) * _UNITS[unit], _LENGTH_WANTED)
    match = _matched(value)
    if match is None:
        raise ValueError(_LENGTH_WANTED)
    length = _size_in(match, _UNITS[(match["unit"] or unit).lower()])
    if unit == "mm" and not match["unit"] and match["under"] and int(match["under"]) >= _PARTS:
        raise ValueError(_PARTS_OF_WHAT.format(value.strip()))
    return _finite(-length if match["sign"] == "-" else length, _LENGTH_WANTED)


def unit_typed(value: object) -> str:
    """Return the unit that stands in a length as typed: "in", "thou", "mm"; empty for none.

    Examples
    --------
    >>> unit_typed("3/32 in"), unit_typed("4,33")
    ('in', '')
    """
    match = _matched(value)
    if match is None or not match["unit"]:
        return ""
    unit = match["unit"].lower()
    return {MM_PER_INCH: "in", 1.0: "mm", 10.0: "mm"}.get(_UNITS[unit], unit)


def is_fraction(value: object) -> bool:
    """Tell whether a length is typed as a fraction."""
    match = _matched(value)
    return match is not None and match["under"] is not None


def _matched(value: object) -> re.Match[str] | None:
    """Match a length as typed; a bare number or what is none does not."""
    return _LENGTH.fullmatch(value.replace("″", '"')) if isinstance(value, str) else None


def _size_in(match: re.Match[str], scale: float) -> float:
    """Return the size in a matched length, a decimal or a fraction, in so many mm a unit."""
    if match["decimal"]:
        return float(match["decimal"].replace(",", ".")) * scale
    if max(len(match[name] or "") for name in ("whole", "over", "under")) > _DIGITS:
        raise ValueError(_LENGTH_WANTED)
    over, under = int(match["over"]), int(match["under"])
    if under == 0:
        raise ValueError("should not be divided by nought")
    # Rounded once at the end, so that 3/32 in is 2.38125 mm to the last digit.
    return float((int(match["whole"] or 0) + Fraction(over, under)) * Fraction(repr(scale)))


def parse_angle(value: object) -> float:
    """Return an angle as written on a sheet.

    Parameters
    ----------
    value : object
        A number of degrees, or text such as ``"12 deg"`` or ``"12,5"``.

    Returns
    -------
    float [rad]
        The angle.

    Raises
    ------
    ValueError
        Where it cannot be read as a finite angle; the message says what is wanted.

    Examples
    --------
    >>> parse_angle("180 deg") == math.pi
    True
    """
    if not isinstance(value, str):
        return math.radians(_finite(value, _ANGLE_WANTED))
    match = _ANGLE.fullmatch(value)
    if match is None:
        raise ValueError(_ANGLE_WANTED)
    return math.radians(_finite(float(match["number"].replace(",", ".")), _ANGLE_WANTED))


def clock(side: str, crank_angle: float) -> str:
    """Return where the crank stands, as a clock face seen from outside that side.

    To the nearest half hour.

    Parameters
    ----------
    side : str
        "left" for the left-hand side; any other is seen as the right-hand side is.
    crank_angle : float [rad]
        0 straight ahead, growing in forward running.

    Examples
    --------
    >>> clock("right", math.radians(30)), clock("left", math.radians(135))
    ("about 4 o'clock", 'about half past 4')
    """
    return f"about {hour(side, crank_angle)}"


def hour(side: str, crank_angle: float) -> str:
    """Return the same in fewer words, for a table.

    Parameters
    ----------
    side : str
        "left" for the left-hand side; any other is seen as the right-hand side is.
    crank_angle : float [rad]
        0 straight ahead, growing in forward running.

    Examples
    --------
    >>> hour("right", math.radians(30))
    "4 o'clock"
    """
    turned = math.degrees(crank_angle) / 30
    halves = round(2 * (9 - turned if side == "left" else 3 + turned)) % 24
    whole = halves // 2 or 12
    return f"half past {whole}" if halves % 2 else f"{whole} o'clock"


@dataclass(frozen=True)
class Scale:
    """A modelling scale.

    Attributes
    ----------
    ratio : float
        How many times smaller than full size.
    gauge : float [mm]
        Track gauge.
    wanted_clearance : float [mm]
        Air asked for between moving parts where the sheet does not say; common practice, no
        source.
    """

    ratio: float
    gauge: float
    wanted_clearance: float


def _per_foot(mm: float) -> float:
    """Return the ratio of a scale of so many mm to the foot."""
    return 12 * MM_PER_INCH / mm


# Ratios and gauges: MOROP NEM 010 (2011) for HO, TT, N, Z, S, gauge 1 and gauge 3; mm-per-foot
# scales are 304.8 / mm. The clearances are common practice, no source.
SCALES = {
    "Z": Scale(220.0, 6.5, 0.06),
    "N": Scale(160.0, 9.0, 0.08),
    "2 mm": Scale(_per_foot(2.0), 9.42, 0.08),
    "TT": Scale(120.0, 12.0, 0.1),
    "3 mm": Scale(_per_foot(3.0), 12.0, 0.1),
    "HO": Scale(87.0, 16.5, 0.1),
    "3.5 mm": Scale(_per_foot(3.5), 16.5, 0.1),
    "OO": Scale(_per_foot(4.0), 16.5, 0.15),
    "4 mm": Scale(_per_foot(4.0), 16.5, 0.15),
    "EM": Scale(_per_foot(4.0), 18.2, 0.15),
    "P4": Scale(_per_foot(4.0), 18.83, 0.1),
    "S": Scale(64.0, 22.5, 0.15),
    "O": Scale(45.0, 32.0, 0.2),
    "7 mm": Scale(_per_foot(7.0), 32.0, 0.2),
    "O 1:48": Scale(48.0, 31.75, 0.2),
    "gauge 1": Scale(32.0, 45.0, 0.3),
    "10 mm": Scale(_per_foot(10.0), 45.0, 0.3),
    "gauge 3": Scale(22.5, 64.0, 0.4),
    "16 mm": Scale(_per_foot(16.0), 32.0, 0.4),
    "5 in": Scale(11.3, 127.0, 0.5),
}

_ISO_2768_LIMITS = (3.0, 6.0, 30.0, 120.0, 400.0)
_ISO_2768 = {
    "f": (0.05, 0.05, 0.1, 0.15, 0.2),
    "m": (0.1, 0.1, 0.2, 0.3, 0.5),
    "c": (0.2, 0.3, 0.5, 0.8, 1.2),
    "v": (math.nan, 0.5, 1.0, 1.5, 2.5),
}


def iso_2768_1(length: float, grade: str = "m") -> float:
    """Return the general tolerance of a linear dimension.

    Parameters
    ----------
    length : float [mm]
        The dimension, 0.5 to 400.
    grade : {"f", "m", "c", "v"}
        Fine, medium, coarse, very coarse.

    Returns
    -------
    float [mm]
        Plus or minus.

    Raises
    ------
    ValueError
        Where the table gives none: below 0.5 mm, above 400 mm, grade v up to 3 mm.

    References
    ----------
    ISO 2768-1:1989, General tolerances, linear dimensions.

    Examples
    --------
    >>> iso_2768_1(38.0)
    0.3
    """
    if grade not in _ISO_2768:
        raise ValueError(f"grade {grade!r} is none of f, m, c, v")
    if not 0.5 <= length <= _ISO_2768_LIMITS[-1]:
        raise ValueError(f"ISO 2768-1 gives no tolerance for {length:g} mm")
    row = next(i for i, limit in enumerate(_ISO_2768_LIMITS) if length <= limit)
    tolerance = _ISO_2768[grade][row]
    if math.isnan(tolerance):
        raise ValueError(f"ISO 2768-1 grade {grade} gives no tolerance for {length:g} mm")
    return tolerance
