"""Limits of holes and pins by the tables of ISO 286, from 1 to 30 mm; the tables, never a formula.

References
----------
ISO 286-1: standard tolerances (`_GRADES`) of the steps up to 3, 6, 10, 18 and 30 mm, read. ISO
286-2: fundamental deviations of shafts (`_SHAFTS`) for the same steps, cited from memory.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

STEPS = (3.0, 6.0, 10.0, 18.0, 30.0)
"""Upper ends of the steps, each included [mm]; the first begins at 0, and is not used below 1."""
_GRADES = {
    5: (4, 5, 6, 8, 9),
    6: (6, 8, 9, 11, 13),
    7: (10, 12, 15, 18, 21),
    8: (14, 18, 22, 27, 33),
    9: (25, 30, 36, 43, 52),
    10: (40, 48, 58, 70, 84),
    11: (60, 75, 90, 110, 130),
    12: (100, 120, 150, 180, 210),
    13: (140, 180, 220, 270, 330),
    14: (250, 300, 360, 430, 520),
}
"""Standard tolerances [micrometre]."""
_SHAFTS = {
    "c": (-60, -70, -80, -95, -110),
    "d": (-20, -30, -40, -50, -65),
    "e": (-14, -20, -25, -32, -40),
    "f": (-6, -10, -13, -16, -20),
    "g": (-2, -4, -5, -6, -7),
    "h": (0, 0, 0, 0, 0),
    "n": (4, 8, 10, 12, 15),
    "p": (6, 12, 15, 18, 22),
    "r": (10, 15, 19, 23, 28),
    "s": (14, 19, 23, 28, 35),
}
"""Upper deviations of c to h, lower deviations of n to s [micrometre]."""
USUAL = {
    "H7/h6": "sliding by hand, oiled",
    "H7/g6": "close running",
    "H8/f7": "running, for pins of coupling and connecting rods",
    "H9/d9": "free running",
    "H11/c11": "loose",
    "H7/p6": "pressed in, for crank pins and bushes",
    "H7/s6": "pressed in hard",
}
"""Fits that are used, loosest but one last but two; what for is common practice, no source."""
_FIT = re.compile(r"\s*H(?P<hole>\d+)\s*/\s*(?P<shaft>[a-z])(?P<grade>\d+)\s*")
_LEAST, _MOST = 1.0, 30.0


@dataclass(frozen=True)
class Fit:
    """A hole and a pin of one size, and the play that follows."""

    name: str
    size: float  # [mm]
    hole: tuple[float, float]  # [mm] lower and upper limit of the hole
    pin: tuple[float, float]  # [mm] lower and upper limit of the pin

    @property
    def least(self) -> float:
        """The least play; below nought the pin is that much larger [mm]."""
        return round(self.hole[0] - self.pin[1], 6)

    @property
    def most(self) -> float:
        """The most play [mm]."""
        return round(self.hole[1] - self.pin[0], 6)

    @property
    def mean(self) -> float:
        """What the play is as often more as less than [mm]."""
        return round((self.least + self.most) / 2, 6)


def tolerance(size: float, grade: int) -> float:
    """Return the standard tolerance of a size [mm] in a grade of 5 to 14 [mm].

    Raises
    ------
    ValueError
        Where the table has none.
    """
    if grade not in _GRADES:
        raise ValueError(f"IT{grade} is not in the table: grades 5 to 14 are")
    return _GRADES[grade][_step(size)] / 1000


def _step(size: float) -> int:
    if not _LEAST <= size <= _MOST:
        raise ValueError(f"{size:.4g} mm is not in the table: sizes of 1 to 30 mm are")
    return next(k for k, upper in enumerate(STEPS) if size <= upper)


def fit_of(size: float, name: str) -> Fit:
    """Return the limits of a fit for a size.

    `size` [mm]: 1 to 30. `name`: "H8/f7": the hole is always an H.

    Raises
    ------
    ValueError
        Where the tables have no such fit, or not for that size.

    Examples
    --------
    >>> fit_of(2.0, "H8/f7").least, fit_of(2.0, "H8/f7").most
    (0.006, 0.03)
    """
    match = _FIT.fullmatch(name)
    if match is None or match["shaft"] not in _SHAFTS:
        shafts = ", ".join(_SHAFTS)
        raise ValueError(f'should be a fit such as "H8/f7": hole H, pin one of {shafts}')
    step = _step(size)
    hole = tolerance(size, int(match["hole"]))
    wide, deviation = tolerance(size, int(match["grade"])), _SHAFTS[match["shaft"]][step] / 1000
    low = deviation if match["shaft"] > "h" else deviation - wide
    pin = (size + low, size + low + wide)
    limits = (round(size, 6), round(size + hole, 6)), tuple(round(end, 6) for end in pin)
    return Fit(name.replace(" ", ""), size, limits[0], (limits[1][0], limits[1][1]))
