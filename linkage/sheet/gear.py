"""Tables of the Walschaerts gear, but for its rods."""

from __future__ import annotations

import math
from typing import Literal, Self

from pydantic import Field, model_validator

from linkage.sheet.fields import Amount, Angle, Length, Size, Table, assumed, dim, exactly_one


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
    width: Size = assumed("depth of the arm in the side view")
    thickness: Size = assumed("thickness, square to the wheel")
    out: Length = assumed("inner face, outward from the wheel face")

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        given = exactly_one(self, ("pin_circle", "arm"))
        idle = ("lean", "leans") if given == "pin_circle" else ("leads", "follows")
        for name in idle:
            if getattr(self, name) is not None:
                raise ValueError(f"{name} does not go with {given}")
        if given == "pin_circle":
            exactly_one(self, ("leads", "follows"))
        elif self.lean is None or self.leans is None:
            raise ValueError('arm needs lean and leans = "leading" or "following" beside it')
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

    ahead: Length = dim("of the driving axle")
    up: Length = dim("above the driving axle")


class FootPin(Table):
    """Where the eccentric rod takes hold, from the trunnion, with the link upright."""

    below: Size = dim("below the trunnion")
    back: Length = Field(0.0, description="behind the trunnion, towards the cab")


class ExpansionLink(Table):
    """The expansion link; upright means its slot upright at the trunnion."""

    trunnion: Trunnion
    foot_pin: FootPin
    slot_half_length: Size = dim("trunnion to either end of the slot, along it")
    slot_radius: Size | None = Field(None, description="of the slot's centre line")
    die_length: Amount = Field(0.0, description="length of the die block along the slot")
    width: Size = assumed("of the link, square to its slot")
    thickness: Size = assumed("thickness, square to the wheel")
    out: Length = assumed("inner face, outward from the wheel face")

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

    ahead: Length = dim("of the driving axle")
    up: Length = dim("above the driving axle")
    arm: Size = dim("centre of the shaft to the lifting link's pin")
    arm_angle: Angle | None = Field(None, description="degrees of the arm above the horizontal")
    arm_points: Literal["forward", "back"] = "forward"
    gear: Gear | None = None
    width: Size = assumed("depth of the arm in the side view")
    thickness: Size = assumed("thickness, square to the wheel")
    out: Length = assumed("inner face, outward from the wheel face")


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

    height: Length = dim("above the driving axle, at the axle, square to the cylinder's line")
    guide: SpindleGuide | None = None
    length: Size = assumed("valve pin to the front end that can be seen")
    diameter: Size = assumed("of the rod")
    out: Length = assumed("inner side of the rod, outward from the wheel face")
