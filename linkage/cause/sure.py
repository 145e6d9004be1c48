"""How sure each finding is, by turning many engines that the sheet may be of.

Every number is drawn within its error, all at once, and each engine so drawn is turned whole
(`drawn.py`): the share in which something stops is its chance. What was felt weighs them: with the
likelihood L of all that was felt by an engine (`feeling.py`), the chance of a finding is

    sum of L over engines that have it / sum of L over all,

and as many engines count as ``(sum L)^2 / sum L^2``. Where hardly one does, none of them is like
the engine that was felt: there is a fault on it, and they are not weighed.

`certainty` says the same to first order, from slopes at the places where the sheet has the least
room. The two agree within `APART`, or it is said why not.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import chain

import numpy as np

from linkage.arrays import Array, Index, Mask
from linkage.cause.drawn import Drawn, Progress, Stops
from linkage.cause.feeling import both_ways, likelihood, likelihood_of_both, steps
from linkage.cause.sampling import CRANK, SAMPLES, Kind, Thing
from linkage.certainty import how_sure
from linkage.examine import Examination
from linkage.play import NEARLY
from linkage.sheet.drawing import drawn
from linkage.sheet.felt import COUPLING_RODS
from linkage.sheet.numbers import SheetNumber
from linkage.tables.felt import Felt, What
from linkage.tightspots import (
    CannotClose,
    Close,
    Fouls,
    Pinched,
    PlayUsedUp,
    RunsOff,
    TightSpot,
)

DRAWS = 1000
"""Engines drawn."""
APART = 0.1
"""Chances this near to one another agree [1]: six deviations of a half counted in a thousand."""
LEAST = 0.02
"""What is less likely than this is not told, where the sheet does not have it [1]."""
FEW = 25
"""Engines that must count for what was felt to weigh them."""
_WORTH = 0.05  # share of a doubt from which a number is worth measuring [1]
_NEXT = 3  # numbers named


class Why(StrEnum):
    """Why the chance by sampling is not that of first order."""

    NOT_TURNED = "only to first order"
    NO_SLOPES = "by sampling alone"
    FAR = "the numbers may be so far out that another place, or other pieces, come nearest"


@dataclass(frozen=True, eq=False)
class Chance:
    """How likely one thing is.

    Attributes
    ----------
    spot : TightSpot or None
        The finding on the sheet; None of what the sheet does not have.
    thing : Thing or None
        What stops; None of the coupled wheels, and of what was not turned.
    chance : float [1]
        By sampling, with what was felt; nan of what was not turned.
    unfelt : float [1]
        The same without what was felt.
    first : float [1]
        To first order; nan where that says nothing.
    at : float [rad]
        Its side's crank angle where it mostly is; nan where nowhere.
    why : Why or None
        Why the two do not agree; None where they do.
    room : array, shape (V,), or None
        What is left in each engine drawn.
    guessed : float [1]
        What share of its spread comes from numbers that nobody measured.
    """

    spot: TightSpot | None
    thing: Thing | None
    chance: float
    unfelt: float
    first: float
    at: float
    why: Why | None
    room: Array | None = None
    guessed: float = 0.0


@dataclass(frozen=True)
class Worth:
    """A number worth measuring: what share of all doubt it makes [1]."""

    number: SheetNumber
    share: float


@dataclass(frozen=True)
class Sure:
    """How sure an examination is, by sampling.

    Attributes
    ----------
    free : float [1]
        Chance that nothing stops the wheels.
    chances : tuple of Chance
        Of the findings in their order, then of what the sheet does not have, likeliest first.
    next : tuple of Worth
        What to measure next.
    count : int
        Engines drawn.
    counting : float
        As how many count by what was felt; all where nothing was.
    weighed : bool
        Whether what was felt weighs them.
    """

    free: float
    chances: tuple[Chance, ...]
    next: tuple[Worth, ...]
    count: int
    counting: float
    weighed: bool


@dataclass(frozen=True, eq=False)
class _Column:
    """One thing in each engine drawn: whether it is so, by how little, where."""

    thing: Thing | None
    room: Array  # (V,)
    at: Index  # (V,), sample
    asked: float

    def gone(self, asked: bool) -> Mask:
        """Tell where there is no room, or less than is asked."""
        return np.asarray(self.room < (self.asked if asked else 0.0))


def sure_of(found: Examination, count: int = DRAWS, progress: Progress | None = None) -> Sure:
    """Turn engines drawn from the errors of an examined sheet, and count.

    Parameters
    ----------
    count : int
        How many.
    """
    sheet = found.sheet
    engines = Drawn(sheet)
    moves = drawn(engines.numbers, count) * engines.errors
    stops = engines.turn(moves, progress)
    used = None if engines.play is None else engines.play.used(moves)
    columns = list(_columns(stops, used))
    weights = _weights(engines, moves, stops)
    counting = float(weights.sum() ** 2 / max(float((weights**2).sum()), 1e-300))
    weighed = bool(sheet.felt) and counting >= FEW
    if not weighed:
        weights = np.ones(count)
    weights = weights / weights.sum()
    by_spot = [_around(spot, used) for spot in found.spots]
    chances = tuple(_chances(found, columns, by_spot, weights))
    chances = tuple(
        replace(one, guessed=_guessed(engines.numbers, moves, one.room)) for one in chances
    )
    stopped = np.zeros(count, dtype=bool)
    for column in columns:
        stopped |= column.gone(False)
    doubtful = [(c, _told(chances, c)) for c in columns]
    worth = _next(engines.numbers, moves, doubtful, weights)
    return Sure(float(weights @ ~stopped), chances, worth, count, counting, weighed)


def _columns(stops: dict[str, Stops], used: Array | None) -> Iterator[_Column]:
    for side in stops.values():
        for k, thing in enumerate(side.things):
            yield _Column(thing, side.least[:, k], side.at[:, k], float(side.asked[k]))
    if used is not None:
        room = 1.0 - used
        yield _Column(None, room.min(axis=1), room.argmin(axis=1), 1.0 - NEARLY)


def _around(spot: TightSpot, used: Array | None) -> _Column | None:
    """Return how the coupled wheels bind about one finding: an eighth of a turn to either side."""
    if used is None or not isinstance(spot, PlayUsedUp):
        return None
    middle = round(spot.arc.worst / (2 * np.pi) * SAMPLES)
    places = (middle + np.arange(-SAMPLES // 8, SAMPLES // 8 + 1)) % SAMPLES
    room = 1.0 - used[:, places]
    return _Column(None, room.min(axis=1), places[room.argmin(axis=1)], 1.0 - NEARLY)


def _guessed(numbers: Sequence[SheetNumber], moves: Array, room: Array | None) -> float:
    """Return what share of the spread of a room comes from numbers that nobody measured [1]."""
    if room is None or not len(numbers) or np.ptp(room) <= 0:
        return 0.0
    squares = ((room - room.mean()) @ (moves - moves.mean(axis=0))) ** 2
    squares = squares / np.maximum(moves.var(axis=0), 1e-300)
    unknown = np.array([not number.origin.known for number in numbers])
    return float(squares[unknown].sum() / max(float(squares.sum()), 1e-300))


def _weights(engines: Drawn, moves: Array, stops: dict[str, Stops]) -> Array:
    """Return how likely all that was felt is by each engine, shape (V,)."""
    sheet, weights = engines.sheet, np.ones(len(moves))
    here = [
        line
        for line in sheet.felt
        if not line.pushed and line.running in (None, sheet.running) and line.what is not What.STIFF
    ]
    together = both_ways(here)
    ahead = {side: sheet.right_leads_by if side == "left" else 0.0 for side in sheet.sides}
    for on, back in together:
        by_side = {side: _stopped(engines, moves, stops, replace(here[on], side=side))
                   for side in sheet.sides}  # fmt: skip
        weights *= likelihood_of_both((here[on], here[back]), by_side, ahead)[0]
    for number, line in enumerate(here):
        if number not in chain(*together):
            weights *= likelihood(line, _stopped(engines, moves, stops, line))
    return weights


def _stopped(engines: Drawn, moves: Array, stops: dict[str, Stops], line: Felt) -> Mask:
    """Return where each engine stops as a line has it, by its side's crank."""
    off = {(one.side, key) for one in line.off for key in one.stills}
    found = np.zeros((len(moves), SAMPLES), dtype=bool)
    lead = engines.sheet.right_leads_by
    for name, side in stops.items():
        if line.side not in ("", name):
            continue
        for k, thing in enumerate(side.things):
            if not any(where == name and key in thing.keys for where, key in off):
                behind = lead if not line.side and name == "left" else 0.0  # all by one crank
                found |= np.roll(side.stopped[:, k], steps(behind), axis=1)
    rods = frozenset(one for one in off if one[1].startswith(COUPLING_RODS))
    used = None if engines.play is None else engines.play.used(moves, rods)
    if used is None:
        return found
    ahead = lead if line.side == "left" else 0.0
    return found | np.roll(used > 1.0, -steps(ahead), axis=1)


def _chances(
    found: Examination,
    columns: Sequence[_Column],
    by_spot: Sequence[_Column | None],
    weights: Array,
) -> Iterator[Chance]:
    judged, seen = how_sure(found), set[int]()
    for spot, judgement, own in zip(found.spots, judged.spots, by_spot, strict=True):
        column = next((c for c in columns if _is_of(found, spot, c)), None)
        if column is None:
            yield Chance(spot, None, np.nan, np.nan, judgement.chance, spot.worst, Why.NOT_TURNED)
            continue
        seen.add(id(column))
        asked = isinstance(spot, Close) or (isinstance(spot, PlayUsedUp) and not spot.binds)
        yield _chance(spot, own or column, asked, judgement.chance, weights)
    others = []
    for column in columns:
        if id(column) not in seen and float(column.gone(False).mean()) >= LEAST:
            thing = column.thing
            fouls = thing is not None and thing.kind is Kind.FOULS
            known = judged.pairs.get((thing.side, thing.parts)) if thing and fouls else None
            first = np.nan if known is None else known.chance
            others.append(_chance(None, column, False, first, weights))
    yield from sorted(others, key=lambda one: -one.chance)


def _chance(
    spot: TightSpot | None, column: _Column, asked: bool, first: float, weights: Array
) -> Chance:
    gone = column.gone(asked)
    chance, unfelt = float(weights @ gone), float(gone.mean())
    places = column.at[gone]
    at = float(CRANK[np.bincount(places, minlength=SAMPLES).argmax()]) if len(places) else np.nan
    why = None
    if np.isnan(first):
        why = Why.NO_SLOPES
    elif abs(unfelt - first) > APART:
        why = Why.FAR
    return Chance(spot, column.thing, chance, unfelt, first, at, why, column.room)


def _is_of(found: Examination, spot: TightSpot, column: _Column) -> bool:
    """Tell whether a column is what a finding is of, where the sheet has the reverser."""
    held = found.everywhere.get(spot.side)
    if held is not None and spot.place is not None and spot.place != held.here:
        return False
    thing = column.thing
    match spot:
        case PlayUsedUp():
            return thing is None
        case Fouls() | Close():
            kind = Kind.FOULS
        case RunsOff():
            kind = Kind.RUNS_OFF
        case CannotClose():
            kind = Kind.OPEN
        case Pinched():
            kind = Kind.PINCHED
        case _:
            return False
    if thing is None or thing.kind is not kind or spot.side not in (thing.side, "both"):
        return False
    if kind is Kind.OPEN:
        return bool(set(thing.parts) & set(spot.parts))
    return set(thing.parts) == set(spot.parts)


def _told(chances: Sequence[Chance], column: _Column) -> float:
    """Return how likely a column is, as told; nought where it is not."""
    return next((c.chance for c in chances if c.thing is column.thing and c.chance >= 0), 0.0)


def _next(
    numbers: Sequence[SheetNumber],
    moves: Array,
    doubtful: Sequence[tuple[_Column, float]],
    weights: Array,
) -> tuple[Worth, ...]:
    """Return the numbers that make most of the doubt.

    Of a thing with the chance p the doubt is p (1 - p); a number makes of it as much as the square
    of the correlation of the room with it.
    """
    doubt = np.zeros(len(numbers))
    for column, chance in doubtful:
        if LEAST < chance < 1 - LEAST and np.ptp(column.room) > 0:
            room = column.room - weights @ column.room
            by = moves - weights @ moves
            with np.errstate(invalid="ignore", divide="ignore"):
                shared = (weights * room) @ by
                spread = (weights @ room**2) * (weights @ by**2)
                share = np.where(spread > 0, shared**2 / spread, 0.0)
            doubt += chance * (1 - chance) * share
    whole = doubt.sum()
    order = np.argsort(-doubt)[:_NEXT].tolist() if whole > 0 else []
    return tuple(
        Worth(numbers[k], float(doubt[k] / whole)) for k in order if doubt[k] > _WORTH * whole
    )
