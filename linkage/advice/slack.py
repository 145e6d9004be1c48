"""What is nearest to its limit in each of many variants of a sheet, all looked at together.

By samples at 720 crank angles, and between them where the clearances want it: what a whole
examination judges is judged here, but for wear, and nothing is proven.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from linkage.arrangements import build, coupled_wheels
from linkage.clearance import NO_LOSSES, AirOfVariants, least_room
from linkage.errors import LinkageError, SheetError
from linkage.examine import Examination
from linkage.kinematics import Motion, branches_crossed, solve_round, transmission_angles
from linkage.mechanism import SAME_PLACE, Mechanism
from linkage.play import NEARLY, PlayOfVariants
from linkage.sheet import Sheet, set_running
from linkage.tightspots import (
    KINDS,
    LEAST_TRANSMISSION,
    BranchUndecided,
    CannotClose,
    Close,
    Fault,
    Fouls,
    PlayUsedUp,
    PoorTransmission,
    RunsOff,
    TightSpot,
    TouchesWithPlay,
    fault_of,
)
from linkage.wheels import CoupledWheels

SAMPLES = 720
"""Crank angles looked at."""
SHUT = -1.0
"""Slack of what cannot be put together, or locks [mm]."""
_TOGETHER = 120  # variants turned together: their poses stay in memory
_BACK = 9  # sides that one is compared with: those of a variant before, at every place
_THIN = 4  # of the crank angles, those at which the push of links is looked at


Stopper = tuple[type[TightSpot] | None, str, tuple[str, ...]]
"""What stops, wherever in the turn it does: kind, side and parts."""


@dataclass(frozen=True)
class Stop:
    """What is nearest to its limit."""

    # how far from it, above 0 on the good side: air [mm], room to run [mm], play not used [share],
    # angle [rad], by kind
    slack: float
    kind: type[TightSpot] | None  # which; None where the sheet itself would refuse the value
    side: str  # "right", "left", "both" or "only"
    parts: tuple[str, ...]  # the parts concerned; empty where nothing comes near
    at: float = math.nan  # that side's crank angle; nan where none says it [rad]

    @property
    def what(self) -> Stopper:
        """What stops there, without how much and where in the turn."""
        return self.kind, self.side, self.parts

    @property
    def fault(self) -> Fault | None:
        """What it is as a fault of its side; None where the sheet itself refuses the value."""
        return None if self.kind is None else fault_of(_meets(self.kind), self.parts)


def _meets(kind: type[TightSpot]) -> type[TightSpot]:
    """Return a kind, all that is said of a pair's air alike."""
    return Close if kind in (Fouls, Close, TouchesWithPlay) else kind


def worn_losses(found: Examination) -> Mapping[tuple[str, str], float]:
    """Return what wear takes from the air of the near pairs of an engine, by their parts [mm].

    Of either side and every place of the reverser the most.
    """
    elsewhere = (side for held in found.everywhere.values() for side in held.at.values())
    sides = [*found.sides.values(), *elsewhere]
    losses: dict[tuple[str, str], float] = {}
    for side in sides:
        for pair in side.survey.pairs:
            if pair.parts in side.worn:
                loss = pair.least - side.worn[pair.parts].least
                losses[pair.parts] = max(loss, losses.get(pair.parts, 0.0))
    return losses


def name_of(kind: type[TightSpot] | None) -> str:
    """Return what a kind of stop is called in data for other programs."""
    return "no such number" if kind is None else KINDS[kind].name


class SlackOfVariants:
    """Says of each of many variants of a sheet what is nearest to its limit.

    What variants, sides, and one call and the next have alike is looked at once.

    Parameters
    ----------
    wanted : float [mm]
        Clearance wanted.
    but : iterable of TightSpot
        What is not looked at: faults that are there already, and stay whatever the variant.
    wheels : callable
        Takes a variant, returns the coupled wheels that are turned for the play they use, if any.
    losses : mapping of (str, str) to float [mm]
        What wear takes from the air of pairs, as `worn_losses` has it.
    """

    def __init__(
        self,
        wanted: float,
        but: Iterable[TightSpot] = (),
        wheels: Callable[[Sheet], CoupledWheels | None] = coupled_wheels,
        losses: Mapping[tuple[str, str], float] = NO_LOSSES,
    ) -> None:
        self._air, self._play = AirOfVariants(wanted, losses), PlayOfVariants(NEARLY)
        self._but = {(spot.side, fault_of(_meets(type(spot)), spot.parts)) for spot in but}
        self._wheels = wheels

    def __call__(self, sheets: Sequence[Sheet | LinkageError]) -> list[Stop]:
        """Say it.

        `sheets`: the variants; in place of one that there is none of, why.
        """
        found: list[Stop] = []
        for first in range(0, len(sheets), _TOGETHER):
            some = sheets[first : first + _TOGETHER]
            found += self._together([_made(sheet, self._wheels) for sheet in some])
        return found

    def _together(self, variants: Sequence[_Made | Stop]) -> list[Stop]:
        stops = [[item] if isinstance(item, Stop) else [] for item in variants]
        pool: dict[Hashable, list[_Side]] = {}
        for number, item in enumerate(variants):
            if isinstance(item, Stop):
                continue
            for name, made in item.sides:
                mechanism = self._without(name, made)
                side = _Side(number, name, mechanism)
                pool.setdefault(_form(mechanism), []).append(side)
        for sides in pool.values():
            for side, stop in zip(sides, self._of_sides(sides), strict=True):
                stops[side.variant].append(stop)
        self._add_play(variants, stops)
        return [min(some, key=lambda stop: stop.slack) for some in stops]

    def _of_sides(self, sides: Sequence[_Side]) -> list[Stop]:
        """Return what is nearest to its limit on some sides that differ in their numbers only."""
        alike: list[_Side] = []  # one of every sort
        which = []
        for side in sides:
            # a side is as the other, or as it was in the variant before, or new
            same = next(
                (k for k in range(len(alike) - 1, max(len(alike) - _BACK, -1), -1)
                 if alike[k].mechanism == side.mechanism),
                None,
            )  # fmt: skip
            if same is None:
                same = len(alike)
                alike.append(side)
            which.append(same)
        found = self._turned([side.mechanism for side in alike])
        return [self._nearest(found[k], side.name) for k, side in zip(which, sides, strict=True)]

    def _without(self, side: str, mechanism: Mechanism) -> Mechanism:
        """Return a side's mechanism with the pairs that are not looked at kept apart."""
        pairs = {
            frozenset((part, None) for part in parts)
            for name, (kind, parts) in self._but
            if kind is Close and name == side
        }
        return replace(mechanism, apart=mechanism.apart | pairs) if pairs else mechanism

    def _nearest(self, stops: Sequence[Stop], side: str) -> Stop:
        """Return which of the stops of a side is nearest to its limit."""
        counts = (stop for stop in stops if (side, stop.fault) not in self._but)
        return replace(min(counts, key=lambda stop: stop.slack), side=side)

    def _turned(self, mechanisms: Sequence[Mechanism]) -> list[list[Stop]]:
        """Return the stops of each of some mechanisms, of no side yet."""
        shut = Stop(SHUT, CannotClose, "", ())
        motion = solve_round(mechanisms, SAMPLES)
        if motion is None:
            return [[shut]] * len(mechanisms)
        whole = np.asarray(motion.reached.all(axis=1))
        stops = [[] if k else [shut] for k in whole.tolist()]
        for number, air in enumerate(self._air(mechanisms, motion)):
            if whole[number]:
                kind = TouchesWithPlay if air.worn else Close
                stops[number].append(Stop(air.value, kind, "", air.parts, air.at))
        _add_rooms(stops, mechanisms, motion)
        _add_angles(stops, motion)
        return stops

    def _add_play(self, variants: Sequence[_Made | Stop], stops: Sequence[list[Stop]]) -> None:
        """Add the play used by coupled wheels."""
        some = [
            (k, item.wheels)
            for k, item in enumerate(variants)
            if not isinstance(item, Stop) and item.wheels is not None
        ]
        if not some:
            return
        used, at = self._play([wheels for _, wheels in some])
        for (k, _), share, angle in zip(some, used.tolist(), at.tolist(), strict=True):
            stops[k].append(Stop(NEARLY - share, PlayUsedUp, "both", (), angle))


@dataclass(frozen=True)
class _Made:
    """One variant put together: the mechanism of each side, and the wheels."""

    sides: list[tuple[str, Mechanism]]  # each side once for every place of the reverser
    wheels: CoupledWheels | None


@dataclass(frozen=True)
class _Side:
    """One side of one variant."""

    variant: int
    name: str
    mechanism: Mechanism


def _made(
    sheet: Sheet | LinkageError, wheels: Callable[[Sheet], CoupledWheels | None]
) -> _Made | Stop:
    try:
        if isinstance(sheet, LinkageError):
            raise sheet
        return _Made(list(_at_all_places(sheet)), wheels(sheet))
    except SheetError:
        return Stop(SHUT, None, "only", ())
    except LinkageError:
        return Stop(SHUT, CannotClose, "only", ())


def _at_all_places(sheet: Sheet) -> Iterator[tuple[str, Mechanism]]:
    """Yield each side where the sheet has the reverser, and at the other places with names."""
    here = build(sheet)
    yield from here.items()
    others = dict.fromkeys(
        name
        for mechanism in here.values()
        if (reverser := mechanism.reverser) is not None
        for name, _ in reverser.named
        if abs(reverser.turned(name)) > SAME_PLACE
    )
    for name in others:
        yield from build(set_running(sheet, name)).items()


def _form(mechanism: Mechanism) -> Hashable:
    """Return what mechanisms must have alike to be turned together."""
    return (
        tuple(part.name for part in mechanism.parts),
        tuple((type(j), j.name, j.a.part, j.b.part) for j in mechanism.joints),
        tuple((t.joint, t.part, t.against) for t in mechanism.travels),
    )


def _add_rooms(
    stops: Sequence[list[Stop]], mechanisms: Sequence[Mechanism], motion: Motion
) -> None:
    """Add the room left at the end of every travel."""
    for travel, room, at in least_room(mechanisms, motion):
        for k in np.flatnonzero(np.isfinite(room)).tolist():
            parts = (travel.part, travel.against)
            stops[k].append(Stop(float(room[k]), RunsOff, "", parts, float(at[k])))


def _add_angles(stops: Sequence[list[Stop]], motion: Motion) -> None:
    """Add where links lie in line, and how squarely pairs of them push."""
    for parts, at in branches_crossed(motion).items():
        for k in np.flatnonzero(np.isfinite(at)).tolist():
            stops[k].append(Stop(SHUT, BranchUndecided, "", parts, float(at[k])))
    thin = motion.thinned(_THIN)
    for parts, angles in transmission_angles(thin).items():
        if len(parts) != 2:
            continue
        wide = np.broadcast_to(angles, thin.reached.shape)
        for k in np.flatnonzero(thin.reached.all(axis=1)).tolist():
            worst = int(np.argmin(wide[k]))
            least = float(wide[k, worst]) - LEAST_TRANSMISSION
            at_worst = float(thin.crank[worst])
            stops[k].append(Stop(least, PoorTransmission, "", parts, at_worst))
