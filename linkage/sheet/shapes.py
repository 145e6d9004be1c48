"""Tables of outlines, parts and joints of the user's own."""

from __future__ import annotations

from typing import ClassVar, Literal, Self

from pydantic import Field, model_validator

from linkage.sheet.engine import Pins
from linkage.sheet.fields import (
    Amount,
    Angle,
    Length,
    Outline,
    PlaceName,
    Size,
    Spot2D,
    Table,
    dim,
    exactly_one,
)
from linkage.sheet.rods import Bend, Rod


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

    side_view: Outline | None = None
    disc: Round | None = None
    bar: Straight | None = None
    out: Length = dim("inner face, outward from the wheel face")
    thickness: Size = dim("thickness, square to the wheel")

    @model_validator(mode="after")
    def _one_form(self) -> Self:
        exactly_one(self, self.FORMS)
        return self


class Fixed(Shape):
    """Something fixed to the frame; its outline from the driving axle."""

    name: str = Field(min_length=1)


class MotionBracket(Fixed):
    """The motion bracket."""

    name: str = Field("motion bracket", min_length=1)


class Extra(Shape):
    """A further outline on a part, in the part's own axes."""

    on: str
    name: str = ""


class CrankTable(Table):
    """The crank of a free linkage; its pins from its axle, [along, across] the crank."""

    axle: Spot2D = (0.0, 0.0)
    pins: dict[str, Spot2D] = Field(min_length=1)


class FreePart(Table):
    """A part of a free linkage: two eyes, or any named points in its own axes."""

    name: str = Field(min_length=1)
    centres: Size | None = None
    points: dict[str, Spot2D] | None = None
    width: Size | None = None
    thickness: Size | None = None
    out: Length | None = None
    ends: tuple[Size, Size] | None = None
    bend: tuple[Bend, ...] = ()

    @model_validator(mode="after")
    def _points(self) -> Self:
        exactly_one(self, ("centres", "points"))
        layer = (self.width, self.thickness, self.out)
        if any(value is None for value in layer) and any(value is not None for value in layer):
            raise ValueError("an outline needs width, thickness and out, all three")
        bar = self.bar()
        if bar is not None and self.centres is not None:
            bar.check_bends(self.centres)
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


class JointPlay(Table):
    """Play in the joints of the gear, in all: hole less pin, or slot less block."""

    everywhere: Amount = Field(0.0, description="of every joint that has no line of its own")
    driving_axle: Amount | None = Field(None, description="of the driving axle in its boxes")
    crank_pin: Amount | None = None
    little_end: Amount | None = None
    crosshead_slide: Amount | None = None
    return_crank_pin: Amount | None = None
    link_foot_pin: Amount | None = None
    trunnion: Amount | None = None
    die_block: Amount | None = None
    lifting_pin: Amount | None = None
    weighshaft_pin: Amount | None = None
    radius_rod_pin: Amount | None = None
    valve_pin: Amount | None = None
    valve_spindle_slide: Amount | None = None
    union_pin: Amount | None = None
    drop_arm_pin: Amount | None = None

    def of(self, joint: str) -> float:
        """Return the play of a joint, in all [mm]."""
        own = getattr(self, joint.replace(" ", "_").replace("-", "_"), None)
        return self.everywhere if own is None else float(own)


class Anything(Table):
    """What any sheet may add: outlines, parts and joints of the user's own."""

    fixed: tuple[Fixed, ...] = ()
    motion_bracket: MotionBracket | None = None
    extra: tuple[Extra, ...] = ()
    part: tuple[FreePart, ...] = ()
    pin: tuple[FreePin, ...] = ()
    slide: tuple[FreeSlide, ...] = ()
    slot: tuple[FreeSlot, ...] = ()
    pins: Pins = Pins.model_validate({})
    joint_play: JointPlay = JointPlay.model_validate({})

    @model_validator(mode="after")
    def _names(self) -> Self:
        brackets = [self.motion_bracket] if self.motion_bracket else []
        for what, tables in (
            ("parts or fixed things", [*self.part, *self.fixed, *brackets]),
            ("joints", [*self.pin, *self.slide, *self.slot]),
            ("outlines", [extra for extra in self.extra if extra.name]),
        ):
            names = [getattr(table, "name", "") for table in tables]
            twice = sorted({name for name in names if names.count(name) > 1})
            if twice:
                raise ValueError(f'two {what} have the name "{twice[0]}"')
        return self


FreeSlide.model_rebuild()
