"""The weighshaft, which reverses gears of several kinds: its table, and where it stands."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Any, ClassVar, Literal, Protocol

from linkage.arrangements.assembly import Assembly, bar, turn
from linkage.mechanism import SAME_PLACE, Part, Point, Reverser, Running
from linkage.tables.engine import GAP, INNER_FACE, OUT
from linkage.tables.facts import Beside, Degrees, Wrong, assumed, dim, maybe
from linkage.tables.fields import Angle, Length, Location, Size, Table
from linkage.tables.rods import DEPTH_OF
from linkage.tables.views import AT_AXLE, AXLE, Between, OnFrame, PointOf, Seen, Turned, View

_PLACE = Wrong(0.7)  # a bracket that was bent, or put back elsewhere
AHEAD: dict[str, Any] = {
    "bench": "how far ahead {} stands",
    "owner": "how far ahead of the driving axle {} stands",
    "wrong": _PLACE,
}
UP: dict[str, Any] = {
    "bench": "how far up {} stands",
    "owner": "how far above the driving axle {} stands",
    "wrong": _PLACE,
}


def pivot_ahead(joint: str) -> Any:
    """Return the field of how far ahead something turns on the frame; `joint`: its pin's name."""
    return dim("of the driving axle", **AHEAD, calliper=Between(AXLE, OnFrame(joint)))


def pivot_up(joint: str) -> Any:
    """Return the field of how far up something turns on the frame; `joint`: its pin's name."""
    return dim("above the driving axle", **UP, calliper=Between(AXLE, OnFrame(joint), "left"))


def behind_lifting(near: Beside) -> float:
    """Return where the weighshaft's arm is: within the lifting link [mm]."""
    return near.size("lifting_link.out") - GAP * near.factor - near.size("weighshaft.thickness")


def _arm_in(position: str) -> dict[str, str]:
    """Return the phrases for the arm's angle in a position of the reverser."""
    return {
        "bench": f"the angle of the weighshaft's arm in {position}",
        "owner": f"how the arm of the reversing shaft stands in {position}",
    }


class Gear(Table):
    """Angles of the weighshaft arm in the named positions of the reverser, and nothing else."""

    full_forward: Angle = dim("in full forward gear", **_arm_in("full forward gear"))
    mid: Angle = dim("in mid-gear", **_arm_in("mid-gear"))
    full_back: Angle = dim("in full backward gear", **_arm_in("full backward gear"))

    def named(self) -> dict[str, float]:
        """Return the angles by the names of their places, from full forward to full back [rad]."""
        return {place: getattr(self, place) for place in type(self).model_fields}


class Set(Protocol):
    """A table of a reverser."""

    @property
    def gear(self) -> Gear | None:
        """The angles of its named places."""


_SHAFT, _ARM_END = PointOf("weighshaft", "shaft"), PointOf("weighshaft", "arm end")


def shaft_ahead(typical: float, rare: bool = False) -> Any:
    """Return the field of where the shaft stands, so many throws ahead of the driving axle."""
    said = "its centre, from the driving axle"
    return dim(said, typical, rare=rare, **AHEAD, calliper=Between(AXLE, _SHAFT))


def shaft_up(typical: float, rare: bool = False) -> Any:
    """Return the field of where the shaft stands, so many throws above the driving axle."""
    said = "its centre, from the driving axle"
    return dim(said, typical, rare=rare, **UP, calliper=Between(AXLE, _SHAFT, "left"))


def lifting_arm(typical: float, rare: bool = False) -> Any:
    """Return the field of the arm that the lifting link hangs from, so many throws long."""
    return dim(
        "centre of the shaft to the lifting link's pin",
        typical,
        rare=rare,
        calliper=Between(_ARM_END, _SHAFT, "here"),
        bench="the length of {}'s arm",
        owner="the length of the arm of {}",
    )


def arm_way(usual: str, rare: bool = False) -> Any:
    """Return the field of which way the arm points, its usual way first told."""
    return maybe("forward or back, from the shaft", usual, "forward", rare=rare)


def arm_raised(full: float, rare: bool = False) -> Any:
    """Return the field of the arm's angle, so many degrees up in full forward gear."""
    return maybe(
        "degrees above the horizontal",
        Degrees(full),
        rare=rare,
        calliper=Turned(_SHAFT, None, _ARM_END, reach=1.9),
    )


def gear_either_way(full: float) -> Any:
    """Return the field of the named places, so many degrees up in full forward gear."""
    return maybe(
        "the arm's angles in the named positions of the reverser",
        {"full_forward": Degrees(full), "mid": Degrees(0.0), "full_back": Degrees(-full)},
        rare=False,
        no_place="as arm_angle, the reverser set there",
    )


class Weighshaft(Table):
    """The weighshaft and its lifting arm, fixed while the wheels turn."""

    VIEWS: ClassVar[Mapping[str, View]] = {
        "": View(
            "side view, from the driving axle; arm pointing back and down, so below the horizontal",
            (Seen("weighshaft"),),
            words=AT_AXLE,
        )
    }

    ahead: Length = shaft_ahead(29.0, rare=True)
    up: Length = shaft_up(11.0, rare=True)
    arm: Size = lifting_arm(4.0, rare=True)
    arm_angle: Angle | None = arm_raised(-20.0, rare=True)
    arm_points: Literal["forward", "back"] = arm_way("back", rare=True)
    gear: Gear | None = maybe("the arm's angles in the named positions of the reverser")
    width: Size = assumed("depth of the arm in the side view", 1.0, owner=DEPTH_OF)
    thickness: Size = assumed("thickness, square to the wheel", 0.4)
    out: Length = assumed(INNER_FACE, behind_lifting, **OUT)


def weighshaft_angle(shaft: Weighshaft, running: Running) -> float:
    """Return the direction of the weighshaft's arm.

    Parameters
    ----------
    running : str or float or None
        A name of its gear, or the arm's angle above the horizontal [rad]; None for the angle on
        the sheet, or full forward gear.

    Returns
    -------
    float [rad]
        Counter-clockwise from ahead.
    """
    above = set_angle(shaft.gear, shaft.arm_angle, running)
    return math.pi - above if shaft.arm_points == "back" else above


def reverser_of(shaft: Weighshaft, running: Running) -> Reverser:
    """Return what the weighshaft can be set to."""
    sense = -1.0 if shaft.arm_points == "back" else 1.0
    stands = sense * (weighshaft_angle(shaft, running) - (math.pi if sense < 0 else 0.0))
    named = () if shaft.gear is None else tuple(shaft.gear.named().items())
    return Reverser("weighshaft", (shaft.ahead, shaft.up), stands, sense, "weighshaft.gear", named)


def arm_end(shaft: Weighshaft, running: Running) -> Point:
    """Return where the lifting link's pin on the arm stands [mm]."""
    x, y = turn((shaft.arm, 0.0), weighshaft_angle(shaft, running))
    return shaft.ahead + x, shaft.up + y


def add_weighshaft(assembly: Assembly, shaft: Weighshaft, end: Point) -> None:
    """Add the shaft with its arm, whose pin stands there [mm]."""
    centre = (shaft.ahead, shaft.up)
    arm = bar((centre, end), shaft.width, shaft.out, shaft.thickness, "arm")
    part = Part("weighshaft", fixed=True, key="weighshaft")
    assembly.part(part, {"shaft": centre, "arm end": end}, [arm])


def faults_of_running(
    held: Set, running: object, key: str = "weighshaft", alone: str = "arm_angle"
) -> Iterator[tuple[Location, str]]:
    """Yield what is wrong with where a reverser is set: the place, and the fault.

    `key`, `alone`: of its table, and of the angle there that stands without a name.
    """
    if isinstance(running, str) and held.gear is None:
        yield (key, "gear"), f'is missing, and running = "{running}" needs it'
    elif running is None and held.gear is None and getattr(held, alone) is None:
        yield (key, alone), "is missing, and so is gear"
    elif isinstance(running, float) and held.gear is not None:
        angles = [getattr(held.gear, name) for name in type(held.gear).model_fields]
        if not min(angles) - SAME_PLACE <= running <= max(angles) + SAME_PLACE:
            low, high = (f"{math.degrees(end):g}" for end in (min(angles), max(angles)))
            yield (
                ("running",),
                f"should be from {low} to {high} degrees: the reverser goes no farther, by "
                f"{key}.gear",
            )


def set_angle(gear: Gear | None, alone: float | None, running: Running) -> float:
    """Return the angle of a reverser, as the sheet counts it [rad].

    `running`: a name of its gear, or the angle itself; None for the angle that stands alone on the
    sheet, or full forward gear.
    """
    if isinstance(running, str) and gear is not None:
        return float(getattr(gear, running))
    if isinstance(running, float):
        return running
    if alone is not None:
        return alone
    return gear.full_forward if gear else 0.0
