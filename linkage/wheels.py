"""Coupled wheels as plain frozen data: axles, crank pins, rods with their holes, knuckles.

Axes as in `mechanism`: x forward, y up from the driving axle, the same for both sides. A pin at
crank angle a stands at (throw cos a, -throw sin a) from its axle. All play here is half of the
total: how far a thing can go either way from the middle.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True)
class CrankPin:
    """One wheel's pin.

    Attributes
    ----------
    throw : float [mm]
        Axle centre to pin centre.
    angle : float [rad]
        Crank angle of this pin when the right-hand crank of the driving axle stands at 0.
    """

    throw: float
    angle: float


@dataclass(frozen=True)
class Axle:
    """One coupled axle.

    Attributes
    ----------
    name : str
        "leading", "driving", ...
    ahead, up : float [mm]
        Where its middle stands, from the driving axle.
    pins : mapping of str to CrankPin
        By side.
    fore_aft, vertical : float [mm]
        Half the play of its boxes.
    key : str
        Of its table on the sheet.
    treads : mapping of str to float [mm]
        By side, the diameter of its wheel over the tread, where it is on the sheet.
    """

    name: str
    ahead: float
    up: float
    pins: Mapping[str, CrankPin]
    fore_aft: float
    vertical: float
    key: str = ""
    treads: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Eye:
    """A hole of a rod on a crank pin.

    Attributes
    ----------
    axle : str
        Whose pin it is on.
    place : (float, float) [mm]
        Of its centre, in the rod's own axes: along the rod towards the front, and up.
    along, across : float [mm]
        Half the play of the pin in it, along the rod and across it.
    """

    axle: str
    place: tuple[float, float]
    along: float
    across: float


@dataclass(frozen=True)
class CouplingRod:
    """A rigid rod, or one length of a jointed one.

    Attributes
    ----------
    name : str
        Unique on its side.
    side : str
        "right" or "left".
    eyes : tuple of Eye
        Holes on crank pins, rear to front.
    key : str
        Of its table on the sheet, without a side.
    """

    name: str
    side: str
    eyes: tuple[Eye, ...]
    key: str = ""


@dataclass(frozen=True)
class Knuckle:
    """A pin that joins two lengths of a rod between the crank pins.

    Attributes
    ----------
    rods : (int, int)
        Which rods it joins.
    places : ((float, float), (float, float)) [mm]
        Where, in the axes of either.
    play : float [mm]
        Half the play of its pin.
    """

    rods: tuple[int, int]
    places: tuple[tuple[float, float], tuple[float, float]]
    play: float


@dataclass(frozen=True)
class CoupledWheels:
    """All coupled wheels of a locomotive.

    Attributes
    ----------
    axles : tuple of Axle
        Rear to front.
    driving : int
        Which axle the crank angle is that of, and which is turned.
    rods : tuple of CouplingRod
        Of both sides.
    knuckles : tuple of Knuckle
        Joints of the rods.
    keys : mapping of str to float
        The numbers they were made from, by their key on the sheet [mm, degrees].
    """

    axles: tuple[Axle, ...]
    driving: int
    rods: tuple[CouplingRod, ...]
    knuckles: tuple[Knuckle, ...] = ()
    keys: Mapping[str, float] = field(default_factory=dict)

    @property
    def plays(self) -> tuple[float, ...]:
        """Half of every play: of boxes, of holes along and across, of knuckles [mm]."""
        return (
            *(play for axle in self.axles for play in (axle.fore_aft, axle.vertical)),
            *(play for rod in self.rods for eye in rod.eyes for play in (eye.along, eye.across)),
            *(knuckle.play for knuckle in self.knuckles),
        )
