"""The coupled wheels of a whole locomotive, for the play they need."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from linkage.arrangements.assembly import turn
from linkage.arrangements.coupled_wheels import (
    knuckle_place,
    lean_of,
    rod_lean,
    rod_name,
    rod_shape,
    rods_out,
    throw_of,
    tread_of,
)
from linkage.mechanism import Point
from linkage.tables.coupled import DRIVING, KNUCKLE, BoxPlay
from linkage.tables.couplings import axle_names, axle_place, hole_of, pin_of
from linkage.tables.damage import throw_and_lead
from linkage.tables.model import Sheet
from linkage.tables.shapes import Side
from linkage.tables.sides import CoupledSide
from linkage.wheels import Axle, CoupledWheels, CouplingRod, CrankPin, Eye, Knuckle

_ALONE = "only"
_TABLES = ("axles.", "coupling_rods.", "coupling.", "crank_pin.lean.")
_KEYS = ("wheels.throw", "wheels.right_leads_by", "coupling")

Sides = Mapping[str, CoupledSide]


def coupled_wheels(sheet: Sheet, sides: Sequence[str] | None = None) -> CoupledWheels | None:
    """Return the coupled wheels of both sides together.

    None where no coupling rod is on. A sheet's single side "only" counts as the right.

    Parameters
    ----------
    sides : sequence of str or None
        Whose rods are on: ("right",) for the right side's alone; None for all.

    Raises
    ------
    ValueError
        For a side that the sheet does not have.

    Notes
    -----
    The right driving pin stands at crank angle 0 and the left one lags by what the right leads by;
    so on every axle, by its own `quarter`. Where an axle stands differently on the two sides, its
    middle is halfway, and the holes of either side's rods are moved by the difference instead:
    right to the first order in the rods' slope. Of box play that differs, the mean counts.

    Examples
    --------
    >>> from linkage.sheet import sheet_from
    >>> rod = {"from": "driving", "to": "leading", "centres": 29.0}
    >>> wheels = coupled_wheels(sheet_from({
    ...     "arrangement": "coupled-wheels", "wheels": {"throw": 4.33},
    ...     "axles": {"leading": {"ahead": 29.0}}, "coupling_rods": {"front": rod},
    ... }))
    >>> [axle.name for axle in wheels.axles], [rod.side for rod in wheels.rods]
    (['driving', 'leading'], ['right', 'left'])
    """
    found = {
        "right" if name == _ALONE else name: side
        for name, side in sheet.sides.items()
        if isinstance(side, CoupledSide)
    }
    on = tuple(found) if sides is None else tuple(sides)
    for name in on:
        if name not in found and (sides is not None):
            raise ValueError(f"side {name!r} is none of {', '.join(found)}")
    if not any(found[name].coupling_rods for name in on):
        return None
    names = axle_names(next(iter(found.values())))
    rods, knuckles = _rods_on(found, on)
    return CoupledWheels(
        axles=tuple(_axle(found, name) for name in names),
        driving=names.index(DRIVING),
        rods=rods,
        knuckles=knuckles,
        keys=_keys(sheet),
    )


def wheels_untouched(sheet: Sheet, other: Sheet) -> bool:
    """Tell whether the coupled wheels of two sheets are made from the very same tables.

    Then they are alike; where they are made from others they may be.
    """
    names = CoupledSide.model_fields.keys() - Side.model_fields.keys()
    return sheet.sides.keys() == other.sides.keys() and all(
        getattr(side, name, None) is getattr(other.sides[key], name, None)
        for key, side in sheet.sides.items()
        for name in names
    )


def _keys(sheet: Sheet) -> dict[str, float]:
    """Return the sheet's numbers that the coupled wheels are made from."""
    kept = {}
    for side, held in sheet.dimensions.items():
        for key, value in held.items():
            bare = key.removeprefix(f"{side}.")
            if bare.startswith(_TABLES) or bare in _KEYS:
                kept[key] = value
    return kept


def _box_play(side: CoupledSide, axle: str) -> BoxPlay:
    own = side.axles[axle].box_play if axle in side.axles else None
    if own is not None:
        return own
    if side.coupling is None:
        raise AssertionError("the sheet fills in [coupling] wherever an axle or rod is given")
    return side.coupling.box_play


def _middle(sides: Sides, axle: str) -> Point:
    spots = [axle_place(side, axle) for side in sides.values()]
    return sum(x for x, _ in spots) / len(spots), sum(y for _, y in spots) / len(spots)


def _axle(sides: Sides, name: str) -> Axle:
    ahead, up = _middle(sides, name)
    boxes = [_box_play(side, name) for side in sides.values()]
    return Axle(
        name=name,
        ahead=ahead,
        up=up,
        pins={key: _pin(key, side, name) for key, side in sides.items()},
        fore_aft=sum(box.fore_aft for box in boxes) / len(boxes) / 2,
        vertical=sum(box.vertical for box in boxes) / len(boxes) / 2,
        key="wheels" if name == DRIVING else f"axles.{name}",
        treads={
            key: tread for key, side in sides.items() if (tread := tread_of(side, name)) is not None
        },
    )


def _pin(key: str, side: CoupledSide, axle: str) -> CrankPin:
    """Return one wheel's pin as it stands in the coupling rods, leaning or not."""
    lean, out = lean_of(side, axle), rods_out(side, axle)
    throw, lead = throw_and_lead(lean, throw_of(side, axle), out)
    return CrankPin(throw, _angle(key, side, axle) + lead)


def _angle(key: str, side: CoupledSide, axle: str) -> float:
    """Return the crank angle of one pin with the right driving pin straight ahead [rad]."""
    table = side.axles.get(axle)
    quarter = table.quarter if table is not None else None
    if quarter is None:
        quarter = side.wheels.right_leads_by
    early = table.pin_early if table is not None else 0.0
    return early - (quarter if key == "left" else 0.0)


def _rods_on(
    sides: Sides, on: Sequence[str]
) -> tuple[tuple[CouplingRod, ...], tuple[Knuckle, ...]]:
    rods: list[CouplingRod] = []
    knuckles: list[Knuckle] = []
    for key in on:
        side = sides[key]
        number = {name: len(rods) + k for k, name in enumerate(side.coupling_rods)}
        for name, rod in side.coupling_rods.items():
            eyes = tuple(_eyes(sides, key, name))
            rods.append(CouplingRod(rod_name(side, name), key, eyes, f"coupling_rods.{name}"))
            if rod.knuckle is None:
                continue
            carrier = side.coupling_rods[rod.knuckle.on]
            mine = rod_shape(rod).places[rod.points.index(KNUCKLE)]
            theirs = knuckle_place(carrier, rod.knuckle.along)
            pair = number[rod.knuckle.on], number[name]
            knuckles.append(Knuckle(pair, (theirs, mine), rod.knuckle.play / 2))
    return tuple(rods), tuple(knuckles)


def _eyes(sides: Sides, key: str, name: str) -> list[Eye]:
    side = sides[key]
    rod = side.coupling_rods[name]
    places = dict(zip(rod.points, rod_shape(rod).places, strict=True))
    eyes = []
    for number, axle in enumerate(rod.axles):
        hole, pin = hole_of(side, rod, number), pin_of(side, axle)
        own, middle = axle_place(side, axle), _middle(sides, axle)
        aside = turn((own[0] - middle[0], own[1] - middle[1]), -rod_lean(side, name))
        x, y = places[axle]
        place = x - aside[0], y - aside[1]
        eyes.append(Eye(axle, place, (hole.along - pin) / 2, (hole.across - pin) / 2))
    return eyes
