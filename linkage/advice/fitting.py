"""What the play of a fit does to an engine, and what a hole may be opened to."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from linkage.examine import Examination, examine
from linkage.sheet import Sheet, change
from linkage.standards.fits import Fit
from linkage.standards.stock import DRILLS, REAMERS, Size, next_above

_EVERYWHERE, _PIN, _HOLE = "joint_play.everywhere", "coupling.pin", "coupling.hole"
_HOLES = 3  # that a hole may be opened to are told


@dataclass(frozen=True)
class WithPlay:
    """An engine whose joints all have some play."""

    play: float  # [mm] hole less pin
    used: float | None  # [1] share of it that the coupled wheels need at most; None without any
    worn: float | None  # [mm] least clearance with all of it taken up; None where none is near
    touch: int  # how many pairs then touch that did not as measured


@dataclass(frozen=True)
class Opened:
    """What the holes of the coupling rods may be opened to."""

    to: Size
    reamed: bool  # whether by a reamer, else by a drill
    play: float  # [mm] hole less pin
    hides: float  # [mm] by how much a rod's centres may be wrong and all still go on


def with_fit(sheet: Sheet, fit: Fit) -> Iterator[WithPlay]:
    """Yield the engine with the least and with the most play of a fit in its joints.

    In the gear's joints, and in the coupling rods' holes where their pin is on the sheet.
    """
    for play in (max(fit.least, 0.0), max(fit.most, 0.0)):
        yield _found(examine(_loosened(sheet, play)), play)


def _loosened(sheet: Sheet, play: float) -> Sheet:
    known = {key for held in sheet.dimensions.values() for key in held}
    values = {_EVERYWHERE: play}
    first = next(iter(sheet.dimensions.values()))
    if {_PIN, _HOLE} <= known:
        values[_HOLE] = first[_PIN] + play
    elif "coupling.play" in known:
        values["coupling.play"] = play
    return change(sheet, values)


def _found(examination: Examination, play: float) -> WithPlay:
    worn = [one for side in examination.sides.values() for one in side.worn.values()]
    touch = sum(
        1
        for side in examination.sides.values()
        for pair in side.survey.pairs
        if pair.parts in side.worn and side.worn[pair.parts].least < 0 <= pair.least
    )
    used = examination.play.used.most if examination.play is not None else None
    least = min((one.least for one in worn), default=None)
    return WithPlay(play, used, least, touch)


def openings(sheet: Sheet) -> Iterator[Opened]:
    """Yield the next drills and reamers above the holes of the coupling rods.

    Nothing where the sheet has no pin and hole for them.

    A rod on two pins may be out by all the play of one pin: half of it at either end, each way.
    """
    first = next(iter(sheet.dimensions.values()))
    if not {_PIN, _HOLE} <= set(first):
        return
    pin, hole = first[_PIN], first[_HOLE]
    for among, reamed in ((REAMERS, True), (DRILLS, False)):
        above = hole
        for _ in range(_HOLES if not reamed else 1):
            found = next_above(above + 1e-6, among)
            if found is None:
                break
            above = found.size
            yield Opened(found, reamed, above - pin, above - pin)
