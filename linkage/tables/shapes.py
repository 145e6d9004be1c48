"""Tables of outlines, parts and joints of the user's own."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Annotated, Any, ClassVar, Literal, Self

from pydantic import Field, ValidationInfo, model_validator

from linkage.lengths import Say
from linkage.tables.damage import Pins
from linkage.tables.engine import OUT
from linkage.tables.facts import NEVER, dim, maybe
from linkage.tables.fields import (
    Amount,
    Angle,
    At,
    Length,
    Location,
    Outline,
    PlaceName,
    Size,
    Spot2D,
    Table,
    exactly_one,
    say_in,
)
from linkage.tables.rods import Bend, Rod
from linkage.tables.views import AT_AXLE_ABOVE, OWN, Between, Corners, Edge, Seen, View

Name = Annotated[str, Field(min_length=1)]


class Round(Table):
    """A round outline."""

    x: Length
    y: Length
    diameter: Size


class Straight(Table):
    """A bar with round ends."""

    start: Spot2D = Field(alias="from")
    to: Spot2D
    width: Size


class Shape(Table):
    """An outline: a plate, a disc or a bar."""

    FORMS: ClassVar = ("side_view", "disc", "bar")
    INSTEAD = (tuple((form,) for form in FORMS),)

    side_view: Outline | None = maybe(
        "its corners in turn, from the driving axle: [ahead, up]",
        ((21.5, 4.0), (23.5, 4.0), (23.5, 10.5), (21.5, 10.5)),
        calliper=Corners(OWN),
    )
    disc: Round | None = None
    bar: Straight | None = None
    out: Length = dim(
        "its inner face, outward from the wheel's face",
        2.9,
        rare=True,
        **OUT,
        calliper=Between(Edge(OWN, 0.0, None), Edge(OWN, 0.0, 0.0), "left", "plan"),
    )
    thickness: Size = dim(
        "square to the wheel",
        0.8,
        rare=True,
        calliper=Between(Edge(OWN, 1.0, 0.0), Edge(OWN, 1.0, 1.0), "right", "plan"),
    )

    @model_validator(mode="after")
    def _one_form(self) -> Self:
        exactly_one(self, self.FORMS)
        return self


class Fixed(Shape):
    """Something fixed to the frame; its outline from the driving axle."""

    ORDER = ("name",)
    VIEWS: ClassVar[Mapping[str, View]] = {
        "": View("side view, corners from the driving axle", (Seen(OWN),), words=AT_AXLE_ABOVE),
        "plan": View("plan", (Seen(OWN),), plan=True),
    }

    name: Name = dim("", "motion bracket", rare=True)


class MotionBracket(Fixed):
    """The motion bracket."""

    name: Name = "motion bracket"


class Extra(Shape):
    """A further outline on a part, in the part's own axes."""

    on: str
    name: str = ""


class FreePart(Table):
    """A part of a free linkage: two eyes, or any named points in its own axes."""

    name: str = Field(min_length=1)
    centres: Size | None = None
    points: dict[str, Spot2D] | None = None
    width: Size | None = None
    thickness: Size | None = None
    out: Length | None = maybe("its inner face, outward from the wheel's face", **OUT)
    ends: tuple[Size, Size] | None = None
    bend: tuple[Bend, ...] = ()

    @model_validator(mode="after")
    def _points(self, info: ValidationInfo) -> Self:
        exactly_one(self, ("centres", "points"))
        layer = (self.width, self.thickness, self.out)
        if any(value is None for value in layer) and any(value is not None for value in layer):
            raise ValueError("an outline needs width, thickness and out, all three")
        bar = self.bar()
        if bar is not None and self.centres is not None:
            bar.check_bends(self.centres, say_in(info))
        elif self.bend:
            raise ValueError("a bend needs centres, width, thickness and out")
        return self

    def bar(self) -> Rod | None:
        """Return the part as a rod with an outline; None where it has none."""
        if self.centres is None or self.width is None or self.thickness is None or self.out is None:
            return None
        return Rod.model_construct(
            centres=self.centres,
            centres_measured="bent",
            width=self.width,
            thickness=self.thickness,
            out=self.out,
            ends=self.ends,
            bend=self.bend,
        )


class FreePin(Table):
    """A pin of the user's own."""

    name: str = Field(min_length=1)
    joins: tuple[PlaceName, PlaceName]
    near: Spot2D | None = Field(
        None, description="about where it stands when the crank points straight ahead"
    )


class FreeSlide(Table):
    """A slide of the user's own: a part that runs along a line and does not turn on it."""

    name: str = Field(min_length=1)
    moves: str = Field(description='the running point, "part.point"')
    along: Spot2D = Field(description="a place on the line, from which travel is counted")
    on: str = "frame"
    direction: Angle = 0.0
    turned: Angle | None = Field(None, description="of the part against the guide, if not along it")
    near: Spot2D | None = None
    travel: FreeTravel | None = None


class FreeTravel(Table):
    """How far a slide may go."""

    least: Length | None = None
    most: Length | None = None


class FreeSlot(Table):
    """A slot of the user's own, straight or curved."""

    name: str = Field(min_length=1)
    pin: str = Field(description='what runs in it, "part.point"')
    on: str = Field(description="the slotted part")
    middle: Spot2D = Field(description="middle of the slot, in the slotted part's axes")
    direction: Angle = 0.0
    radius: Size | None = None
    curves: Literal["left", "right"] | None = None
    half_length: Size | None = None
    near: Spot2D | None = None

    @model_validator(mode="after")
    def _curve(self) -> Self:
        if (self.radius is None) != (self.curves is None):
            raise ValueError('a curved slot needs both radius and curves = "left" or "right"')
        return self


FELT = "felt by wobble"


def play_of(joint: str) -> dict[str, Any]:
    """Return the phrases for the play of a joint, which sets free and never locks."""
    words = f"the play of the {joint}"
    return {"bench": words, "owner": words, "wrong": NEVER}


class JointPlay(Table):
    """Play in the joints of the gear, in all: hole less pin, or slot less block.

    JOINTS has the joints with a line of their own, by their names, and that line's key; an
    arrangement adds its own.
    """

    JOINTS: ClassVar[Mapping[str, str]] = {
        "driving axle": "driving_axle",
        "crank pin": "crank_pin",
        "little end": "little_end",
        "crosshead slide": "crosshead_slide",
    }

    everywhere: Amount = maybe(
        "hole less pin, in every joint of the gear; wobble and guess",
        0.03,
        0.0,
        rare=False,
        no_place=f"{FELT}, or hole less pin",
        wrong=NEVER,
        bench="the play of all joints of the gear",
        owner="how loose the joints of the moving bars are",
    )
    driving_axle: Amount | None = maybe(
        "of the axle in its boxes, in all", 0.05, no_place=FELT, **play_of("driving axle")
    )
    crank_pin: Amount | None = maybe("hole less pin", **play_of("crank pin"))
    little_end: Amount | None = maybe("hole less pin", **play_of("little end"))
    crosshead_slide: Amount | None = maybe("bars less block", **play_of("crosshead in its bars"))

    def of(self, joint: str) -> float:
        """Return the play of a joint, in all [mm]."""
        own = getattr(self, self.JOINTS[joint]) if joint in self.JOINTS else None
        return self.everywhere if own is None else float(own)


_MOST = 50
"""Of fixed things, of outlines and of parts: each is held against every other round the turn."""


class Side(Table):
    """One side of any sheet, and what any may add: outlines, parts and joints of the user's own.

    LOCOMOTIVE is true where its proportions are those of a locomotive, and odd ones are asked
    about. EITHER has the keys or tables of two ways to give one thing, of which no sheet has both.
    PLACES has the names of where its reverser can be set, from full forward to full back.
    """

    LOCOMOTIVE: ClassVar[bool] = False
    PLACES: ClassVar[tuple[str, ...]] = ()
    EITHER: ClassVar[tuple[tuple[str, ...], tuple[str, ...]]] = ((), ())

    fixed: tuple[Fixed, ...] = Field((), max_length=_MOST)
    motion_bracket: MotionBracket | None = None
    extra: tuple[Extra, ...] = Field((), max_length=_MOST)
    part: tuple[FreePart, ...] = Field((), max_length=_MOST)
    pin: tuple[FreePin, ...] = ()
    slide: tuple[FreeSlide, ...] = ()
    slot: tuple[FreeSlot, ...] = ()
    pins: Pins = Pins.model_validate({})
    joint_play: JointPlay = JointPlay.model_validate({})

    @model_validator(mode="after")
    def _names(self) -> Self:
        for what, tables in (
            ("parts or fixed things", ("part", "fixed", "motion_bracket")),
            ("joints", ("pin", "slide", "slot")),
            ("outlines", ("extra",)),
        ):
            places: dict[str, str] = {}
            for key, number, held in self._all_of(tables):
                name = getattr(held, "name", "")
                here = f"{key}[{number + 1}]" if isinstance(number, int) else key
                if places.setdefault(name, here) != here and name:
                    location = (key, "name") if number is None else (key, number, "name")
                    wrong = f'two {what} have the name "{name}": the other is {places[name]}'
                    raise At(location, wrong)
        return self

    def _all_of(self, keys: Iterable[str]) -> Iterator[tuple[str, int | None, object]]:
        """Yield all that stands under some keys, with its key and its number in a list, from 0."""
        for key in keys:
            held = getattr(self, key)
            if isinstance(held, tuple):
                yield from ((key, number, one) for number, one in enumerate(held))
            elif held is not None:
                yield key, None, held

    def running_faults(self, running: object) -> Iterator[tuple[Location, str]]:
        """Yield what is wrong with where the reverser is set: the place, and the fault."""
        if running is not None:
            yield ("running",), "needs a lifting_link and a weighshaft to set"

    def odd_proportions(self, _say: Say) -> Iterator[tuple[Location, str]]:
        """Yield places whose numbers its proportions give away as hardly meant, with a question."""
        yield from ()

    def taken_for_granted(self) -> Iterator[str]:
        """Yield what is assumed of it that is no size, in plain words."""
        yield from ()


FreeSlide.model_rebuild()
