"""A third cylinder between the frames, its valve worked by levers from both outside gears.

Three cranks 120 degrees apart move three valves whose movements, each as a harmonic of its crank,
add up to nothing; so the inside valve is to go by less the sum of the outside ones ::

    s = -(b / a) (1 + d / c) p - (d / c) q

Here p is the valve of the side that turns the two-to-one lever by its long arm a about a pivot on
the frame. On its short arm b that lever carries the pivot of the equal lever, whose one arm c the
other side's valve q holds, and whose other arm d moves the inside spindle. The pin on the short
arm goes by -b/a p; the inside pin is as far beyond it as d/c times what the other pin is behind
it. With a = 2 b and c = d that is s = -p - q, and with p = A cos t and q = A cos (t - 120) it is
A cos (t - 240). The second harmonic, which slanting rods bring in, adds up to nothing as well. What
is alike in all valves at every angle, the middle about which they move and the third harmonic,
the inside one gets twice as much of, the other way: a gear that moves the valve's middle as it
is notched up moves the inside one three times as far from where it would be by a gear of its own.

The ends of the levers are taken to go along their spindles by what these go, whatever the levers
swing: that is exact where the short links between them stay parallel to the spindles, and else
wrong by the links' slants, to the second order in the levers' swing.

A cylinder whose front end is raised by b has its dead centres b behind those of a level one, so its
crank follows by 240 + b for the steam to come as it does outside.

References
----------
The levers, their proportions and the crank set over for the slope: common practice of engines with
three cylinders, from memory, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any, Literal, Self

from pydantic import model_validator

from linkage.arrangements.arrangement import BOTH_SIDES, Arrangement, Inside
from linkage.arrangements.shared_tables import arm_length
from linkage.arrangements.walschaerts import WALSCHAERTS
from linkage.arrangements.walschaerts.parts import walschaerts
from linkage.arrangements.walschaerts.side import WalschaertsSide
from linkage.lengths import Say
from linkage.tables.engine import Wheels
from linkage.tables.facts import NEVER, Degrees, as_in, dim, maybe
from linkage.tables.fields import Angle, Length, Location, Size, Table

_BELOW: dict[str, Any] = {
    "no_place": "between the frames, measured from below",
    "wrong": NEVER,  # nothing outside sticks for it
}
_APART = math.radians(120.0)  # the outside cranks
_AWRY = math.radians(5.0)  # of a crank, that is asked about
_OFF = 0.05  # of the share of either valve, that is asked about [1]


class ThreeCrankWheels(Wheels):
    """The driving wheels."""

    right_leads_by: Angle = as_in(Wheels, "right_leads_by", Degrees(120.0), math.radians(120.0))


class InsideCylinder(Table):
    """The inside cylinder and what turns its crank; for `tightspot events` alone."""

    throw: Size = dim(
        "of the inside crank: half its stroke",
        4.33,
        bench="{}'s throw",
        owner="the distance from the axle to the crank of {}",
        twice="is this the stroke, which is twice the throw?",
        **_BELOW,
    )
    follows: Angle = dim(
        "degrees by which its crank follows the right-hand one, forward: 240 and its slope",
        Degrees(247.0),
        bench="how far {}'s crank follows the right-hand one",
        owner="how far the crank of {} is turned behind the right-hand one",
        **_BELOW,
    )
    rod: Size = dim(
        "its connecting rod's centres",
        24.0,
        bench="the centres of {}'s connecting rod",
        owner="the length of the rod of {}",
        **_BELOW,
    )
    inclination: Angle = maybe(
        "degrees by which its front end is raised",
        Degrees(7.0),
        0.0,
        rare=False,
        bench="{}'s inclination",
        owner="the slope of {}",
        **_BELOW,
    )
    axis_height: Length = maybe(
        "its centre line above the axle, square to that line",
        0.0,
        0.0,
        bench="the height of {}'s centre line over the axle",
        owner="how far above the axle the middle line of {} passes",
        **_BELOW,
    )

    @model_validator(mode="after")
    def _goes_round(self) -> Self:
        if self.rod <= self.throw + abs(self.axis_height):
            raise ValueError(
                "rod should be more than throw and axis_height, or it never goes round"
            )
        return self


class TwoToOneLever(Table):
    """The two-to-one lever, pivoted on the frame, that one side's valve spindle turns."""

    driven_by: Literal["right", "left"] = maybe(
        "the side whose spindle holds its long arm", "right", "right", rare=False
    )
    long_arm: Size = arm_length(
        "long",
        "pivot to the pin of that spindle",
        13.0,
        **_BELOW,
    )
    short_arm: Size = arm_length(
        "short",
        "pivot to the pin that carries the equal lever",
        6.5,
        **_BELOW,
    )


class EqualLever(Table):
    """The equal lever, carried by the other one's short arm."""

    outer_arm: Size = arm_length(
        "outer",
        "its own pin to that of the other side's spindle",
        6.5,
        **_BELOW,
    )
    inner_arm: Size = arm_length(
        "inner",
        "its own pin to that of the inside spindle",
        6.5,
        **_BELOW,
    )


class ConjugatedSide(WalschaertsSide):
    """One side of a sheet of the arrangement "conjugated"."""

    wheels: ThreeCrankWheels
    inside_cylinder: InsideCylinder
    two_to_one_lever: TwoToOneLever
    equal_lever: EqualLever

    def odd_proportions(self, say: Say) -> Iterator[tuple[Location, str]]:
        """Yield places whose numbers its proportions give away as hardly meant, with a question."""
        yield from super().odd_proportions(say)
        for key, share in zip(("two_to_one_lever", "equal_lever"), _shares(self), strict=True):
            if abs(share + 1.0) > _OFF:
                yield (
                    (key,),
                    "with a long arm of two short ones, and equal arms, the inside valve goes as "
                    f"far as the one that drives it here; should it go {-share:.2f} times as far?",
                )

        held = self.inside_cylinder
        for place, angle, meant in (
            (("wheels", "right_leads_by"), self.wheels.right_leads_by, _APART),
            (("inside_cylinder", "follows"), held.follows, 2 * _APART + held.inclination),
        ):
            if abs(angle - meant) > _AWRY:
                yield (
                    place,
                    f"for these levers it is {math.degrees(meant):.1f} degrees; is it "
                    f"{math.degrees(angle):.1f} on this engine?",
                )


def _shares(side: ConjugatedSide) -> tuple[float, float]:
    """Return by how many times the inside valve goes with the driving and the other side's [1]."""
    lever, equal = side.two_to_one_lever, side.equal_lever
    other = equal.inner_arm / equal.outer_arm
    return -lever.short_arm / lever.long_arm * (1.0 + other), -other


def inside(side: ConjugatedSide) -> Inside:
    """Return the third cylinder of a sheet, as either of its sides has it."""
    lever, equal, held = side.two_to_one_lever, side.equal_lever, side.inside_cylinder
    turned = -lever.short_arm / lever.long_arm
    levers: tuple[tuple[str, float, tuple[float, float]], ...] = (
        ("two_to_one_lever.long_arm", lever.long_arm, (1.0, 0.0)),
        # the equal lever's end against its own pin, which goes with the other lever
        ("equal_lever.outer_arm", equal.outer_arm, (-turned, 1.0)),
    )
    shares = _shares(side)
    if lever.driven_by == "left":
        shares = shares[::-1]
        levers = tuple((key, arm, by[::-1]) for key, arm, by in levers)
    return Inside(
        held.throw, held.rod, held.axis_height, held.inclination, held.follows, shares, levers
    )


CONJUGATED = Arrangement(
    name="conjugated",
    does="Walschaerts gear outside, and levers from both to a third cylinder's valve",
    sides=BOTH_SIDES,
    tables=ConjugatedSide,
    build=walschaerts,
    measured=(*WALSCHAERTS.measured, "inside_cylinder", "two_to_one_lever", "equal_lever"),
    differs=WALSCHAERTS.differs,
    removable=WALSCHAERTS.removable,
    inside=inside,
)
