"""Numbers that can be typed but are hardly meant: met with a question, never corrected."""

from __future__ import annotations

from collections.abc import Iterator

from linkage.sheet.couplings import coupling_faults, odd_spans
from linkage.sheet.tables import CoupledSide, SideTables, SliderCrankSide, WalschaertsSide
from linkage.sheet.wording import Location

# Full-size ranges [mm], generous: strokes of 16 to 34 in, rods as they were built.
_FULL_SIZE: dict[Location, tuple[float, float]] = {
    ("wheels", "throw"): (180.0, 440.0),
    ("connecting_rod", "centres"): (1200.0, 4800.0),
    ("return_crank", "pin_circle"): (60.0, 300.0),
    ("eccentric_rod", "centres"): (700.0, 3500.0),
    ("radius_rod", "centres"): (500.0, 2600.0),
    ("expansion_link", "trunnion", "ahead"): (700.0, 3500.0),
    ("combination_lever", "radius_rod_pin_to_union_pin"): (350.0, 1500.0),
    ("union_link", "centres"): (150.0, 900.0),
    ("lifting_link", "centres"): (150.0, 1200.0),
}
# The same against the throw, where the scale is not known.
_THROWS: dict[Location, tuple[float, float]] = {
    ("connecting_rod", "centres"): (3.0, 16.0),
    ("return_crank", "pin_circle"): (0.2, 0.95),
    ("eccentric_rod", "centres"): (2.0, 11.0),
    ("radius_rod", "centres"): (1.5, 9.0),
    ("expansion_link", "trunnion", "ahead"): (2.0, 11.0),
    ("combination_lever", "radius_rod_pin_to_union_pin"): (1.0, 4.5),
    ("union_link", "centres"): (0.4, 3.0),
    ("lifting_link", "centres"): (0.4, 4.0),
}
_SLIPS = {
    "mm": ((25.4, "is this in inches?"),),
    "in": ((1 / 25.4, "is this in mm, on a sheet in inches?"),),
}
_POINT = (
    (10.0, "is the decimal point one place too far left?"),
    (0.1, "is the decimal point one place too far right?"),
)
_TWICE: dict[Location, str] = {
    ("wheels", "throw"): "is this the stroke, which is twice the throw?",
    ("return_crank", "pin_circle"): "is this the diameter of the circle?",
}
_LEAST_ROD = 5.0
"""Connecting rods of locomotives are hardly shorter than this many throws."""


def question(
    value: float, least: float, most: float, unit: str = "mm", twice: str = ""
) -> str | None:
    """Return the question to ask about a number out of its usual range, if one would mend it.

    None within the range, and where no known slip explains the number; where several would,
    all are asked.

    Parameters
    ----------
    value, least, most : float [any one unit]
        The number, and its usual range.
    unit : {"mm", "in"}
        Unit of the sheet.
    twice : str
        What to ask where half the number would do.
    """
    if least <= abs(value) <= most:
        return None
    if twice and least <= abs(value) / 2 <= most:
        return twice
    asked = [
        words for factor, words in (*_SLIPS[unit], *_POINT) if least <= abs(value) * factor <= most
    ]
    return " Or ".join(asked) or None


def _value(side: SideTables, location: Location) -> float | None:
    held: object = side
    for step in location:
        held = getattr(held, str(step), None)
    return held if isinstance(held, float) else None


def _against_full_size(side: SideTables, ratio: float, unit: str) -> Iterator[tuple[Location, str]]:
    for location, (least, most) in _FULL_SIZE.items():
        value = _value(side, location)
        if value is None:
            continue
        asked = question(value * ratio, least, most, unit, _TWICE.get(location, ""))
        if asked:
            yield location, f"{value:.4g} mm is unusual at 1:{ratio:.4g}: {asked}"


def _against_throw(side: SliderCrankSide, unit: str) -> list[tuple[Location, str]]:
    """Return the questions to ask of the lengths, each seen beside the throw."""
    throw = side.wheels.throw
    shares = {
        location: value / throw
        for location in _THROWS
        if (value := _value(side, location)) is not None
    }
    odd = [
        location
        for location, share in shares.items()
        if not _THROWS[location][0] <= share <= _THROWS[location][1]
    ]
    if len(odd) > len(shares) / 2:
        return _about_throw(side, unit)
    asked = []
    for location in odd:
        words = question(shares[location], *_THROWS[location], unit)
        if words:
            length = shares[location] * throw
            text = f"{length:.4g} mm is unusual beside a throw of {throw:.4g} mm: {words}"
            asked.append((location, text))
    return asked or _about_stroke(side)


def _about_throw(side: SliderCrankSide, unit: str) -> list[tuple[Location, str]]:
    """Return the question to ask of the throw, where most others look wrong beside it."""
    throw, rod = side.wheels.throw, side.connecting_rod.centres
    least, most = _THROWS["connecting_rod", "centres"]
    words = question(throw, rod / most, rod / least, unit)
    if not words:
        return []
    text = f"{throw:.4g} mm is unusual beside the other lengths: {words}"
    return [(("wheels", "throw"), text)]


def _about_stroke(side: SliderCrankSide) -> list[tuple[Location, str]]:
    """Return the question whether the throw is the stroke; only a locomotive's rod can tell."""
    throw, rod = side.wheels.throw, side.connecting_rod.centres
    if not isinstance(side, WalschaertsSide) or rod / throw >= _LEAST_ROD:
        return []
    words = _TWICE["wheels", "throw"]
    text = f"{throw:.4g} mm is much for a connecting rod of {rod:.4g} mm: {words}"
    return [(("wheels", "throw"), text)]


def doubts_about(side: SideTables, ratio: float | None, unit: str) -> list[tuple[Location, str]]:
    """Return the places of one side where a number is hardly meant, each with a question.

    Steps from the side to the number, and what to ask.

    Parameters
    ----------
    ratio : float or None [1]
        How many times smaller than full size, where the sheet says.
    unit : {"mm", "in"}
        Unit of the sheet's bare numbers.

    Notes
    -----
    Against the scale where it is known, otherwise against each other. Slips looked for: ten-fold,
    25.4-fold, stroke for throw, diameter for radius.
    """
    if not isinstance(side, CoupledSide):
        return []
    asked = [] if coupling_faults(side) else list(odd_spans(side))
    if ratio is not None:
        return asked + list(_against_full_size(side, ratio, unit))
    return asked + (_against_throw(side, unit) if isinstance(side, SliderCrankSide) else [])
