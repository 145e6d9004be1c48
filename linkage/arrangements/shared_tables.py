"""What the tables of several gears have alike: a slotted link, a strap, the valve spindle."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, ClassVar, Self

from pydantic import model_validator

from linkage.tables.engine import BEGINS, ENDS, GAP, OUT
from linkage.tables.facts import Beside, Wrong, assumed, dim, maybe
from linkage.tables.fields import Amount, Length, Size, Table
from linkage.tables.rods import BENT, BOW, DEPTH, DEPTH_OF, SQUARE, Bend, Rod
from linkage.tables.views import (
    AT_AXLE,
    AXLE,
    Along,
    Between,
    InSlot,
    OnFrame,
    PointOf,
    Seen,
    Stop,
    View,
)

_LINK = "expansion link"


def within(key: str) -> Callable[[Beside], float]:
    """Return the rule that lays what has such a thickness just within the radius rod."""
    return lambda near: near.size("radius_rod.out") - GAP * near.factor - near.size(key)


class SlottedLink(Table):
    """A link with a slot, in which a die block runs; `slot_radius` where it is a curved one."""

    slot_half_length: Size = dim(
        "middle of the slot (a Walschaerts link's pivot) to its end, along it",
        3.0,
        calliper=Along(_LINK, InSlot(_LINK, 1.0)),
        bench="half the length of {}'s slot",
        owner="half the length of the slot of {}",
    )
    die_length: Amount = maybe("length of the die block along the slot", default=0.0)
    width: Size = assumed("of the link, square to its slot", 1.6, owner=DEPTH_OF)

    @model_validator(mode="after")
    def _slot(self) -> Self:
        if self.die_length >= 2 * self.slot_half_length:
            raise ValueError("die_length should be less than the whole slot")
        radius = getattr(self, "slot_radius", None)
        if radius is not None and radius <= self.slot_half_length:
            raise ValueError("slot_radius should be more than slot_half_length")
        return self


class StrappedRod(Rod):
    """A rod whose rear eye is a strap about an eccentric's sheave."""

    ITS_OWN = (*Rod.ITS_OWN, "strap")

    strap: Size = assumed(
        "over the strap, across the rod",
        4.4,
        bench="the size of {}'s strap",
        owner="the size of the ring of {}",
    )
    width: Size = assumed(DEPTH, 1.2, 1.2, owner=DEPTH_OF)
    thickness: Size = assumed(SQUARE, 0.5, 0.5)
    bend: tuple[Bend, ...] = maybe(BENT, BOW, ())


_SPINDLE = OnFrame("valve spindle slide")


class SpindleGuide(Table):
    """Between which places the valve pin must stay, ahead of the axle along the spindle."""

    rear: Length = dim(
        "axle to the rear stop, along the spindle",
        calliper=Between(AXLE, Stop(_SPINDLE.joint, 0)),
        **BEGINS,
    )
    front: Length = dim(
        "axle to the front stop, along the spindle",
        calliper=Between(AXLE, Stop(_SPINDLE.joint, 1)),
        **ENDS,
    )

    @model_validator(mode="after")
    def _ahead(self) -> Self:
        if self.front <= self.rear:
            raise ValueError("front should be ahead of rear")
        return self


def guide_between(rear: float, front: float) -> Any:
    """Return the field of a spindle's guide, its stops so far ahead at 4 mm to the foot [mm]."""
    return maybe("axle to where the valve pin must not go", {"rear": rear, "front": front})


def arm_length(which: str, hint: str, typical: float, **facts: Any) -> Any:
    """Return the field of how long one arm of a lever is, told by which it is."""
    return dim(
        hint,
        typical,
        bench=f"the length of {{}}'s {which} arm",
        owner=f"the length of the {which} arm of {{}}",
        **facts,
    )


_GUIDE_MOVED = Wrong(0.7, 0.3)  # put back elsewhere, as a bracket is, but seldom: it is cast on


def spindle_height(typical: float, drawn: float | None = None) -> Any:
    """Return the field of a spindle's height, so much at 4 mm to the foot [mm].

    `drawn` [mm]: with how much it is drawn on the form, where it is 0.
    """
    return dim(
        "above the driving axle, at the axle, square to the cylinder's line",
        typical,
        calliper=Between(AXLE, _SPINDLE, "left"),
        drawn=drawn,
        wrong=_GUIDE_MOVED,
    )


class ValveSpindle(Table):
    """The valve spindle, parallel to the cylinder."""

    VIEWS: ClassVar[Mapping[str, View]] = {
        "": View(
            "side view, from the driving axle; the pin must stay between the two stops",
            (Seen("valve spindle", at=_SPINDLE),),
            ((_SPINDLE, PointOf("valve spindle", "valve pin")),),
            AT_AXLE,
        )
    }

    height: Length = spindle_height(6.0)
    guide: SpindleGuide | None = guide_between(33.5, 39.5)
    length: Size = assumed("valve pin to the front end that can be seen", 4.0)
    diameter: Size = assumed("of the rod", 0.8)
    out: Length = assumed(
        "inner side of the rod, outward from the wheel face",
        within("valve_spindle.diameter"),
        **OUT,
    )
