"""How lengths are said: in millimetres, or in inches where a sheet's numbers are in inches.

Every sentence, table and picture has its lengths from here; inside, and in JSON, all is mm. What
is small is said as a feeler gauge has it, which on an inch bench is in thou (1/1000 in); a number
of the sheet as it was typed, in decimals, thou or a fraction.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from linkage.units import MM_PER_INCH

THOU = MM_PER_INCH / 1000
"""[mm]"""
_HUNDREDTH = 0.01  # [mm]
_HALVES = 25.0  # below so many thou halves of one are said: 0.01 mm is 0.4 of it
_INCHES = 250.0  # from so many thou on a length by itself is said in inches
_FEET = 120.0  # from so many inches on a curve's radius is said in feet
_SIXTY_FOURTHS = 64
_SAME = 0.25  # of a thou: a length so near a fraction is that fraction
_HAIR = 1e-6  # of a grain: what is on it but for rounding is on it


def _rounded_up(x: float) -> int:
    """Return the whole number at or above: on a sharper curve than it is nothing was promised."""
    return math.ceil(x - _HAIR)


@dataclass(frozen=True)
class Millimetres:
    """Lengths in mm."""

    grain = _HUNDREDTH  # what lengths on a sheet are said to [mm]
    # least steps in which something is set on a model that stands on a table, and on a large one
    # [mm]; into how many parts they go where play is told that may be left in a joint
    step, large_step, finer = 0.05, 0.1, 5
    # of what is small, in a picture and over a table; of a number of the sheet likewise
    small_unit = small_head = unit = head = "mm"
    small_scale = scale = 1.0  # how long one of either unit is [mm]

    def small(self, x: float) -> str:
        """Say a clearance, an overlap or an amount of work [mm] with its unit."""
        return f"{x:.2f} mm"

    def small_figure(self, x: float, sign: str = "") -> str:
        """Say it in a table, without its unit [mm]; `sign`: "+" for one before what is above 0."""
        return f"{x:{sign}.2f}"

    def number(self, x: float, key: str = "") -> str:
        """Say a number [mm] with its unit; `key`: on the sheet, for how it was typed there."""
        return f"{x:.2f} mm"

    def small_again(self, x: float) -> str:
        """Say a small length right after another [mm]: its unit is the same."""
        return f"{x:.2f}"

    def number_again(self, x: float, key: str = "") -> str:
        """Say a number right after another [mm]."""
        return f"{x:.2f}"

    def place(self, x: float) -> str:
        """Say how far along a part something is [mm], no closer than it is found there."""
        return f"{x:.1f} mm"

    def figure(self, x: float, sign: str = "") -> str:
        """Say it in a table, without its unit [mm]."""
        return f"{x:{sign}.2f}"

    def precisely(self, x: float) -> str:
        """Say it in a table for a spreadsheet, without its unit [mm]."""
        return f"{x:.4f}"

    def in_words(self, x: float) -> str:
        """Say a length [mm], not below 0, to somebody who has no callipers.

        Examples
        --------
        >>> Millimetres().in_words(0.126), Millimetres().in_words(12.0)
        ('0.13 millimetre', '12 millimetres')
        """
        return f"{_plain(x)} millimetre{'s' if round(x, 2) > 1 else ''}"

    def curve(self, x: float) -> str:
        """Say a curve's radius [mm], never sharper than it is."""
        return f"{_rounded_up(x)} mm"

    def curve_in_words(self, x: float) -> str:
        """Say a curve's radius [mm] to somebody who has no callipers."""
        return f"{_rounded_up(x)} millimetres"

    def plainly(self, x: float) -> str:
        """Say a number of the sheet [mm] as in a question about it, without idle noughts."""
        return f"{x:.4g} mm"

    def ruler(self, most: float) -> tuple[float, str]:
        """Return the longest round length not above a most [mm], and how it is said."""
        length = round_length(most)
        return length, f"{length:g} mm"

    def in_words_again(self, x: float) -> str:
        """Say a small length [mm] in words right after another, which says its unit."""
        return f"{x:.2f}"

    def typed(self, x: float, key: str, unit: str) -> str:
        """Return a length [mm] as one would type it on a sheet whose bare numbers have a unit."""
        return f"{round(x, 3)}{'' if unit == 'mm' else ' mm'}"


@dataclass(frozen=True)
class Inches:
    """Lengths in inches and thou."""

    beside: bool = False  # whether mm stand in brackets after each
    fractions: frozenset[str] = frozenset()  # keys of numbers typed as fractions
    thou: frozenset[str] = frozenset()  # and in thou

    grain = small_scale = THOU
    step, large_step, finer = 2 * THOU, 4 * THOU, 4
    scale = MM_PER_INCH
    small_unit = "thou"
    unit = "in"

    @property
    def small_head(self) -> str:
        """What stands over `small_figure` in a table."""
        return "thou (mm)" if self.beside else "thou"

    @property
    def head(self) -> str:
        """What stands over `figure` in a table."""
        return "in (mm)" if self.beside else "in"

    def small(self, x: float) -> str:
        """Say a clearance, an overlap or an amount of work [mm] with its unit.

        Examples
        --------
        >>> Inches().small(0.13), Inches(beside=True).small(7.62)
        ('5 thou', '0.300 in (7.62 mm)')
        """
        if abs(x) < (_INCHES - 0.5) * THOU:
            return self._with_mm(f"{_thou(x)} thou", x)
        return self._with_mm(f"{_inches(x)} in", x)

    def small_figure(self, x: float, sign: str = "") -> str:
        """Say it in a table, without its unit [mm]."""
        return self._and_mm(_thou(x, sign), x, sign)

    def number(self, x: float, key: str = "") -> str:
        """Say a number [mm] with its unit; `key`: on the sheet, for how it was typed there.

        Examples
        --------
        >>> Inches(fractions=frozenset(["wheels.throw"])).number(7.14375, "wheels.throw")
        '9/32 in'
        """
        if key in self.thou:
            return self._with_mm(f"{_thou(x)} thou", x)
        fraction = _fraction(x) if key in self.fractions else ""
        return self._with_mm(f"{fraction or _inches(x)} in", x)

    def small_again(self, x: float) -> str:
        """Say a small length right after another [mm]; its unit may be another."""
        return self.small(x)

    def number_again(self, x: float, key: str = "") -> str:
        """Say a number right after another [mm]; its unit may be another."""
        return self.number(x, key)

    def place(self, x: float) -> str:
        """Say how far along a part something is [mm], no closer than it is found there."""
        said = f"{x / MM_PER_INCH:.2f} in"
        return f"{said} ({x:.1f} mm)" if self.beside else said

    def figure(self, x: float, sign: str = "") -> str:
        """Say it in a table, without its unit [mm]."""
        return self._and_mm(_inches(x, sign), x, sign)

    def precisely(self, x: float) -> str:
        """Say it in a table for a spreadsheet, without its unit [mm]."""
        return f"{x / MM_PER_INCH:.5f}"

    def in_words(self, x: float) -> str:
        """Say a length [mm], not below 0, to somebody who has no callipers.

        Examples
        --------
        >>> Inches().in_words(0.13), Inches().in_words(31.75)
        ('5 thousandths of an inch', '1.25 inches')
        """
        if x < (_INCHES - 0.5) * THOU:
            figure = _thou(x)
            said = f"{figure} thousandth{'' if figure == '1' else 's'} of an inch"
        else:
            inches = round(x / MM_PER_INCH, 3)
            said = f"{inches:g} inch{'es' if inches > 1 else ''}"
        return f"{said} ({Millimetres().in_words(x)})" if self.beside else said

    def curve(self, x: float) -> str:
        """Say a curve's radius [mm], never sharper than it is.

        Examples
        --------
        >>> Inches().curve(609.6), Inches().curve(9144.0), Inches().curve(9150.0)
        ('24 in', '30 ft', '31 ft')
        """
        inches = x / MM_PER_INCH
        feet = inches >= _FEET
        said = f"{_rounded_up(inches / 12)} ft" if feet else f"{_rounded_up(inches)} in"
        return f"{said} ({_rounded_up(x)} mm)" if self.beside else said

    def curve_in_words(self, x: float) -> str:
        """Say a curve's radius [mm] to somebody who has no callipers."""
        inches = x / MM_PER_INCH
        feet = inches >= _FEET
        said = f"{_rounded_up(inches / 12)} feet" if feet else f"{_rounded_up(inches)} inches"
        return f"{said} ({_rounded_up(x)} millimetres)" if self.beside else said

    def plainly(self, x: float) -> str:
        """Say a number of the sheet [mm] as in a question about it, without idle noughts."""
        return self._with_mm(f"{round(x / MM_PER_INCH, 4):g} in", x)

    def ruler(self, most: float) -> tuple[float, str]:
        """Return the longest round length not above a most [mm], and how it is said."""
        if most < _INCHES * THOU:
            thou = round_length(most / THOU)
            return thou * THOU, f"{thou:g} thou"
        inches = round_length(most / MM_PER_INCH)
        return inches * MM_PER_INCH, f"{inches:g} in"

    def in_words_again(self, x: float) -> str:
        """Say a small length [mm] in words right after another, which says its unit."""
        return _thou(x)

    def typed(self, x: float, key: str, unit: str) -> str:
        """Return a length [mm] as one would type it on a sheet whose bare numbers have a unit."""
        if key in self.thou:
            return f"{round(x / THOU, 1) + 0.0:g} thou"
        return f"{round(x / MM_PER_INCH, 4)}{'' if unit == 'in' else ' in'}"

    def _with_mm(self, said: str, x: float) -> str:
        return f"{said} ({x:.2f} mm)" if self.beside else said

    def _and_mm(self, said: str, x: float, sign: str) -> str:
        return f"{said} ({x:{sign}.2f})" if self.beside else said


Lengths = Millimetres | Inches
"""How lengths are said."""
MILLIMETRES = Millimetres()


def lengths_in(unit: str) -> Lengths:
    """Return how lengths are said where nothing but the unit of bare numbers is known."""
    return MILLIMETRES if unit == "mm" else Inches()


Say = Callable[[float], str]
"""How a length [mm] is said."""


def round_length(most: float) -> float:
    """Return the greatest of 1, 2, 5, 10, ... that is not above a length [in any unit].

    Examples
    --------
    >>> round_length(13.0), round_length(0.7)
    (10.0, 0.5)
    """
    power = 10.0 ** math.floor(math.log10(most))
    return max(step * power for step in (1.0, 2.0, 5.0) if step * power <= most * (1 + 1e-9))


def inward(low: float, high: float, grain: float) -> tuple[float, float]:
    """Return the ends of a range on a grain, so that what is said lies within it [as they are].

    A range that holds no grain is as it is.
    """
    first = math.ceil(low / grain - _HAIR) * grain
    last = math.floor(high / grain + _HAIR) * grain
    return (first, last) if first <= last + _HAIR * grain else (low, high)


def just_short(lengths: Lengths, x: float, asked: float) -> float:
    """Return a length [mm] that is less than what is asked for so far down that it reads so.

    Examples
    --------
    >>> Inches().small(just_short(Inches(), 11.9 * THOU, 12 * THOU))
    '11.5 thou'
    """
    while x > 0 and lengths.small(x) == lengths.small(asked):
        x = max(x - lengths.grain / 2, 0.0)
    return x


def _thou(x: float, sign: str = "") -> str:
    """Return a length [mm] in thou, to half of one where it is small."""
    steps = 1 if abs(x) >= _HALVES * THOU else 2
    thou = math.copysign(math.floor(steps * abs(x) / THOU + 0.5 + _HAIR) / steps, x)
    return f"{thou + 0.0:{sign}g}"


def _inches(x: float, sign: str = "") -> str:
    """Return a length [mm] in inches, to a thou."""
    return f"{round(x / MM_PER_INCH, 3) + 0.0:{sign}.3f}"


def _plain(value: float) -> str:
    """Return a number to two decimals, without idle noughts."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _fraction(x: float) -> str:
    """Return a length [mm] as a fraction of an inch, to 64ths; empty where it is none."""
    parts = round(abs(x) / MM_PER_INCH * _SIXTY_FOURTHS)
    nearest = parts * MM_PER_INCH / _SIXTY_FOURTHS
    if not parts or abs(abs(x) - nearest) > _SAME * THOU:
        return ""
    whole, rest = divmod(Fraction(parts, _SIXTY_FOURTHS), 1)
    sign = "-" if x < 0 else ""
    return sign + " ".join(f"{part}" for part in (whole, rest) if part)
