"""The crank axle of an engine whose connecting rods are between the frames."""

from __future__ import annotations

from linkage.tables.engine import INNER_FACE, OUT
from linkage.tables.facts import dim
from linkage.tables.fields import Length, Size, Table

_WHY = "between the frames: measured from the wheel's inner face and taken off"


class CrankWeb(Table):
    """A web of the crank axle, from the axle to its crank pin."""

    width: Size = dim(
        "across, where it is widest",
        no_place=_WHY,
        bench="the width of {}",
        owner="the width of {}",
    )
    thickness: Size = dim("thickness, square to the wheel", no_place=_WHY)
    out: Length = dim(f"{INNER_FACE}: below nought behind it", no_place=_WHY, **OUT)


class CrankAxle(Table):
    """The webs beside the big end; a web is as long as the throw, and round at both ends."""

    inner_web: CrankWeb | None = None
    outer_web: CrankWeb | None = None
