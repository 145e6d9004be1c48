"""A gear that works its valve by a rocker: loose eccentric, its rod, a two-armed lever, the valve.

The rocker turns on the frame, one arm down to the eccentric rod, the other up to the valve rod, so
that the valve goes the other way than the eccentric, and by the ratio of the arms. With the
eccentric's throw r, an angle a ahead of a crank at t from straight ahead, lower arm l and upper u,
the valve goes, long rods taken as parallel to it ::

    s = -(u/l) r cos(t + a) = (u/l) r cos(t + a - 180)

as an eccentric of throw r u/l that leads by a - 180 would move it without. So for a valve that lets
steam in at its outer edges the eccentric goes behind the crank pin by a right angle less the
advance, where without a rocker it goes ahead by one more than that; and the other way about for
inside admission.

References
----------
Common practice of valve gears with a rocker, from memory: W. E. Dalby, *Valves and Valve-Gear
Mechanisms* (1906).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import ClassVar

from linkage.arrangements.arrangement import BOTH_SIDES, Arrangement
from linkage.arrangements.assembly import Assembly
from linkage.arrangements.rocking import (
    LOWER_PIN,
    ROCKER,
    ROCKER_WORD,
    RockedSide,
    add_rocker,
    drive_valve,
)
from linkage.arrangements.rods import eye_to_eye
from linkage.arrangements.slider_crank import ENGINE, ROD_OFF, slider_crank
from linkage.arrangements.slip_eccentric import (
    CENTRE,
    CRANK_PIN,
    ECCENTRIC,
    ROD,
    SlipEccentric,
    SlipEccentricSide,
    SlipPlay,
    ValveRod,
    add_eccentric_rod,
    faults_of_stop,
    stops_of,
)
from linkage.arrangements.starts import crossings
from linkage.mechanism import Running
from linkage.tables.facts import SLIPPED, Degrees, dim, maybe
from linkage.tables.fields import Amount, Angle, Location, Size
from linkage.tables.rods import CENTRES, OVER_EYES
from linkage.tables.shapes import play_of
from linkage.tables.views import AXLE, Turned


class RockedEccentric(SlipEccentric):
    """The eccentric, and where either stop holds it."""

    leads: Angle = dim(
        "degrees ahead of the crank pin in forward running, as its stop carries it; below nought "
        "behind it, as for slide valves",
        Degrees(-65.0),
        calliper=Turned(AXLE, CRANK_PIN, CENTRE),
        bench="how far {} is ahead of the crank pin, carried forward",
        owner="how far {} is turned ahead of the {pin}, running forwards",
        mends="turn",
        wrong=SLIPPED,
    )
    follows: Angle = dim(
        "degrees behind the crank pin, as its other stop carries it round backward; below nought "
        "ahead of it",
        Degrees(-65.0),
        no_place="as leads, turned backward against the other stop",
        bench="how far {} is behind the crank pin, carried backward",
        owner="how far {} is turned behind the {pin}, running backwards",
        mends="turn",
        wrong=SLIPPED,
    )


class RockedRod(ValveRod):
    """Eccentric rod: strap to the rocker."""

    END_NAMES = (("eccentric", "rear"), ("rocker", "front"))

    centres: Size = dim(OVER_EYES, 20.0, **CENTRES, full_size=(700.0, 3500.0), throws=(2.0, 11.0))


class RockerPlay(SlipPlay):
    """Play in the joints of the gear, in all: hole less pin, or strap less sheave."""

    JOINTS: ClassVar[Mapping[str, str]] = {
        **SlipPlay.JOINTS,
        LOWER_PIN: "rocker_pin",
        "rocker shaft": "rocker_shaft",
        "valve rod pin": "valve_rod_pin",
    }

    rocker_pin: Amount | None = maybe("hole less pin", **play_of("rocker's lower pin"))
    rocker_shaft: Amount | None = maybe("bearing less shaft", **play_of("rocker's shaft"))
    valve_rod_pin: Amount | None = maybe("hole less pin", **play_of("valve rod's rear pin"))


class RockerSide(RockedSide):
    """One side of a sheet of the arrangement "rocker"."""

    joint_play: RockerPlay = RockerPlay.model_validate({})
    eccentric: RockedEccentric
    eccentric_rod: RockedRod

    LOCOMOTIVE = True
    PLACES = SlipEccentricSide.PLACES

    def running_faults(self, running: object) -> Iterator[tuple[Location, str]]:
        """Yield what is wrong with where the eccentric is set: the place, and the fault."""
        yield from faults_of_stop(running)


def rocker(side: RockerSide, running: Running = None) -> Assembly:
    """Return an engine with its eccentric against a stop, the rod, the rocker and the valve's rod.

    Joints, besides those of the slider-crank: "eccentric", "rocker pin", "rocker shaft",
    "valve rod pin", "valve pin" and "valve spindle slide".

    `running`: "full_back" for the stop that carries the eccentric backward; else the other.
    """
    assembly = slider_crank(side)
    centre = add_eccentric_rod(assembly, side.eccentric, side.eccentric_rod, LOWER_PIN, running)
    table = side.rocker
    add_rocker(assembly, table)
    pivot = (table.pivot.ahead, table.pivot.up)
    reach = eye_to_eye(side.eccentric_rod)
    pin = min(crossings(centre, reach, pivot, table.lower_arm), key=lambda point: point[1])
    lower = assembly.place(ROCKER, LOWER_PIN)
    assembly.pin(LOWER_PIN, assembly.place(ROD, LOWER_PIN), lower, near=pin)
    drive_valve(assembly, side, pin)
    assembly.reverser = stops_of(side.eccentric, running)
    return assembly


ROCKER_GEAR = Arrangement(
    name="rocker",
    does="a loose eccentric that works the valve by a rocker",
    sides=BOTH_SIDES,
    tables=RockerSide,
    build=rocker,
    measured=(
        *ENGINE,
        ECCENTRIC,
        "eccentric_rod",
        "rocker",
        "valve_rod",
        "valve_spindle",
        "valve",
        "joint_play",
    ),
    differs="valve_rod.centres",
    words=(ROCKER_WORD,),
    removable=(ROD_OFF,),
)
