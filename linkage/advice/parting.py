"""Ways to part two parts that come too near, by how easily they are undone.

A bent rod is set back first, for that is what is wrong with it; then come washers, a nut made
thinner, and the file last.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace

from linkage.advice.cure import Cure
from linkage.advice.keys import on_sheet, own_key
from linkage.advice.setting import bent_values, set_back, settable
from linkage.advice.trial import Trial
from linkage.arrangements import build
from linkage.clearance import Contact, sharpest_curve
from linkage.examine import Examination, SideFindings
from linkage.mechanism import Mechanism, Part, Piece, Pin
from linkage.sheet import Sheet
from linkage.sheet.coupled import DRIVING
from linkage.tightspots import TightSpot

_MOVES = 5  # times that what is still missing is added to a washer
_SOME = 1 / 3  # share of the metal there that may be filed away [1]
_NUTS = ("nut", "head")  # what pieces that hold a rod on its pin are called


def ways_to_part(
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
                yield replace(cure, changes=on_sheet(examination, spot.side, values)), made
    yield from _less_side_play(examination.sheet, findings.mechanism, spot, contact)
    for cure, made in _washers(findings.mechanism, spot, contact, trial):
        yield replace(cure, changes=_packed(examination, spot.side, cure)), made
    yield from _thinner_nuts(findings.mechanism, spot, contact, trial)
    yield from _filing(findings.mechanism, spot, contact, trial)


def _packed(examination: Examination, side: str, cure: Cure) -> tuple[tuple[str, float], ...]:
    """Return what a washer changes on the sheet: how far out the part sits."""
    table = cure.part.replace(" ", "_")
    out = getattr(getattr(examination.sheet.sides[side], table, None), "out", None)
    if not isinstance(out, float):
        return ()
    by = cure.amount if cure.way == "away from the frames" else -cure.amount
    return on_sheet(examination, side, {own_key(side, f"{table}.out"): out + by})


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

    As it would be.

    Parameters
    ----------
    by : float [mm]
        Outward, away from the frames; negative towards them.
    """

    def moved(part: Part) -> Part:
        if part.name != name:
            return part
        pieces = (replace(p, out=tuple(z + by for z in p.out)) for p in part.pieces)
        return replace(part, pieces=tuple(pieces))

    return replace(mechanism, parts=tuple(moved(part) for part in mechanism.parts))


def _thinner_nuts(
    mechanism: Mechanism, spot: TightSpot, contact: Contact, trial: Trial
) -> Iterator[tuple[Cure, Mechanism]]:
    """Yield how much thinner a nut or head would have to be, for it can be changed for another."""
    for index in (0, 1):
        part = contact.parts[index]
        piece = _as_it_sits(mechanism.part(part), contact.pieces[index])
        if not piece.label.endswith(_NUTS):
            continue

        inward = 1.0 if index == contact.outer else -1.0

        def thinned(
            by: float, part: str = part, piece: Piece = piece, inward: float = inward
        ) -> Mechanism:
            return _replaced(mechanism, part, piece, _thinned(piece, by, inward))

        need = _least_move(thinned, spot, contact, trial)
        if need <= _SOME * piece.thickness:
            yield Cure("nut", part, piece.label, need, need), thinned(need)


def _filing(
    mechanism: Mechanism, spot: TightSpot, contact: Contact, trial: Trial
) -> Iterator[tuple[Cure, Mechanism]]:
    """Yield what filing would do: off a face, or off an outline; the less metal first."""
    if any(piece.label.endswith(_NUTS) for piece in contact.pieces):
        return  # a nut is thinned instead
    fixed = [i for i in (0, 1) if mechanism.part(contact.parts[i]).fixed]
    index = fixed[0] if fixed else 1 - contact.outer
    part = contact.parts[index]
    piece = _as_it_sits(mechanism.part(part), contact.pieces[index])
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


def _as_it_sits(part: Part, piece: Piece) -> Piece:
    """Return a piece in its middle place, of one that a wheelset has carried over."""

    def form(one: Piece) -> tuple[object, ...]:
        return one.label, one.corners, one.radius, one.thickness

    return next((own for own in part.pieces if form(own) == form(piece)), piece)


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
