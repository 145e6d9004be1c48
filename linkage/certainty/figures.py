"""The figures that decide whether an engine is free, each with its slopes by the sheet's numbers.

A figure is a room: what is left before something touches, runs off or binds. Its least over the
turn moves with a number, to first order, as the room at the worst crank angle does there, for at a
minimum the angle's own share is nought. So the rooms of the near pairs at their lowest places, and
the slope of each by every number, say how all findings go with all numbers. Two flat pieces touch
only where both their gaps are used up, that seen from the side and that seen from above; each has
slopes of its own, and the greater counts::

    room(numbers + d)  =  max over the two gaps of  gap + slopes . d

The slopes are differences over a small step of mechanisms that close exactly (`solve_near`, all
numbers and crank angles in one go), forward, so that they are good to the step times the curvature:
1e-4 of a slope of 1 [1]. What is not seen so: a pair that comes near only with the numbers out, and
a loop that then no longer closes.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import chain

import numpy as np

from linkage.arrangements import build
from linkage.arrays import Array, Mask
from linkage.certainty.looseness import play_left
from linkage.certainty.meetings import Meetings, find_meetings
from linkage.errors import LinkageError
from linkage.examine import Everywhere, Examination, SideFindings, explained_by, slopes_of
from linkage.kinematics import (
    Motion,
    gap_from,
    set_reverser,
    solve_near,
    transmission_angles,
)
from linkage.mechanism import Mechanism, Running
from linkage.play import NEARLY
from linkage.sheet import Sheet
from linkage.sheet.numbers import SheetNumber, with_number
from linkage.tightspots import (
    LEAST_TRANSMISSION,
    CannotClose,
    Close,
    Mistimed,
    PlayUsedUp,
    PoorTransmission,
    RunsOff,
    TightSpot,
    TouchesWithPlay,
)

STEP = 1e-4
"""By which a number is moved [mm, degrees]."""
_POOR = 2.0  # times the least transmission angle asked for, up to which one is looked at
_ALIKE = 1e-9  # rooms that differ by less are the same [mm]
_ODD = 0.01  # of the draws: what happens less often than that does not count [1]
_LITTLE = 0.05  # less than this share of its play is as good as none [1]


@dataclass(frozen=True, eq=False)
class Room:
    """What is left somewhere, and how it goes with the numbers.

    Attributes
    ----------
    now : float [mm, share or rad, by kind of figure]
        What is left; below 0 where something touches, runs off or binds.
    slopes : array, shape (K,)
        By every number, a mm or degree of it.
    """

    now: float
    slopes: Array

    def moved(self, moves: Array) -> Array:
        """Return it with the numbers moved, shape (..., K), to first order."""
        return np.asarray(self.now + moves @ self.slopes)


@dataclass(frozen=True, eq=False)
class Figure:
    """One thing that can go wrong, and how the room it has goes with the numbers.

    Attributes
    ----------
    kind : type of TightSpot
        What it is when there is none left; `Close` for the air of two pieces.
    side : str
        "right", "left", "both" or "only".
    parts : tuple of str
        The parts concerned; empty for the play of coupled wheels.
    at : float [rad]
        That side's crank angle.
    ways : tuple of Room
        What is left, either way: the greatest counts. Two flat pieces are apart if they are so seen
        from the side or from above.
    asked : float
        What is to be left; of two parts on one pin no more than they have there.
    at_pin : Room, or None
        What air two parts have at the pin that joins them.
    widens : array, shape (K,), or None
        Of play: by what share of itself all of it grows with every number.
    bound : bool
        Of play: whether no more than this is left, not just this.
    """

    kind: type[TightSpot]
    side: str
    parts: tuple[str, ...]
    at: float
    ways: tuple[Room, ...]
    asked: float
    at_pin: Room | None = None
    widens: Array | None = None
    bound: bool = False
    place: Running = None  # of the reverser; None for where the sheet has it

    @property
    def room(self) -> Room:
        """What is left, and how it goes with the numbers near by."""
        return max(self.ways, key=lambda way: way.now)

    def lacks(self, moves: Array, asked: bool) -> Mask:
        """Tell where there is less room than none, or than is asked, with the numbers moved."""
        need: float | Array = self.asked if asked else 0.0
        if asked and self.at_pin is not None:
            need = np.clip(self.at_pin.moved(moves), 0.0, self.asked)
        return np.asarray(self.rooms(moves) < need - _ALIKE)

    def rooms(self, moves: Array) -> Array:
        """Return the room left with the numbers moved, shape (..., K), to first order."""
        left = np.max([way.moved(moves) for way in self.ways], axis=0)
        if self.kind is PlayUsedUp:  # past the change at which no play is needed it grows again
            used = np.maximum(1.0 - left, 0.0) if self.bound else np.abs(1.0 - left)
            if self.widens is not None:
                used = used / np.maximum(1.0 + moves @ self.widens, _LITTLE)
            return np.asarray(1.0 - used)
        return np.asarray(left)

    def weights(self, moves: Array, errors: Array) -> Array:
        """Return how far each number can move what is left, shape (K,).

        A way that is the greatest with none of the numbers drawn does not count. A hole or a pin
        moves the play there is, and with it the share that is used::

            d used / d number  =  - used . widens

        `moves`: the numbers drawn, shape (N, K). `errors`: what each is within, shape (K,).
        """
        left = [way.moved(moves) for way in self.ways]
        most = np.max(left, axis=0)
        counts = [
            room for room, x in zip(self.ways, left, strict=True) if np.mean(x >= most) > _ODD
        ]
        used = 1.0 - self.room.now
        widens = 0.0 if self.widens is None else used * self.widens
        return np.asarray(
            np.max([np.abs((way.slopes + widens) * errors) for way in counts], axis=0)
        )


def find_figures(found: Examination, numbers: Sequence[SheetNumber]) -> tuple[Figure, ...]:
    """Return the figures of an examination."""
    figures, elsewhere = list[Figure](), list[Figure]()
    done: list[SideFindings] = []
    common = all(number.places.keys() == found.sides.keys() for number in numbers)
    for side in found.sides.values():
        alike = (old.side for old in done if common and old.mechanism == side.mechanism)
        first = next(alike, None)
        if first is None:
            variants = _variants(found.sheet, side, numbers)
            figures += _of_side(found.sheet, side, numbers, variants)
            held = found.everywhere.get(side.side)
            elsewhere += _elsewhere(found.sheet, held, numbers, variants) if held else ()
        else:
            figures += [replace(one, side=side.side) for one in figures if one.side == first]
            elsewhere += [replace(one, side=side.side) for one in elsewhere if one.side == first]
        done.append(side)
    figures += elsewhere
    figures += _of_unlike(found, numbers)
    if found.play is not None:
        figures += [
            Figure(
                PlayUsedUp,
                "both",
                (),
                left.at,
                (Room(left.room, left.slopes),),
                1.0 - NEARLY,
                widens=left.widens,
                bound=left.bound,
            )
            for left in play_left(found.sheet, found.play, numbers)
        ]
    return tuple(figures)


def _elsewhere(
    sheet: Sheet, held: Everywhere, numbers: Sequence[SheetNumber], variants: _Variants
) -> Iterator[Figure]:
    """Yield the figures of what is nearest to its limit at other places of the reverser."""
    for place, found in held.at.items():
        if place == held.here:
            continue
        spots = tuple(spot for spot in held.spots if spot.place == place)
        met = {spot.parts for spot in spots}
        nearest = {parts for parts, (_, at) in held.nearest.items() if at == place} | met
        pairs = tuple(pair for pair in found.survey.pairs if pair.parts in nearest)
        least = replace(found, survey=replace(found.survey, pairs=pairs), spots=spots)
        there = {k: set_reverser(one, place, found.mechanism) for k, one in variants.items()}
        for figure in _of_side(sheet, least, numbers, there):
            yield replace(figure, place=place)


def _of_unlike(found: Examination, numbers: Sequence[SheetNumber]) -> Iterator[Figure]:
    """Yield by how much the valves of the sides are less unlike than they may be.

    What is not told yet is told from where it is more than errors explain.
    """
    for spot in (*found.spots, *found.nearly_unlike):
        if isinstance(spot, Mistimed):
            held = found.everywhere.get(spot.side)
            place = None if held is None or held.here == spot.place else spot.place
            slopes = slopes_of(found.sheet, spot, numbers)
            room = spot.room
            if spot not in found.spots:
                room = max(room, explained_by(slopes, numbers) - spot.unlike.apart)
            left = Room(room, -slopes)
            yield Figure(Mistimed, spot.side, spot.parts, 0.0, (left,), 0.0, place=place)


# --- one side -----------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Moved:
    """One side with every number moved in turn: variant 0 is as it is."""

    mechanisms: Sequence[Mechanism]
    columns: Sequence[int]  # which number each of the others has moved
    motion: Motion  # at the crank angles asked for
    count: int  # numbers in all

    def at(self, angle: float) -> int:
        """Return which of the crank angles one is."""
        return int(np.searchsorted(self.motion.crank, angle % (2 * np.pi)))

    def slopes(self, values: Array) -> Array:
        """Return the slopes of a value by its variants, shape (V,): by all numbers, (K,)."""
        slopes = np.zeros(self.count)
        slopes[list(self.columns)] = np.nan_to_num((values[1:] - values[0]) / STEP)
        return slopes

    def room(self, values: Array) -> Room:
        """Return what is left, by its variants, shape (V,)."""
        return Room(float(values[0]), self.slopes(values))


_Variants = Mapping[int, Mechanism]
"""A side with a number moved, by which number it is; none of those that change nothing of it."""


def _variants(sheet: Sheet, found: SideFindings, numbers: Sequence[SheetNumber]) -> _Variants:
    """Return a side with each of the numbers moved that are uncertain."""
    mine = [(k, n) for k, n in enumerate(numbers) if found.side in n.places and n.origin.error]
    made = {k: _built(with_number(sheet, number, STEP), found.side) for k, number in mine}
    return {k: one for k, one in made.items() if one is not None and one != found.mechanism}


def _of_side(
    sheet: Sheet, found: SideFindings, numbers: Sequence[SheetNumber], variants: _Variants
) -> Iterator[Figure]:
    meetings = find_meetings(found)
    travels = list(_travel_places(found))
    poor = list(_poor_places(found))
    shut = [spot for spot in found.spots if isinstance(spot, CannotClose)]
    angles = chain(meetings.angles, (at for *_, at in travels), (at for _, at in poor))
    crank = np.unique(np.array([angle % (2 * np.pi) for angle in angles]))
    if not (len(crank) or shut):
        return
    mechanisms = [found.mechanism, *variants.values()]
    motion = solve_near(found.course, mechanisms, crank)
    moved = _Moved(mechanisms, list(variants), motion, len(numbers))
    yield from _of_meetings(found, meetings, moved, sheet.wanted_clearance)
    yield from _of_travels(found, travels, moved)
    yield from _of_poor(found, poor, moved)
    yield from _of_gaps(found, shut, moved)


def _built(sheet: Sheet, side: str) -> Mechanism | None:
    try:
        return build(sheet, side)[side]
    except LinkageError:
        return None


def _of_meetings(
    found: SideFindings, meetings: Meetings, moved: _Moved, wanted: float
) -> Iterator[Figure]:
    at_joints = meetings.at_joints(moved.mechanisms)
    for place, gaps in meetings.gaps(moved.mechanisms, moved.motion):
        parts = place.pair.parts
        airs = at_joints(parts)
        at_pin = moved.room(airs) if np.isfinite(airs[0]) else None
        for gap in gaps:
            views = (gap.side, gap.plan) if np.isfinite(gap.plan[0]) else (gap.side,)
            ways = tuple(moved.room(view) for view in views)
            yield Figure(Close, found.side, parts, place.at, ways, wanted, at_pin)
        worn = found.worn.get(parts)
        if gaps and worn is not None and worn.loss and place.at == worn.at:
            nearest = min(gaps, key=lambda gap: float(gap.clearance[0]))
            room = Room(worn.least, moved.slopes(nearest.side))
            yield Figure(TouchesWithPlay, found.side, parts, place.at, (room,), 0.0)


def _travel_places(found: SideFindings) -> Iterator[tuple[int, bool, float]]:
    """Yield each end of each travel, with the crank angle at which it is nearest."""
    for number, travel in enumerate(found.mechanism.travels):
        place = np.broadcast_to(found.motion.travel(travel.joint), found.motion.crank.shape)
        for forward, limit in ((True, travel.most), (False, travel.least)):
            if np.isfinite(limit) and np.isfinite(place).any():
                nearest = np.nanargmax(place) if forward else np.nanargmin(place)
                yield number, forward, float(found.motion.crank[int(nearest)])
    for spot in found.spots:
        if isinstance(spot, RunsOff):
            joint = spot.run_off.travel.joint
            for number, travel in enumerate(found.mechanism.travels):
                if travel.joint == joint:
                    yield number, spot.run_off.forward, spot.worst


def _of_travels(
    found: SideFindings, places: Sequence[tuple[int, bool, float]], moved: _Moved
) -> Iterator[Figure]:
    for number, forward, at in places:
        travel = found.mechanism.travels[number]
        there = moved.motion.travel(travel.joint)
        here = np.broadcast_to(there, moved.motion.reached.shape)[:, moved.at(at)]
        own = [mechanism.travels[number] for mechanism in moved.mechanisms]
        room = np.array(
            [t.most - x if forward else x - t.least for t, x in zip(own, here, strict=True)]
        )
        if np.isfinite(room[0]):
            parts = (travel.part, travel.against)
            yield Figure(RunsOff, found.side, parts, at, (moved.room(room),), 0.0)


def _poor_places(found: SideFindings) -> Iterator[tuple[tuple[str, ...], float]]:
    for parts, angles in transmission_angles(found.motion).items():
        known = np.isfinite(angles)
        if len(parts) == 2 and known.all() and angles.min() < _POOR * LEAST_TRANSMISSION:
            yield parts, float(found.motion.crank[int(np.argmin(angles))])


def _of_poor(
    found: SideFindings, places: Sequence[tuple[tuple[str, ...], float]], moved: _Moved
) -> Iterator[Figure]:
    if not places:
        return
    angles = transmission_angles(moved.motion)
    for parts, at in places:
        room = angles[parts][:, moved.at(at)] - LEAST_TRANSMISSION
        left = moved.room(np.asarray(room))
        yield Figure(PoorTransmission, found.side, parts, at, (left,), 0.0)


def _of_gaps(found: SideFindings, spots: Iterable[CannotClose], moved: _Moved) -> Iterator[Figure]:
    """Yield the loops that cannot close, by what they are short of."""
    for spot in spots:
        gap = gap_from(found.course, spot.worst)
        short = np.array([-spot.gap, *(-gap(mechanism) for mechanism in moved.mechanisms[1:])])
        yield Figure(CannotClose, found.side, spot.parts, spot.worst, (moved.room(short),), 0.0)
