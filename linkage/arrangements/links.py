"""The body of a slotted link, as pieces."""

from __future__ import annotations

from typing import Protocol

from linkage.arrangements.assembly import bar
from linkage.arrangements.starts import slot_point
from linkage.mechanism import Piece, Point

STEPS = 12
"""Pieces in a curved body."""


class LinkSizes(Protocol):
    """What is read of a link's table [mm]."""

    @property
    def slot_half_length(self) -> float: ...  # noqa: D102
    @property
    def width(self) -> float: ...  # noqa: D102
    @property
    def out(self) -> float: ...  # noqa: D102
    @property
    def thickness(self) -> float: ...  # noqa: D102


def slot_body(link: LinkSizes, curvature: float) -> tuple[tuple[Piece, ...], tuple[Point, Point]]:
    """Return a link's body, as if there were no slot, and the lower and upper end of its slot [mm].

    `curvature` [1/mm]: as in `starts.slot_point`.
    """
    half, count = link.slot_half_length, STEPS if curvature else 1
    steps = [half * (2 * k / count - 1) for k in range(count + 1)]
    line = [slot_point(curvature, step) for step in steps]
    body = tuple(
        bar((line[k], line[k + 1]), link.width, link.out, link.thickness) for k in range(count)
    )
    return body, (line[0], line[-1])
