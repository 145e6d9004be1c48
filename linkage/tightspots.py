"""Tight spots: what the clearances, travels and closures of one side amount to, worst first.

One class a kind, with its own figures only; `KINDS` says of each what every room must know. One
function a rule: it turns figures into findings, and computes none of its own.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import assert_never

import numpy as np

from linkage.arrays import Array
from linkage.clearance import ArcBelow, Contact, PairClearance, RunOff, Worn
from linkage.kinematics import Opening
from linkage.mechanism import Grip, Mechanism, Running, Sort
from linkage.play import LostMotion, PlayArc, PlayFindings, UnlikeTread, find_lost_motion
from linkage.valve import UNLIKE_VALVES, UnlikeValves
from linkage.wheels import CoupledWheels

LIMPING = np.radians(5.0)
"""A coupled axle that swings by more either way limps (our own mark: well reamed it is 2) [rad]."""
LEAST_TRANSMISSION = np.radians(15.0)
"""Below this a pair of links is apt to jam on its own friction (common practice, no source;
textbooks ask 40 to 45 degrees of a machine under load, which a model's motion is not) [rad]."""

TURN = 2 * np.pi
Fault = tuple[type["Finding"], frozenset[str]]


@dataclass(frozen=True)
class Finding:
    """What all findings have."""

    side: str  # "right", "left", "both" or "only"
    parts: tuple[str, ...]  # the parts concerned; the two that meet, where two meet
    # crank angles of that side's own crank (of both: the right-hand one), each after the last [rad]
    begin: float
    worst: float
    end: float
    # where the reverser stands for it: by the sheet's name, or the angle of its arm [rad]; None of
    # what is the same at every place
    place: Running = field(default=None, kw_only=True)

    @property
    def fault(self) -> Fault:
        """What it is and between which parts, wherever in the turn and on whichever side."""
        return fault_of(type(self), self.parts)


@dataclass(frozen=True)
class CannotClose(Finding):
    """A loop that cannot close, so that the wheels lock: its ends are so far apart [mm]."""

    gap: float


@dataclass(frozen=True)
class PlayUsedUp(Finding):
    """Coupled wheels that bind, or all but bind, on the play in their holes."""

    rods: tuple[str, ...]  # the coupling rods and the crank pins concerned
    pins: tuple[str, ...]
    arc: PlayArc  # the play used

    @property
    def binds(self) -> bool:
        """Whether it binds; else it all but does."""
        return self.arc.missing > 0


@dataclass(frozen=True)
class _Meeting(Finding):
    """Two parts too near one another: their clearance, and where they meet."""

    clearance: PairClearance
    contact: Contact
    several: bool  # whether the first's name is that of several: "slide bars"
    wheels: tuple[bool, bool]  # which of them turns with an axle, so that its piece is to be told

    @property
    def wanted(self) -> float:
        """Clearance asked for [mm]."""
        return self.clearance.asked


@dataclass(frozen=True)
class Fouls(_Meeting):
    """Two parts with no air between them: so much metal overlaps [mm]."""

    overlap: float

    @property
    def least(self) -> float:
        """The clearance there [mm]."""
        return -self.overlap


@dataclass(frozen=True)
class Close(_Meeting):
    """Two parts that pass with less air than asked for: so much [mm]."""

    air: float

    @property
    def least(self) -> float:
        """The clearance there [mm]."""
        return self.air


@dataclass(frozen=True)
class RunsOff(Finding):
    """Something that runs past the end of its travel."""

    run_off: RunOff

    @property
    def meets(self) -> bool:
        """Whether it comes against what ends its travel, as a piston does a cover."""
        return self.run_off.travel.stop

    @property
    def wedges(self) -> bool:
        """Whether it jams where its guide grows narrow, as a crosshead does in slide bars."""
        return self.run_off.travel.narrows > 0


@dataclass(frozen=True)
class Pinched(Finding):
    """A part held on its pin in less room than it is thick, by so much [mm].

    Or a twisted rod that has less play there than it needs.
    """

    grip: Grip

    @property
    def pinch(self) -> float:
        """How much too thick it is [mm]."""
        return self.grip.stack - self.grip.room


@dataclass(frozen=True)
class Limps(Finding):
    """A coupled axle that lags before its rods take it along."""

    lost: LostMotion


@dataclass(frozen=True)
class UnlikeWheels(Finding):
    """Coupled wheels of another size than the others: they slip, and do not stick."""

    unlike: UnlikeTread


@dataclass(frozen=True)
class Uneven(Finding):
    """A link that swings lopsidedly, or unlike the other side's: the timing is wrong."""

    # how far it swings back and forward of upright, and on the other side; nan where there is none
    back: float
    forward: float
    others: tuple[float, float]


@dataclass(frozen=True)
class Mistimed(Finding):
    """A valve that goes otherwise than the other side's, by more than measuring errors explain."""

    unlike: UnlikeValves
    explained: float  # by how much the errors of all numbers can make the sides differ [mm]

    @property
    def room(self) -> float:
        """What the difference is short of what may be; below nought, for it is more [mm]."""
        return UNLIKE_VALVES * self.unlike.travel - self.unlike.apart


@dataclass(frozen=True)
class BranchUndecided(Finding):
    """Links in line, so that the crank does not decide which way they go on."""


@dataclass(frozen=True)
class TouchesWithPlay(Finding):
    """Two parts that clear one another as measured, but not with all play taken up."""

    clearance: PairClearance
    worn: Worn

    @property
    def overlap(self) -> float:
        """By how much they then overlap [mm]."""
        return -self.worn.least


@dataclass(frozen=True)
class PoorTransmission(Finding):
    """A pair of links that pushes almost along itself: at so small an angle [rad]."""

    angle: float


TightSpot = (
    CannotClose
    | PlayUsedUp
    | Fouls
    | RunsOff
    | Pinched
    | BranchUndecided
    | Close
    | TouchesWithPlay
    | PoorTransmission
    | Limps
    | UnlikeWheels
    | Uneven
    | Mistimed
)


def fault_of(kind: type[Finding], parts: Iterable[str]) -> Fault:
    """Return what is wrong with some parts, wherever in the turn and on whichever side."""
    return kind, frozenset(parts)


@dataclass(frozen=True)
class Kind:
    """What there is to know of a kind of finding."""

    name: str  # what it is called in data for other programs
    dial: str  # what is written beside its arc on a dial
    stops: bool = False  # whether the wheels stop at it under the hand
    hinders: bool = True  # whether it is a tight spot at all, or wrong without hindering the turn
    alone: bool = True  # whether it shows on a side that is examined by itself
    # what a number's distance from it is measured in; empty where nothing measures it
    unit: str = ""


KINDS: Mapping[type[TightSpot], Kind] = {
    CannotClose: Kind("cannot close", "locks", stops=True),
    PlayUsedUp: Kind("play used up", "binds", alone=False, unit="share of the play"),
    Fouls: Kind("fouls", "fouls", stops=True),
    RunsOff: Kind("runs off", "runs off", stops=True, unit="mm"),
    Pinched: Kind("pinched", "pinched", stops=True),
    BranchUndecided: Kind("branch undecided", "in line"),
    Close: Kind("close", "close", unit="mm"),
    TouchesWithPlay: Kind("touches with play", "if worn"),
    PoorTransmission: Kind("poor transmission angle", "jams", unit="degrees"),
    Limps: Kind("limps", "limps", hinders=False, alone=False),
    UnlikeWheels: Kind("wheels of other sizes", "slips", hinders=False, alone=False, unit="mm"),
    Uneven: Kind("uneven timing", "uneven", hinders=False, alone=False),
    Mistimed: Kind("sides timed unlike", "unlike", hinders=False, alone=False, unit="mm"),
}
"""Kinds of tight spot, gravest first."""
_GRAVITY = {kind: number for number, kind in enumerate(KINDS)}


def kind_of(spot: TightSpot) -> Kind:
    """Return what there is to know of a tight spot's kind."""
    return KINDS[type(spot)]


def dial_word(spot: TightSpot) -> str:
    """Return what is written beside a tight spot's arc on a dial."""
    if isinstance(spot, PlayUsedUp) and not spot.binds:
        return "all but binds"
    return kind_of(spot).dial


def graver(one: TightSpot, other: TightSpot) -> bool:
    """Tell whether one is of a graver kind than another."""
    return _GRAVITY[type(one)] < _GRAVITY[type(other)]


def amount_of(spot: TightSpot) -> float:
    """Return the length that says how bad a tight spot is; 0 where none does [mm].

    By kind: metal that overlaps, air that is left, how far the loop's ends are apart or
    something goes past its end, by how much the holes concerned would have to be larger, how far
    a wheel slips in each turn.
    """
    match spot:
        case CannotClose():
            return spot.gap
        case PlayUsedUp():
            return spot.arc.missing
        case Fouls() | TouchesWithPlay():
            return spot.overlap
        case Close():
            return spot.air
        case RunsOff():
            return spot.run_off.beyond * (spot.run_off.travel.narrows or 1.0)
        case Pinched():
            return spot.pinch
        case UnlikeWheels():
            return spot.unlike.slip
        case BranchUndecided() | PoorTransmission() | Limps() | Uneven() | Mistimed():
            return 0.0
        case _:
            assert_never(spot)


def gravity(spot: TightSpot) -> tuple[int, float]:
    """Return what tight spots are sorted by: graver kinds, then the greater overlap or less air."""
    amount = round(amount_of(spot), 4)
    return _GRAVITY[type(spot)], amount if isinstance(spot, Close) else -amount


def rank(spots: Iterable[TightSpot]) -> tuple[TightSpot, ...]:
    """Sort tight spots, worst first."""
    return tuple(sorted(spots, key=gravity))


def thing_of(spot: TightSpot) -> Hashable:
    """Return what is wrong on a side, wherever in the turn and at whatever place of the reverser.

    That two parts are too near is one thing, by however much.
    """
    match spot:
        case RunsOff():
            return RunsOff, spot.run_off.travel.joint, spot.run_off.forward
        case Fouls() | Close() | TouchesWithPlay():
            return Fouls, frozenset(spot.parts)
        case CannotClose() | PlayUsedUp() | BranchUndecided() | PoorTransmission():
            return spot.fault
        case Pinched() | Limps() | UnlikeWheels() | Uneven() | Mistimed():
            return spot.fault
        case _:
            assert_never(spot)


def fouls(
    mechanism: Mechanism, side: str, pair: PairClearance, contacts: Mapping[float, Contact]
) -> list[TightSpot]:
    """Say where two parts have no air between them.

    One for each arc of the turn.
    """
    what = _what(mechanism, pair)
    return [
        Fouls(side, pair.parts, *_angles(arc), pair, contacts[arc.worst], *what, -arc.least)
        for arc in pair.fouls
    ]


def close_ones(
    mechanism: Mechanism, side: str, pair: PairClearance, contacts: Mapping[float, Contact]
) -> list[TightSpot]:
    """Say where two parts pass with less air than asked for, but pass.

    One for each arc in which they do not also foul.
    """
    what = _what(mechanism, pair)
    return [
        Close(side, pair.parts, *_angles(arc), pair, contacts[arc.worst], *what, arc.least)
        for arc in pair.close
        if arc.least >= 0
    ]


def _what(mechanism: Mechanism, pair: PairClearance) -> tuple[bool, tuple[bool, bool]]:
    """Return what is to be known of two parts to name them."""
    first, second = (mechanism.part(name) for name in pair.parts)
    turning = (Sort.CRANK, Sort.WHEEL)
    return first.plural, (first.sort in turning, second.sort in turning)


def _angles(arc: ArcBelow | Opening | RunOff) -> tuple[float, float, float]:
    return arc.begin, arc.worst, arc.end


def open_loops(side: str, openings: Iterable[Opening]) -> list[TightSpot]:
    """Say where a loop cannot close, so that the wheels lock.

    One for each arc.

    `openings`: from `kinematics.find_openings`.
    """
    return [CannotClose(side, o.parts, *_angles(o), o.gap) for o in openings]


def play_gone(found: PlayFindings, lead: float) -> list[TightSpot]:
    """Say where coupled wheels bind, or all but bind, on the play in their holes.

    One for each arc of the turn.

    `found`: from `play.find_play`. `lead` [rad]: by how much the right-hand crank leads the
    left-hand one.
    """
    spots: list[TightSpot] = []
    for arc in (*found.binding, *found.nearly):
        sides = {hole.side for hole in arc.holes if hole.side}
        side = sides.pop() if len(sides) == 1 else "both"
        shift = lead if side == "left" else 0.0
        turn = 2 * np.pi * float(np.floor((arc.begin - shift) / (2 * np.pi)))
        rods = dict.fromkeys(
            f"{found.wheels.rods[hole.rod].name}" for hole in arc.holes if hole.rod >= 0
        )
        pins = dict.fromkeys(f"{hole.axle} crank pin" for hole in arc.holes if hole.kind == "hole")
        begin, worst, end = (a - shift - turn for a in (arc.begin, arc.worst, arc.end))
        spots.append(
            PlayUsedUp(side, (*rods, *pins), begin, worst, end, tuple(rods), tuple(pins), arc)
        )
    return spots


def touch_when_worn(
    side: str, pairs: Iterable[PairClearance], worn: Mapping[tuple[str, str], Worn]
) -> list[TightSpot]:
    """Say which parts clear one another as measured but not with all play taken up.

    One for each pair that is not too close already without it.

    `worn`: from `clearance.find_wear`.
    """
    return [
        TouchesWithPlay(side, pair.parts, w.at, w.at, w.at, pair, w)
        for pair in pairs
        if pair.least >= pair.asked
        and (w := worn.get(pair.parts)) is not None
        and w.least < 0
    ]  # fmt: skip


def run_offs(side: str, found: Iterable[RunOff]) -> list[TightSpot]:
    """Say what runs past the end of its travel.

    One for each arc.

    `found`: from `clearance.find_run_offs`.
    """
    return [RunsOff(side, (r.travel.part, r.travel.against), *_angles(r), r) for r in found]


def pinched(mechanism: Mechanism, side: str) -> list[TightSpot]:
    """Say what is held in less room than it is thick."""
    return [
        Pinched(side, grip.parts, 0.0, 0.0, TURN, grip)
        for grip in mechanism.grips
        if grip.stack > grip.room
    ]


def limping(wheels: CoupledWheels) -> list[TightSpot]:
    """Say which coupled axles lag by more than they may before their rods take them along."""
    return [
        Limps(lost.side, (lost.rod.name, *(f"{axle} crank pin" for axle in lost.axles)),
              lost.at, lost.at, lost.at, lost)
        for lost in find_lost_motion(wheels)
        if lost.swing > LIMPING
    ]  # fmt: skip


def undecided_branches(
    side: str, changes: Iterable[tuple[float, tuple[str, ...]]]
) -> list[TightSpot]:
    """Say where links lie in line, so that the crank does not decide which way they go on.

    One for each place.

    `changes`: from `kinematics.branch_changes` [rad].
    """
    return [BranchUndecided(side, parts, angle, angle, angle) for angle, parts in changes]


def poor_transmission(
    side: str, crank: Array, angles: Mapping[tuple[str, ...], Array]
) -> list[TightSpot]:
    """Say where a pair of links pushes almost along itself.

    One for each pair of links, for the arc about its worst place (to a sample).

    `crank`, shape (N,) [rad]: crank angles, even steps over the turn. `angles`, shape (N,) [rad]:
    transmission angle of each group; only pairs are judged, the measure of larger groups has no
    accepted limit.
    """
    found: list[TightSpot] = []
    for parts, values in angles.items():
        if len(parts) != 2 or np.isnan(values).any():
            continue
        low = values < LEAST_TRANSMISSION
        if not low.any():
            continue
        worst = int(np.argmin(values))
        first = last = worst
        while low[(first - 1) % len(low)] and worst - first < len(low) - 1:
            first -= 1
        while low[(last + 1) % len(low)] and last - first < len(low) - 1:
            last += 1
        step = float(crank[1] - crank[0])
        begin, at, end = (float(crank[0]) + step * k for k in (first, worst, last))
        turn = 2 * np.pi * np.floor(begin / (2 * np.pi))
        least = float(values[worst])
        found.append(PoorTransmission(side, parts, begin - turn, at - turn, end - turn, least))
    return found
