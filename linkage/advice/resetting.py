"""How an angle that has slipped may be set again: a return crank on its pin, a wheel on its axle.

The range in which the wheels turn at all is found by trying angles about one that cures, without
regard to clearances. For a return crank there is a test that needs no numbers: with the expansion
link upright, its slot as at mid-gear, the return crank's pin is as far from the link's foot pin at
the front dead centre as at the back (common practice, no source). Where that holds is computed here
from the positions of the crank at the two ends of the crosshead's stroke.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import chain

import numpy as np

from linkage.advice.keys import own_key
from linkage.arrangements import build
from linkage.errors import LinkageError
from linkage.examine import Examination
from linkage.kinematics import follow_whole, solve_at
from linkage.mechanism import FRAME, Joint, Mechanism, Pin, Slide
from linkage.play import NEARLY, PlayOfVariants
from linkage.sheet import Sheet, change

_REACH = 60.0  # how far from an angle that cures a return crank's are looked at, either way [deg]
_STEPS = 15  # angles tried either way at first
_SPLIT = 6  # parts that what holds an end is cut into, each round
_END = 0.05  # an end is closed in on to this [degrees]
_GUESSES = 2  # rounds in which an end is guessed from the shares on either side, before splitting
_BESIDE = 0.4  # how far to either side of a guess is tried [_END]
_QUARTER = 6.0  # how far a wheel's angle is looked at, either way [degrees]
_QUARTERS = 6  # angles of it tried either way at first
_MEASURED = {"return crank pin", "link foot pin", "trunnion"}  # between which the two distances lie
_DEAD_CENTRES = 720  # samples of the stroke


@dataclass(frozen=True)
class SafeRange:
    """In which range of an angle the wheels turn."""

    low: float  # its ends, to 0.05 [degrees]
    high: float
    locks_below: bool  # whether they lock beyond; False where no more was looked at
    locks_above: bool


@dataclass(frozen=True)
class EqualDistance:
    """The test by equal distances from a return crank's pin to the foot pin of the link."""

    at: float  # the lean at which they are equal [degrees]
    distance: float  # both, there [mm]
    front: float  # as they are now, with the crank at the front and the back dead centre [mm]
    back: float


def turning_range(sheet: Sheet, side: str, key: str, good: float) -> SafeRange:
    """Find the range of a return crank's angle in which its side goes round without locking.

    About `good`, up to 60 degrees either way.

    `good` [degrees]: one at which it goes round.
    """
    own = own_key(side, key)

    def stops(rows: Sequence[Sequence[float]]) -> list[int]:
        return [_first(not goes_round(sheet, side, {own: v}) for v in values) for values in rows]

    return _range(stops, good, (_REACH, _STEPS))


def quarter_range(examination: Examination, sheet: Sheet, key: str, good: float) -> SafeRange:
    """Find the range of a wheel's angle in which the coupled wheels turn freely.

    About `good`, up to 6 degrees either way; free is less than nine tenths of the play used.

    `good` [degrees]: one at which they turn.
    """
    play, shares = PlayOfVariants(NEARLY), dict[float, float]()

    def stops(rows: Sequence[Sequence[float]]) -> list[int]:
        angles = list(chain.from_iterable(rows))
        made = [examination.wheels_of(change(sheet, {key: angle})) for angle in angles]
        used, _ = play([wheels for wheels in made if wheels is not None])
        shares.update(zip(angles, used.tolist(), strict=True))
        return [_first(shares[angle] >= NEARLY for angle in values) for values in rows]

    def guess(inside: float, outside: float) -> list[float]:
        # the share grows all but evenly with the angle, so the end is where a line has it
        low, high = shares.get(inside, math.nan), shares[outside]
        by = outside - inside
        end, beside = inside + by * (NEARLY - low) / (high - low), math.copysign(_BESIDE * _END, by)
        return [end - beside, end + beside]

    return _range(stops, good, (_QUARTER, _QUARTERS), guess)


def _first(found: Iterable[bool]) -> int:
    """Return how many come before the first that is true, none of the rest looked at."""
    return next((k for k, this in enumerate(chain(found, [True])) if this), 0)


def _range(
    stops: Callable[[Sequence[Sequence[float]]], list[int]],
    good: float,
    grid: tuple[float, int],
    guess: Callable[[float, float], list[float]] | None = None,
) -> SafeRange:
    """Find how far an angle may go either way.

    `stops` takes rows of angles, each from a good one on, and says how many of each are good.
    `grid`: how far to look, in how many steps. `guess` takes a good and a bad one and gives those
    between which it should turn.
    """
    reach, steps = grid
    inside, outside = [good, good], [math.nan, math.nan]
    rows = [[good + way * reach * k / steps for k in range(1, steps + 1)] for way in (-1.0, 1.0)]
    guesses = _GUESSES
    while any(rows):
        for k, stop in enumerate(stops(rows)):
            row = rows[k]
            inside[k] = row[stop - 1] if stop else inside[k]
            outside[k] = row[stop] if stop < len(row) else outside[k]
            closed = math.isnan(outside[k]) or abs(outside[k] - inside[k]) <= _END
            rows[k] = [] if closed else _between(inside[k], outside[k], guess if guesses else None)
        guesses = max(guesses - 1, 0)
    low, high = (not math.isnan(end) for end in outside)
    return SafeRange(inside[0], inside[1], low, high)


def _between(
    inside: float, outside: float, guess: Callable[[float, float], list[float]] | None
) -> list[float]:
    """Return the angles to try between a good and a bad one, from the good one on."""
    low, high = sorted((inside, outside))
    guessed = [angle for angle in (guess(inside, outside) if guess else []) if low < angle < high]
    if guessed:
        return guessed
    split: list[float] = np.linspace(inside, outside, _SPLIT + 1)[1:-1].tolist()
    return split


def goes_round(sheet: Sheet, side: str, values: dict[str, float]) -> bool:
    """Tell whether a side goes round with some numbers changed."""
    try:
        return follow_whole(build(change(sheet, values), side)[side]) is not None
    except LinkageError:
        return False


def equal_distance(
    examination: Examination, side: str, key: str, good: float
) -> EqualDistance | None:
    """Find the lean of a return crank at which the two distances are equal.

    None where the gear has no such pins, or no lean within 60 degrees makes them equal.

    `examination`: what was found out about the sheet as it is. `good` [degrees]: A lean that cures,
    to look about.
    """
    from scipy.optimize import brentq

    sheet, own = examination.sheet, own_key(side, key)
    now = sheet.dimensions[side].get(own, sheet.dimensions[side].get(key, math.nan))

    mended = build(change(sheet, {own: good}), side)[side]
    centres = _dead_centres(mended)
    if centres is None or not {joint.name for joint in mended.joints} >= _MEASURED:
        return None

    def distances(lean: float) -> tuple[float, float]:
        return _distances(build(change(sheet, {own: lean}), side)[side], centres)

    def unequal(lean: float) -> float:
        front, back = distances(lean)
        return front - back

    def brackets_of(tried: Sequence[float]) -> list[tuple[float, float]]:
        signs = [unequal(lean) > 0 for lean in tried]
        return [(a, b) for a, b, p, q in zip(tried, tried[1:], signs, signs[1:], strict=False)
                if p != q]  # fmt: skip

    step = _REACH / _STEPS
    brackets = brackets_of((good - step, good + step))  # where it is nearly always
    if not brackets:
        tried = good + np.linspace(-_REACH, _REACH, 2 * _STEPS + 1)
        brackets = brackets_of(tried.tolist())
    if not brackets:
        return None
    at = float(brentq(unequal, *min(brackets, key=lambda ends: abs(sum(ends) / 2 - good))))
    return EqualDistance(at, distances(at)[0], *distances(now))


def _dead_centres(mechanism: Mechanism) -> tuple[float, float] | None:
    """Return the crank angles at which the crosshead is farthest to the front and to the back."""
    course = follow_whole(mechanism)
    slide = next((j for j in mechanism.joints if isinstance(j, Slide)), None)
    if course is None or slide is None:
        return None
    crank = np.arange(_DEAD_CENTRES) * (2 * np.pi / _DEAD_CENTRES)
    stroke = solve_at(course, crank).travel(slide.name)
    return float(crank[np.argmax(stroke)]), float(crank[np.argmin(stroke)])


def _distances(mechanism: Mechanism, centres: tuple[float, float]) -> tuple[float, float]:
    """Return how far the return crank's pin is from the upright link's foot pin at either."""
    pins = {joint.name: joint for joint in mechanism.joints if isinstance(joint, Pin)}
    x, y = _on(pins["return crank pin"], mechanism.crank)
    trunnion, foot = _on(pins["trunnion"], FRAME), _on(pins["link foot pin"], "expansion link")
    there = (trunnion[0] + foot[0], trunnion[1] + foot[1])
    found = []
    for angle in centres:  # growing downward
        cos, sin = math.cos(angle), -math.sin(angle)
        pin = (mechanism.axle[0] + cos * x - sin * y, mechanism.axle[1] + sin * x + cos * y)
        found.append(math.dist(pin, there))
    return found[0], found[1]


def _on(joint: Joint, part: str) -> tuple[float, float]:
    place = joint.a if joint.a.part == part else joint.b
    return place.x, place.y
