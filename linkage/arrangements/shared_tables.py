"""What the tables of several gears have alike: a slotted link, a rod with a strap."""

from __future__ import annotations

from typing import Self

from pydantic import model_validator

from linkage.tables.facts import assumed, dim, maybe
from linkage.tables.fields import Amount, Size, Table
from linkage.tables.rods import BENT, BOW, DEPTH, DEPTH_OF, SQUARE, Bend, Rod
from linkage.tables.views import Along, InSlot

_LINK = "expansion link"


class SlottedLink(Table):
    """A link with a curved slot, in which a die block runs."""

    slot_half_length: Size = dim(
        "middle of the slot (a Walschaerts link's pivot) to its end, along it",
        3.0,
        calliper=Along(_LINK, InSlot(_LINK, 1.0)),
        bench="half the length of {}'s slot",
        owner="half the length of the slot of {}",
    )
    slot_radius: Size | None
    die_length: Amount = maybe("length of the die block along the slot", default=0.0)
    width: Size = assumed("of the link, square to its slot", 1.6, owner=DEPTH_OF)

    @model_validator(mode="after")
    def _slot(self) -> Self:
        if self.die_length >= 2 * self.slot_half_length:
            raise ValueError("die_length should be less than the whole slot")
        if self.slot_radius is not None and self.slot_radius <= self.slot_half_length:
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
