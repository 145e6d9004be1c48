"""What was felt, set against what was found out: explained by it, or not.

A lock is explained by a tight spot at which the wheels stop, whose arc comes within the error of
the place felt; by whose parts none was off, on that side or on both. What is stiff, by that or by
what only drags. What is free, by there being no such spot. With coupling rods off the wheels are
turned again without them.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from linkage.arrangements import coupled_wheels
from linkage.clearance.near import PairCurves, reach_of
from linkage.clearance.pairs import pair_parts
from linkage.errors import AssemblyError
from linkage.examine import Examination
from linkage.play import find_play
from linkage.sheet.felt import COUPLING_RODS
from linkage.tables.felt import ROCKS, Felt, Off, Seen, What
from linkage.tightspots import (
    Close,
    Fouls,
    Limps,
    Mistimed,
    Pinched,
    PlayUsedUp,
    PoorTransmission,
    TightSpot,
    TouchesWithPlay,
    Uneven,
    UnlikeWheels,
    kind_of,
    play_gone,
)
from linkage.wheels import CoupledWheels

_TURN = 2 * math.pi
_DRAGS = (Close, TouchesWithPlay, PoorTransmission, Pinched, PlayUsedUp)
_NOWHERE = (Limps, UnlikeWheels, Uneven, Mistimed)  # of the whole turn, and not felt as a stop
_MEASURED = 0.1  # what a clearance computed may be out by the sheet's own numbers [mm]


@dataclass(frozen=True)
class Explained:
    """One thing felt or seen, and what was found out about it.

    Attributes
    ----------
    line : Felt or Seen
        What was felt or seen.
    agrees : bool
        Whether what was found out explains it.
    spots : tuple of TightSpot
        The tight spots there: what explains a lock, or what speaks against its being free.
    clearance : float [mm]
        Of the two parts seen, by the sheet; nan for what was felt, infinite where it is more than
        is looked at.
    """

    line: Felt | Seen
    agrees: bool
    spots: tuple[TightSpot, ...] = ()
    clearance: float = math.nan


def explain(found: Examination) -> tuple[Explained, ...]:
    """Set all that was felt and seen against an examination; worked out once, it keeps it."""
    sheet = found.sheet
    return found.keep(
        "felt explained",
        lambda: (
            *(_of_felt(found, line) for line in sheet.felt),
            *(_of_seen(found, line) for line in sheet.seen),
        ),
    )


def _of_felt(found: Examination, line: Felt) -> Explained:
    found = found.set_to(line.running).pushed(line.pushed)
    spots = tuple(
        spot
        for spot in _with_off(found, line.off)
        if _stops(spot, line.what) and _on(spot, line.side) and _meets(spot, line)
    )
    agrees = not spots if line.what is What.FREE else bool(spots)
    if line.all_round:
        agrees = _leaves(found, spots) <= ROCKS
    return Explained(line, agrees, spots)


def _leaves(found: Examination, spots: Iterable[TightSpot]) -> float:
    """Return the longest stretch of the turn that some spots leave [rad]."""
    ahead = {"left": found.sheet.right_leads_by}
    arcs = [((spot.begin + ahead.get(spot.side, 0.0)) % _TURN, spot.end - spot.begin)
            for spot in spots]  # fmt: skip
    reach, most = 0.0, 0.0
    for begin, on in sorted((at + k * _TURN, on) for at, on in arcs for k in range(3)):
        if begin >= _TURN:  # what is before it has been gone round once
            most = max(most, begin - reach)
        reach = max(reach, begin + on)
    return most if arcs else _TURN


def _stops(spot: TightSpot, what: What) -> bool:
    """Tell whether the hand would feel a spot so."""
    if kind_of(spot).stops or (isinstance(spot, PlayUsedUp) and spot.binds):
        return True
    return what is What.STIFF and isinstance(spot, _DRAGS)


def _on(spot: TightSpot, side: str) -> bool:
    return spot.side in (side, "both", "only") or not side


def _meets(spot: TightSpot, line: Felt) -> bool:
    """Tell whether a spot's arc is where something was felt, within its error."""
    if not line.placed or isinstance(spot, Pinched):
        return True
    begin, end = line.begin - line.error, line.end + line.error
    if line.what is What.FREE:
        begin, end = line.begin + line.error, line.end - line.error
    ahead = (spot.begin - begin) % _TURN
    return ahead <= end - begin or (begin - spot.begin) % _TURN <= spot.end - spot.begin


def _with_off(found: Examination, off: Iterable[Off]) -> tuple[TightSpot, ...]:
    """Return the tight spots that are left with some things off."""
    off = tuple(off)
    spots: list[TightSpot] = []
    for spot in found.spots:
        if isinstance(spot, PlayUsedUp):
            continue
        sides = found.sides if spot.side == "both" else (spot.side,)
        if not any(_gone(found, side, spot, off) for side in sides):
            spots.append(spot)
    return (*spots, *_binding(found, off))


def _gone(found: Examination, side: str, spot: TightSpot, off: Iterable[Off]) -> bool:
    keys = {one_key for one in spot.parts for one_key in _keys(found, side, one)}
    if isinstance(spot, Fouls | Close):
        keys |= {piece.key for piece in spot.contact.pieces}
    stills = {key for one in off if one.side == side for key in one.stills}
    return not keys.isdisjoint(stills)


def _keys(found: Examination, side: str, name: str) -> set[str]:
    return {part.key for part in found.sides[side].mechanism.parts if part.name == name} - {""}


def _binding(found: Examination, off: Iterable[Off]) -> tuple[TightSpot, ...]:
    """Return where the coupled wheels bind with some rods off."""
    rods = frozenset(
        (one.side, key) for one in off for key in one.stills if key.startswith(COUPLING_RODS)
    )
    if found.play is None or not rods:
        return tuple(spot for spot in found.spots if isinstance(spot, PlayUsedUp))

    def turned() -> tuple[TightSpot, ...]:
        whole = coupled_wheels(found.sheet)
        left = None if whole is None else without_rods(whole, rods)
        if left is None:
            return ()
        try:
            return tuple(play_gone(find_play(left), found.sheet.right_leads_by))
        except AssemblyError:
            return ()

    return found.keep(f"binding without {sorted(rods)}", turned)


def without_rods(wheels: CoupledWheels, off: frozenset[tuple[str, str]]) -> CoupledWheels | None:
    """Return coupled wheels without some rods, by side and key; None where none is left on.

    Of a jointed rod what hangs on another's knuckle is off with it. An axle that no rod is left on
    is out of it: it stands as it likes.
    """
    gone = {k for k, rod in enumerate(wheels.rods) if (rod.side, rod.key) in off}
    while hung := {k.rods[1] for k in wheels.knuckles if k.rods[0] in gone} - gone:
        gone |= hung
    kept = [k for k in range(len(wheels.rods)) if k not in gone]
    if not kept:
        return None
    place = {old: new for new, old in enumerate(kept)}
    knuckles = tuple(
        replace(knuckle, rods=(place[knuckle.rods[0]], place[knuckle.rods[1]]))
        for knuckle in wheels.knuckles
        if gone.isdisjoint(knuckle.rods)
    )
    rods = tuple(wheels.rods[k] for k in kept)
    led = {eye.axle for rod in rods for eye in rod.eyes} | {wheels.axles[wheels.driving].name}
    axles = tuple(axle for axle in wheels.axles if axle.name in led)
    driving = axles.index(wheels.axles[wheels.driving])
    return replace(wheels, axles=axles, driving=driving, rods=rods, knuckles=knuckles)


def _of_seen(found: Examination, line: Seen) -> Explained:
    side = found.set_to(line.running).sides[line.side]
    wanted = found.sheet.wanted_clearance
    reach = max(reach_of(wanted), line.gap + 2 * line.gap_error)
    pairs = pair_parts(side.mechanism, wanted, reach, frozenset(line.between))
    if not pairs:
        return Explained(line, line.gap + line.gap_error + _MEASURED >= reach, (), math.inf)
    curve = PairCurves(side.course, pairs, reach).rows(np.zeros(1, dtype=np.intp))
    # the crank stood anywhere within its error: what the air is there, from least to most
    about = line.at + np.linspace(-line.at_error, line.at_error, 9)
    air = curve(about[None])[0]
    air = air[np.isfinite(air)]
    if not len(air):
        return Explained(line, False)
    slack = line.gap_error + _MEASURED
    agrees = bool(air.min() - slack <= line.gap <= air.max() + slack)
    here = float(curve(np.array([[line.at]]))[0, 0])
    return Explained(line, agrees, (), here if here < reach else math.inf)
