"""All the pictures there are, by their names."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from matplotlib.figure import Figure

from linkage.draw.angles import draw_angles
from linkage.draw.figure import draw_figure
from linkage.draw.mechanism import draw_mechanism
from linkage.draw.paths import draw_paths
from linkage.draw.positions import COUNT, draw_positions
from linkage.examine import Examination
from linkage.scene.moment import moment_at, standing_moment
from linkage.tightspots import TightSpot


@dataclass(frozen=True)
class Wanted:
    """Which picture is wanted."""

    show: str = "spot"  # "spot", "mechanism", "paths", "positions" or "angles"
    spot: TightSpot | None = None  # the tight spot; None for none
    side: str | None = None  # the side; None for the spot's own, without a spot the right-hand one
    # [rad] right-hand crank of a "mechanism"; None for where the spot is, without a spot 0
    at: float | None = None
    count: int = COUNT  # how many "positions"


def draw_picture(examination: Examination, wanted: Wanted) -> Figure:
    """Draw any of the pictures: A4, to be written by `picture_bytes`.

    Raises
    ------
    OutputError
        Where a loop cannot close at the angle asked for.
    """
    if wanted.show == "spot":
        return draw_figure(examination, wanted.spot, wanted.side)
    if wanted.show == "angles":
        sides = [wanted.side] if wanted.side else list(examination.sides)
        return draw_angles([standing_moment(examination, None, side) for side in sides])
    moment = standing_moment(examination, wanted.spot, wanted.side)
    if wanted.show == "paths":
        return draw_paths(moment)
    if wanted.show == "positions":
        return draw_positions(moment, wanted.count)
    if wanted.at is None:
        return draw_mechanism(replace(moment, spot=None))
    return draw_mechanism(moment_at(moment, math.fmod(wanted.at, 2 * math.pi)))
