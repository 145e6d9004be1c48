"""What is wrong with coupled wheels as a whole: names, order, plays, what holds what."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations, pairwise

from linkage.lengths import Say
from linkage.tables.coupled import (
    DRIVING,
    KNUCKLE,
    MOST_AXLES,
    AxleTable,
    Coupling,
    CouplingRodTable,
)
from linkage.tables.fields import Location, did_you_mean
from linkage.tables.holes import Hole
from linkage.tables.sides import CoupledSide

FIXED_BY_WHEELS = {
    "ahead": "everything is measured from the driving axle; leave this out",
    "back": "everything is measured from the driving axle; leave this out",
    "throw": "the driving wheels' throw stands under wheels.throw",
    "tread": "the driving wheels' diameter stands under wheels.tread",
    "quarter": "the driving wheels' angle stands under wheels.right_leads_by",
    "pin_ahead_by": "angles are counted from the driving pins; see wheels.right_leads_by",
    "pin_behind_by": "angles are counted from the driving pins; see wheels.right_leads_by",
    "head": "the driving pin's nut stands under crank_pin.nut",
    "boss": "the driving pin's boss stands under crank_pin.boss",
    "lean": "how the driving pin leans stands under crank_pin.lean",
}
"""What the driving axle's own table must not give, and why."""
ODD_SPAN = 0.1
"""A span that differs from its axles' spacing by more than this share is asked about."""
ODD_TREAD = 1.3
"""Coupled wheels so many times as large as others are asked about."""


@dataclass(frozen=True)
class Fault:
    """Something wrong: where it stands, steps from the side's tables, and what is wrong."""

    location: Location
    wrong: str


def axle_place(side: CoupledSide, name: str) -> tuple[float, float]:
    """Return where an axle stands from the driving axle, forward and up [mm]."""
    table = side.axles.get(name)
    return (0.0, 0.0) if table is None or name == DRIVING else (table.x, table.up)


def axle_names(side: CoupledSide) -> tuple[str, ...]:
    """Return the axles of a side, rear to front, the driving axle among them."""
    names = dict.fromkeys((DRIVING, *side.axles))
    return tuple(sorted(names, key=lambda name: axle_place(side, name)[0]))


def pin_of(side: CoupledSide, axle: str) -> float:
    """Return the diameter of an axle's crank pin in the coupling rod [mm]."""
    own = side.axles[axle].pin if axle in side.axles else None
    return own if own is not None else _coupling(side).pin


def hole_of(side: CoupledSide, rod: CouplingRodTable, number: int) -> Hole:
    """Return the hole of a rod for its crank pin of that number, counted from 0, rear to front."""
    if rod.holes is not None:
        return rod.holes[number]
    coupling = _coupling(side)
    if coupling.hole is not None:
        return coupling.hole
    size = pin_of(side, rod.axles[number]) + (coupling.play or 0.0)
    return Hole(size, size)


def _coupling(side: CoupledSide) -> Coupling:
    if side.coupling is None:
        raise AssertionError("the sheet fills in [coupling] wherever an axle or rod is given")
    return side.coupling


def knuckle_spot(side: CoupledSide, rod: CouplingRodTable) -> float:
    """Return where a rod's knuckle stands on the line of the pins, from the driving pin [mm]."""
    if rod.knuckle is None:
        raise ValueError("has no knuckle")
    return axle_place(side, rod.knuckle.axle)[0] + rod.knuckle.along


def coupling_faults(side: CoupledSide, say: Say) -> list[Fault]:
    """Return everything wrong with one side's coupled wheels.

    In the order of the sheet; those of the rods only where the axles are right.

    Parameters
    ----------
    side : CoupledSide
        One side of a sheet, each of its tables checked by itself.
    say : Say
        How lengths are said.
    """
    faults = [*_axle_faults(side), *_names_of_rods(side)]
    if faults:
        return faults
    for name, rod in side.coupling_rods.items():
        faults += _knuckle_faults(side, name, rod) or list(_order_faults(side, name, rod))
    if not faults:
        faults = [*_play_faults(side, say), *_loose(side)]
    return faults


def _axle_faults(side: CoupledSide) -> Iterator[Fault]:
    for name, axle in side.axles.items():
        yield from _name_faults(("axles", name))
        if name == DRIVING:
            yield from _driving_faults(axle)
        elif axle.ahead is None and axle.back is None:
            where = "how far it stands from the driving axle: ahead = ... or back = ..."
            yield Fault(("axles", name, "ahead"), f"is missing: {where}")
    names = axle_names(side)
    if len(names) > MOST_AXLES:
        yield Fault(("axles",), f"there should be no more than {MOST_AXLES}, driving included")
    for one, other in combinations(names, 2):
        if axle_place(side, one)[0] == axle_place(side, other)[0]:
            last = one if other == DRIVING else other
            first = other if last == one else one
            if side.axles[last].ahead is not None or side.axles[last].back is not None:
                yield Fault(("axles", last), f"stands where the {first} axle stands")


def _driving_faults(axle: AxleTable) -> Iterator[Fault]:
    for key, why in FIXED_BY_WHEELS.items():
        if getattr(axle, key) is not None:
            yield Fault(("axles", DRIVING, key), why)
    if axle.up:
        yield Fault(("axles", DRIVING, "up"), FIXED_BY_WHEELS["ahead"])


def _name_faults(location: Location) -> Iterator[Fault]:
    name = str(location[-1])
    if not name or set(name) & set('.[]"'):
        yield Fault(location, "its name should be a word without dots, brackets or quotes")
    if name == KNUCKLE:
        yield Fault(location, f'"{KNUCKLE}" is no name for an axle or a rod')


def _names_of_rods(side: CoupledSide) -> Iterator[Fault]:
    known = axle_names(side)
    for name, rod in side.coupling_rods.items():
        here: Location = ("coupling_rods", name)
        yield from _name_faults(here)
        for key, axle in _named_axles(rod):
            if axle not in known:
                near = did_you_mean(axle, known)
                yield Fault((*here, *key), f"names an axle that is not there{near}")
        if len(set(rod.axles)) < len(rod.axles):
            yield Fault(here, "names one axle twice")
        if rod.knuckle is not None and rod.knuckle.on not in side.coupling_rods:
            near = did_you_mean(rod.knuckle.on, side.coupling_rods)
            yield Fault((*here, "knuckle", "on"), f"names a rod that is not there{near}")
        elif rod.knuckle is not None and rod.knuckle.on == name:
            yield Fault((*here, "knuckle", "on"), "should be another rod than this one")


def _named_axles(rod: CouplingRodTable) -> Iterator[tuple[Location, str]]:
    if rod.start is not None:
        yield ("from",), rod.start
    if rod.to is not None:
        yield ("to",), rod.to
    for number, axle in enumerate(rod.pins or ()):
        yield ("pins", number), axle


def _knuckle_faults(side: CoupledSide, name: str, rod: CouplingRodTable) -> list[Fault]:
    knuckle = rod.knuckle
    if knuckle is None:
        return []
    here: Location = ("coupling_rods", name, "knuckle")
    key = "behind" if knuckle.behind is not None else "ahead_of"
    carrier = side.coupling_rods[knuckle.on]
    if knuckle.axle not in carrier.axles:
        has = ", ".join(carrier.axles)
        return [
            Fault((*here, key), f'"{knuckle.on}" does not run on that axle\'s pin: it has {has}')
        ]
    if rod.pins is None and (rod.start is None) == (key == "behind"):
        wanted = "from" if key == "behind" else "to"
        return [Fault(here, f"a knuckle {key.replace('_', ' ')} a pin goes with {wanted} = ...")]
    end = carrier.axles[0 if key == "behind" else -1]
    if knuckle.axle != end:
        return [Fault((*here, key), f'the end of "{knuckle.on}" that way is its {end} pin')]
    ring, seen = knuckle.on, {name}
    while ring not in seen and (up := side.coupling_rods[ring].knuckle) is not None:
        seen.add(ring)
        ring = up.on
    return [Fault((*here, "on"), "the rods carry one another in a ring")] if ring in seen else []


def _order_faults(side: CoupledSide, name: str, rod: CouplingRodTable) -> Iterator[Fault]:
    """Find pins not named from the rear."""
    spots = [
        knuckle_spot(side, rod) if point == KNUCKLE else axle_place(side, point)[0]
        for point in rod.points
    ]
    if all(rear < front for rear, front in pairwise(spots)):
        return
    right = sorted(rod.axles, key=lambda axle: axle_place(side, axle)[0])
    if tuple(right) == rod.axles:
        wrong = "its crank pin stands on the wrong side of its knuckle"
    elif rod.pins is None:
        wrong = f'name the rear pin first: from = "{right[0]}", to = "{right[1]}"'
    else:
        named = ", ".join(f'"{axle}"' for axle in right)
        wrong = f"name the pins from the rear: pins = [{named}], and their centres so too"
    yield Fault(("coupling_rods", name), wrong)


def _play_faults(side: CoupledSide, say: Say) -> Iterator[Fault]:
    for name, rod in side.coupling_rods.items():
        for number, axle in enumerate(rod.axles):
            hole, pin = hole_of(side, rod, number), pin_of(side, axle)
            if min(hole.along, hole.across) > pin:
                continue
            own = rod.holes is not None
            where = ("coupling_rods", name, "holes", number) if own else ("coupling", "hole")
            small = min(hole.along, hole.across)
            yield Fault(
                where,
                f'the hole of rod "{name}" on the {axle} pin, {say(small)}, should be larger '
                f"than the pin, {say(pin)}: with no play at all nothing turns",
            )


def _loose(side: CoupledSide) -> Iterator[Fault]:
    """Find axles and rods that nothing couples to the driving axle."""
    held = {DRIVING}
    rods = dict(side.coupling_rods)
    while found := [name for name, rod in rods.items() if _joins(name, rod) & held]:
        for name in found:
            held |= _joins(name, rods.pop(name))
    for name in rods:
        yield Fault(("coupling_rods", name), "does not couple its axles to the driving axle")
    on_rods = {axle for rod in side.coupling_rods.values() for axle in rod.axles}
    for name in side.axles:
        if side.coupling_rods and name != DRIVING and name not in on_rods:
            yield Fault(("axles", name), "no coupling rod of this side runs on its pin")


def _joins(name: str, rod: CouplingRodTable) -> set[str]:
    """Return all that a rod hangs together with: axles, itself as a carrier, and its carrier."""
    carriers = {f"rod {name}"} | ({f"rod {rod.knuckle.on}"} if rod.knuckle else set())
    return {*rod.axles, *carriers}


def unlike_axles(one: CoupledSide, other: CoupledSide) -> Iterator[tuple[Location, str]]:
    """Yield what two sides of one locomotive say differently of an axle that has one of it.

    Steps from the other side's tables, and what is wrong.
    """
    first, second = axle_names(one), axle_names(other)
    if first != second:
        names = ", ".join(first)
        yield ("axles",), f"has other axles than the other side, or another order: {names}"
        return
    for name in first:
        a, b = one.axles.get(name), other.axles.get(name)
        for key in ("quarter", "side_play"):
            if getattr(a, key, None) != getattr(b, key, None):
                yield ("axles", name, key), "belongs to the whole axle: give it under axles"


def odd_spans(side: CoupledSide, say: Say) -> Iterator[tuple[Location, str]]:
    """Yield the spans of rods that are far from their axles' spacing, each with a question.

    Steps from the side to the number, and what to ask; `say`: how lengths are said.
    """
    for name, rod in side.coupling_rods.items():
        spots = [
            (knuckle_spot(side, rod), 0.0) if point == KNUCKLE else axle_place(side, point)
            for point in rod.points
        ]
        for number, (span, (rear, front)) in enumerate(
            zip(rod.spans, pairwise(spots), strict=True)
        ):
            spacing = math.dist(rear, front)
            if abs(span - spacing) > ODD_SPAN * spacing:
                steps: Location = ("coupling_rods", name, "centres")
                listed = isinstance(rod.centres, tuple)
                yield (
                    (*steps, number) if listed else steps,
                    f"{say(span)} is unusual between pins {say(spacing)} apart: does the rod "
                    "run on these axles, and are their places right?",
                )


def odd_treads(side: CoupledSide, say: Say) -> Iterator[tuple[Location, str]]:
    """Yield the wheels that are hardly coupled with the driving ones, each with a question.

    Steps from the side to the number, and what to ask; `say`: how lengths are said.
    """
    driving = side.wheels.tread
    for name, axle in side.axles.items():
        if driving and axle.tread and not 1 / ODD_TREAD < axle.tread / driving < ODD_TREAD:
            yield (
                ("axles", name, "tread"),
                f"{say(axle.tread)} is unusual beside driving wheels of {say(driving)}: is one of "
                "them the radius, or is a digit wrong?",
            )
