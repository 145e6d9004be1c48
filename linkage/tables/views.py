"""How a table is drawn on the measuring form, and where the calliper goes on it, as plain values.

A place is "axle", the driving axle's centre; a point of a part, "crosshead.drop arm pin"; the name
of a joint, where that is on the frame; or one of the kinds below. "Rear" and "foot" are an
outline's least along the view's axes; in plan, its rear and its inner face.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from linkage.mechanism import PieceSort


@dataclass(frozen=True)
class Edge:
    """A place of the box about a part, or about those of its pieces that have a name or a sort."""

    part: str
    along: float  # [1] 0 at its rear, 1 at its front
    # [1] 0 at its foot, 1 at its top; or level with another place; None at 0: the wheel's face
    across: float | str | None
    of: str | PieceSort | None = None


@dataclass(frozen=True)
class Stop:
    """Where a slide's travel ends: 0 at its rear, 1 at its front; drawn as a plate."""

    joint: str
    end: int


@dataclass(frozen=True)
class InSlot:
    """A place on the centre line of a part's curved slot, or the centre of that curve."""

    part: str
    along: float | None  # [1] 0 at its middle, 1 at its upper end; None for the centre


Spot = str | Edge | Stop | InSlot


@dataclass(frozen=True)
class Between:
    """A length from one place to another, in one of the table's views.

    The side is where its line is drawn: along x "below" or "above", along y to the "left" or
    "right", or from place to place, "here".
    """

    start: Spot
    end: Spot
    side: str = "below"
    view: str = ""


@dataclass(frozen=True)
class Turned:
    """An angle: about a place, from the line to one place to the line to another.

    Without a first place from the level, on the side to which the second lies.
    """

    centre: Spot
    start: Spot | None
    end: Spot
    view: str = ""
    reach: float = 0.6  # [1] radius of the arc drawn, as a share of the longer line


@dataclass(frozen=True)
class Along:
    """A length along a part's curved slot, from its middle to a place in it."""

    part: str
    end: Spot
    view: str = ""


Calliper = Between | Turned | Along


@dataclass(frozen=True)
class Seen:
    """A part in a view: in its own axes, or where a joint holds it to the frame.

    Upright there; on a slide along that, half-way between the ends of its travel.
    """

    part: str
    of: str | PieceSort | None = None  # of its pieces, those of a name or a sort alone
    look: str = "part"  # as in `linkage.form.sketch.Outline`
    at: str = ""  # the joint


@dataclass(frozen=True)
class View:
    """One drawing of a table."""

    title: str
    parts: tuple[Seen, ...]
    lines: tuple[tuple[Spot, ...], ...] = ()  # centre lines
    words: Mapping[Spot, tuple[str, str]] = field(default_factory=dict)  # and to which side
    turn: float = 0.0  # [rad] by which parts are turned that are in their own axes
    plan: bool = False
    front: str = "right"  # as in `linkage.form.sketch.Sketch`
    height: float = 44.0  # [mm] the most it may take of the paper


AT_AXLE: Mapping[Spot, tuple[str, str]] = {"axle": ("driving axle", "right")}
AT_AXLE_LEFT: Mapping[Spot, tuple[str, str]] = {"axle": ("driving axle", "left")}
