"""Tables of what is bent, leaning or proud, and would be nought on a part as it was made.

A leaning pin has its root in the wheel and its tip somewhere else. In the crank's own axes, x away
from the axle and y ahead in forward running, with the tip off by (u, v) at the height L above the
wheel's face, the pin's middle at the height z stands, the throw being T, at

    (T + u z / L, v z / L)

so what runs there has the throw ``hypot(T + u z / L, v z / L)``, and its crank angle is early by
``atan2(v z / L, T + u z / L)``: a lean along the crank is a throw error, one across it a quartering
error, and either grows with how far out the rod runs.

A rod that is twisted by some angle f at the one end against the other is turned about its own line
by ``f s / L`` at the place s of its length L. A section w deep and t thick, turned by g, reaches
``t cos g + w sin g`` from face to face, which is what it takes up in plan.
"""

from __future__ import annotations

import math
from typing import Any, ClassVar, Self

from pydantic import Field, model_validator

from linkage.tables.facts import NEVER, Wrong, dim, maybe
from linkage.tables.fields import Amount, Size, Table

UPRIGHT = "set {} upright again, or fit another"
FLUSH = "file {} flush"


def _lean(way: str) -> Any:
    phrase = f"how far {{}} leans {way}"
    return maybe(
        f"how far its tip stands {way}, against its root",
        bench=phrase,
        owner=phrase,
        damage=UPRIGHT,
        suspect=1,
        wrong=Wrong(0.25, 0.25),
    )


class PinLean(Table):
    """How a crank pin leans: where its tip stands, seen along the axle, against its root."""

    WAYS: ClassVar[tuple[tuple[str, str], ...]] = (
        ("away_from_axle", "towards_axle"),
        ("ahead", "behind"),
    )
    INSTEAD = ((("away_from_axle",), ("towards_axle",)), (("ahead",), ("behind",)))

    away_from_axle: Amount | None = _lean("away from its axle")
    towards_axle: Amount | None = _lean("towards its axle")
    ahead: Amount | None = _lean("ahead, in forward running")
    behind: Amount | None = _lean("behind, in forward running")
    over: Size = dim("from the wheel's face to where the tip was measured, along the pin")

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        for pair in self.WAYS:
            if all(getattr(self, way) is not None for way in pair):
                raise ValueError(f"give only one of {', '.join(pair)}")
        return self

    def at(self, throw: float, out: float) -> tuple[float, float]:
        """Return where the pin's middle stands so far out from the wheel's face [mm].

        Ahead of the axle along the crank, and ahead in forward running.
        """
        share = out / self.over
        along = (self.away_from_axle or 0.0) - (self.towards_axle or 0.0)
        across = (self.ahead or 0.0) - (self.behind or 0.0)
        return throw + along * share, across * share


def pin_at(lean: PinLean | None, throw: float, out: float) -> tuple[float, float]:
    """Return where a crank pin stands in the crank's axes, so far out [mm]: x ahead, y up."""
    along, ahead = (throw, 0.0) if lean is None else lean.at(throw, out)
    return along, -ahead  # forward running is clockwise in these axes


def throw_and_lead(lean: PinLean | None, throw: float, out: float) -> tuple[float, float]:
    """Return the throw [mm] a pin has so far out, and how far it is on there [rad]."""
    x, y = pin_at(lean, throw, out)
    return math.hypot(x, y), math.atan2(-y, x)


class Head(Table):
    """The size of every pin's head."""

    diameter: Size
    thickness: Size


class JointHead(Table):
    """The head of one joint's pin, and its other end where that is proud."""

    INSTEAD = ((("grip",), ("along",)),)

    diameter: Size = dim(
        "over its widest",
        bench="the diameter of the head of {}",
        owner="the diameter of the head of {}",
    )
    thickness: Size = dim(
        "beyond the outer face of what it joins",
        bench="the thickness of the head of {}",
        owner="the thickness of the head of {}",
    )
    grip: Size | None = maybe(
        "between the heads: as long as the rivet holds",
        bench="how much {} leaves between its faces",
        owner="how much {} leaves between its faces",
    )
    along: Amount | None = maybe(
        "how far the parts can be moved along it, from end to end; or its grip",
        bench="how far the parts can be moved along {}",
        owner="how far the bars can be slid along {}",
        wrong=NEVER,
    )
    behind: Amount | None = maybe(
        "how far its other end is proud towards the frames",
        bench="how far the hidden end of {} is proud",
        owner="how far the hidden end of {} stands out",
        damage="file the hidden end of {} flush",
        wrong=Wrong(0.3, 0.5),
    )

    @model_validator(mode="after")
    def _one_length(self) -> Self:
        if self.grip is not None and self.along is not None:
            raise ValueError("give only one of grip, along")
        return self


class Pins(Table):
    """Small joint pins: every head alike, and those that are not, by their joints' names."""

    head: Head | None = None
    along: Amount | None = maybe(
        "how far the parts of the gear can be moved along their pins, from end to end",
        bench="how far the gear's parts can be moved along their pins",
        owner="how far the moving bars can be slid along their pins",
        wrong=NEVER,
    )
    heads: dict[str, JointHead] = Field(
        default_factory=dict, description="by the joint's name, such as union_pin"
    )


class ProudEnd(Table):
    """The end of a pin that stands out of a face towards the frames."""

    diameter: Size = dim("over its widest")
    behind: Amount = dim(
        "how far it stands out towards the frames, beyond the face",
        bench="how far {} is proud towards the frames",
        owner="how far {} stands out on its hidden side",
        damage=FLUSH,
        wrong=Wrong(0.3, 0.5),
    )
