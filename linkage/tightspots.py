"""Tight spots: what the clearances, travels and closures of one side amount to, worst first.

One function a rule. A rule turns figures into findings; it computes none of its own.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from linkage.arrays import Array
from linkage.clearance import ArcBelow, Contact, PairClearance, RunOff, Worn
from linkage.kinematics import Opening
from linkage.play import PlayArc, PlayFindings

Kind = Literal[
    "cannot close",
    "play used up",
    "fouls",
    "runs off",
    "branch undecided",
    "close",
    "touches with play",
    "poor transmission angle",
]

ORDER: tuple[Kind, ...] = (
    "cannot close",
    "play used up",
    "fouls",
    "runs off",
    "branch undecided",
    "close",
    "touches with play",
    "poor transmission angle",
)
"""Kinds of tight spot, gravest first."""

LEAST_TRANSMISSION = np.radians(15.0)
"""Below this a pair of links is apt to jam on its own friction (common practice, no source;
textbooks ask 40 to 45 degrees of a machine under load, which a model's motion is not) [rad]."""


@dataclass(frozen=True)
class TightSpot:
    """One finding on one side.

    Attributes
    ----------
    kind : str
        One of `ORDER`.
    side : str
        "right", "left", "both" or "only".
    parts : tuple of str
        The parts concerned; the two that meet, where two meet.
    begin, worst, end : float [rad]
        Crank angles of that side's own crank (of both: the right-hand one), each after the last.
    amount : float [mm]
        By kind: metal that overlaps (fouls), air that is left (close), what the loop is short of
        (cannot close), how far past the end (runs off), by how much the holes concerned would have
        to be larger (play used up); 0 where no length says it.
    wanted : float [mm]
        Clearance asked for; 0 where that is not what is missed.
    clearance : PairClearance or None
        The pair's clearance, of fouls and close ones.
    contact : Contact or None
        Where they meet, of fouls and close ones.
    run_off : RunOff or None
        What runs off, of that kind.
    transmission : float [rad]
        The least angle, of that kind; nan otherwise.
    play : PlayArc or None
        The play used, of that kind.
    worn : Worn or None
        What the play of the gear's joints does, of "touches with play".
    """

    kind: Kind
    side: str
    parts: tuple[str, ...]
    begin: float
    worst: float
    end: float
    amount: float
    wanted: float = 0.0
    clearance: PairClearance | None = None
    contact: Contact | None = None
    run_off: RunOff | None = None
    transmission: float = float("nan")
    play: PlayArc | None = None
    worn: Worn | None = None

    @property
    def least(self) -> float:
        """The clearance there of fouls and close ones, negative where metal overlaps [mm]."""
        return -self.amount if self.kind == "fouls" else self.amount


def rank(spots: Iterable[TightSpot]) -> tuple[TightSpot, ...]:
    """Sort tight spots, worst first.

    Graver kinds first, then the greater overlap, or the less air.
    """

    def key(spot: TightSpot) -> tuple[int, float]:
        amount = spot.amount if spot.kind == "close" else -spot.amount
        return ORDER.index(spot.kind), amount

    return tuple(sorted(spots, key=key))


def fouls(side: str, pair: PairClearance, contacts: Mapping[float, Contact]) -> list[TightSpot]:
    """Say where two parts have no air between them.

    One for each arc of the turn.
    """
    return [_of_pair("fouls", side, pair, arc, contacts[arc.worst]) for arc in pair.fouls]


def close_ones(
    side: str, pair: PairClearance, contacts: Mapping[float, Contact]
) -> list[TightSpot]:
    """Say where two parts pass with less air than asked for, but pass.

    One for each arc in which they do not also foul.

    Parameters
    ----------
    side, pair, contacts
        As for `fouls`.
    """
    return [
        _of_pair("close", side, pair, arc, contacts[arc.worst])
        for arc in pair.close
        if arc.least >= 0
    ]


def _of_pair(
    kind: Kind, side: str, pair: PairClearance, arc: ArcBelow, contact: Contact
) -> TightSpot:
    return TightSpot(
        kind,
        side,
        pair.parts,
        arc.begin,
        arc.worst,
        arc.end,
        abs(arc.least),
        pair.asked,
        clearance=pair,
        contact=contact,
    )


def open_loops(side: str, openings: Iterable[Opening]) -> list[TightSpot]:
    """Say where a loop cannot close, so that the wheels lock.

    One for each arc.

    Parameters
    ----------
    openings : iterable of Opening
        From `kinematics.find_openings`.
    """
    return [
        TightSpot("cannot close", side, o.parts, o.begin, o.worst, o.end, o.shortage)
        for o in openings
    ]


def play_gone(found: PlayFindings, lead: float) -> list[TightSpot]:
    """Say where coupled wheels bind, or all but bind, on the play in their holes.

    One for each arc of the turn.

    Parameters
    ----------
    found : PlayFindings
        From `play.find_play`.
    lead : float [rad]
        By how much the right-hand crank leads the left-hand one.
    """
    spots = []
    for arc in (*found.binding, *found.nearly):
        sides = {hole.side for hole in arc.holes if hole.side}
        side = sides.pop() if len(sides) == 1 else "both"
        shift = lead if side == "left" else 0.0
        turn = 2 * np.pi * float(np.floor((arc.begin - shift) / (2 * np.pi)))
        names = dict.fromkeys(
            f"{found.wheels.rods[hole.rod].name}" for hole in arc.holes if hole.rod >= 0
        )
        axles = dict.fromkeys(f"{hole.axle} crank pin" for hole in arc.holes if hole.kind == "hole")
        begin, worst, end = (a - shift - turn for a in (arc.begin, arc.worst, arc.end))
        spots.append(
            TightSpot(
                "play used up",
                side,
                (*names, *axles),
                begin,
                worst,
                end,
                arc.missing,
                play=arc,
            )
        )
    return spots


def touch_when_worn(
    side: str, pairs: Iterable[PairClearance], worn: Mapping[tuple[str, str], Worn]
) -> list[TightSpot]:
    """Say which parts clear one another as measured but not with all play taken up.

    One for each pair that is not too close already without it.

    Parameters
    ----------
    worn : mapping of (str, str) to Worn
        From `clearance.find_wear`.
    """
    return [
        TightSpot(
            "touches with play", side, pair.parts, w.at, w.at, w.at, -w.least, pair.asked,
            clearance=pair, worn=w,
        )
        for pair in pairs
        if pair.least >= pair.asked
        and (w := worn.get(pair.parts)) is not None
        and w.least < 0
    ]  # fmt: skip


def run_offs(side: str, found: Iterable[RunOff]) -> list[TightSpot]:
    """Say what runs past the end of its travel.

    One for each arc.

    Parameters
    ----------
    found : iterable of RunOff
        From `clearance.find_run_offs`.
    """
    return [
        TightSpot(
            "runs off",
            side,
            (r.travel.part, r.travel.against),
            r.begin,
            r.worst,
            r.end,
            r.beyond,
            run_off=r,
        )
        for r in found
    ]


def undecided_branches(
    side: str, changes: Iterable[tuple[float, tuple[str, ...]]]
) -> list[TightSpot]:
    """Say where links lie in line, so that the crank does not decide which way they go on.

    One for each place.

    Parameters
    ----------
    changes : iterable of (float, tuple of str)
        From `kinematics.branch_changes` [rad].
    """
    return [
        TightSpot("branch undecided", side, parts, angle, angle, angle, 0.0)
        for angle, parts in changes
    ]


def poor_transmission(
    side: str, crank: Array, angles: Mapping[tuple[str, ...], Array]
) -> list[TightSpot]:
    """Say where a pair of links pushes almost along itself.

    One for each pair of links, for the arc about its worst place (to a sample).

    Parameters
    ----------
    crank : array, shape (N,) [rad]
        Crank angles, even steps over the turn.
    angles : mapping of tuple of str to array, shape (N,) [rad]
        Transmission angle of each group; only pairs are judged, the measure of larger groups has
        no accepted limit.
    """
    found = []
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
        found.append(
            TightSpot(
                "poor transmission angle",
                side,
                parts,
                begin - turn,
                at - turn,
                end - turn,
                0.0,
                transmission=float(values[worst]),
            )
        )
    return found
