"""Rods that are twisted: what their eyes, out of square with one another, ask of their pins.

Pins stand square to the wheels, so an eye of the thickness s that is turned by some angle a about
the rod's line has its pin lean by a in it. With p the play, hole less pin, and d the pin, it goes
in where the hole holds the pin's slanting width as well as how far the pin goes across in s::

    s sin a + d  <=  (d + p) cos a,    and so    s tan a  <=  p

at the least: what the pin's own width takes besides, d (1 / cos a - 1), is left out, that no rod is
called stiff which is not. A rod twisted by f from end to end is turned by f x / L at the place x of
its length L, and may lie so that either of two eyes takes part of what is between them::

    it binds where   f (x2 - x1) / L  >  atan(p1 / s) + atan(p2 / s)

or more, where what holds a pin may turn about the rod's line itself: a crosshead does so by the
room it has between its bars, atan((gap - depth) / how thick both are). What is then left, with the
one eye leaning as far as it can, takes s tan of it in the other. Coupled wheels and a crank are
held square in their boxes.

Where the sheet does not say what play there is, and of rods whose neighbours may turn likewise,
nothing is found: it is told what they need at either end with the twist shared between them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import combinations

from linkage.arrangements.assembly import Assembly
from linkage.arrangements.coupled_wheels import rod_shape, wheel_name
from linkage.mechanism import Grip, Twisted
from linkage.tables.couplings import hole_of, pin_of
from linkage.tables.rods import Bar
from linkage.tables.shapes import Side
from linkage.tables.sides import CoupledSide, SliderCrankSide

_CONNECTING_ROD = "connecting_rod"
_STEEPEST = math.radians(80.0)  # what leans more does not go on at all
_LEAST = 0.005
"""Play that is not spoken of [mm]: what is told in hundredths would be none."""


@dataclass(frozen=True)
class _Eye:
    """An eye: the pin it is on and what has that, how far along the rod, and its play.

    `gives`: how far what has the pin may turn about the rod's line [rad].
    """

    pin: str
    other: str
    share: float
    play: float
    gives: float = 0.0


def add_askew(assembly: Assembly, side: Side) -> None:
    """Note what the twisted rods of a side ask of their pins; its joints' play is known."""
    names = {part.key: name for name, part in assembly.parts.items()}
    for key, rod in _twisted(side):
        if key not in names:
            continue
        eyes = _eyes(assembly, side, key)
        bound = [_bound(names[key], key, rod, pair) for pair in combinations(eyes, 2)]
        if bound:
            assembly.grips.append(max(bound, key=lambda grip: grip.stack - grip.room))
        elif (takes := rod.thickness * math.tan(abs(rod.twist or 0.0) / 2)) > _LEAST:
            assembly.twisted.append(Twisted(names[key], abs(rod.twist or 0.0), takes))


def _twisted(side: Side) -> Iterator[tuple[str, Bar]]:
    """Yield the rods of which the sheet says how far they are twisted, by the key of their table.

    A twist of nought too: what is asked of a pin is a number like any other, that others are near.
    """
    for key in type(side).model_fields:
        held = getattr(side, key)
        named = {f"{key}.{name}": one for name, one in held.items()} if isinstance(
            held, Mapping) else {key: held}  # fmt: skip
        for own, rod in named.items():
            if isinstance(rod, Bar) and rod.twist is not None:
                yield own, rod


def _eyes(assembly: Assembly, side: Side, key: str) -> tuple[_Eye, ...]:
    """Return the eyes of a rod between pins that are known; none where they are not."""
    if key == _CONNECTING_ROD and isinstance(side, SliderCrankSide):
        return _of_connecting_rod(assembly, side)
    if isinstance(side, CoupledSide):
        for name, rod in side.coupling_rods.items():
            if key == f"coupling_rods.{name}":
                spots = rod_shape(rod).places
                places = dict(zip(rod.points, spots, strict=True))
                return tuple(
                    _Eye(f"{axle} crank pin", wheel_name(axle), places[axle][0] / spots[-1][0],
                         hole_of(side, rod, number).across - pin_of(side, axle))
                    for number, axle in enumerate(rod.axles)
                )  # fmt: skip
    return ()


def _of_connecting_rod(assembly: Assembly, side: SliderCrankSide) -> tuple[_Eye, ...]:
    bars, slipper = side.slide_bars, side.crosshead.slipper
    play = [2 * assembly.play.get(pin, 0.0) for pin in ("crank pin", "little end")]
    if not all(play) or bars is None or slipper is None:
        return ()
    gap = max(bars.gap, bars.gap_rear or 0.0)
    gives = math.atan((gap - slipper.depth) / min(bars.thickness, side.crosshead.thickness))
    return (
        _Eye("little end", "crosshead", 1.0, play[1], gives),
        _Eye("crank pin", "crank", 0.0, play[0]),
    )


def _bound(name: str, key: str, rod: Bar, eyes: tuple[_Eye, _Eye]) -> Grip:
    """Return what the second eye of two has to take, with the first leaning as far as it can."""
    first, last = eyes
    between = abs(rod.twist or 0.0) * abs(last.share - first.share)
    left = between - math.atan(first.play / rod.thickness) - first.gives - last.gives
    takes = rod.thickness * math.tan(min(left, _STEEPEST))
    return Grip((name, last.other), last.pin, takes, last.play, f"{key}.twist", askew=True)
