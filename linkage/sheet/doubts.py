"""Numbers that can be typed but are hardly meant: met with a question, never corrected."""

from __future__ import annotations

from collections.abc import Iterator

from linkage.sheet.tables import SideTables, SliderCrankSide, WalschaertsSide

Location = tuple[str, ...]

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
_SLIPS = (
    (25.4, "is this in inches?"),
    (1 / 25.4, "is this in mm, on a sheet in inches?"),
    (10.0, "is the decimal point one place too far left?"),
    (0.1, "is the decimal point one place too far right?"),
)
_TWICE = {
    ("wheels", "throw"): "is this the stroke, which is twice the throw?",
    ("return_crank", "pin_circle"): "is this the diameter of the circle?",
}
_LEAST_ROD = 5.0
"""Connecting rods of locomotives are hardly shorter than this many throws."""


def question(value: float, least: float, most: float, twice: str = "") -> str | None:
    """Return the question to ask about a number out of its usual range, if one would mend it.

    Parameters
    ----------
    value, least, most : float [any one unit]
        The number, and its usual range.
    twice : str
        What to ask where half the number would do.

    Returns
    -------
    str or None
        None within the range, and where no known slip explains the number.
    """
    if least <= abs(value) <= most:
        return None
    if twice and least <= abs(value) / 2 <= most:
        return twice
    for factor, words in _SLIPS:
        if least <= abs(value) * factor <= most:
            return words
    return None


def _value(side: SideTables, location: Location) -> float | None:
    held: object = side
    for step in location:
        held = getattr(held, step, None)
    return held if isinstance(held, float) else None


def _against_full_size(side: SideTables, ratio: float) -> Iterator[tuple[Location, str]]:
    for location, (least, most) in _FULL_SIZE.items():
        value = _value(side, location)
        if value is None:
            continue
        asked = question(value * ratio, least, most, _TWICE.get(location, ""))
        if asked:
            yield location, f"{value:.4g} mm is unusual at 1:{ratio:.4g}: {asked}"


def _against_throw(side: SliderCrankSide) -> Iterator[tuple[Location, str]]:
    throw = side.wheels.throw
    asked = []
    values = 0
    for location, (least, most) in _THROWS.items():
        value = _value(side, location)
        if value is None:
            continue
        values += 1
        words = question(value / throw, least, most)
        if words:
            text = f"{value:.4g} mm is unusual beside a throw of {throw:.4g} mm: {words}"
            asked.append((location, text))
    if len(asked) > values / 2:
        yield _throw_alone(side, throw)
    else:
        yield from asked
    if isinstance(side, WalschaertsSide) and not asked:
        rod = side.connecting_rod.centres
        if rod / throw < _LEAST_ROD:
            yield (
                ("wheels", "throw"),
                f"{throw:.4g} mm is much for a connecting rod of {rod:.4g} mm: "
                f"{_TWICE['wheels', 'throw']}",
            )


def _throw_alone(side: SliderCrankSide, throw: float) -> tuple[Location, str]:
    """Return the question to ask of the throw, where most others look wrong beside it."""
    rod = side.connecting_rod.centres
    least, most = _THROWS["connecting_rod", "centres"]
    words = question(throw, rod / most, rod / least) or "is it in the same unit as the others?"
    return ("wheels", "throw"), f"{throw:.4g} mm is unusual beside the other lengths: {words}"


def doubts_about(side: SideTables, ratio: float | None) -> list[tuple[Location, str]]:
    """Return the places of one side where a number is hardly meant, each with a question.

    Parameters
    ----------
    side : SideTables
        One side, checked.
    ratio : float or None
        How many times smaller than full size, where the sheet says.

    Returns
    -------
    list of (location, question)
        Steps from the side to the number, and what to ask.

    Notes
    -----
    Against the scale where it is known, otherwise against each other. Slips looked for: ten-fold,
    25.4-fold, stroke for throw, diameter for radius.
    """
    if not isinstance(side, SliderCrankSide):
        return []
    if ratio is not None:
        return list(_against_full_size(side, ratio))
    return list(_against_throw(side))
