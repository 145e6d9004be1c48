"""The figures of what is wrong and is no meeting: what is pinched, limps, slips, swings unevenly.

Each is a room below nought, as in `figures.py`, with slopes by every number: differences of the
same figure over a small step, the mechanism or the coupled wheels built anew::

    pinched    room between the faces  -  thickness of what is held        [mm]
    treads     a hundredth of the others' diameter  -  how far from it     [mm]
    limps      lag that may be  -  lag                                     [rad]
    uneven     LOPSIDED - |middle of the swing|,
               UNLIKE - |middle - that of the other side|,
               UNLIKE - (swing of the other side - swing)                  [rad]

Of an uneven swing any one of the three that is below nought makes it so.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence

import numpy as np

from linkage.arrangements import build
from linkage.arrays import Array
from linkage.certainty.figures import Figure, Room, find_figures
from linkage.errors import LinkageError
from linkage.examine import Examination
from linkage.examine.evenness import LOPSIDED, UNLIKE
from linkage.examine.unlike import SAMPLES
from linkage.kinematics import solve_round
from linkage.mechanism import Grip
from linkage.play import find_unlike_treads
from linkage.play.lost_motion import LostMotion, find_lost_motion
from linkage.sheet import Sheet
from linkage.sheet.numbers import SheetNumber, with_number
from linkage.tightspots import LIMPING, Limps, Pinched, TightSpot, Uneven, UnlikeWheels
from linkage.valve import Figure as Measured
from linkage.valve import figures_of

_STEP = 1e-3  # by which a number is moved [mm, degrees]

Numbers = Sequence[SheetNumber]


def every_figure(found: Examination, numbers: Numbers) -> tuple[Figure, ...]:
    """Return the figures of an examination, those of no meeting too."""
    besides = [figure for spot in found.spots for figure in _of_spot(found, spot, numbers)]
    return (*find_figures(found, numbers), *besides)


def _of_spot(found: Examination, spot: TightSpot, numbers: Numbers) -> Iterator[Figure]:
    rooms: Iterator[Room] = iter(())
    match spot:
        case Pinched():
            rooms = _pinched(found.sheet, spot, numbers)
        case Limps():
            rooms = _limping(found, spot, numbers)
        case UnlikeWheels():
            rooms = _unlike(found, spot, numbers)
        case Uneven():
            rooms = _uneven(found.sheet, spot, numbers)
        case _:
            return
    held = found.everywhere.get(spot.side)
    place = None if held is None or spot.place == held.here else spot.place
    for room in rooms:
        yield Figure(type(spot), spot.side, spot.parts, spot.worst, (room,), 0.0, place=place)


def _slopes(sheet: Sheet, numbers: Numbers, value: Callable[[Sheet], float]) -> Array:
    """Return how a figure of a sheet goes with every number, shape (K,); 0 where it is gone."""
    slopes, now = np.zeros(len(numbers)), value(sheet)
    for k, number in enumerate(numbers):
        if number.origin.error:
            try:
                slopes[k] = (value(with_number(sheet, number, _STEP)) - now) / _STEP
            except LinkageError:
                continue
    return np.nan_to_num(slopes)


def _pinched(sheet: Sheet, spot: Pinched, numbers: Numbers) -> Iterator[Room]:
    def room(moved: Sheet) -> float:
        grips = build(moved, spot.side)[spot.side].grips
        return next((one.room - one.stack for one in grips if _alike(one, spot.grip)), math.nan)

    yield Room(-spot.pinch, _slopes(sheet, numbers, room))


def _alike(one: Grip, other: Grip) -> bool:
    return (one.parts, one.pin, one.key) == (other.parts, other.pin, other.key)


def _limping(found: Examination, spot: Limps, numbers: Numbers) -> Iterator[Room]:
    def same(one: LostMotion) -> bool:
        return one.axles == spot.lost.axles

    def room(moved: Sheet) -> float:
        wheels = found.wheels_of(moved)
        every = () if wheels is None else find_lost_motion(wheels)
        return next((float(LIMPING) - one.swing for one in every if same(one)), math.nan)

    yield Room(float(LIMPING) - spot.lost.swing, _slopes(found.sheet, numbers, room))


def _unlike(found: Examination, spot: UnlikeWheels, numbers: Numbers) -> Iterator[Room]:
    def room(moved: Sheet) -> float:
        wheels = found.wheels_of(moved)
        every = () if wheels is None else find_unlike_treads(wheels)
        return next((one.room for one in every if one.axle == spot.unlike.axle), math.nan)

    yield Room(spot.unlike.room, _slopes(found.sheet, numbers, room))


def _uneven(sheet: Sheet, spot: Uneven, numbers: Numbers) -> Iterator[Room]:
    half, middle = (spot.back + spot.forward) / 2, (spot.forward - spot.back) / 2
    swing, by_middle = _swing_slopes(sheet, spot.side, numbers)
    yield Room(float(LOPSIDED) - abs(middle), -math.copysign(1.0, middle) * by_middle)
    back, forward = spot.others
    if math.isnan(back):
        return
    other = next(side for side in sheet.sides if side != spot.side)
    apart = middle - (forward - back) / 2
    their_swing, by_theirs = _swing_slopes(sheet, other, numbers)
    yield Room(float(UNLIKE) - abs(apart), -math.copysign(1.0, apart) * (by_middle - by_theirs))
    yield Room(float(UNLIKE) - (back + forward - 2 * half), swing - their_swing)


def _swing_slopes(sheet: Sheet, side: str, numbers: Numbers) -> tuple[Array, Array]:
    """Return how a link's swing and the middle of it go with every number, shape (K,) each."""
    mechanisms, columns = [build(sheet, side)[side]], []
    for k, number in enumerate(numbers):
        if number.origin.error and side in number.places:
            try:
                mechanisms.append(build(with_number(sheet, number, _STEP), side)[side])
            except LinkageError:
                continue
            columns.append(k)
    swing, middle = np.zeros(len(numbers)), np.zeros(len(numbers))
    motion = solve_round(mechanisms, SAMPLES)
    if motion is not None:
        found = figures_of(motion)
        for slopes, what in ((swing, Measured.SWING), (middle, Measured.SWING_MIDDLE)):
            values = found[what]
            slopes[columns] = np.nan_to_num((values[1:] - values[0]) / _STEP)
    return swing, middle
