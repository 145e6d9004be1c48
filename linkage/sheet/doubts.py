"""Numbers that can be typed but are hardly meant: met with a question, never corrected."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from linkage.lengths import Say, lengths_in
from linkage.tables.couplings import coupling_faults, odd_spans, odd_treads
from linkage.tables.facts import Facts, facts_of, fields_by_key
from linkage.tables.fields import Location, Table
from linkage.tables.shapes import Side
from linkage.tables.sides import CoupledSide, SliderCrankSide

_SLIPS = {
    "mm": ((25.4, "is this in inches?"),),
    "in": ((1 / 25.4, "is this in mm, on a sheet in inches?"),),
}
_POINT = (
    (10.0, "is the decimal point one place too far left?"),
    (0.1, "is the decimal point one place too far right?"),
)
_THROW = ("wheels", "throw")
_LEAST_ROD = 5.0
"""Connecting rods of locomotives are hardly shorter than this many throws."""

_UNLIKE = 1.4
"""Times that a length may be that of the other side before it is asked about: sides of one engine
are made alike, and what wears or is exchanged differs by hundredths of it (common practice, no
source)."""


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


@dataclass(frozen=True)
class _Number:
    """A number of the sheet with its facts: where it stands, and what it is [mm]."""

    location: Location
    value: float
    facts: Facts


def _numbers(table: Table, above: Location = ()) -> Iterator[_Number]:
    """Yield the lengths of a side that have a usual range, in the order of its tables."""
    for key, field in fields_by_key(type(table)).items():
        held = getattr(table, _name(table, key))
        facts = facts_of(field)
        if isinstance(held, Table):
            yield from _numbers(held, (*above, key))
        elif isinstance(held, float) and (facts.full_size or facts.throws):
            yield _Number((*above, key), held, facts)


def _name(table: Table, key: str) -> str:
    return next(n for n, field in type(table).model_fields.items() if key in (n, field.alias))


def _against_full_size(
    side: Side, ratio: float, unit: str, say: Say
) -> Iterator[tuple[Location, str]]:
    for number in _numbers(side):
        if number.facts.full_size is None:
            continue
        usual = number.facts.full_size
        asked = question(number.value * ratio, *usual, unit, number.facts.twice)
        if asked:
            yield (
                number.location,
                f"{say(number.value)} is unusual at 1:{ratio:.4g}: {asked}",
            )


def _against_throw(side: SliderCrankSide, unit: str, say: Say) -> list[tuple[Location, str]]:
    """Return the questions to ask of the lengths, each seen beside the throw."""
    throw = side.wheels.throw
    shares = [(n, n.value / throw, n.facts.throws) for n in _numbers(side) if n.facts.throws]
    odd = [held for held in shares if not held[2][0] <= held[1] <= held[2][1]]
    if len(odd) > len(shares) / 2:
        return _about_throw(side, unit, say)
    asked = []
    for number, share, usual in odd:
        words = question(share, *usual, unit)
        if words:
            text = f"{say(number.value)} is unusual beside a throw of {say(throw)}: {words}"
            asked.append((number.location, text))
    return asked or _about_stroke(side, say)


def _about_throw(side: SliderCrankSide, unit: str, say: Say) -> list[tuple[Location, str]]:
    """Return the question to ask of the throw, where most others look wrong beside it."""
    throw, rod = side.wheels.throw, side.connecting_rod.centres
    usual = facts_of(type(side.connecting_rod).model_fields["centres"]).throws
    words = question(throw, rod / usual[1], rod / usual[0], unit) if usual else None
    if not words:
        return []
    text = f"{say(throw)} is unusual beside the other lengths: {words}"
    return [(_THROW, text)]


def _about_stroke(side: SliderCrankSide, say: Say) -> list[tuple[Location, str]]:
    """Return the question whether the throw is the stroke; only a locomotive's rod can tell."""
    throw, rod = side.wheels.throw, side.connecting_rod.centres
    if not side.LOCOMOTIVE or rod / throw >= _LEAST_ROD:
        return []
    words = facts_of(type(side.wheels).model_fields["throw"]).twice
    text = f"{say(throw)} is much for a connecting rod of {say(rod)}: {words}"
    return [(_THROW, text)]


def doubts_about(side: Side, ratio: float | None, unit: str) -> list[tuple[Location, str]]:
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
    25.4-fold, stroke for throw, diameter for radius, a wrong sign.
    """
    if not isinstance(side, CoupledSide):
        return []
    say = lengths_in(unit).plainly
    asked = [] if coupling_faults(side, say) else [*odd_spans(side, say), *odd_treads(side, say)]
    if ratio is not None:
        asked += _against_full_size(side, ratio, unit, say)
    elif isinstance(side, SliderCrankSide):
        asked += _against_throw(side, unit, say)
    # a number that is off by itself is asked about before what is odd beside it
    return asked or list(side.odd_proportions(say))


def doubts_between(one: Side, other: Side, unit: str) -> list[tuple[Location, str]]:
    """Return the places of `one` where a length is hardly meant beside that of the `other` side.

    No repair makes a rod half as long again as its fellow: a digit is wrong, or the wrong part was
    measured. Lengths that have a usual size are compared. A short part from another model is left
    to be found: it differs by less than half the throw.

    Parameters
    ----------
    unit : {"mm", "in"}
        Unit of the sheet's bare numbers.
    """
    say, there = lengths_in(unit).plainly, {n.location: n.value for n in _numbers(other)}
    least = one.wheels.throw / 2 if isinstance(one, CoupledSide) else 0.0
    return [
        (
            number.location,
            f"{say(number.value)} is unusual where the other side has {say(beside)}: is a digit "
            "wrong, or was another part measured?",
        )
        for number in _numbers(one)
        if (beside := there.get(number.location))
        and not 1 / _UNLIKE < number.value / beside < _UNLIKE
        and abs(number.value - beside) > least
    ]


def doubt_about_air(side: Side, wanted: float | None, say: Say) -> str | None:
    """Return the question to ask where more air is wanted than there is room for in an engine.

    `wanted` [mm]: between moving parts; None where the sheet is silent. `say`: how lengths are
    said.
    """
    if wanted is None or not isinstance(side, CoupledSide) or wanted <= side.wheels.throw / 4:
        return None
    return (
        f"{say(wanted)} of air between moving parts is hardly to be had beside a throw of "
        f"{say(side.wheels.throw)}: is the decimal point one place too far right?"
    )
