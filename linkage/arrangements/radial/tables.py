"""Tables that radial gears share: the slide shaft, the valve rod, the valve spindle.

Sizes at 4 mm to the foot.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, ClassVar

from linkage.arrangements.shared_tables import SpindleGuide, ValveSpindle
from linkage.arrangements.weighshaft import AHEAD, UP, Gear
from linkage.tables.engine import GAP, INNER_FACE, OUT
from linkage.tables.facts import Beside, Degrees, assumed, dim, maybe
from linkage.tables.fields import Amount, Angle, Length, Size, Table
from linkage.tables.rods import CENTRES, DEPTH, DEPTH_OF, SQUARE, Rod
from linkage.tables.views import AT_AXLE, AXLE, Along, Between, InSlot, OnFrame, Seen, View

SHAFT = "slide shaft"
UPRIGHT_BOW = ({"kind": "bow", "from": "bottom", "towards_frames": 0.5},)
_PIVOT = OnFrame(SHAFT)


def layer_of(table: str, by: int = 0) -> Callable[[Beside], float]:
    """Return the rule that lays a part in a table's layer, or beside it.

    `by`: 0 for the same inner face; else how many times the usual gap lies between.
    """

    def rule(near: Beside) -> float:
        out = near.size(f"{table}.out")
        return out + bool(by) * near.size(f"{table}.thickness") + by * GAP * near.factor

    return rule


def within_of(table: str, own: str) -> Callable[[Beside], float]:
    """Return the rule that lays a table's part just within another's, nearer the frames."""
    return lambda near: (
        near.size(f"{table}.out") - GAP * near.factor - near.size(f"{own}.thickness")
    )


def _leans(place: str) -> dict[str, Any]:
    return {
        "bench": f"how far forward {{}} leans in {place}",
        "owner": f"how far forward {{}} leans in {place}",
    }


class ShaftGear(Gear):
    """How far the slot leans forward in the named places of the reverser, and nothing else."""

    full_forward: Angle = dim("in full forward gear", **_leans("full forward gear"))
    mid: Angle = dim("in mid-gear", **_leans("mid-gear"))
    full_back: Angle = dim("in full backward gear", **_leans("full backward gear"))


class SlideShaft(Table):
    """The shaft with the slide in which the die runs, tilted to reverse."""

    ORDER: ClassVar[tuple[str, ...]] = ("ahead", "up", "slot_half_length", "lean", "gear")
    VIEWS: ClassVar[Mapping[str, View]] = {
        "": View(
            "side view, slot upright, from the driving axle",
            (Seen(SHAFT, at=_PIVOT),),
            (tuple(InSlot(SHAFT, along / 6) for along in range(-6, 7)),),
            AT_AXLE,
        )
    }

    ahead: Length = dim("its centre, from the driving axle", **AHEAD, no_place="0 above the axle")
    up: Length = dim(
        "its centre, from the driving axle", **UP, calliper=Between(AXLE, _PIVOT, "left")
    )
    slot_half_length: Size = dim(
        "centre of the shaft to the end of the slot, along it",
        3.4,
        calliper=Along(SHAFT, InSlot(SHAFT, 1.0)),
        bench="half the length of {}'s slot",
        owner="half the length of the slot of {}",
    )
    lean: Angle | None = maybe(
        "degrees by which the slot's top leans forward, to the chimney; below nought, back",
        no_place="read off with the reverser set",
        bench="how far forward {} leans",
        owner="how far forward {} leans",
    )
    gear: ShaftGear | None = maybe("the same in the named places of the reverser", rare=False)
    die_length: Amount = maybe("length of the die block along the slot", default=0.0)
    width: Size = assumed("of the slide, square to its slot", 1.6, owner=DEPTH_OF)
    thickness: Size = assumed("thickness, square to the wheel", 0.4)
    out: Length = dim(INNER_FACE, **OUT)


def gear_of(full: float) -> Any:
    """Return the field of a slide shaft's places, so many degrees forward in full forward gear."""
    return maybe(
        "degrees by which the slot's top leans forward, in the named places of the reverser",
        {"full_forward": Degrees(full), "mid": Degrees(0.0), "full_back": Degrees(-full)},
        rare=False,
        no_place="read off with the reverser set there",
    )


class DrivenRod(Rod):
    """Valve rod: to the valve spindle."""

    END_NAMES: ClassVar[tuple[tuple[str, ...], tuple[str, ...]]] = (
        ("rear",),
        ("valve pin", "front"),
    )

    centres: Size = dim(
        "pin to valve pin", 14.0, **CENTRES, full_size=(300.0, 2600.0), throws=(1.0, 9.0)
    )
    width: Size = assumed(DEPTH, 1.0, owner=DEPTH_OF)
    thickness: Size = assumed(SQUARE, 0.4)


def about_valve_rod(near: Beside) -> float:
    """Return where the spindle is: in line with the valve rod, its fork about the eye [mm]."""
    rod = near.size("valve_rod.out") + near.size("valve_rod.thickness") / 2
    return rod - near.size("valve_spindle.diameter") / 2


class DrivenSpindle(ValveSpindle):
    """The valve spindle, forked about the valve rod's eye."""

    guide: SpindleGuide | None = maybe("axle to where the valve pin must not go")
    out: Length = assumed(
        "inner side of the rod, outward from the wheel face", about_valve_rod, **OUT
    )
