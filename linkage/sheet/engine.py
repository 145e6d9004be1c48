"""Tables of the wheels, the cylinder and the crosshead."""

from __future__ import annotations

import math
from typing import Literal, Self

from pydantic import Field, model_validator

from linkage.sheet.fields import Amount, Angle, Length, Size, Table, assumed, dim


class Wheels(Table):
    """The driving wheels."""

    throw: Size = dim("centre of the axle to centre of the crank pin: half the stroke")
    right_leads_by: Angle = Field(
        math.pi / 2, description="degrees by which the right-hand crank leads the left, forward"
    )
    rim_radius: Size | None = Field(None, description="radius over the flange, where it matters")
    rim_thickness: Size = assumed("width of the tyre, square to the wheel")
    side_play: Amount = Field(0.0, description="how far the wheelset moves to either side")
    curve: Size | None = Field(
        None, description="radius of the sharpest curve to stand on; else any place in side play"
    )


class Disc(Table):
    """A nut, a boss or a pin's head."""

    diameter: Size = dim("over its widest")
    out: Length = dim("inner face, outward from the wheel face")
    thickness: Size = dim("thickness, square to the wheel")


class Head(Table):
    """The size of every pin's head."""

    diameter: Size
    thickness: Size


class Pins(Table):
    """Small joint pins."""

    head: Head | None = None


class CrankPin(Table):
    """The driving crank pin."""

    diameter: Size = dim("of the pin, with callipers")
    nut: Disc | None = None
    boss: Disc | None = None


class Piston(Table):
    """The piston on its rod."""

    ahead_of_crosshead_pin: Length = dim("crosshead pin to the middle of the piston")
    thickness: Size = dim("along the rod")


class Body(Table):
    """The cylinder as the motion may touch it, covers and all."""

    rear: Length = dim("outer face of the rear cover, ahead of the axle along the centre line")
    front: Length = dim("outer face of the front cover, ahead of the axle along the centre line")
    depth: Size = dim("over all in the side view, square to the centre line")
    out: Length = dim("inner face, outward from the wheel face")
    thickness: Size = dim("over all, square to the wheel")

    @model_validator(mode="after")
    def _long_enough(self) -> Self:
        if self.front <= self.rear:
            raise ValueError("front should be ahead of rear")
        return self


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
    body: Body | None = None

    @model_validator(mode="after")
    def _bore(self) -> Self:
        if self.piston is None and (self.rear_cover, self.front_cover) != (None, None):
            raise ValueError(
                "rear_cover and front_cover need "
                "piston = { ahead_of_crosshead_pin = ..., thickness = ... }"
            )
        rear, front = self.rear_cover, self.front_cover
        if rear is None or front is None or self.piston is None:
            return self
        if front - rear <= self.piston.thickness:
            raise ValueError("front_cover should be ahead of rear_cover by more than the piston")
        return self


class SlideBars(Table):
    """The slide bars."""

    rear: Length = dim("rear end, ahead of the axle along the centre line")
    front: Length = dim("front end, ahead of the axle along the centre line")
    gap: Size = dim("between the inner faces of upper and lower bar, centred on the centre line")
    depth: Size = assumed("depth of one bar in the side view")
    thickness: Size = assumed("thickness, square to the wheel")
    out: Length = assumed("inner face, outward from the wheel face")
    number: Literal["both", "upper", "lower"] = "both"

    @model_validator(mode="after")
    def _long_enough(self) -> Self:
        if self.front <= self.rear:
            raise ValueError("front should be ahead of rear")
        return self


class Slipper(Table):
    """The sliding block of the crosshead, from its pin."""

    ahead: Amount = dim("crosshead pin to the block's front end")
    back: Amount = dim("crosshead pin to the block's rear end")
    depth: Size = dim("in the side view, as it runs between the bars")


class DropArmPin(Table):
    """Where the drop arm's pin stands, from the little-end pin, along and square to the slide."""

    ahead: Length = 0.0
    below: Length = dim("below the little-end pin, square to the slide")


class Crosshead(Table):
    """The crosshead with its drop arm."""

    slipper: Slipper | None = None
    thickness: Size = assumed("thickness, square to the wheel")
    out: Length = assumed("inner face, outward from the wheel face")
    drop_arm_pin: DropArmPin | None = None
    drop_arm_width: Size = assumed("depth of the drop arm in the side view")
    drop_arm_thickness: Size = assumed("thickness of the drop arm, square to the wheel")
    drop_arm_out: Length = assumed("inner face of the drop arm, outward from the wheel face")
