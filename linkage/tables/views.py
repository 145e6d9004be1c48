"""How a table is drawn on the measuring form, and where the calliper goes on it, as plain values.

A view is figures to be drawn; places lie on them, and the calliper goes from place to place.
"Rear" and "foot" are an outline's least along the view's axes; in plan, its rear and its inner
face. `linkage.form.places` finds the places, and `linkage.form.tables` draws the views.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from linkage.mechanism import PieceSort

OWN = ""
"""In place of a part's name: the part whose table it is."""
A_ROD, A_WHEEL, ITS_PIN = "a coupling rod", "a coupled wheel", "its pin"
"""In place of names: of one coupling rod of a sheet, of a wheel but the driving one that it
couples, and of the hole in that rod for the wheel's pin."""
FLAT = "flat"
"""Name of the view of a rod lying flat: every rod has it, and `linkage.form.rods` draws it."""
Sorts = tuple[str | PieceSort, ...]
"""Names and sorts of pieces; of none, all the pieces of a part."""

# --- places -------------------------------------------------------------------------------------


@dataclass(frozen=True)
class PointOf:
    """A named point of a part, as the part stands in the view."""

    part: str
    point: str


@dataclass(frozen=True)
class OnFrame:
    """Where a joint is on the frame."""

    joint: str


@dataclass(frozen=True)
class AxleOf:
    """Where the axle of a wheel stands."""

    wheel: str


@dataclass(frozen=True)
class OtherPin:
    """Where the left-hand crank pin of an axle stands, its right-hand one straight ahead."""

    wheel: str


@dataclass(frozen=True)
class InBoxes:
    """A place in the play of an axle's boxes, from the middle of that: -1 to 1 either way."""

    wheel: str
    ahead: float
    up: float


@dataclass(frozen=True)
class Edge:
    """A place of the box about a part as it is seen, or about some of its pieces."""

    part: str
    along: float  # [1] 0 at its rear, 1 at its front
    # [1] 0 at its foot, 1 at its top; or level with another place; None at 0: the wheel's face
    across: float | Spot | None
    of: str | PieceSort | None = None
    over: float = 0.0  # as in `Seen`


@dataclass(frozen=True)
class Run:
    """Where a slide's point stands on its line: from 0, at the rear end of its travel, to 1."""

    joint: str
    along: float  # [1]
    of: str = ""  # what runs out there, where not all that may


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


@dataclass(frozen=True)
class Ahead:
    """So far ahead of a place as numbers of the table say of which the mechanism has no part."""

    spot: Spot
    numbers: tuple[tuple[str, float], ...]  # keys in the table, and how many times each [1]


@dataclass(frozen=True)
class Meeting:
    """As far ahead as one place, and level with another."""

    ahead: Spot
    level: Spot


@dataclass(frozen=True)
class OnRim:
    """A place on the edge of something round, straight ahead of its centre or straight up."""

    of: Circle | HoleFor
    ahead: float  # [1] -1 at its rear, 1 at its front
    up: float = 0.0  # [1] -1 at its foot, 1 at its top


Middle = PointOf | OnFrame | AxleOf | OtherPin | InBoxes
"""The middle of a pin, a hole or an axle."""
Spot = Middle | Edge | Run | Stop | InSlot | Ahead | Meeting | OnRim
AXLE = AxleOf("crank")
"""The driving axle."""

# --- where the calliper goes --------------------------------------------------------------------


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


@dataclass(frozen=True)
class Corners:
    """The places of a part's corners from the driving axle, one after another."""

    part: str
    view: str = ""


@dataclass(frozen=True)
class InHoles:
    """How wide the holes of a coupling rod are that run on crank pins, from the rear."""

    part: str
    view: str = ""


Calliper = Between | Turned | Along | Corners | InHoles

# --- what is drawn ------------------------------------------------------------------------------


@dataclass(frozen=True)
class Put:
    """A part laid level with one of its points on a place."""

    point: str
    on: Spot


@dataclass(frozen=True)
class Seen:
    """A part in a view: in its own axes, where a joint holds it to the frame, or put somewhere.

    On the frame it is upright; on a slide along that, half-way between the ends of its travel.
    """

    part: str
    of: Sorts = ()
    look: str = "part"  # as in `linkage.form.sketch.Outline`
    at: OnFrame | Put | None = None
    over: float = 0.0  # [1] how far its wheelset is over in plan, as a share of its side play


@dataclass(frozen=True)
class Share:
    """A length that is so many times the one between two places."""

    start: Spot
    end: Spot
    times: float  # [1]


@dataclass(frozen=True)
class Circle:
    """A circle, only to be seen: no part is so."""

    centre: Spot
    radius: Share
    look: str = "part"


@dataclass(frozen=True)
class HoleFor:
    """The hole of a coupling rod in which the crank pin of a wheel runs."""

    rod: str
    wheel: str


@dataclass(frozen=True)
class Box:
    """An upright box from corner to corner, only to be seen: no part is so."""

    start: Spot
    end: Spot
    look: str = "part"


Figure = Seen | Circle | HoleFor | Box


@dataclass(frozen=True)
class Room:
    """The part of a view that is drawn: what lies no farther ahead of a place, or behind it."""

    about: Spot
    reach: Share


@dataclass(frozen=True)
class View:
    """One drawing of a table."""

    title: str
    figures: tuple[Figure, ...]  # drawn in this order
    lines: tuple[tuple[Spot, ...], ...] = ()  # centre lines
    words: Mapping[Spot, tuple[str, str]] = field(default_factory=dict)  # and to which side
    turn: float = 0.0  # [rad] by which parts are turned that are in their own axes
    plan: bool = False
    front: str = "right"  # as in `linkage.form.sketch.Sketch`
    height: float = 44.0  # [mm] the most it may take of the paper
    room: Room | None = None
    below: bool = False  # whether it stands below those before it, not beside them


AT_AXLE: Mapping[Spot, tuple[str, str]] = {AXLE: ("driving axle", "right")}
AT_AXLE_LEFT: Mapping[Spot, tuple[str, str]] = {AXLE: ("driving axle", "left")}
AT_AXLE_ABOVE: Mapping[Spot, tuple[str, str]] = {AXLE: ("driving axle", "above")}
