"""How far coupled wheels can lag: what a worn hole lets an axle swing before a rod takes it along.

A rod on two pins takes the one along once the other has gone by all the play along it: half of
that of each hole and of each axle's boxes, P in all. With the throw T an axle swung by d out of
step moves its pin by ``T d |sin a|`` along the rod, a being the pin's crank angle, so that this
side lets it swing by ``P / (T |sin a|)`` either way, as far as it likes on its own dead centre.
There the other side holds it, a quarter away. The least of both is greatest where both are equal,

    d = hypot(P, P') / T

and the side with the larger P is the one that lags. Right to the first order in the play.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from linkage.wheels import CoupledWheels, CouplingRod, Eye


@dataclass(frozen=True)
class LostMotion:
    """How far one axle swings against the next, with all play of the rods between them.

    Attributes
    ----------
    side : str
        The side with the more play.
    rod : CouplingRod
        Of that side.
    axles : (str, str)
        Rear to front.
    swing : float [rad]
        Either way.
    at : float [rad]
        Crank angle of that side where it is as much.
    """

    side: str
    rod: CouplingRod
    axles: tuple[str, str]
    swing: float
    at: float


def find_lost_motion(wheels: CoupledWheels) -> tuple[LostMotion, ...]:
    """Return how far axles that one rod of either side couples can swing against one another."""
    found: dict[tuple[str, str], list[tuple[float, CouplingRod]]] = {}
    for rod in wheels.rods:
        for rear, front in zip(rod.eyes[:-1], rod.eyes[1:], strict=True):
            found.setdefault((rear.axle, front.axle), []).append((_along(wheels, rear, front), rod))
    return tuple(_of_pair(wheels, axles, held) for axles, held in found.items() if len(held) == 2)


def _along(wheels: CoupledWheels, rear: Eye, front: Eye) -> float:
    """Return how far two pins can stand off one another along a rod, either way [mm]."""
    boxes = sum(axle.fore_aft for axle in wheels.axles if axle.name in (rear.axle, front.axle))
    return rear.along + front.along + boxes


def _of_pair(
    wheels: CoupledWheels, axles: tuple[str, str], held: list[tuple[float, CouplingRod]]
) -> LostMotion:
    most, rod = max(held, key=lambda one: one[0])
    both = math.hypot(*(play for play, _ in held))
    throw = min(_throws(wheels, axles))
    at = math.asin(most / both) if both else 0.0
    return LostMotion(rod.side, rod, axles, both / throw, at)


def _throws(wheels: CoupledWheels, axles: tuple[str, str]) -> Iterator[float]:
    for axle in wheels.axles:
        if axle.name in axles:
            yield from (pin.throw for pin in axle.pins.values())
