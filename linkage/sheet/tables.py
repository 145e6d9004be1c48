"""The tables of a sheet, in the trade's words.

Lengths arrive in mm and angles in radians whatever the file's units. A field marked *assumed* is
filled in by `linkage.sheet.assumptions` where the file does not give it, so it always has a value
here. Descriptions are shown by editors and stand as measuring hints on a blank sheet.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any, ClassVar, Literal, Self

from pydantic import Field, model_validator

from linkage.sheet.fields import (
    Amount,
    Angle,
    Length,
    Outline,
    PlaceName,
    Size,
    Spot2D,
    Table,
)

ASSUMED: dict[str, Any] = {"assumed": True}
"""Marks a field that is filled in from common practice where the file leaves it out."""
BOW_MIDDLE = 0.1
"""How far from mid length, as a part of the length, a bow's greatest sag may be typed."""


def _dim(hint: str) -> Any:
    return Field(description=hint)


def _assumed(hint: str) -> Any:
    return Field(description=hint, json_schema_extra=ASSUMED)


def exactly_one(table: Table, names: Sequence[str]) -> str:
    """Return which one of some fields is given; ValueError unless it is just one."""
    given = [name for name in names if getattr(table, name) is not None]
    if len(given) != 1:
        found = f", not {' and '.join(given)} together" if given else ""
        raise ValueError(f"give exactly one of {', '.join(names)}{found}")
    return given[0]


# --- bends ------------------------------------------------------------------------------------


class Bend(Table):
    """One bend of a rod, as laid on the bench and measured.

    A kink is a sharp corner with straight limbs to both eyes, a bow a circular arc, a joggle a
    shift of everything beyond `at`, spread over `length`.
    """

    WAYS: ClassVar = ("towards_frames", "away_from_frames", "up", "down", "ahead", "back")

    kind: Literal["kink", "bow", "joggle"]
    start: str = Field(alias="from", description="the end from which `at` is measured")
    at: Amount | None = Field(
        None, description="distance from that end's centre, along the rod"
    )
    towards_frames: Amount | None = None
    away_from_frames: Amount | None = None
    up: Amount | None = None
    down: Amount | None = None
    ahead: Amount | None = None
    back: Amount | None = None
    length: Size | None = Field(None, description="over how much of the rod a joggle is spread")
    over: Size | None = Field(None, description="length of a bow that is not the whole rod")

    @model_validator(mode="after")
    def _whole(self) -> Self:
        exactly_one(self, self.WAYS)
        if self.kind != "bow" and self.at is None:
            raise ValueError(f"a {self.kind} needs at = the distance from the end named")
        if (self.kind == "joggle") != (self.length is not None):
            raise ValueError("length belongs to a joggle, and a joggle needs it")
        if self.over is not None and (self.kind != "bow" or self.at is None):
            raise ValueError("over belongs to a bow, with at = the place of its greatest sag")
        return self

    @property
    def way(self) -> str:
        """Which way the metal goes, as a word."""
        return exactly_one(self, self.WAYS)

    @property
    def amount(self) -> float:
        """How far it goes [mm]."""
        return float(getattr(self, self.way))

    @property
    def lateral(self) -> bool:
        """Whether it goes sideways, towards or away from the frames."""
        return self.way in ("towards_frames", "away_from_frames")


def _bend_fault(bend: Bend, length: float, upright: bool) -> str | None:
    """Return what is wrong with a bend of a rod of that length [mm], if anything is."""
    in_plane = ("ahead", "back") if upright else ("up", "down")
    if not bend.lateral and bend.way not in in_plane:
        return f"{bend.way} is no way for this part to bend: use {' or '.join(in_plane)}"
    if bend.kind == "bow" and bend.over is None:
        if bend.at is not None and abs(bend.at - length / 2) > BOW_MIDDLE * length:
            return (
                f"a bow over the whole rod is greatest at the middle, {length / 2:.3g} mm: "
                "give over = its length, or call it a kink"
            )
        first, last, reach = 0.0, length, length / 2
    else:
        at = bend.at or 0.0
        before, after = {"kink": (0.0, 0.0), "joggle": (0.0, bend.length or 0.0)}.get(
            bend.kind, ((bend.over or 0.0) / 2, (bend.over or 0.0) / 2)
        )
        first, last = at - before, at + after
        reach = {"kink": min(at, length - at), "joggle": bend.length or 0.0}.get(bend.kind, before)
    if first < 0 or last > length or (bend.kind == "kink" and not 0 < first < length):
        return f"the bend should lie between the two ends, which are {length:.4g} mm apart"
    return None if bend.amount < reach else "bends further than the metal there can reach"


class Bar(Table):
    """What every bar has: a depth, a thickness and a place outward from the wheel."""

    width: Size = _assumed("depth of the bar in the side view")
    thickness: Size = _assumed("thickness, square to the wheel")
    out: Length = _assumed("inner face of the bar, outward from the wheel face")
    ends: tuple[Size, Size] | None = Field(
        None, description="diameters of the two eyes, where they are larger than the bar"
    )
    bend: tuple[Bend, ...] = ()

    END_NAMES: ClassVar[tuple[tuple[str, ...], tuple[str, ...]]] = (("rear",), ("front",))
    UPRIGHT: ClassVar[bool] = False

    def far_end(self, name: str) -> bool:
        """Return whether a named end is the second one (front, bottom, ...)."""
        return name in self.END_NAMES[1]

    def check_bends(self, length: float) -> None:
        """Raise ValueError naming the first bend that a bar of that length [mm] cannot have."""
        known = [*self.END_NAMES[0], *self.END_NAMES[1]]
        for number, bend in enumerate(self.bend, 1):
            if bend.start not in known:
                wanted = ", ".join(f'"{name}"' for name in known)
                raise ValueError(f'bend {number}: from should be one of {wanted}, not "{bend.start}"')
            fault = _bend_fault(bend, length, self.UPRIGHT)
            if fault:
                raise ValueError(f"bend {number}: {fault}")


class Rod(Bar):
    """A rod with an eye at either end."""

    centres: Size = _dim("centre to centre of the two eyes")
    centres_measured: Literal["bent", "straight"] = Field(
        "bent", description="whether `centres` is as it is now, or what it was when straight"
    )

    @model_validator(mode="after")
    def _bends_fit(self) -> Self:
        self.check_bends(self.centres)
        return self


class ConnectingRod(Rod):
    """Connecting rod: crank pin to crosshead."""

    END_NAMES = (("big end", "rear"), ("little end", "front"))


class EccentricRod(Rod):
    """Eccentric rod: return crank to the expansion link's foot."""

    END_NAMES = (("return crank pin", "return crank", "rear"), ("foot pin", "front"))


class UnionLink(Rod):
    """Union link: drop arm to the combination lever's foot."""

    END_NAMES = (("drop arm pin", "drop arm"), ("union pin", "combination lever"))


class LiftingLink(Rod):
    """Lifting link: weighshaft arm to the radius rod."""

    END_NAMES = (("weighshaft pin", "top"), ("lifting pin", "bottom"))
    UPRIGHT = True

    class RodPin(Table):
        """Where it holds the radius rod, measured along the rod from the die block."""

        ahead_of_die: Length | None = None
        behind_die: Length | None = None
        above: Length = Field(0.0, description="above the rod's centre line")

        @model_validator(mode="after")
        def _one_way(self) -> Self:
            exactly_one(self, ("ahead_of_die", "behind_die"))
            return self

    pin: RodPin


class RadiusRod(Rod):
    """Radius rod: die block to the combination lever, or to the valve spindle."""

    END_NAMES = (("die block", "rear"), ("lever pin", "valve pin", "front"))

    die_above_trunnion: Length | None = Field(
        None, description="how far along the slot above the trunnion the die is fixed"
    )
    die_below_trunnion: Length | None = Field(
        None, description="how far along the slot below the trunnion the die is fixed"
    )

    @property
    def die_offset(self) -> float | None:
        """Where the die is fixed, upward along the slot [mm]; None where it is free."""
        if self.die_above_trunnion is not None:
            return self.die_above_trunnion
        return None if self.die_below_trunnion is None else -self.die_below_trunnion


class CombinationLever(Bar):
    """Combination lever, hanging: union pin at the foot."""

    END_NAMES = (("top",), ("union pin", "bottom"))
    UPRIGHT = True

    radius_rod_pin_to_valve_pin: Size = _dim("centre to centre")
    radius_rod_pin_to_union_pin: Size = _dim("centre to centre")
    admission: Literal["inside", "outside"] = Field(
        "inside",
        description="inside: radius-rod pin on top, valve pin below it; outside: the other way",
    )

    @property
    def length(self) -> float:
        """Topmost pin to union pin [mm]."""
        extra = self.radius_rod_pin_to_valve_pin if self.admission == "outside" else 0.0
        return self.radius_rod_pin_to_union_pin + extra

    @model_validator(mode="after")
    def _pins_in_order(self) -> Self:
        if self.radius_rod_pin_to_valve_pin >= self.radius_rod_pin_to_union_pin:
            raise ValueError(
                "radius_rod_pin_to_valve_pin should be less than radius_rod_pin_to_union_pin"
            )
        self.check_bends(self.length)
        return self


# --- wheels, cylinder, crosshead ----------------------------------------------------------------


class Wheels(Table):
    """The driving wheels."""

    throw: Size = _dim("centre of the axle to centre of the crank pin: half the stroke")
    right_leads_by: Angle = Field(
        math.pi / 2, description="degrees by which the right-hand crank leads the left, forward"
    )
    rim_radius: Size | None = Field(None, description="radius over the flange, where it matters")
    rim_thickness: Size = _assumed("width of the tyre, square to the wheel")
    side_play: Amount = Field(0.0, description="how far the wheelset moves to either side")


class Disc(Table):
    """A nut, a boss or a pin's head."""

    diameter: Size = _dim("over its widest")
    out: Length = _dim("inner face, outward from the wheel face")
    thickness: Size = _dim("thickness, square to the wheel")


class Head(Table):
    """The size of every pin's head."""

    diameter: Size
    thickness: Size


class Pins(Table):
    """Small joint pins."""

    head: Head | None = None


class CrankPin(Table):
    """The driving crank pin."""

    diameter: Size = _dim("of the pin, with callipers")
    nut: Disc | None = None
    boss: Disc | None = None


class Piston(Table):
    """The piston on its rod."""

    ahead_of_crosshead_pin: Length = _dim("crosshead pin to the middle of the piston")
    thickness: Size = _dim("along the rod")


class Cylinder(Table):
    """The cylinder's centre line, and its covers."""

    inclination: Angle = Field(0.0, description="degrees, front end raised")
    axis_height: Length = Field(
        0.0, description="centre line above the driving axle, at the axle, square to the line"
    )
    rear_cover: Length | None = Field(
        None, description="inner face of the rear cover, ahead of the axle along the centre line"
    )
    front_cover: Length | None = Field(
        None, description="inner face of the front cover, ahead of the axle along the centre line"
    )
    piston: Piston | None = None

    @model_validator(mode="after")
    def _bore(self) -> Self:
        if self.piston is None and (self.rear_cover, self.front_cover) != (None, None):
            raise ValueError("rear_cover and front_cover need piston = { ahead_of_crosshead_pin = "
                             "..., thickness = ... }")
        if self.rear_cover is not None and self.front_cover is not None and self.piston:
            if self.front_cover - self.rear_cover <= self.piston.thickness:
                raise ValueError("front_cover should be ahead of rear_cover by more than the piston")
        return self


class SlideBars(Table):
    """The slide bars."""

    rear: Length = _dim("rear end, ahead of the axle along the centre line")
    front: Length = _dim("front end, ahead of the axle along the centre line")
    gap: Size = _dim("between the inner faces of upper and lower bar, centred on the centre line")
    depth: Size = _assumed("depth of one bar in the side view")
    thickness: Size = _assumed("thickness, square to the wheel")
    out: Length = _assumed("inner face, outward from the wheel face")
    number: Literal["both", "upper", "lower"] = "both"

    @model_validator(mode="after")
    def _long_enough(self) -> Self:
        if self.front <= self.rear:
            raise ValueError("front should be ahead of rear")
        return self


class Slipper(Table):
    """The sliding block of the crosshead, from its pin."""

    ahead: Amount = _dim("crosshead pin to the block's front end")
    back: Amount = _dim("crosshead pin to the block's rear end")
    depth: Size = _dim("in the side view, as it runs between the bars")


class DropArmPin(Table):
    """Where the drop arm's pin stands, from the little-end pin, along and square to the slide."""

    ahead: Length = 0.0
    below: Length = _dim("below the little-end pin, square to the slide")


class Crosshead(Table):
    """The crosshead with its drop arm."""

    slipper: Slipper | None = None
    thickness: Size = _assumed("thickness, square to the wheel")
    out: Length = _assumed("inner face, outward from the wheel face")
    drop_arm_pin: DropArmPin | None = None
    drop_arm_width: Size = _assumed("depth of the drop arm in the side view")
    drop_arm_thickness: Size = _assumed("thickness of the drop arm, square to the wheel")
    drop_arm_out: Length = _assumed("inner face of the drop arm, outward from the wheel face")


# --- the gear -----------------------------------------------------------------------------------


class ReturnCrank(Table):
    """The return crank, by its pin circle or by its arm."""

    pin_circle: Size | None = Field(None, description="radius: axle centre to return-crank pin")
    leads: Angle | None = Field(None, description="degrees ahead of the crank pin, forward running")
    follows: Angle | None = Field(None, description="degrees behind the crank pin, forward running")
    arm: Size | None = Field(None, description="crank pin to return-crank pin")
    lean: Angle | None = Field(
        None, description="degrees between the arm and the line from crank pin to axle"
    )
    leans: Literal["leading", "following"] | None = Field(
        None, description="whether that lean puts the pin ahead of or behind the crank pin"
    )
    width: Size = _assumed("depth of the arm in the side view")
    thickness: Size = _assumed("thickness, square to the wheel")
    out: Length = _assumed("inner face, outward from the wheel face")

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        if exactly_one(self, ("pin_circle", "arm")) == "pin_circle":
            exactly_one(self, ("leads", "follows"))
            wrong, needed = ("lean", "leans"), ()
        else:
            wrong, needed = ("leads", "follows"), ("lean", "leans")
        for name in wrong:
            if getattr(self, name) is not None:
                raise ValueError(f"{name} does not go with {'arm' if needed else 'pin_circle'}")
        for name in needed:
            if getattr(self, name) is None:
                raise ValueError(f"arm needs {name} beside it")
        return self

    def pin(self, throw: float) -> tuple[float, float]:
        """Return where its pin stands in the crank's axes, x through the crank pin.

        Parameters
        ----------
        throw : float [mm]
            Axle to crank pin.

        Returns
        -------
        tuple of (float, float) [mm]
            Forward running is clockwise, so a pin that leads is at a negative angle.
        """
        if self.arm is not None and self.lean is not None:
            side = -1.0 if self.leans == "leading" else 1.0
            return throw - self.arm * math.cos(self.lean), side * self.arm * math.sin(self.lean)
        radius = self.pin_circle or 0.0
        angle = -self.leads if self.leads is not None else (self.follows or 0.0)
        return radius * math.cos(angle), radius * math.sin(angle)


class Trunnion(Table):
    """Where the expansion link swings, from the driving axle."""

    ahead: Length = _dim("of the driving axle")
    up: Length = _dim("above the driving axle")


class FootPin(Table):
    """Where the eccentric rod takes hold, from the trunnion, with the link upright."""

    below: Size = _dim("below the trunnion")
    back: Length = Field(0.0, description="behind the trunnion, towards the cab")


class ExpansionLink(Table):
    """The expansion link; upright means its slot upright at the trunnion."""

    trunnion: Trunnion
    foot_pin: FootPin
    slot_half_length: Size = _dim("trunnion to either end of the slot, along it")
    slot_radius: Size | None = Field(None, description="of the slot's centre line")
    die_length: Amount = Field(0.0, description="length of the die block along the slot")
    width: Size = _assumed("of the link, square to its slot")
    thickness: Size = _assumed("thickness, square to the wheel")
    out: Length = _assumed("inner face, outward from the wheel face")

    @model_validator(mode="after")
    def _slot(self) -> Self:
        if self.die_length >= 2 * self.slot_half_length:
            raise ValueError("die_length should be less than the whole slot")
        if self.slot_radius is not None and self.slot_radius <= self.slot_half_length:
            raise ValueError("slot_radius should be more than slot_half_length")
        return self


class Gear(Table):
    """Angles of the weighshaft arm in the named positions of the reverser."""

    full_forward: Angle
    mid: Angle
    full_back: Angle


class Weighshaft(Table):
    """The weighshaft and its lifting arm, fixed while the wheels turn."""

    ahead: Length = _dim("of the driving axle")
    up: Length = _dim("above the driving axle")
    arm: Size = _dim("centre of the shaft to the lifting link's pin")
    arm_angle: Angle | None = Field(None, description="degrees of the arm above the horizontal")
    arm_points: Literal["forward", "back"] = "forward"
    gear: Gear | None = None
    width: Size = _assumed("depth of the arm in the side view")
    thickness: Size = _assumed("thickness, square to the wheel")
    out: Length = _assumed("inner face, outward from the wheel face")


class SpindleGuide(Table):
    """Between which places the valve pin must stay, ahead of the axle along the spindle."""

    rear: Length
    front: Length

    @model_validator(mode="after")
    def _ahead(self) -> Self:
        if self.front <= self.rear:
            raise ValueError("front should be ahead of rear")
        return self


class ValveSpindle(Table):
    """The valve spindle, parallel to the cylinder."""

    height: Length = _dim("above the driving axle, at the axle, square to the cylinder's line")
    guide: SpindleGuide | None = None
    length: Size = _assumed("valve pin to the front end that can be seen")
    diameter: Size = _assumed("of the rod")
    out: Length = _assumed("inner side of the rod, outward from the wheel face")


# --- outlines and joints of the user's own ------------------------------------------------------


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
    out: Length = _dim("inner face, outward from the wheel face")
    thickness: Size = _dim("thickness, square to the wheel")

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
        if self.bend and self.bar() is None:
            raise ValueError("a bend needs centres, width, thickness and out")
        return self

    def bar(self) -> Rod | None:
        """Return the part as a rod with an outline; None where it has none."""
        if self.centres is None or None in (self.width, self.thickness, self.out):
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


class Anything(Table):
    """What any sheet may add: outlines, parts and joints of the user's own."""

    fixed: tuple[Fixed, ...] = ()
    motion_bracket: MotionBracket | None = None
    extra: tuple[Extra, ...] = ()
    part: tuple[FreePart, ...] = ()
    pin: tuple[FreePin, ...] = ()
    slide: tuple[FreeSlide, ...] = ()
    slot: tuple[FreeSlot, ...] = ()
    pins: Pins = Pins()

    @model_validator(mode="after")
    def _names(self) -> Self:
        brackets = [self.motion_bracket] if self.motion_bracket else []
        for what, tables in (
            ("parts or fixed things", [*self.part, *self.fixed, *brackets]),
            ("joints", [*self.pin, *self.slide, *self.slot]),
            ("outlines", [(extra) for extra in self.extra if extra.name]),
        ):
            names = [getattr(table, "name", "") for table in tables]
            twice = sorted({name for name in names if names.count(name) > 1})
            if twice:
                raise ValueError(f'two {what} have the name "{twice[0]}"')
        return self


# --- whole sides --------------------------------------------------------------------------------


class SliderCrankSide(Anything):
    """One side of a sheet of the arrangement "slider-crank"."""

    wheels: Wheels
    crank_pin: CrankPin | None = None
    cylinder: Cylinder = Cylinder()
    slide_bars: SlideBars | None = None
    connecting_rod: ConnectingRod
    crosshead: Crosshead

    @model_validator(mode="after")
    def _slipper(self) -> Self:
        if self.slide_bars and self.crosshead.slipper:
            if self.crosshead.slipper.depth > self.slide_bars.gap:
                raise ValueError("crosshead.slipper.depth should not be more than slide_bars.gap")
        return self


class WalschaertsSide(SliderCrankSide):
    """One side of a sheet of the arrangement "walschaerts"."""

    return_crank: ReturnCrank
    eccentric_rod: EccentricRod
    expansion_link: ExpansionLink
    radius_rod: RadiusRod
    lifting_link: LiftingLink | None = None
    weighshaft: Weighshaft | None = None
    combination_lever: CombinationLever | None = None
    union_link: UnionLink | None = None
    valve_spindle: ValveSpindle

    @model_validator(mode="after")
    def _die_held(self) -> Self:
        given = [
            name
            for name, there in (
                ("radius_rod.die_above_trunnion", self.radius_rod.die_above_trunnion is not None),
                ("radius_rod.die_below_trunnion", self.radius_rod.die_below_trunnion is not None),
                ("lifting_link", self.lifting_link is not None),
            )
            if there
        ]
        if len(given) != 1:
            found = f", not {' and '.join(given)} together" if given else ""
            raise ValueError(
                "the die block is held by exactly one of radius_rod.die_above_trunnion, "
                f"radius_rod.die_below_trunnion, [lifting_link]{found}"
            )
        if (self.lifting_link is None) != (self.weighshaft is None):
            raise ValueError("lifting_link and weighshaft belong together: give both or neither")
        return self

    @model_validator(mode="after")
    def _slot_reaches(self) -> Self:
        offset = self.radius_rod.die_offset
        link = self.expansion_link
        if offset is not None and abs(offset) > link.slot_half_length - link.die_length / 2:
            raise ValueError("the fixed die stands beyond the end of expansion_link's slot")
        radius = link.slot_radius or self.radius_rod.centres
        if radius <= link.slot_half_length:
            raise ValueError("expansion_link.slot_half_length should be less than the slot's radius")
        return self

    @model_validator(mode="after")
    def _lever_moved(self) -> Self:
        if self.combination_lever and self.crosshead.drop_arm_pin is None:
            raise ValueError("combination_lever needs crosshead.drop_arm_pin to move its foot")
        if self.union_link and not self.combination_lever:
            raise ValueError("union_link needs a combination_lever to move")
        return self


class LinkageSide(Anything):
    """A sheet of the arrangement "linkage": parts and joints alone."""

    crank: CrankTable


FreeSlide.model_rebuild()

SideTables = SliderCrankSide | WalschaertsSide | LinkageSide
ARRANGEMENTS: dict[str, type[SliderCrankSide] | type[WalschaertsSide] | type[LinkageSide]] = {
    "walschaerts": WalschaertsSide,
    "slider-crank": SliderCrankSide,
    "linkage": LinkageSide,
}
