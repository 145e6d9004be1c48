"""Ways to part two parts that come too near, by how easily they are undone.

A bent rod is set back first, for that is what is wrong with it; then come washers, and a nut made
thinner. The file is by itself: it comes after all else.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from linkage.advice.bench import least_count, step_of, steps_up, up
from linkage.advice.coupling import turns
from linkage.advice.cure import (
    DRASTIC,
    Changes,
    Cure,
    File,
    ScrewHome,
    SetBack,
    TakeOutSidePlay,
    TakeUpAlong,
    ThinNut,
    Washer,
    Way,
)
from linkage.advice.keys import across, held_key, on_sheet, own_key, table_at, value_of
from linkage.advice.setting import CLOSE, SheetBend, bent_to, bent_values, set_back, settable
from linkage.advice.trial import Trial, trial_of
from linkage.arrangements import build, face_under_nut
from linkage.clearance import sharpest_curve
from linkage.errors import LinkageError, SheetError
from linkage.examine import Examination
from linkage.mechanism import Mechanism, Part, Piece, PieceSort, Pin, Sort
from linkage.riding import OnPin
from linkage.sheet import change
from linkage.tables.coupled import DRIVING, CouplingRodTable
from linkage.tables.rods import Bar
from linkage.tables.sides import CoupledSide
from linkage.tightspots import Close, Fouls

_SOME_HEAD = 2 / 3  # share of the head of a small pin that may be filed away [1]
_SOME = 1 / 3  # share of the metal there that may be filed away [1]
_NUTS = (PieceSort.NUT, PieceSort.HEAD)


@dataclass(frozen=True)
class _Pair:
    """A pair that comes too near, and what stays the same from trial to trial of it."""

    examination: Examination
    mechanism: Mechanism
    spot: Fouls | Close
    trial: Trial

    def way(self, index: int) -> Way:
        """Return which way one of the two would have to go."""
        outer = index == self.spot.contact.outer
        return "away from the frames" if outer else "towards the frames"


def ways_to_part(examination: Examination, spot: Fouls | Close) -> Iterator[tuple[Cure, Mechanism]]:
    """Yield cures of a pair to try, easily undone ones first, each with what it makes."""
    pair = _pair_of(examination, spot)
    for kind in sorted(_WAYS, key=lambda kind: DRASTIC[kind]):
        yield from _WAYS[kind](pair)


def _pair_of(examination: Examination, spot: Fouls | Close) -> _Pair:
    findings = examination.sides[spot.side]
    return _Pair(examination, findings.mechanism, spot, trial_of(examination, spot))


def filings(examination: Examination, spot: Fouls | Close) -> Iterator[tuple[File, Mechanism]]:
    """Yield what filing would do: off a face, or off an outline; the less metal first."""
    yield from _filing(_pair_of(examination, spot))


def _set_back(pair: _Pair) -> Iterator[tuple[Cure, Mechanism]]:
    """Yield how far bent rods must be set back; not one that fits nowhere once it is straight."""
    spot, sheet = pair.spot, pair.examination.sheet
    for index, part in enumerate(spot.contact.parts):
        way = pair.way(index)
        key = pair.mechanism.part(part).key
        for bend in settable(sheet, spot.side, key, way):
            try:
                setting = set_back(sheet, spot.side, bend, pair.trial, spot.wanted)
                if setting is None:
                    continue
                least = _least_set(pair, bend, setting.least)
                found = _set(pair, SetBack(part, bend, way, least, bend.amount, changes=()))
            except LinkageError:
                continue
            yield found


def _least_set(pair: _Pair, bend: SheetBend, enough: float) -> float:
    """Return the least of a bend that must come out, in steps that can be bent [mm].

    `enough` [mm]: found to be so, by no more than `setting.CLOSE` too much.
    """
    sheet, side = pair.examination.sheet, pair.spot.side
    step = step_of(sheet, f"{own_key(side, bend.key)}.bend[{bend.number}].{bend.way}")
    count = steps_up(enough, step)
    before = bent_to(sheet, side, bend, bend.amount - (count - 1) * step) if count > 1 else None
    if before is not None and (count - 1) * step > enough - CLOSE:
        count -= pair.trial.keeps(pair.spot.wanted, build(before, side)[side])
    return min(round(count * step, 6), bend.amount)


def _set(pair: _Pair, cure: SetBack) -> tuple[Cure, Mechanism]:
    """Complete a cure by what it changes: all of the bend, or the least of it.

    A coupling rod that was measured bent is longer when it is straight, and may then bind.
    """
    sheet, side, bend = pair.examination.sheet, pair.spot.side, cure.bend
    rod = isinstance(table_at(sheet, side, bend.key), CouplingRodTable)
    for most in (bend.amount, cure.least):
        values = bent_values(sheet, side, bend, bend.amount - most)
        changes = on_sheet(pair.examination, side, values)
        changed = change(sheet, dict(changes))
        if not rod or turns(pair.examination, changed):
            break
    made = build(changed, side)[side]
    return replace(cure, most=most, changes=changes), made


def _packed(pair: _Pair, part: str, by: float) -> Changes:
    """Return what a washer changes on the sheet: how far out the part sits."""
    key, side = pair.mechanism.part(part).key, pair.spot.side
    bar = table_at(pair.examination.sheet, side, key)
    if not isinstance(bar, Bar):
        return ()
    return on_sheet(pair.examination, side, {own_key(side, f"{key}.out"): bar.out + by})


def _less_side_play(pair: _Pair) -> Iterator[tuple[Cure, Mechanism]]:
    """Yield how much side play to take out where that can cure.

    Out of the wheelset that is over most; of the next as well, where a rod that slants between
    them still comes too near with one of them held.
    """
    mechanism, spot, contact = pair.mechanism, pair.spot, pair.spot.contact
    if contact.centred < spot.wanted or mechanism.curve:
        return
    most_first = sorted(contact.state, key=lambda item: -abs(item[1]))
    over = [axle for axle, by in most_first if by and isinstance(axle, str)]
    for count in range(1, len(over) + 1):
        axles = tuple(over[:count])

        need = _least_taken(pair, axles)
        if need is None:
            continue
        made = _held_over(mechanism, axles, need)
        left = {w.axle: w.side_play for w in made.wheelsets}
        changes = tuple((_key_of_side_play(pair, axle), left[axle]) for axle in axles)
        stands_on = sharpest_curve(made.wheelsets)
        yield TakeOutSidePlay(axles, need, stands_on, changes=changes), made
        return


def _less_along(pair: _Pair) -> Iterator[tuple[Cure, Mechanism]]:
    """Yield how much play may be left along pins where to take it up can cure.

    Along the pin that lets a part over most; where that is not enough, along the next as well.
    """
    sheet, spot, contact = pair.examination.sheet, pair.spot, pair.spot.contact
    if contact.centred < spot.wanted:
        return
    most_first = sorted(contact.state, key=lambda item: -abs(item[1]))
    pins = [pin for pin, by in most_first if by and isinstance(pin, OnPin)]
    for count in range(1, len(pins) + 1):
        keys = list(dict.fromkeys(own_key(spot.side, pin.key) for pin in pins[:count]))
        room = 2 * min(by for pin, by in pair.mechanism.along if pin in pins[:count])
        step = max(step_of(sheet, key) for key in keys)

        def less(steps: int, keys: Sequence[str] = keys, step: float = step) -> Changes:
            values = {key: round(value_of(sheet, key) - steps * step, 6) for key in keys}
            return on_sheet(pair.examination, spot.side, values)

        def made(changes: Changes) -> Mechanism:
            return build(change(sheet, dict(changes)), spot.side)[spot.side]

        most = int(room / step + 1e-9)
        enough = least_count(
            lambda steps: pair.trial.keeps(spot.wanted, made(less(steps))), 1, most
        )
        if enough is not None:
            left = round(room - enough * step, 6)
            names = tuple(dict.fromkeys(pin.joint for pin in pins[:count]))
            every = any(key.endswith("pins.along") for key in keys)
            changes = less(enough)
            yield TakeUpAlong(() if every else names, left, changes=changes), made(changes)
            return


def _least_taken(pair: _Pair, axles: Sequence[str]) -> float | None:
    """Return how much to take out of some wheelsets [mm]; None where all but a step is too little.

    At least what is missing, and more where a rod that slants follows one wheelset by a part of its
    way only. A step is left: a wheelset with none would bind in its frames.
    """
    mechanism, spot = pair.mechanism, pair.spot
    step = max(_step_of_side_play(pair, axle) for axle in axles)
    play = max(w.side_play for w in mechanism.wheelsets if w.axle in axles)

    def enough(count: int) -> bool:
        return pair.trial.keeps(spot.wanted, _held_over(mechanism, axles, count * step))

    first = max(steps_up(spot.wanted - spot.least, step), 1)
    count = least_count(enough, first, steps_up(play, step) - 1)
    return None if count is None else round(count * step, 6)


def _held_over(mechanism: Mechanism, axles: Sequence[str], by: float) -> Mechanism:
    """Return the mechanism with less side play in some wheelsets, none left at the least [mm]."""
    wheelsets = (
        replace(w, side_play=max(w.side_play - by, 0.0)) if w.axle in axles else w
        for w in mechanism.wheelsets
    )
    return replace(mechanism, wheelsets=tuple(wheelsets))


def _key_of_side_play(pair: _Pair, axle: str) -> str:
    driving = axle == DRIVING and axle not in pair.examination.sheet.data.get("axles", {})
    return "wheels.side_play" if driving else f"axles.{axle}.side_play"


def _step_of_side_play(pair: _Pair, axle: str) -> float:
    return step_of(pair.examination.sheet, _key_of_side_play(pair, axle))


def _washers(pair: _Pair) -> Iterator[tuple[Cure, Mechanism]]:
    """Yield the washers that part a pair, the outer part moved first."""
    mechanism, contact = pair.mechanism, pair.spot.contact
    for index in (contact.outer, 1 - contact.outer):
        part = contact.parts[index]
        if not _rides(mechanism, part):
            continue
        sign = 1.0 if index == contact.outer else -1.0

        def moved(by: float, part: str = part, sign: float = sign) -> Mechanism:
            return shifted(mechanism, part, sign * by)

        need = _least_move(pair, moved, f"{mechanism.part(part).key}.out")
        if need <= _thickness(mechanism, part):
            changes = _packed(pair, part, sign * need)
            yield Washer(part, pair.way(index), need, changes=changes), moved(need)


def _step(pair: _Pair, key: str) -> float:
    """Return the step in which a number of the pair's side is put right [mm]."""
    return step_of(pair.examination.sheet, own_key(pair.spot.side, key))


def _least_move(pair: _Pair, moved: Callable[[float], Mechanism], key: str) -> float:
    """Return how far a face must go sideways, in the steps of a number of its side's [mm]."""
    return pair.trial.least_move(moved, pair.spot.contact.lateral, _step(pair, key))


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

    `by` [mm]: outward, away from the frames; negative towards them.
    """

    def moved(part: Part) -> Part:
        if part.name != name:
            return part
        pieces = (replace(p, out=tuple(z + by for z in p.out)) for p in part.pieces)
        return replace(part, pieces=tuple(pieces))

    return replace(mechanism, parts=tuple(moved(part) for part in mechanism.parts))


def _thinner_nuts(pair: _Pair) -> Iterator[tuple[Cure, Mechanism]]:
    """Yield how much thinner a nut or head would have to be, for it can be changed for another."""
    mechanism, contact = pair.mechanism, pair.spot.contact
    for index in (0, 1):
        part = contact.parts[index]
        piece = _as_it_sits(mechanism.part(part), contact.pieces[index])
        if piece.sort not in _NUTS:
            continue

        inward = 1.0 if index == contact.outer else -1.0

        def thinned(
            by: float, part: str = part, piece: Piece = piece, inward: float = inward
        ) -> Mechanism:
            return _replaced(mechanism, part, piece, _thinned(piece, by, inward))

        table = _nut_table(pair, part, piece)
        need = _least_move(pair, thinned, f"{table}.thickness")
        most = _SOME_HEAD if piece.sort is PieceSort.HEAD else _SOME
        if need <= most * piece.thickness:
            changes = _faced(pair, table, need, inward)
            yield ThinNut(part, piece.label, need, changes=changes), thinned(need)


def _filing(pair: _Pair) -> Iterator[tuple[File, Mechanism]]:
    """Yield what filing would do: off a face, or off an outline; the less metal first.

    Of the part that is fixed, or else the inner one; of the other where that one is too thin.
    """
    mechanism, contact = pair.mechanism, pair.spot.contact
    if any(piece.sort in _NUTS for piece in contact.pieces):
        return  # a nut is thinned instead
    fixed = [i for i in (0, 1) if mechanism.part(contact.parts[i]).fixed]
    index = fixed[0] if fixed else 1 - contact.outer
    yield from _filed(pair, index) or _filed(pair, 1 - index)


def _filed(pair: _Pair, index: int) -> list[tuple[File, Mechanism]]:
    """Return what filing one of the two parts would do, the less metal first."""
    mechanism, spot, contact = pair.mechanism, pair.spot, pair.spot.contact
    part = contact.parts[index]
    piece = _as_it_sits(mechanism.part(part), contact.pieces[index])
    inward = 1.0 if index == contact.outer else -1.0  # which way a filed face goes

    def thinned(by: float) -> Mechanism:
        return _replaced(mechanism, part, piece, _thinned(piece, by, inward))

    def eased(by: float) -> Mechanism:
        return _replaced(mechanism, part, piece, replace(piece, radius=piece.radius - by))

    choices: list[tuple[File, Mechanism]] = []
    key = mechanism.part(part).key
    need = up(spot.wanted - contact.side_view, _step(pair, f"{key}.width"))
    if need < _narrow(piece):
        slim = _slimmed(pair, key, need)
        choices.append((File(part, "outline", need, changes=slim), eased(need)))
    if spot.wanted - contact.lateral < _SOME * piece.thickness:
        need = _least_move(pair, thinned, f"{key}.thickness")
        if need < _SOME * piece.thickness:
            face: Literal["inner face", "outer face"]
            face = "inner face" if index == contact.outer else "outer face"
            changes = _faced(pair, key, need, inward)
            choices.append((File(part, face, need, changes=changes), thinned(need)))
    return sorted(choices, key=lambda choice: choice[0].amount)


def _nut_table(pair: _Pair, part: str, piece: Piece) -> str:
    """Return the key of the table of a crank-pin nut, or of a head, as far as the sheet has one."""
    if piece.sort is PieceSort.HEAD:
        return piece.key
    held = pair.mechanism.part(part)
    sheet, side = pair.examination.sheet, pair.spot.side
    names = (f"{held.key}.head", "coupling.head") if held.sort is Sort.WHEEL else ("crank_pin.nut",)
    return next((name for name in names if table_at(sheet, side, name) is not None), "")


def _faced(pair: _Pair, key: str, by: float, inward: float) -> Changes:
    """Return what taking so much off a face changes on the sheet; empty where it has no number.

    `inward`: 1 where the inner face goes outward, -1 where the outer one goes inward.
    """
    side = pair.spot.side
    table = table_at(pair.examination.sheet, side, key) if key else None
    thick, out = (getattr(table, name, None) for name in ("thickness", "out"))
    if not isinstance(thick, float) or (inward > 0 and not isinstance(out, float)):
        return ()
    values = {own_key(side, f"{key}.thickness"): thick - by}
    if inward > 0 and isinstance(out, float):
        values[own_key(side, f"{key}.out")] = out + by
    return _known(pair, values)


def _slimmed(pair: _Pair, key: str, by: float) -> Changes:
    """Return what taking so much off an outline all round changes on the sheet."""
    side = pair.spot.side
    bar = table_at(pair.examination.sheet, side, key) if key else None
    if not isinstance(bar, Bar):
        return ()
    return _known(pair, {own_key(side, f"{key}.width"): bar.width - 2 * by})


def _known(pair: _Pair, values: Mapping[str, float]) -> Changes:
    """Return changes of numbers, of both sides where both are alike; none where they cannot be."""
    try:
        change(pair.examination.sheet, values)
    except SheetError:
        return ()
    return on_sheet(pair.examination, pair.spot.side, values)


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


def _screwed_home(pair: _Pair) -> Iterator[tuple[Cure, Mechanism]]:
    """Yield a nut that stands too far out: farther than the other side's, or well off its rod."""
    for part, piece in zip(pair.spot.contact.parts, pair.spot.contact.pieces, strict=True):
        table = _nut_table(pair, part, piece)
        key = own_key(pair.spot.side, f"{table}.out")
        held = held_key(pair.examination.sheet, key)
        if piece.sort in _NUTS and held is not None:
            yield from _home(pair, part, piece, (key, held))


def _home(
    pair: _Pair, part: str, piece: Piece, keys: tuple[str, str]
) -> Iterator[tuple[Cure, Mechanism]]:
    """Yield a nut, whose place has such a key and such a one on the sheet, screwed home.

    A nut locked on its shoulder leaves the rod no more air than any other pair is asked for.
    """
    sheet, side, (key, held) = pair.examination.sheet, pair.spot.side, keys
    now, error = value_of(sheet, key), sheet.origins[held].error
    by = now - across(sheet, key)
    if by >= error:  # not where the other side has none
        made, changes = _with_nut_at(pair, key, across(sheet, key))
        yield ScrewHome(part, piece.label, by, changes=changes), made
        return
    tables = sheet.sides[side]
    if not isinstance(tables, CoupledSide):
        return
    face = face_under_nut(tables, pair.mechanism.part(part).key.rpartition(".")[2])
    by = now - face - sheet.wanted_clearance
    if by >= max(error, pair.spot.wanted - pair.spot.least):
        made, changes = _with_nut_at(pair, key, now - by)
        yield ScrewHome(part, piece.label, by, "its rod", changes=changes), made


def _with_nut_at(pair: _Pair, key: str, out: float) -> tuple[Mechanism, Changes]:
    side = pair.spot.side
    changes = on_sheet(pair.examination, side, {key: out})
    return build(change(pair.examination.sheet, dict(changes)), side)[side], changes


_WAYS: Mapping[type[Cure], Callable[[_Pair], Iterator[tuple[Cure, Mechanism]]]] = {
    ScrewHome: _screwed_home,
    SetBack: _set_back,
    TakeOutSidePlay: _less_side_play,
    TakeUpAlong: _less_along,
    Washer: _washers,
    ThinNut: _thinner_nuts,
}
