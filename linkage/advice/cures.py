"""The least drastic cure of each tight spot, tried on the whole side before it is offered.

Cures are tried in the order of how easily they are undone: set a bent rod back, then a washer,
then a dimension put right, then filing. A cure that leaves another pair with less than was asked
of it says so.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Literal

from linkage.advice.coupling import coupling_cures
from linkage.advice.dimensions import dimension_cures, own_key
from linkage.advice.setting import bent_to, bent_values, length_bends, set_back, settable
from linkage.advice.trial import Trial, runs_clean, same_way_round
from linkage.arrangements import build
from linkage.clearance import Contact, sharpest_curve
from linkage.examine import Examination, SideFindings, examine_side
from linkage.mechanism import Mechanism, Part, Piece, Pin
from linkage.sheet import Sheet
from linkage.sheet.coupled import DRIVING
from linkage.tightspots import ORDER, TightSpot, rank

CureKind = Literal["set", "side play", "washer", "dimension", "bush", "file", "ease", "measure"]

_TRIED = 6  # tight spots, worst first, for which cures are tried: each trial is a whole survey
_HARDLY = 0.005  # a pair that loses less than this is not called worse off [mm]
_MOVES = 5  # times that what is still missing is added to a washer
_SOME = 1 / 3  # share of the metal there that may be filed away [1]


@dataclass(frozen=True)
class Cure:
    """One cure.

    Attributes
    ----------
    kind : str
        "set" (bend back), "side play" (taken out of a wheelset), "washer", "dimension" (put
        right), "bush" (a worn joint), "file", "ease" (holes), or "measure" (no cure could be shown
        to work).
    part : str
        What to work on.
    way : str
        Which way, in words ("away from the frames", "more").
    amount : float [mm, or degrees where `degrees` is true]
        How much at the least, rounded up to the two decimals that are said.
    most : float [mm, degrees]
        The whole of it, where there is a whole (the bend taken right out, the dimension made as
        on the other side); else as `amount`.
    place : str
        Where on the part, in words; empty where that goes without saying.
    leaves : float [mm]
        Least clearance of the pair after the whole of it; nan where no clearance is concerned.
    spoils : tuple of TightSpot
        What the cure makes wrong elsewhere, or worse than it was.
    key : str
        Key on the sheet, of a dimension.
    now : float [mm, degrees]
        A dimension as the sheet has it; nan otherwise.
    other : float [mm, degrees]
        The same on the other side, where that differs and would cure; nan otherwise.
    degrees : bool
        Whether a dimension is an angle.
    stands_on : float [mm]
        Sharpest curve that the wheelsets then still stand on, where side play goes; else nan.
    changes : tuple of (str, float) [mm, degrees]
        What the whole of it changes on the sheet, by key; empty where the sheet has no number for
        it.
    """

    kind: CureKind
    part: str
    way: str
    amount: float
    most: float = 0.0
    place: str = ""
    leaves: float = float("nan")
    spoils: tuple[TightSpot, ...] = ()
    key: str = ""
    now: float = float("nan")
    other: float = float("nan")
    degrees: bool = False
    stands_on: float = float("nan")
    changes: tuple[tuple[str, float], ...] = ()


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
        if spot.play is not None:
            key = ("both", spot.kind, frozenset[str]())  # all are cured together
        else:
            key = (_alike(examination, spot.side), spot.kind, frozenset(spot.parts))
        if key not in known:
            tried = len(known) < _TRIED
            known[key] = tuple(_cures(examination, spot)) if tried else ()
        advice.append(Advice(spot, known[key]))
    return tuple(advice)


def _alike(examination: Examination, side: str) -> str:
    """Return the first side that has the same numbers: what cures it cures this one."""

    def bare(name: str) -> dict[str, float]:
        held = examination.sheet.dimensions[name]
        return {key.removeprefix(f"{name}."): value for key, value in held.items()}

    return next(name for name in examination.sides if bare(name) == bare(side))


def _cures(examination: Examination, spot: TightSpot) -> Iterator[Cure]:
    """Yield cures, least drastic first: the first that spoils nothing else ends the list."""
    if spot.play is not None:
        yield from _of_play(examination)
        return
    if spot.worn is not None:
        yield Cure("bush", spot.worn.most_by, "", 0.0)
        return
    findings = examination.sides[spot.side]
    if spot.contact is not None:
        candidates = _of_pair(examination, findings, spot, spot.contact)
    elif spot.kind in ("cannot close", "runs off"):
        candidates = _of_loop(examination, spot)
    else:
        return
    found = False
    for cure, mechanism in candidates:
        after = examine_side(spot.side, mechanism, examination.sheet.wanted_clearance)
        tried = _tried(cure, spot, findings, after)
        if tried is not None:
            found = True
            yield tried
            if not tried.spoils and cure.kind != "dimension":
                return
    if not found:
        yield Cure("measure", " and the ".join(spot.parts), "", 0.0)


def _of_play(examination: Examination) -> Iterator[Cure]:
    """Yield what would let coupled wheels turn: a number put right, and easing last."""
    several = True
    for found in coupling_cures(examination):
        several = False
        yield Cure(
            "dimension",
            "coupled wheels",
            "more" if found.by > 0 else "less",
            abs(found.by),
            abs(found.by),
            key=found.key,
            now=found.now,
            other=found.other,
            degrees=found.key in examination.sheet.angles,
            changes=((found.key, _made(found.now, found.by, found.other)),),
        )
    if several:
        yield Cure("measure", "rods of both sides, throws and axles", "", 0.0)
    play = examination.play
    most = max((arc.missing for arc in play.binding), default=0.0) if play else 0.0
    if most > 0:
        yield Cure("ease", "holes concerned", "", math.ceil(100 * most) / 100)


def _of_loop(examination: Examination, spot: TightSpot) -> Iterator[tuple[Cure, Mechanism]]:
    """Yield what would let a loop close, or a travel suffice: straighten first, then dimensions."""
    side = spot.side
    for bend in length_bends(examination.sheet, side):
        straight = build(bent_to(examination.sheet, side, bend, 0.0), side)[side]
        if runs_clean(examination, spot, straight):
            part = bend.table.replace("_", " ")
            changes = _on_sheet(examination, side, bent_values(examination.sheet, side, bend, 0.0))
            cure = Cure("set", part, "straight", bend.amount, bend.amount, bend.place)
            yield replace(cure, changes=changes), straight
    for found in dimension_cures(examination, spot):
        cure = Cure(
            "dimension",
            found.key.split(".")[0].replace("_", " "),
            "more" if found.by > 0 else "less",
            abs(found.by),
            abs(found.by if math.isnan(found.other) else found.other - found.now),
            key=found.key,
            now=found.now,
            other=found.other,
            degrees=found.key in examination.sheet.angles,
            changes=_on_sheet(
                examination,
                side,
                {own_key(side, found.key): _made(found.now, found.by, found.other)},
            ),
        )
        yield cure, build(found.sheet, side)[side]


def _of_pair(
    examination: Examination, findings: SideFindings, spot: TightSpot, contact: Contact
) -> Iterator[tuple[Cure, Mechanism]]:
    """Yield cures of a pair to try, each with the mechanism as it would then be."""
    trial = Trial(findings.course, frozenset(spot.parts), examination.sheet.wanted_clearance)
    for index in (0, 1):
        part = contact.parts[index]
        way = "away from the frames" if index == contact.outer else "towards the frames"
        for bend in settable(examination.sheet, spot.side, part, way):
            setting = set_back(examination.sheet, spot.side, bend, trial, spot.wanted)
            if setting is not None:
                made = build(setting.sheet, spot.side)[spot.side]
                least = min(_up(setting.least), bend.amount)
                values = bent_values(examination.sheet, spot.side, bend, 0.0)
                cure = Cure("set", part, way, least, bend.amount, bend.place)
                yield replace(cure, changes=_on_sheet(examination, spot.side, values)), made
    yield from _less_side_play(examination.sheet, findings.mechanism, spot, contact)
    for cure, made in _washers(findings.mechanism, spot, contact, trial):
        yield replace(cure, changes=_packed(examination, spot.side, cure)), made
    yield from _filing(findings.mechanism, spot, contact, trial)


def _made(now: float, by: float, other: float) -> float:
    """Return what a dimension becomes: as on the other side, or so much more."""
    return now + by if math.isnan(other) else other


def _packed(examination: Examination, side: str, cure: Cure) -> tuple[tuple[str, float], ...]:
    """Return what a washer changes on the sheet: how far out the part sits."""
    table = cure.part.replace(" ", "_")
    out = getattr(getattr(examination.sheet.sides[side], table, None), "out", None)
    if not isinstance(out, float):
        return ()
    by = cure.amount if cure.way == "away from the frames" else -cure.amount
    return _on_sheet(examination, side, {own_key(side, f"{table}.out"): out + by})


def _on_sheet(
    examination: Examination, side: str, values: Mapping[str, float]
) -> tuple[tuple[str, float], ...]:
    """Return the keys of one side as those of both, where both have the same numbers."""
    if len({_alike(examination, name) for name in examination.sides}) > 1:
        return tuple(values.items())
    return tuple((key.removeprefix(f"{side}."), value) for key, value in values.items())


def _less_side_play(
    sheet: Sheet, mechanism: Mechanism, spot: TightSpot, contact: Contact
) -> Iterator[tuple[Cure, Mechanism]]:
    """Yield how much side play to take out of the wheelset most concerned, where that can cure."""
    need = _up(spot.wanted - spot.least + 1e-3)
    if contact.centred < spot.wanted or mechanism.curve:
        return
    axle, over = max(contact.state, key=lambda item: abs(item[1]))
    if abs(over) < need:
        return
    wheelsets = tuple(
        replace(w, side_play=w.side_play - need) if w.axle == axle else w
        for w in mechanism.wheelsets
    )
    stands_on = sharpest_curve(wheelsets)
    left = next(w.side_play for w in wheelsets if w.axle == axle)
    own = (
        "wheels" if axle == DRIVING and axle not in sheet.data.get("axles", {}) else f"axles.{axle}"
    )
    cure = Cure("side play", f"{axle} wheelset", "less", need, need, stands_on=stands_on)
    cure = replace(cure, changes=((f"{own}.side_play", left),))
    yield cure, replace(mechanism, wheelsets=wheelsets)


def _up(amount: float) -> float:
    """Round up to the two decimals that are said, so that what is said does cure [mm]."""
    return math.ceil(amount * 100 - 1e-6) / 100


def _washers(
    mechanism: Mechanism, spot: TightSpot, contact: Contact, trial: Trial
) -> Iterator[tuple[Cure, Mechanism]]:
    """Yield the washers that part a pair, the outer part moved first."""
    for index in (contact.outer, 1 - contact.outer):
        part = contact.parts[index]
        if not _rides(mechanism, part):
            continue
        sign = 1.0 if index == contact.outer else -1.0

        def moved(by: float, part: str = part, sign: float = sign) -> Mechanism:
            return shifted(mechanism, part, sign * by)

        need = _least_move(moved, spot, contact, trial)
        if need <= _thickness(mechanism, part):
            way = "away from the frames" if sign > 0 else "towards the frames"
            yield Cure("washer", part, way, need, need), moved(need)


def _least_move(
    moved: Callable[[float], Mechanism], spot: TightSpot, contact: Contact, trial: Trial
) -> float:
    """Return how far a face must go sideways for the pair to have what is asked [mm].

    The place of contact says it where the faces are flat; along a bend another place may then be
    the nearest, so what is still missing is added. Infinite where that does not end.
    """
    need = _up(spot.wanted - contact.lateral)
    for _ in range(_MOVES):
        missing = spot.wanted - trial.least(moved(need))
        if missing <= 0:
            return need
        need = _up(need + missing)
    return math.inf


def _thickness(mechanism: Mechanism, part: str) -> float:
    """Return the thickness of a part's thickest piece: no washer is offered beyond it [mm]."""
    return max((piece.thickness for piece in mechanism.part(part).pieces), default=0.0)


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
    if not same_way_round(before.course, after.course):
        return None
    pair = frozenset(spot.parts)
    own = (spot.kind,) if spot.contact is None else ("fouls", "close")
    if any(s.kind in own and frozenset(s.parts) == pair for s in after.spots):
        return None
    spoils = {
        (s.kind, s.parts): s for s in reversed(after.spots) if not _was_there(s, before.spots)
    }
    leaves = math.nan
    if spot.contact is not None:
        leaves = next(
            (p.least for p in after.survey.pairs if frozenset(p.parts) == pair), after.survey.reach
        )
    return replace(cure, leaves=leaves, spoils=rank(spoils.values()))


def _was_there(spot: TightSpot, before: Iterable[TightSpot]) -> bool:
    """Tell whether a tight spot was there before, as a fault of its own that needs its own cure.

    What a pair loses of its clearance is blamed on the cure though it was too near before.
    """
    for old in before:
        if frozenset(old.parts) != frozenset(spot.parts):
            continue
        if ORDER.index(old.kind) < ORDER.index(spot.kind):
            return True
        if old.kind == spot.kind:
            worse = old.amount - spot.amount if spot.kind == "close" else spot.amount - old.amount
            if spot.contact is None or worse < _HARDLY:
                return True
    return False


def _filing(
    mechanism: Mechanism, spot: TightSpot, contact: Contact, trial: Trial
) -> Iterator[tuple[Cure, Mechanism]]:
    """Yield what filing would do: off a face, or off an outline; the less metal first."""
    fixed = [i for i in (0, 1) if mechanism.part(contact.parts[i]).fixed]
    index = fixed[0] if fixed else 1 - contact.outer
    part, piece = contact.parts[index], contact.pieces[index]
    inward = 1.0 if index == contact.outer else -1.0  # which way a filed face goes

    def thinned(by: float) -> Mechanism:
        return _replaced(mechanism, part, piece, _thinned(piece, by, inward))

    def eased(by: float) -> Mechanism:
        return _replaced(mechanism, part, piece, replace(piece, radius=piece.radius - by))

    face = "inner face" if index == contact.outer else "outer face"
    need = _up(spot.wanted - contact.side_view)
    choices = []
    if need < _narrow(piece):
        choices.append((need, "in the side view", eased(need)))
    if _up(spot.wanted - contact.lateral) < _SOME * piece.thickness:
        need = _least_move(thinned, spot, contact, trial)
        if need < _SOME * piece.thickness:
            choices.append((need, f"the {face}", thinned(need)))
    for amount, way, made in sorted(choices, key=lambda choice: choice[0]):
        yield Cure("file", part, way, amount, amount), made


def _thinned(piece: Piece, by: float, inward: float) -> Piece:
    """Return a piece with one face filed back."""
    out = tuple(z + inward * by / 2 for z in piece.out)
    return replace(piece, out=out, thickness=piece.thickness - by)


def _narrow(piece: Piece) -> float:
    """Return how much may go off an outline: a share of what stands round a disc or bar [mm].

    Plates have no round edge that could be drawn in alike all round; none is offered.
    """
    return _SOME * piece.radius if len(piece.corners) < 3 else 0.0


def _replaced(mechanism: Mechanism, name: str, old: Piece, new: Piece) -> Mechanism:
    """Return a mechanism with one piece of one part in another form."""
    part = mechanism.part(name)
    pieces = tuple(new if piece is old or piece == old else piece for piece in part.pieces)
    made = replace(part, pieces=pieces)
    return replace(mechanism, parts=tuple(made if p is part else p for p in mechanism.parts))
