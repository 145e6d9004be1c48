"""The least drastic cure of each tight spot, tried on the whole side before it is offered.

Cures are tried in the order of how easily they are undone: set a bent rod back, then a washer,
then a dimension put right, then filing. A cure that leaves another pair with less than was asked
of it says so.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any, Literal

from linkage.advice.dimensions import dimension_cures
from linkage.advice.setting import set_back, settable
from linkage.advice.trial import Trial
from linkage.arrangements import build
from linkage.clearance import Contact
from linkage.examine import Examination, SideFindings, examine_side
from linkage.mechanism import Mechanism, Part, Pin
from linkage.tightspots import TightSpot

CureKind = Literal["set", "washer", "dimension", "file", "measure"]

_TRIED = 6  # tight spots, worst first, for which cures are tried: each trial is a whole survey
_HARDLY = 0.005  # a pair that loses less than this is not called worse off [mm]


@dataclass(frozen=True)
class Cure:
    """One cure.

    Attributes
    ----------
    kind : str
        "set" (bend back), "washer", "dimension" (put right), "file", or "measure" (no cure could
        be shown to work).
    part : str
        What to work on.
    way : str
        Which way, in words ("away from the frames", "longer").
    amount : float [mm, or degrees where the dimension is an angle]
        How much at the least.
    most : float [mm]
        The whole of it, where there is a whole (the bend taken right out); else as `amount`.
    place : str
        Where on the part, in words; empty where that goes without saying.
    leaves : float [mm]
        Least clearance of the pair after it; nan where no clearance is concerned.
    spoils : tuple of (str, str)
        Other pairs that the cure leaves with less than was asked of them.
    key : str
        Key on the sheet, of a dimension.
    """

    kind: CureKind
    part: str
    way: str
    amount: float
    most: float = 0.0
    place: str = ""
    leaves: float = float("nan")
    spoils: tuple[tuple[str, ...], ...] = ()
    key: str = ""


@dataclass(frozen=True)
class Advice:
    """A tight spot with its cures, least drastic first; empty where none was tried."""

    spot: TightSpot
    cures: tuple[Cure, ...]


def advise(examination: Examination) -> tuple[Advice, ...]:
    """Find cures for the tight spots of a sheet.

    Parameters
    ----------
    examination : Examination
        What was found out.

    Returns
    -------
    tuple of Advice
        One for each tight spot, in their order. Spots of one pair share their cures, and only the
        worst few spots are worked on.
    """
    known: dict[tuple[str, str, frozenset[str]], tuple[Cure, ...]] = {}
    advice = []
    for spot in examination.spots:
        key = (spot.side, spot.kind, frozenset(spot.parts))
        if key not in known:
            tried = len(known) < _TRIED
            known[key] = tuple(_cures(examination, spot)) if tried else ()
        advice.append(Advice(spot, known[key]))
    return tuple(advice)


def _cures(examination: Examination, spot: TightSpot) -> Iterator[Cure]:
    if spot.contact is not None:
        yield from _pair_cures(examination, spot, spot.contact)
    elif spot.kind in ("cannot close", "runs off"):
        for key, change in dimension_cures(examination, spot):
            part = key.split(".")[0].replace("_", " ")
            way = "larger" if change > 0 else "smaller"
            yield Cure("dimension", part, way, abs(change), abs(change), key=key)


def _pair_cures(examination: Examination, spot: TightSpot, contact: Contact) -> Iterator[Cure]:
    """Yield the cures of a pair: the first that frees it without spoiling another ends the list."""
    findings = examination.sides[spot.side]
    for cure, mechanism in _candidates(examination, findings, spot, contact):
        after = examine_side(spot.side, mechanism, examination.sheet.wanted_clearance)
        tried = _tried(cure, spot, findings, after)
        if tried is not None:
            yield tried
            if not tried.spoils:
                return
    yield from _filing(spot, contact, findings.mechanism)


def _candidates(
    examination: Examination, findings: SideFindings, spot: TightSpot, contact: Contact
) -> Iterator[tuple[Cure, Mechanism]]:
    """Yield cures to try, each with the mechanism as it would then be."""
    trial = Trial(findings.course, frozenset(spot.parts), examination.sheet.wanted_clearance)
    for index in (0, 1):
        part = contact.parts[index]
        way = "away from the frames" if index == contact.outer else "towards the frames"
        for bend in settable(examination.sheet, spot.side, part, way):
            setting = set_back(examination.sheet, spot.side, bend, trial, spot.wanted)
            if setting is not None:
                made = build(setting.sheet)[spot.side]
                yield Cure("set", part, way, setting.least, bend.amount, bend.place), made
    for index in _washer_order(findings.mechanism, contact):
        need = spot.wanted - contact.lateral
        part = contact.parts[index]
        if need <= findings_thickness(findings.mechanism, part):
            shift = need if index == contact.outer else -need
            way = "away from the frames" if shift > 0 else "towards the frames"
            yield Cure("washer", part, way, need, need), shifted(findings.mechanism, part, shift)


def findings_thickness(mechanism: Mechanism, part: str) -> float:
    """Return the thickness of a part's thickest piece: no washer is offered beyond it [mm]."""
    return max((piece.thickness for piece in mechanism.part(part).pieces), default=0.0)


def _washer_order(mechanism: Mechanism, contact: Contact) -> list[int]:
    """Return which of two parts can take a washer, the outer one first."""
    return [i for i in (contact.outer, 1 - contact.outer) if _rides(mechanism, contact.parts[i])]


def _rides(mechanism: Mechanism, part: str) -> bool:
    """Tell whether a part is held by pins alone, so that a washer can move it sideways."""
    if part == mechanism.crank or mechanism.part(part).fixed:
        return False
    mine = [joint for joint in mechanism.joints if part in (joint.a.part, joint.b.part)]
    return all(isinstance(joint, Pin) for joint in mine)


def shifted(mechanism: Mechanism, name: str, by: float) -> Mechanism:
    """Return a mechanism with one part moved sideways.

    Parameters
    ----------
    mechanism : Mechanism
        As it is.
    name : str
        The part.
    by : float [mm]
        Outward, away from the frames; negative towards them.

    Returns
    -------
    Mechanism
        As it would be.
    """

    def moved(part: Part) -> Part:
        if part.name != name:
            return part
        pieces = (replace(p, out=tuple(z + by for z in p.out)) for p in part.pieces)
        return replace(part, pieces=tuple(pieces))

    return replace(mechanism, parts=tuple(moved(part) for part in mechanism.parts))


def _tried(cure: Cure, spot: TightSpot, before: SideFindings, after: SideFindings) -> Cure | None:
    """Complete a cure by what it leads to; None where it does not cure."""
    pair = frozenset(spot.parts)
    if any(s.kind == spot.kind and frozenset(s.parts) == pair for s in after.spots):
        return None
    least = {frozenset(p.parts): p.least for p in before.survey.pairs}
    spoils = tuple(
        s.parts
        for s in after.spots
        if frozenset(s.parts) != pair
        and not (s.clearance and s.clearance.least > least.get(frozenset(s.parts), 1e9) - _HARDLY)
    )
    leaves = next(
        (p.least for p in after.survey.pairs if frozenset(p.parts) == pair), after.survey.reach
    )
    return replace(cure, leaves=leaves, spoils=tuple(dict.fromkeys(spoils)))


def _filing(spot: TightSpot, contact: Contact, mechanism: Mechanism) -> Iterator[Cure]:
    """Offer filing where little metal would have to go, else say to measure again."""
    need = spot.wanted - contact.side_view
    lateral = spot.wanted - contact.lateral
    fixed = [i for i in (0, 1) if mechanism.part(contact.parts[i]).fixed]
    index = fixed[0] if fixed else 1 - contact.outer
    piece: Any = contact.pieces[index]
    if need <= min(piece.radius or need, need, lateral + piece.thickness / 2):
        yield Cure("file", contact.parts[index], "in the side view", need, need)
    elif lateral <= piece.thickness / 2:
        face = "outer face" if index != contact.outer else "inner face"
        yield Cure("file", contact.parts[index], f"off its {face}", lateral, lateral)
    else:
        yield Cure("measure", " and ".join(contact.parts), "", 0.0)
