"""Whether the valves of the two sides work alike, and what measuring errors make of that.

Of either side s and place p of the reverser, with F the travel of the valve, or its lap and lead
together (`valve/figures.py`), or by how much the middle of its travel shifts from place to place,
or how far it goes with the crank::

    d = F(right, p) - F(left, p)

What the spindle was set to in its nuts comes in where the sheet has the valve's middle on both
sides: then F is also how far the middle of the travel is from it. Each number n of the sheet, known
to within e(n) and independently of the others, has its share in d, and one that both sides have
moves both::

    explained = 3 sqrt( sum over n of (dd/dn)^2 e(n)^2 / 3 )

three standard deviations of the rectangular distribution of JCGM 100:2008, 4.3.7.

How far a valve goes with the crank is b of its first harmonic, ``s = a cos t + b sin t`` with t
from where the piston's own is greatest: above nought it is set to run forward (`events/timing.py`).
It is told where it is above nought on one side and below it on the other, each by a tenth of the
travel and more: that goes before all else, for nothing else can be put right while it is so.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from linkage.arrangements import build
from linkage.arrays import Array
from linkage.errors import LinkageError
from linkage.examine.evenness import mistimed, uneven
from linkage.examine.everywhere import Everywhere
from linkage.examine.side import SideFindings
from linkage.kinematics import Motion, solve_round
from linkage.mechanism import Mechanism, Running
from linkage.sheet import Sheet, set_running
from linkage.sheet.numbers import SheetNumber, numbers_of, with_number
from linkage.tightspots import Mistimed, TightSpot
from linkage.valve import Figure, UnlikeValves, figures_of

SAMPLES = 240
"""Crank angles at which variants are turned."""
_STEP = 1e-3  # by which a number is moved [mm, degrees]
SET = 0.1  # of its travel: a valve that goes less with the crank is set for neither way [1]
FORWARD = "full_forward"
_NEAR = 0.5  # of what may be: a difference from which errors may make it more [1]

ByPlace = Mapping[Running, Mapping[Figure, float]]
"""Figures of a side by the place of its reverser."""


@dataclass(frozen=True)
class _Told:
    """A figure by which valves are told apart, at a place, or from one place to another."""

    figure: Figure
    place: Running
    since: Running = None

    def of(self, figures: ByPlace) -> float:
        """Return it of a side [mm]; nan where it does not go round."""
        here = figures[self.place][self.figure]
        return here if self.since is None else here - figures[self.since][self.figure]


def _told(unlike: UnlikeValves) -> _Told:
    return _Told(unlike.figure, unlike.place, unlike.since)


def unlike_valves(
    sheet: Sheet, sides: Mapping[str, SideFindings], everywhere: Mapping[str, Everywhere]
) -> list[TightSpot]:
    """Say whether the valve of a side works unlike the other's, by more than errors explain."""
    found = unlike_by(sheet, _held(sides, everywhere))
    return [] if found is None else mistimed(sides[found[0].side].mechanism, *found)


def nearly_unlike(
    sheet: Sheet, sides: Mapping[str, SideFindings], everywhere: Mapping[str, Everywhere]
) -> Iterator[TightSpot]:
    """Yield as a spot what is all but told: what differs most, or what errors explain so far.

    One at the most; none where all differs by less than half of what it may.
    """
    near = [one for one in compared(_held(sides, everywhere)) if one.excess > _NEAR]
    worst = max((one for one in near if not one.opposed), key=lambda one: one.excess, default=None)
    if worst is not None:
        yield from mistimed(sides[worst.side].mechanism, worst, 0.0)


def _held(
    sides: Mapping[str, SideFindings], everywhere: Mapping[str, Everywhere]
) -> dict[str, ByPlace]:
    """Return the figures of both sides; none where there are not two with valves, and unlike."""
    if len(sides) < 2:
        return {}
    one, other = sides.values()
    if one.mechanism == other.mechanism or not one.mechanism.watched.valve:
        return {}
    return {name: figures_everywhere(sides[name], everywhere.get(name)) for name in sides}


def unlike_by(sheet: Sheet, held: Mapping[str, ByPlace]) -> tuple[UnlikeValves, float] | None:
    """Return what differs most between the sides, and by how much errors explain that [mm].

    None where nothing differs by more than it may.
    """
    found = [unlike for unlike in compared(held) if unlike.excess > 1.0]
    if not found:
        return None
    opposed = [unlike for unlike in found if unlike.opposed]
    worst = opposed[0] if opposed else max(found, key=lambda unlike: unlike.excess)
    told = _told(worst)
    numbers = numbers_of(sheet)
    return worst, explained_by(_slopes(sheet, tuple(held), told, numbers), numbers)


def explained_by(slopes: Array, numbers: Sequence[SheetNumber]) -> float:
    """Return by how much the errors of numbers can make the sides differ [mm].

    `slopes`: of the difference by every number, shape (K,) [mm a mm or degree].
    """
    errors = np.array([number.origin.error for number in numbers])
    return math.sqrt(3.0 * float(((slopes * errors) ** 2).sum()))


def figures_at_places(sheet: Sheet, side: str, places: Sequence[Running]) -> ByPlace:
    """Return the figures of a side at places of its reverser, without looking for anything else.

    Raises
    ------
    LinkageError
        Where there is a place at which it cannot be built.
    """
    return {
        place: {
            figure: float(values[0])
            for figure, values in _turned([build(_set(sheet, place), side)[side]]).items()
        }
        for place in places
    }


def valves_alike(sheet: Sheet, places: Sequence[Running]) -> bool:
    """Tell whether both links swing evenly, and no figure of the valves differs, by samples.

    By more than it may, at places of the reverser.

    Raises
    ------
    LinkageError
        Where there is a place at which a side cannot be built.
    """
    held = {side: figures_at_places(sheet, side, places) for side in sheet.sides}
    figures = [value for side in held.values() for one in side.values() for value in one.values()]
    links = dict.fromkeys(held, "")
    here = {side: next(iter(one.values())) for side, one in held.items()}
    swings = all(Figure.SWING in one for one in here.values())
    return (
        not np.isnan(figures).any()
        and not (swings and uneven(here, links))
        and all(unlike.excess <= 1.0 for unlike in compared(held))
    )


def slopes_of(sheet: Sheet, spot: Mistimed, numbers: Sequence[SheetNumber]) -> Array:
    """Return by how much the difference a spot tells grows with every number, shape (K,).

    [mm a mm or degree].
    """
    return _slopes(sheet, tuple(sheet.sides), _told(spot.unlike), numbers)


def figures_everywhere(side: SideFindings, held: Everywhere | None) -> ByPlace:
    """Return a side's figures where its reverser has named places; else as the sheet has it."""
    found: dict[Running, SideFindings] = {None: side}
    if held is not None:
        found = {place: at for place, at in held.at.items() if isinstance(place, str)}
    return {
        place: {figure: float(value[0]) for figure, value in _of(at).items()}
        for place, at in found.items()
    }


def _of(side: SideFindings) -> dict[Figure, Array]:
    found = _figures(side.motion, [side.mechanism])
    return {figure: np.atleast_1d(value) for figure, value in found.items()}


def _figures(motion: Motion, mechanisms: Sequence[Mechanism]) -> dict[Figure, Array]:
    """Return the figures by which valves are told apart; lap and lead however the ports open.

    `mechanisms`: those that the motion is of, one or V, for what times the steam there.
    """
    figures = figures_of(motion)
    middles = [made.watched.ports.middle for made in mechanisms]
    if Figure.MIDDLE in figures and None not in middles:
        figures[Figure.SETTING] = figures[Figure.MIDDLE] - np.array(middles, dtype=float)
    if Figure.LAP_AND_LEAD not in figures and Figure.AT_FRONT in figures:
        half = (figures[Figure.AT_FRONT] - figures[Figure.AT_BACK]) / 2
        figures[Figure.LAP_AND_LEAD] = half
    figures[Figure.RUNS] = _with_the_crank(motion)
    return figures


def _with_the_crank(motion: Motion) -> Array:
    """Return how far a valve's first harmonic goes with the crank, shape () or (V,) [mm].

    With V and P the first harmonics ``sum s exp(-i t)`` of the valve's and the piston's N places,
    ``b = -(2 / N) Im(V conj(P)) / |P|``; nan where there is no piston, or it does not go round.
    """
    watched = motion.course.mechanism.watched
    if not (watched.valve and watched.crosshead):
        return np.full(motion.reached.shape[:-1], np.nan)
    once = np.exp(-1j * motion.crank)
    valve = (motion.travel(watched.valve) * once).sum(axis=-1)
    piston = (motion.travel(watched.crosshead) * once).sum(axis=-1)
    across = -(valve * piston.conj()).imag / np.abs(piston)
    return np.asarray((watched.admits or 1) * 2 / len(once) * across)


def compared(held: Mapping[str, ByPlace]) -> Iterator[UnlikeValves]:
    """Yield how far the figures of the sides differ, the side that is thought to be wrong first."""
    names = list(held)
    if len(names) < 2:
        return
    places = [place for place in held[names[0]] if place in held[names[1]]]
    if not places:
        return
    tells = [_Told(figure, p) for p in places for figure in (Figure.TRAVEL, Figure.LAP_AND_LEAD)]
    if len(places) > 1:
        tells.append(_Told(Figure.MIDDLE, places[0], places[-1]))
    lopsided = {name: _lopsided(held[name], places) for name in names}
    wrong, right = sorted(names, key=lambda name: -lopsided[name])
    for told in tells:
        mine, theirs = told.of(held[wrong]), told.of(held[right])
        apart = math.copysign(1.0, theirs) * mine, abs(theirs)
        travel = held[right][told.place][Figure.TRAVEL]
        yield UnlikeValves(wrong, told.figure, *apart, travel, told.place, told.since)
    yield from _set_apart(held, places[0])
    yield from _opposed(held, places, wrong, right)


def _set_apart(held: Mapping[str, ByPlace], place: Running) -> Iterator[UnlikeValves]:
    """Yield how far the valves are set apart in their nuts, where the sheet has both middles."""
    figures = {name: one[place] for name, one in held.items()}
    if not all(Figure.SETTING in one for one in figures.values()):
        return
    right, wrong = sorted(figures, key=lambda name: abs(figures[name][Figure.SETTING]))
    mine, theirs = (figures[name][Figure.SETTING] for name in (wrong, right))
    travel = figures[right][Figure.TRAVEL]
    yield UnlikeValves(wrong, Figure.SETTING, mine, theirs, travel, place)


def _opposed(
    held: Mapping[str, ByPlace], places: Sequence[Running], wrong: str, right: str
) -> Iterator[UnlikeValves]:
    """Yield at which places one valve is set to run forward and the other to run back.

    At the place for running forward it is the one that is not that is wrong, where the sheet says
    which way the ports open; `wrong`: else. What cannot be reversed is made for running forward
    (common practice, no source).
    """
    for place in places:
        runs = {name: one[place][Figure.RUNS] / one[place][Figure.TRAVEL]
                for name, one in held.items()}  # fmt: skip
        if not min(runs.values()) < -SET < SET < max(runs.values()):
            continue
        if place in (None, FORWARD) and Figure.AT_FRONT not in held[wrong][place]:
            wrong, right = sorted(runs, key=lambda name: runs[name])
        mine, theirs = (held[name][place][Figure.RUNS] for name in (wrong, right))
        travel = held[right][place][Figure.TRAVEL]
        yield UnlikeValves(wrong, Figure.RUNS, mine, theirs, travel, place)


def _lopsided(figures: ByPlace, places: Sequence[Running]) -> float:
    """Return by how much a side's fore and back gear differ: of two sides it is in the wrong."""
    first, last = figures[places[0]], figures[places[-1]]
    told = (Figure.TRAVEL, Figure.LAP_AND_LEAD, Figure.MIDDLE)
    return float(np.nan_to_num(sum(abs(first[one] - last[one]) for one in told)))


def _slopes(
    sheet: Sheet, sides: tuple[str, ...], told: _Told, numbers: Sequence[SheetNumber]
) -> Array:
    """Return by how much the difference of the sides grows with every number, shape (K,)."""
    slopes, apart = np.zeros(len(numbers)), 0.0
    for side, sign in zip(sides, (1.0, -1.0), strict=True):
        mine = [k for k, number in enumerate(numbers) if side in number.places]
        for place, way in ((told.place, 1.0), (told.since, -1.0)):
            if way < 0 and told.since is None:
                continue
            there = _set(sheet, place)
            made = [_built(there, side)]
            made += [_built(with_number(there, numbers[k], _STEP), side) for k in mine]
            columns = [k for k, one in zip(mine, made[1:], strict=True) if one is not None]
            known = [one for one in made if one is not None]
            values = _turned(known)[told.figure]
            grown = np.nan_to_num((values[1:] - values[0]) / _STEP)
            slopes[columns] += sign * way * grown
            apart += sign * way * float(values[0])
    return math.copysign(1.0, apart) * slopes


def _set(sheet: Sheet, place: Running) -> Sheet:
    return sheet if place is None else set_running(sheet, place)


def _built(sheet: Sheet, side: str) -> Mechanism | None:
    try:
        return build(sheet, side)[side]
    except LinkageError:
        return None


def _turned(mechanisms: Sequence[Mechanism]) -> Mapping[Figure, Array]:
    """Return the figures of variants of one side, shape (V,) each; nan of what does not go."""
    motion = solve_round(mechanisms, SAMPLES)
    if motion is not None:
        return _figures(motion, mechanisms)
    return {figure: np.full(len(mechanisms), np.nan) for figure in Figure}
