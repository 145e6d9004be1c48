"""The valve and its ports: none of it moves anything, and all of it times the steam."""

from __future__ import annotations

from typing import Any, Literal, Self

from pydantic import ValidationInfo, model_validator

from linkage.tables.facts import NEVER, maybe
from linkage.tables.fields import Amount, Length, Size, Table, say_in

_STILL: dict[str, Any] = {"wrong": NEVER}  # nothing sticks for it
_OPEN = "read off valve and port face, the steam chest open"
_SET = "seen through the ports, the steam chest open"


class Valve(Table):
    """The valve and its ports, measured along the spindle; for `tightspot events` alone."""

    INSTEAD = ((("exhaust_lap",), ("exhaust_clearance",)),)

    steam_lap: Amount | None = maybe(
        "in its middle: from the valve's steam edge to the port's",
        0.5,
        no_place=_OPEN,
        full_size=(8.0, 60.0),
        bench="{}'s steam lap",
        owner="how far {} covers the port on the steam side, in its middle",
        **_STILL,
    )
    exhaust_lap: Amount | None = maybe(
        "likewise at the exhaust edge, 0 for line and line; or exhaust_clearance = ...",
        0.0,
        no_place=_OPEN,
        bench="{}'s exhaust lap",
        owner="how far {} covers the port on the exhaust side, in its middle",
        **_STILL,
    )
    exhaust_clearance: Amount | None = maybe(
        "by how much the port is open to exhaust with the valve in its middle",
        bench="{}'s exhaust clearance",
        owner="how far {} leaves the port open to the exhaust, in its middle",
        **_STILL,
    )
    port: Size | None = maybe(
        "width of a steam port, along the spindle",
        0.7,
        no_place=_OPEN,
        full_size=(15.0, 70.0),
        bench="the width of {}'s ports",
        owner="the width of the ports under {}",
        **_STILL,
    )
    chest: Size | None = maybe(
        "inside length of the steam chest, along the spindle",
        9.0,
        no_place=_OPEN,
        bench="the length of {}'s steam chest",
        owner="the length of the chest that {} slides in",
        **_STILL,
    )
    middle: Length | None = maybe(
        "axle to the valve pin, along the spindle, the valve in its middle over the ports; "
        "left out: the valve is taken to be set for equal leads in full forward gear",
        no_place=_SET,
        bench="how far ahead {}'s pin stands with the valve in its middle",
        owner="how far ahead of the driving axle the pin of {} stands in its middle",
        **_STILL,
    )
    admission: Literal["inside", "outside"] | None = maybe(
        "which edge lets the steam in: outside for slide valves"
    )

    @model_validator(mode="after")
    def _fits(self, info: ValidationInfo) -> Self:
        if self.exhaust_lap is not None and self.exhaust_clearance is not None:
            raise ValueError("give exhaust_lap or exhaust_clearance, not both")
        if self.port is None or self.chest is None:
            return self
        if 2 * self.port >= self.chest:
            say = say_in(info)
            raise ValueError(
                "port should be less than half of chest, for two ports go into it "
                f"(two of {say(self.port)} into {say(self.chest)})"
            )
        return self

    @property
    def exhaust(self) -> float | None:
        """The exhaust lap, below nought for a clearance [mm]; None where the sheet is silent."""
        return -self.exhaust_clearance if self.exhaust_clearance is not None else self.exhaust_lap
