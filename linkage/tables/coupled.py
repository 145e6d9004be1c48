"""Tables of the coupled wheels: axles, coupling rods, their holes and their play."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import ClassVar, Literal, Self

from pydantic import Field, ValidationInfo, model_validator

from linkage.lengths import Say
from linkage.mechanism import PieceSort
from linkage.tables.damage import PinLean
from linkage.tables.engine import (
    CONNECTING_ROD_OUT,
    GAP,
    OUT,
    OUT_OF_SEVERAL,
    Disc,
    gone_over,
    over,
)
from linkage.tables.facts import NEVER, Beside, Degrees, Wrong, assumed, dim, maybe
from linkage.tables.fields import Amount, Angle, Length, Size, Table, exactly_one, say_in
from linkage.tables.holes import AnyHole, Holes, Play, Spans
from linkage.tables.rods import BENT, CENTRES, DEPTH_OF, OVER_EYES, Bar, Bend
from linkage.tables.treads import tread
from linkage.tables.views import (
    A_ROD,
    A_WHEEL,
    AT_AXLE_ABOVE,
    AXLE,
    FLAT,
    ITS_PIN,
    OWN,
    AxleOf,
    Between,
    Circle,
    Edge,
    HoleFor,
    InBoxes,
    InHoles,
    OnRim,
    OtherPin,
    PointOf,
    Put,
    Room,
    Seen,
    Share,
    Turned,
    View,
)

DRIVING = "driving"
"""Name of the axle that everything is measured from."""
MOST_AXLES = 10
# --- of which wheel, axle and rod the drawings are: one of each -----------------------------------

_WHEEL, _ROD = A_WHEEL, A_ROD
_RIM, _PIN, _HEAD = PieceSort.RIM, PieceSort.CRANK_PIN, PieceSort.NUT
_WHEEL_PIN, _ROD_PIN = PointOf(_WHEEL, "crank pin"), PointOf(_ROD, ITS_PIN)
_EYE, _BOXES, _PLAN, _OVER = "eye", "boxes", "plan", "over"  # the views
_HOLE = HoleFor(_ROD, _WHEEL)


def _axle_at(end: float) -> Circle:
    """Return an axle at one end of its play, drawn thin so that its play is seen."""
    ends = InBoxes(_WHEEL, -1.0, 0.0), InBoxes(_WHEEL, 1.0, 0.0)
    return Circle(InBoxes(_WHEEL, end, end), Share(*ends, 2.5), "part" if end < 0 else "dashed")


def _pin_edge(along: float) -> Edge:
    return Edge(_WHEEL, along, 0.5, _PIN)


def _head_edge(along: float, across: float) -> Edge:
    return Edge(_WHEEL, along, across, _HEAD)


_VIEWS: Mapping[str, View] = {
    _EYE: View(
        "side view: an eye of a rod, and the pin in its hole",
        (Seen(_ROD), _HOLE, Seen(_WHEEL, (_PIN,), "about", at=Put("crank pin", _ROD_PIN))),
        room=Room(_ROD_PIN, Share(_pin_edge(0.0), _pin_edge(1.0), 1.5)),
    ),
    _PLAN: View(
        "plan: rod and head on the pin, over the wheel's face",
        (
            Seen(_WHEEL, (_RIM,), "about"),
            Seen(_WHEEL, (_PIN,), "about"),
            Seen(_ROD, at=Put(ITS_PIN, _WHEEL_PIN)),
            Seen(_WHEEL, (_HEAD,)),
        ),
        plan=True,
        room=Room(_WHEEL_PIN, Share(_head_edge(0.0, 1.0), _head_edge(1.0, 1.0), 1.3)),
    ),
    _BOXES: View(
        "an axle, drawn thin; dashed: ahead and up", (_axle_at(-1.0), _axle_at(1.0)), below=True
    ),
    _OVER: gone_over(_WHEEL),
}


class BoxPlay(Table):
    """How far an axle's boxes move in their horns or bearings, from end to end."""

    fore_aft: Play = dim(
        "total, fore and aft",
        wrong=NEVER,
        bench="{}, fore and aft",
        owner="{}, forward and back",
        calliper=Between(OnRim(_axle_at(-1.0), -1.0), OnRim(_axle_at(1.0), -1.0), view=_BOXES),
    )
    vertical: Play = dim(
        "total, up and down",
        wrong=NEVER,
        bench="{}, up and down",
        owner="{}, up and down",
        calliper=Between(
            OnRim(_axle_at(-1.0), 0.0, -1.0), OnRim(_axle_at(1.0), 0.0, -1.0), "left", _BOXES
        ),
    )


class PinHead(Table):
    """The nut, screw or washer that keeps a coupling rod on its pin."""

    diameter: Size = dim(
        "over its widest",
        calliper=Between(_head_edge(0.0, 1.0), _head_edge(1.0, 1.0), view=_PLAN),
    )
    out: Length | None = maybe(
        "inner face, outward from the wheel face; else the rod's outer face", **OUT
    )
    thickness: Size = dim(
        "thickness, square to the wheel",
        calliper=Between(_head_edge(0.0, 0.0), _head_edge(0.0, 1.0), "left", _PLAN),
        wrong=Wrong(0.4, 1.5),  # a washer too many or too fat, another's nut
    )


def _under(near: Beside) -> float:
    """Return up to where coupling rods may reach, wherever their wheelsets stand [mm].

    Under the connecting rod, and the slide bars and crosshead about it, which may be thicker.
    """
    tables = ("connecting_rod", "slide_bars", "crosshead")
    over = min(near.size(f"{table}.out", math.inf) for table in tables)
    if math.isinf(over):
        return (CONNECTING_ROD_OUT - GAP) * near.factor
    aside = max(near.size("wheels.side_play"), near.size("coupling.side_play"))
    return over - GAP * near.factor - aside


_BORE = Wrong(0.05, 0.5)


class Coupling(Table):
    """What holds for every coupled wheel and rod that does not say otherwise."""

    INSTEAD = ((("hole",), ("play",)),)
    VIEWS = _VIEWS

    pin: Size = dim(
        "callipers on the crank pin, where the coupling rod runs",
        1.5,
        wrong=_BORE,
        bench="the crank pins' diameter in {}",
        owner="how thick the pegs on the wheels are in {}",
        calliper=Between(_pin_edge(0.0), _pin_edge(1.0), view=_EYE),
    )
    hole: AnyHole | None = maybe(
        "of the rods; worn: { along = ..., across = ... }",
        1.54,
        rare=False,
        wrong=_BORE,
        bench="the holes of {}",
        owner="the holes of {}",
        calliper=Between(OnRim(_HOLE, -1.0), OnRim(_HOLE, 1.0), "above", _EYE),
    )
    play: Play | None = maybe(
        "hole less pin, where the hole is not given",
        bench="the play of {} on their pins",
        owner="the play of {} on their pegs",
    )
    box_play: BoxPlay = dim(
        "how far an axle moves in its bearings, from end to end",
        {"fore_aft": 0.05, "vertical": 0.05},
    )
    side_play: Amount = assumed(
        "of the others, where it is not wheels.side_play",
        0.2,
        0.2,
        bench="the side play of the other wheelsets",
        owner="how far the other wheels can go from side to side",
        calliper=over(_WHEEL, _OVER),
    )
    width: Size = assumed(
        "depth of the coupling rods in the side view",
        2.0,
        2.0,
        owner=DEPTH_OF,
        calliper=Between(Edge(_ROD, 0.0, 0.0), Edge(_ROD, 0.0, 1.0), "left", _EYE),
    )
    thickness: Size = assumed(
        "of the coupling rods, square to the wheel",
        0.8,
        0.8,
        calliper=Between(Edge(_ROD, 1.0, 0.0), Edge(_ROD, 1.0, 1.0), "right", _PLAN),
    )
    out: Length = assumed(
        "their inner face, outward from the wheel's face",
        lambda near: _under(near) - near.size("coupling.thickness"),
        1.6,
        **OUT_OF_SEVERAL,
        calliper=Between(Edge(_ROD, 0.0, None), Edge(_ROD, 0.0, 0.0), "left", _PLAN),
    )
    head: PinHead | None = maybe(
        "nut or head of the crank pins", {"diameter": 2.4, "thickness": 0.5}
    )
    boss: Disc | None = maybe("boss about the pins, not the driving one")
    hub: Disc | None = maybe("boss about every axle, driving included")
    bush: Size | None = maybe(
        "or shoulder: what the coupling rods run on, up to the head",
        bench="the length of the bush on {}",
        owner="the length of the bush on {}",
    )

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        exactly_one(self, ("hole", "play"))
        return self


_AXLE, _OWN_PIN, _OWN_LEFT = AxleOf(OWN), PointOf(OWN, "crank pin"), OtherPin(OWN)
_ON_PIN = Share(_AXLE, _OWN_PIN, 0.2)


_SPACING = Wrong(0.2, 0.5, both=2.0)  # frames are square: an axle stands askew more seldom


class AxleTable(Table):
    """One coupled axle with the wheels on it."""

    VIEWS: ClassVar[Mapping[str, View]] = {
        "": View(
            "side view, right cranks ahead; dashed: left crank",
            (
                Seen("crank", (_RIM,), "about"),
                Seen(OWN, (_RIM,), "about", at=Put("axle", _AXLE)),
                Circle(_OWN_PIN, _ON_PIN),
                Circle(_OWN_LEFT, _ON_PIN, "dashed"),
            ),
            words=AT_AXLE_ABOVE,
        )
    }
    INSTEAD = ((("ahead",), ("back",)), (("pin_ahead_by",), ("pin_behind_by",)))

    ahead: Size | None = maybe(
        "of the driving axle, centre to centre; or back = ...",
        29.0,
        rare=False,
        bench="how far ahead {} stands",
        owner="how far ahead of the driving axle {} stands",
        suspect=6,
        wrong=_SPACING,
        calliper=Between(AXLE, _AXLE),
    )
    back: Size | None = maybe(
        "of the driving axle, centre to centre; or ahead = ...",
        suspect=7,
        wrong=_SPACING,
        bench="how far back {} stands",
        owner="how far behind the driving axle {} stands",
        calliper=Between(_AXLE, AXLE),
    )
    up: Length = maybe(
        "above the driving axle",
        default=0.0,
        bench="how far up {} stands",
        owner="how far above the driving axle {} stands",
        damage="bring {} to the height of the others, or joint the rods there",
        suspect=8,
    )
    throw: Size | None = maybe(
        "where it is not wheels.throw",
        4.33,
        owner="the distance from {} to its {pin}",
        suspect=2,
        wrong=Wrong(0.15, 1.0, instead="wheels.throw", ought="wheels.throw"),
        calliper=Between(_AXLE, _OWN_PIN),
    )
    tread: Size | None = tread("over the tread, not the flange, where it is not wheels.tread")
    quarter: Angle | None = maybe(
        "degrees; right pin before its left, where not as driving",
        Degrees(90.0),
        bench="{}'s quartering",
        owner="the turn between the right-hand and the left-hand crank of {}",
        mends="requarter",
        suspect=3,
        wrong=Wrong(Degrees(5.0), 1.0, whole=True),
        calliper=Turned(_AXLE, _OWN_PIN, _OWN_LEFT, reach=1.5),
    )
    pin_ahead_by: Angle | None = maybe(
        "degrees by which this wheel's pin is too far on, in forward running",
        bench="how far {}'s crank pin is ahead of its place",
        owner="how far the {pin} of {} is turned ahead of its place",
        mends="requarter",
        suspect=4,
        wrong=Wrong(Degrees(5.0), 6.0, instead="", ought="", relative=True),
    )
    pin_behind_by: Angle | None = maybe(
        "degrees by which this wheel's pin is not far enough on, forward running",
        bench="how far {}'s crank pin is behind its place",
        owner="how far the {pin} of {} is turned behind its place",
        mends="requarter",
        suspect=5,
        wrong=Wrong(Degrees(5.0), 6.0, ought=""),
    )
    pin: Size | None = maybe("diameter of the crank pin in the coupling rod")
    side_play: Amount | None = maybe(
        "how far the wheelset moves to either side of its middle",
        wrong=Wrong(0.4, 1.0, whole=True),
    )
    box_play: BoxPlay | None = None
    head: PinHead | None = None
    boss: Disc | None = None
    hub: Disc | None = None
    lean: PinLean | None = None

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        for pair in (("ahead", "back"), ("pin_ahead_by", "pin_behind_by")):
            if all(getattr(self, name) is not None for name in pair):
                raise ValueError(f"give only one of {pair[0]}, {pair[1]}")
        return self

    @property
    def x(self) -> float:
        """Where it stands, forward of the driving axle [mm]."""
        return self.ahead if self.ahead is not None else -(self.back or 0.0)

    @property
    def pin_early(self) -> float:
        """By how much the pin is too far on [rad]."""
        if self.pin_ahead_by is not None:
            return self.pin_ahead_by
        return -(self.pin_behind_by or 0.0)


class KnuckleTable(Table):
    """The pin by which one end of a rod is carried by another rod."""

    INSTEAD = ((("behind",), ("ahead_of",)),)

    on: str = dim("the rod that carries it")
    behind: str | None = Field(None, description="the axle behind whose pin it is")
    ahead_of: str | None = Field(None, description="the axle ahead of whose pin it is")
    distance: Size = dim(
        "from that crank pin to the knuckle, centre to centre",
        bench="how far {} is from the crank pin",
        owner="how far {} is from the {pin}",
    )
    play: Play = dim("of the knuckle's pin in its hole, in all")

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        exactly_one(self, ("behind", "ahead_of"))
        return self

    @property
    def along(self) -> float:
        """Where it is, forward of that crank pin [mm]."""
        return -self.distance if self.behind is not None else self.distance

    @property
    def axle(self) -> str:
        """Name of the axle by whose pin it is."""
        return self.behind or self.ahead_of or ""


class CouplingRodTable(Bar):
    """One coupling rod, or one length of a jointed one."""

    ORDER = ("from", "to", "centres", "holes")
    INSTEAD = ((("from", "to"), ("pins",)),)

    start: str | None = maybe("axle of its rear pin", "driving", alias="from", rare=False)
    to: str | None = maybe("axle of its front pin", "leading", rare=False)
    pins: tuple[str, ...] | None = Field(
        None, description="axles of a rod in one piece over several pins, rear to front"
    )
    centres: Spans = dim(OVER_EYES, 29.0, **{**CENTRES, "wrong": Wrong(0.2, 3.0)}, suspect=1)
    centres_measured: Literal["bent", "straight"] = Field(
        "bent", description="whether `centres` is as it is now, or what it was when straight"
    )
    holes: Holes | None = maybe(
        "where they are not all alike: rear, front", (1.54, 1.54), calliper=InHoles(OWN, FLAT)
    )
    bend: tuple[Bend, ...] = maybe(
        BENT, ({"kind": "bow", "from": "driving", "towards_frames": 0.5},), ()
    )
    knuckle: KnuckleTable | None = None

    @model_validator(mode="after")
    def _whole(self, info: ValidationInfo) -> Self:
        ends = [name for name in ("from", "to") if getattr(self, _FIELD.get(name, name))]
        if self.pins is not None and ends:
            raise ValueError(f"give from and to, or pins, not {' and '.join(ends)} beside pins")
        if not self.axles:
            raise ValueError("should name the axles it couples: from and to, or pins")
        if self.knuckle is None and len(self.axles) < 2:
            raise ValueError("should name two axles, or one and a knuckle on another rod")
        if self.knuckle is not None and self.pins is None and len(ends) == 2:
            raise ValueError("with a knuckle give from or to alone, the end on a crank pin")
        self._spans_fit(say_in(info))
        return self

    def _spans_fit(self, say: Say) -> None:
        wanted = len(self.points) - 1
        if len(self.spans) != wanted:
            raise ValueError(
                f"needs {wanted} centres, one for each span from the rear, not {len(self.spans)}"
            )
        if self.holes is not None and len(self.holes) != len(self.axles):
            raise ValueError(f"needs {len(self.axles)} holes, one for each crank pin it is on")
        if self.centres_measured == "straight" and wanted > 1:
            raise ValueError('centres_measured = "straight" goes only with two holes')
        self.check_bends(sum(self.spans), say)

    @property
    def spans(self) -> tuple[float, ...]:
        """Centre to centre of neighbouring holes, rear to front [mm]."""
        return self.centres if isinstance(self.centres, tuple) else (self.centres,)

    @property
    def axles(self) -> tuple[str, ...]:
        """The axles on whose pins it runs, rear to front."""
        if self.pins is not None:
            return self.pins
        return tuple(name for name in (self.start, self.to) if name is not None)

    @property
    def points(self) -> tuple[str, ...]:
        """What its holes are on, rear to front: axles, and "knuckle"."""
        if self.knuckle is None:
            return self.axles
        if self.knuckle.behind is not None:
            return (*self.axles, KNUCKLE)
        return (KNUCKLE, *self.axles)

    def end_names(self) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Return what either end may be called, the rear one first."""
        points = self.points
        return ("rear", points[0]), ("front", points[-1])


KNUCKLE = "knuckle"
_FIELD = {"from": "start"}
