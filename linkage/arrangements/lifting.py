"""The table of the link that lifts the radius rod."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar, Self

from pydantic import model_validator

from linkage.arrangements.shared_tables import within
from linkage.mechanism import Point
from linkage.tables.engine import INNER_FACE, OUT
from linkage.tables.facts import assumed, dim, maybe
from linkage.tables.fields import Length, Size, Table, exactly_one
from linkage.tables.rods import CENTRES, DEPTH, DEPTH_OF, SQUARE, Rod
from linkage.tables.views import Between, PointOf, Seen, View

_DIE, _LIFTING = PointOf("radius rod", "die block"), PointOf("radius rod", "lifting pin")


class LiftingLink(Rod):
    """Lifting link: weighshaft arm to the radius rod."""

    END_NAMES = (("weighshaft pin", "top"), ("lifting pin", "bottom"))
    UPRIGHT = True
    VIEWS: ClassVar[Mapping[str, View]] = {
        "": View(
            "its pin on the radius rod; die block to the left",
            (Seen("radius rod", look="about"),),
            height=28.0,
        )
    }

    class RodPin(Table):
        """Where it holds the radius rod, measured along the rod from the die block."""

        INSTEAD = ((("ahead_of_die",), ("behind_die",)),)

        ahead_of_die: Length | None = maybe(
            "of the die block",
            calliper=Between(_DIE, _LIFTING),
            bench="how far {} is ahead of the die block",
            owner="how far {} is ahead of the sliding piece in the slot",
        )
        behind_die: Length | None = maybe(
            "behind the die block",
            bench="how far {} is behind the die block",
            owner="how far {} is behind the sliding piece in the slot",
        )
        above: Length = maybe(
            "above the rod's centre line",
            default=0.0,
            calliper=Between(_DIE, _LIFTING, "left"),
            bench="how far {} is above the radius rod's centre line",
            owner="how far {} is above the middle of the bar that it lifts",
        )

        @model_validator(mode="after")
        def _one_way(self) -> Self:
            exactly_one(self, ("ahead_of_die", "behind_die"))
            return self

        @property
        def place(self) -> Point:
            """Where that is in the rod's axes, x from the die block to its front pin [mm]."""
            ahead = self.ahead_of_die
            return (ahead if ahead is not None else -(self.behind_die or 0.0)), self.above

    centres: Size = dim(
        "weighshaft arm to what it lifts, pin centres",
        3.5,
        rare=True,
        **CENTRES,
        full_size=(150.0, 1200.0),
        throws=(0.4, 4.0),
    )
    pin: RodPin = dim(
        "on the radius rod, from the die block; or behind_die",
        {"ahead_of_die": 5.0, "above": 0.4},
        rare=True,
    )
    width: Size = assumed(DEPTH, 1.0, owner=DEPTH_OF)
    thickness: Size = assumed(SQUARE, 0.4)
    out: Length = assumed(INNER_FACE, within("lifting_link.thickness"), **OUT)
