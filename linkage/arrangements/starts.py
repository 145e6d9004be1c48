"""About where the pins stand when the crank points straight ahead: the trade's usual way round.

Closed-form crossings of circles and lines, on single positions. They choose between the ways in
which a mechanism can be put together; the solver then finds the exact place. Where a loop cannot
close there, the nearest place is given.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache, partial

import numpy as np

from linkage.arrangements.assembly import turn
from linkage.arrays import Array
from linkage.mechanism import Point

OFFSET_STEPS = 40
LEAN_STEPS = 160
_ALIKE = 1e-14  # roots that differ by no more are one [rad, mm]
MOST_LEAN = math.radians(80)
"""How far a hanging lever may lean."""


def circle_on_line(centre: Point, radius: float, height: float) -> float:
    """Return the greater x at which a circle meets the line y = `height`.

    Parameters
    ----------
    centre : (float, float) [mm]
        Of the circle.
    radius, height : float [mm]
        Of the circle, of the line.

    Returns
    -------
    float [mm]
        Where they do not meet, the x of the centre, where they come nearest.
    """
    return centre[0] + math.sqrt(max(radius**2 - (height - centre[1]) ** 2, 0.0))


def crossings(a: Point, radius_a: float, b: Point, radius_b: float) -> tuple[Point, Point]:
    """Return both points at given distances from two centres.

    Parameters
    ----------
    a, b : (float, float) [mm]
        The centres.
    radius_a, radius_b : float [mm]
        The distances.

    Returns
    -------
    tuple of two (float, float) [mm]
        Left and right of the line from `a` to `b`; where the circles do not meet, twice the point
        on that line in the proportion of the radii's fault.
    """
    span = math.dist(a, b) or 1e-12
    along = (span**2 + radius_a**2 - radius_b**2) / (2 * span)
    along = min(max(along, -radius_a), radius_a)
    across = math.sqrt(radius_a**2 - along**2)
    ux, uy = (b[0] - a[0]) / span, (b[1] - a[1]) / span
    foot = a[0] + along * ux, a[1] + along * uy
    left = foot[0] - across * uy, foot[1] + across * ux
    right = foot[0] + across * uy, foot[1] - across * ux
    return left, right


def angle_of(point: Point, centre: Point = (0.0, 0.0)) -> float:
    """Return the direction of a point from a centre [rad]."""
    return math.atan2(point[1] - centre[1], point[0] - centre[0])


def wrapped(angle: float) -> float:
    """Return an angle within half a turn either way [rad]."""
    return math.remainder(angle, math.tau)


def least_root(
    fault: Callable[[float], float],
    least: float,
    most: float,
    wanted: Callable[[float], bool] = lambda _: True,
    every: Callable[[Array], Array] | None = None,
) -> float:
    """Return the root of a function nearest to nought, or where it is least where it has none.

    Parameters
    ----------
    fault : callable
        Of one number.
    least, most : float [any one unit]
        Where to look.
    wanted : callable
        Tells of a root whether it is of the right kind; others count only where none is.
    every : callable, optional
        The same function of many numbers at once, for speed: it says where the sign changes.

    Returns
    -------
    float [the same unit]
        Closed in on where the sign changes between two of `LEAN_STEPS` steps.
    """
    places = [least + (most - least) * k / LEAN_STEPS for k in range(LEAN_STEPS + 1)]
    values = [fault(at) for at in places] if every is None else every(np.array(places)).tolist()
    roots = [
        _close_in(fault, places[k], places[k + 1])
        for k in range(LEAN_STEPS)
        if values[k] * values[k + 1] <= 0
    ]
    if roots:
        return min([root for root in roots if wanted(root)] or roots, key=abs)
    return min(zip(places, values, strict=True), key=lambda pair: abs(pair[1]))[0]


def root_near(fault: Callable[[float], float], place: float, least: float, most: float) -> float:
    """Return the root nearest a place: within one of `least_root`'s steps, else as that does."""
    step = (most - least) / LEAN_STEPS
    low, high = max(place - step, least), min(place + step, most)
    if fault(low) * fault(high) <= 0:
        return _close_in(fault, low, high)
    return least_root(fault, least, most)


def _close_in(fault: Callable[[float], float], low: float, high: float) -> float:
    """Return the root between two places where a function's signs differ.

    By Ridders' method, which keeps it between two places and takes a fifth of what halving takes:
    C. Ridders, "A new algorithm for computing a single root of a real continuous function", IEEE
    Trans. Circuits and Systems 26 (1979) 979 to 980 (cited from memory).
    """
    at_low, at_high = fault(low), fault(high)
    root = low if at_low == 0.0 else high
    while at_low and at_high:
        middle = (low + high) / 2
        at_middle = fault(middle)
        bent = math.copysign(math.sqrt(at_middle**2 - at_low * at_high), at_low)
        before, root = root, middle + (middle - low) * at_middle / bent
        known = sorted([(low, at_low), (middle, at_middle), (root, fault(root)), (high, at_high)])
        place = next(k for k in range(3) if known[k][1] * known[k + 1][1] <= 0)
        (low, at_low), (high, at_high) = known[place : place + 2]
        if abs(root - before) < _ALIKE or high - low < _ALIKE:
            break
    return root


def link_lean(trunnion: Point, foot: Point, return_pin: Point, rod: float) -> float:
    """Return how far the expansion link is turned from upright, the most upright way.

    Parameters
    ----------
    trunnion : (float, float) [mm]
        Where it swings.
    foot : (float, float) [mm]
        Its foot pin, from the trunnion, with the link upright.
    return_pin : (float, float) [mm]
        The return crank's pin.
    rod : float [mm]
        Eccentric rod, centre to centre.

    Returns
    -------
    float [rad]
        Counter-clockwise.
    """
    upright = angle_of(foot)
    both = crossings(trunnion, math.hypot(*foot), return_pin, rod)
    return min((wrapped(angle_of(point, trunnion) - upright) for point in both), key=abs)


@dataclass(frozen=True)
class LeverStart:
    """What moves a combination lever, in axes with x along the cylinder.

    Attributes
    ----------
    die : (float, float) [mm]
        The radius rod's die.
    rod : float [mm]
        Radius rod, centre to centre.
    height : float [mm]
        Of the valve spindle.
    drop_arm : (float, float) [mm]
        The drop arm's pin.
    union : float or None [mm]
        Union link, centre to centre; None where the drop arm's pin runs in the lever itself.
    valve, foot : float [mm]
        Valve pin and union pin below the radius-rod pin; the valve pin may be above it (negative).
    past_middle : float [mm]
        How far the drop arm is ahead of its place at mid-stroke.
    forward : bool or None
        Whether the union link points forward from the drop arm at mid-stroke; None where the sheet
        leaves it to the lever, which hangs as upright as it can.
    """

    die: Point
    rod: float
    height: float
    drop_arm: Point
    union: float | None
    valve: float
    foot: float
    past_middle: float = 0.0
    forward: bool | None = None

    def top(self, lean: float) -> Point:
        """Return the radius-rod pin [mm] for a lean [rad], the foot forward positive."""
        y = self.height + self.valve * math.cos(lean)
        return circle_on_line(self.die, self.rod, y), y

    def down(self, lean: float, distance: float) -> Point:
        """Return a point on the lever [mm], so far below the radius-rod pin."""
        x, y = self.top(lean)
        return x + distance * math.sin(lean), y - distance * math.cos(lean)

    def lean(self) -> float:
        """Return how far the lever leans, the way that is most upright at mid-stroke [rad].

        At a dead centre the most upright way may be the wrong one. Of neighbouring ways one has
        the fault rising with the lean and the next falling, and which of them a lever goes by
        cannot change as it moves; so that is found out at mid-stroke.
        """
        return _lean(self)

    def fault(self, lean: float) -> float:
        """Return how far the foot is from where it belongs at a lean [rad], signed [mm]."""
        foot = self.down(lean, self.foot)
        if self.union is not None:
            return math.dist(foot, self.drop_arm) - self.union
        x, y = self.top(lean)
        dx, dy = self.drop_arm[0] - x, self.drop_arm[1] - y
        return dx * math.cos(lean) + dy * math.sin(lean)

    def faults(self, lean: Array) -> Array:
        """Return the same at many leans, shape (N,) [rad], [mm]."""
        cos, sin = np.cos(lean), np.sin(lean)
        y = self.height + self.valve * cos
        off = y - self.die[1]
        x = self.die[0] + np.sqrt(np.maximum(self.rod**2 - off * off, 0.0))
        dx, dy = self.drop_arm[0] - x, self.drop_arm[1] - y
        if self.union is None:
            return np.asarray(dx * cos + dy * sin)
        return np.asarray(np.hypot(dx - self.foot * sin, dy + self.foot * cos) - self.union)

    def rises(self, lean: float) -> bool:
        """Tell whether the fault grows with the lean, the foot going forward."""
        step = 1e-6
        return self.fault(lean + step) > self.fault(lean - step)


@lru_cache(maxsize=512)  # the sides of an engine, and many variants of a sheet, have it alike
def _lean(start: LeverStart) -> float:
    x, y = start.drop_arm
    middle = replace(start, drop_arm=(x - start.past_middle, y))

    def said_way(lean: float) -> bool:
        ahead = middle.down(lean, middle.foot)[0] >= middle.drop_arm[0]
        return start.forward is None or ahead == start.forward

    rising = middle.rises(
        least_root(middle.fault, -MOST_LEAN, MOST_LEAN, said_way, every=middle.faults)
    )

    def right_way(lean: float) -> bool:
        return start.rises(lean) == rising

    return least_root(start.fault, -MOST_LEAN, MOST_LEAN, right_way, start.faults)


@dataclass(frozen=True)
class DieStart:
    """What holds a free die in its slot, in the frame's axes.

    Attributes
    ----------
    trunnion : (float, float) [mm]
        The middle of the expansion link's slot.
    lean : float [rad]
        Of the expansion link.
    curvature : float [1/mm]
        Of the slot, as in `slot_point`.
    half_length : float [mm]
        Of the slot.
    arm_end : (float, float) [mm]
        Of the weighshaft's arm.
    lifting : float [mm]
        Lifting link, centre to centre.
    lifting_pin : (float, float) [mm]
        On the radius rod, in its axes.
    """

    trunnion: Point
    lean: float
    curvature: float
    half_length: float
    arm_end: Point
    lifting: float
    lifting_pin: Point

    def die(self, offset: float) -> Point:
        """Return where the die is [mm], so far [mm] up the slot from the trunnion."""
        x, y = turn(slot_point(self.curvature, offset), self.lean)
        return self.trunnion[0] + x, self.trunnion[1] + y

    def offset(self, front_pin: Callable[[Point], Point]) -> float:
        """Return how far up the slot the die is [mm], as near the trunnion as can be.

        Parameters
        ----------
        front_pin : callable
            From the die to the radius rod's front pin, both (float, float) [mm].
        """
        reach, offset = 1.5 * self.half_length, 0.0
        for step in range(OFFSET_STEPS):
            front = front_pin(self.die(offset))  # hardly moves as the die goes up and down

            def fault(offset: float, front: Point = front) -> float:
                pin = self._held(self.die(offset), lambda _: front)
                return math.dist(pin, self.arm_end) - self.lifting

            before = offset
            if step == 0:
                offset = least_root(fault, -reach, reach, every=partial(self._faults, front))
            else:
                offset = root_near(fault, before, -reach, reach)
            if abs(offset - before) < 1e-12:
                break
        return offset

    def _faults(self, front: Point, offset: Array) -> Array:
        """Return by how much the lifting link is short, [mm], at many places of the die [mm].

        Shape (N,) both; `front` [mm]: where the radius rod's front pin is.
        """
        x, y = slot_points(self.curvature, offset, self.lean)
        die_x, die_y = self.trunnion[0] + x, self.trunnion[1] + y
        ux, uy = front[0] - die_x, front[1] - die_y
        length = np.hypot(ux, uy)
        along, aside = self.lifting_pin
        pin_x = die_x + (along * ux - aside * uy) / length
        pin_y = die_y + (along * uy + aside * ux) / length
        end_x, end_y = self.arm_end
        return np.asarray(np.hypot(pin_x - end_x, pin_y - end_y) - self.lifting)

    def _held(self, die: Point, front_pin: Callable[[Point], Point]) -> Point:
        x, y = turn(self.lifting_pin, angle_of(front_pin(die), die))
        return die[0] + x, die[1] + y

    def lifting_place(self, offset: float, front_pin: Callable[[Point], Point]) -> Point:
        """Return where the lifting link holds the radius rod [mm]."""
        return self._held(self.die(offset), front_pin)


def slot_point(curvature: float, offset: float) -> Point:
    """Return a point of the slot's centre line in the link's axes.

    Parameters
    ----------
    curvature : float [1/mm]
        Of the centre line: its centre is ahead, or behind where it is below nought; 0 for a
        straight slot.
    offset : float [mm]
        Upward along the slot from its middle.

    Returns
    -------
    (float, float) [mm]
        The slot passes through the origin, upright there.
    """
    if not curvature:
        return 0.0, offset
    angle = curvature * offset
    return (1 - math.cos(angle)) / curvature, math.sin(angle) / curvature


def slot_points(curvature: float, offset: Array, lean: float) -> tuple[Array, Array]:
    """Return the same of many offsets, x and y of a slot that leans [rad], shape (N,) each [mm]."""
    angle = curvature * offset
    x, y = (
        ((1 - np.cos(angle)) / curvature, np.sin(angle) / curvature)
        if curvature
        else (np.zeros_like(offset), offset)
    )
    cos, sin = math.cos(lean), math.sin(lean)
    return x * cos - y * sin, x * sin + y * cos


@dataclass(frozen=True)
class StandingSlot:
    """A slot as it stands."""

    middle: Point  # [mm]
    lean: float  # [rad] by which it is turned from upright, counter-clockwise
    curvature: float  # [1/mm] as in `slot_point`
    half_length: float  # [mm]

    def at(self, offset: float) -> Point:
        """Return a place so far up it [mm], in the frame's axes [mm]."""
        x, y = turn(slot_point(self.curvature, offset), self.lean)
        return self.middle[0] + x, self.middle[1] + y

    def at_distance(self, place: Point, distance: float) -> Point:
        """Return the place in it, the nearest to its middle, that is so far from another [mm]."""
        return _at_distance(self, place, distance)


@lru_cache(maxsize=512)  # the sides of an engine, and many variants of a sheet, have it alike
def _at_distance(slot: StandingSlot, place: Point, distance: float) -> Point:
    reach = 2.0 * slot.half_length

    def fault(offset: float) -> float:
        return math.dist(slot.at(offset), place) - distance

    def faults(offset: Array) -> Array:
        x, y = slot_points(slot.curvature, offset, slot.lean)
        dx, dy = slot.middle[0] + x - place[0], slot.middle[1] + y - place[1]
        return np.asarray(np.hypot(dx, dy) - distance)

    return slot.at(least_root(fault, -reach, reach, every=faults))
