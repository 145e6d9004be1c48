"""The Stephenson gear that works its valve by a rocker, as most do whose chests lie above.

The die is on the pin of the rocker's lower arm, and the link is lowered and lifted about it. With
the lower arm l and the upper one u the die goes to and fro as that of a Stephenson gear does
(`gears.py`), but for its arc, which lifts it by ``s**2 / 2l`` for s of movement; the valve goes u/l
times as far, and the other way. So each eccentric stands half a turn from where it would without
the rocker: for a valve that lets steam in at its outer edges the fore one 90 less its advance e
behind the crank pin, the back one as much ahead of it. Lap and lead are, the die y from the middle
of the link and the fore rod on its upper pin, ::

    (u/l) (r sin e + (c**2 - y**2) h / c L)

for rods of length L: growing towards mid-gear where the rods lie open with the eccentrics turned
towards the link, as in the gear without a rocker. They are then at the front dead centre, not the
back one; the half turn changes the sign of the link's movement and of its lean alike.

References
----------
Textbook kinematics, from memory: G. Zeuner, *Treatise on Valve Gears* (1884); W. E. Dalby, *Valves
and Valve-Gear Mechanisms* (1906). That the eccentrics then follow and lead the other way is common
practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import ClassVar

from linkage.arrangements.assembly import Assembly
from linkage.arrangements.eccentric_links.gears import hung_from_shaft
from linkage.arrangements.eccentric_links.layers import beyond_back_rod
from linkage.arrangements.eccentric_links.parts import DIE, Hangs, add_slot
from linkage.arrangements.eccentric_links.side import EccentricLinkPlay, HungLinkSide
from linkage.arrangements.eccentric_links.tables import (
    BACK,
    FORE,
    LINK,
    BackEccentric,
    ForeEccentric,
    turned_from_pin,
)
from linkage.arrangements.rocking import (
    LOWER_PIN,
    ROCKER,
    RockedSide,
    RockedSpindle,
    RockedValveRod,
    Rocker,
    RockerPivot,
    add_rocker,
    drive_valve,
)
from linkage.arrangements.shared_tables import (
    SpindleGuide,
    arm_length,
    guide_between,
    spindle_height,
)
from linkage.arrangements.starts import StandingSlot
from linkage.mechanism import Running
from linkage.tables.engine import OUT
from linkage.tables.facts import Degrees, assumed, dim, maybe
from linkage.tables.fields import Amount, Angle, Length, Size
from linkage.tables.shapes import play_of
from linkage.tables.views import Between, OnFrame, PointOf


class RockedFore(ForeEccentric):
    """The eccentric for forward running; behind the crank pin for slide valves."""

    leads: Angle | None = turned_from_pin(FORE, "ahead of", None)
    follows: Angle | None = turned_from_pin(FORE, "behind", Degrees(70.0))


class RockedBack(BackEccentric):
    """The eccentric for backward running; ahead of the crank pin for slide valves."""

    leads: Angle | None = turned_from_pin(BACK, "ahead of", Degrees(70.0))
    follows: Angle | None = turned_from_pin(BACK, "behind", None)


class LinkRocker(Rocker):
    """The rocker: one arm down to the die block in the link, one up to the valve rod."""

    pivot: RockerPivot = dim("from the driving axle", {"ahead": 18.8, "up": 5.0})
    lower_arm: Size = arm_length(
        "lower",
        "pivot to the die block's pin",
        5.0,
        calliper=Between(OnFrame("rocker shaft"), PointOf(ROCKER, LOWER_PIN), "right"),
    )
    upper_arm: Size = arm_length(
        "upper",
        "pivot to the valve rod's pin",
        5.0,
        calliper=Between(OnFrame("rocker shaft"), PointOf(ROCKER, "upper pin"), "right"),
    )
    out: Length = assumed(
        "inner face of its lower arm, outward from the wheel face", beyond_back_rod, **OUT
    )


class LinkRockerSpindle(RockedSpindle):
    """The valve spindle, forked about the valve rod's eye."""

    height: Length = spindle_height(10.0)
    guide: SpindleGuide | None = guide_between(26.0, 32.0)


class RockedLinkPlay(EccentricLinkPlay):
    """Play in the joints of the gear, in all: hole less pin, or slot less block."""

    JOINTS: ClassVar[Mapping[str, str]] = {
        **EccentricLinkPlay.JOINTS,
        "rocker shaft": "rocker_shaft",
        "valve rod pin": "valve_rod_pin",
    }

    rocker_shaft: Amount | None = maybe("bearing less shaft", **play_of("rocker's shaft"))
    valve_rod_pin: Amount | None = maybe("hole less pin", **play_of("valve rod's rear pin"))


class StephensonRockerSide(HungLinkSide, RockedSide):
    """One side of a sheet of the arrangement "stephenson-rocker"."""

    joint_play: RockedLinkPlay = RockedLinkPlay.model_validate({})
    fore_eccentric: RockedFore
    back_eccentric: RockedBack
    rocker: LinkRocker
    valve_rod: RockedValveRod
    valve_spindle: LinkRockerSpindle


def stephenson_rocker(side: StephensonRockerSide, running: Running = None) -> Assembly:
    """Return one side with its whole gear.

    Joints as in a Stephenson gear, and "rocker shaft", "valve rod pin" and "valve pin".

    `running`: position of the reverser: a name of ``weighshaft.gear``, or the arm's angle [rad].
    """
    assembly, hangs = hung_from_shaft(side, running)
    add_rocker(assembly, side.rocker)
    assembly.points[ROCKER][DIE] = assembly.points[ROCKER][LOWER_PIN]
    die = _die_of(side, hangs)
    add_slot(assembly, side, ROCKER, die)
    drive_valve(assembly, side, die)
    assembly.watched = replace(assembly.watched, link=LINK)
    return assembly


def _die_of(side: StephensonRockerSide, hangs: Hangs) -> tuple[float, float]:
    """Return about where the die stands with the crank straight ahead [mm]."""
    slot = StandingSlot(
        hangs.at((0.0, 0.0)),
        hangs.lean + hangs.inclination,
        side.curvature,
        side.expansion_link.slot_half_length,
    )
    pivot = side.rocker.pivot
    return slot.at_distance((pivot.ahead, pivot.up), side.rocker.lower_arm)
