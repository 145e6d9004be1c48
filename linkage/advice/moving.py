"""What is fast on the frame set elsewhere, which can be undone where filing it cannot.

Sideways: plates that stand in the way, a slide bar, a bracket, a yoke on its pivot, are packed out
or let in by what is behind them. Such a place is a number of the sheet, and moves no joint.

Along: a cylinder that was put back elsewhere takes its covers, its outside and the slide bars with
it; which numbers go with it they say themselves (`Facts.rides`). All are moved by as much: to where
the other side has them, or, where the sides are alike or there is but one, by the least that cures.
With shims behind a flange, or in holes made slots (common practice, no source).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from linkage.advice.bench import nearest, step_of
from linkage.advice.cure import Number, PutRight, Shift
from linkage.advice.dimensions import least_steps, missing_at
from linkage.advice.keys import bare_key, first_alike, on_sheet, own_key, table_at
from linkage.advice.trial import Curable, cured, trial_of
from linkage.arrangements import build
from linkage.arrangements.numbers import facts_at
from linkage.errors import LinkageError
from linkage.examine import Examination
from linkage.mechanism import Mechanism
from linkage.sheet import change
from linkage.tables.sides import CoupledSide
from linkage.tightspots import Close, Fouls

_SOME = 1 / 3  # share of its thickness that a plate is set sideways by, as by which it is filed [1]
_FARTHEST = 0.5  # of the throw: no cylinder is out of its place by more [1]
_ONE = 4  # steps by which places that are out by as much may differ, measured with errors
_LITTLE = 0.02  # trial change [mm]
_HARDLY = 1e-3  # what is missing changes by less than this with it: it is not to blame [1]


def set_sideways(
    examination: Examination, spot: Fouls | Close
) -> Iterator[tuple[PutRight, Mechanism]]:
    """Yield how far a fixed plate must go sideways to part a pair, the outer part outward.

    Only where the two lie over one another in side view, so that it is sideways they come too near.
    """
    contact = spot.contact
    if contact.lateral < contact.side_view:
        return
    for index in (contact.outer, 1 - contact.outer):
        found = _moved(examination, spot, index, 1.0 if index == contact.outer else -1.0)
        if found is not None:
            yield found


def _moved(
    examination: Examination, spot: Fouls | Close, index: int, sign: float
) -> tuple[PutRight, Mechanism] | None:
    """Return one of two parts set sideways, and what that makes; None where it cannot be."""
    sheet, side = examination.sheet, spot.side
    part = examination.sides[side].mechanism.part(spot.contact.parts[index])
    now = getattr(table_at(sheet, side, part.key), "out", None) if part.fixed else None
    if not isinstance(now, float):
        return None
    key, thick = f"{part.key}.out", max(piece.thickness for piece in part.pieces)
    own, most = own_key(side, key), _SOME * thick

    def made(by: float) -> Mechanism:
        return build(change(sheet, {own: now + sign * by}), side)[side]

    try:
        need = trial_of(examination, spot).least_move(
            made, spot.contact.lateral, step_of(sheet, own), most
        )
        if math.isinf(need):
            return None
        changes = on_sheet(examination, side, {own: now + sign * need})
        return PutRight(Number(key, now, sign * need), changes=changes), made(need)
    except LinkageError:
        return None


def set_along(examination: Examination, spot: Curable) -> Iterator[tuple[Shift, Mechanism]]:
    """Yield what is fixed together and cures a spot when it is moved along as one."""
    side = spot.side
    groups: dict[str, dict[str, float]] = {}
    for key, now in examination.sheet.dimensions[side].items():
        bare = bare_key(key)
        if group := facts_at(bare).rides:
            groups.setdefault(group, {})[bare] = now
    for group, places in groups.items():
        search = _Along(examination, spot, places)
        by = search.by() if len(places) > 1 else None
        if by is None:
            continue
        tables = dict.fromkeys(key.split(".")[0] for key in places)
        first = sorted(tables, key=lambda table: table != group)
        changes = on_sheet(examination, side, search.values(by))
        yield Shift(tuple(first), by, search.unlike is not None, changes=changes), search.made(by)


@dataclass(frozen=True)
class _Along:
    """Places that are fixed to one another, moved along by as much."""

    examination: Examination
    spot: Curable
    places: Mapping[str, float]  # by keys without the side [mm]

    @cached_property
    def step(self) -> float:
        """The step in which all of them can be set [mm]."""
        keys = (own_key(self.spot.side, key) for key in self.places)
        return max(step_of(self.examination.sheet, key) for key in keys)

    @cached_property
    def unlike(self) -> float | None:
        """How far ahead the other side has them, all by about as much; None where it has not."""
        held = self.examination.sheet.dimensions
        other = {"right": "left", "left": "right"}.get(self.spot.side, "")
        there = {bare_key(key): value for key, value in held.get(other, {}).items()}
        apart = [there.get(key, math.nan) - now for key, now in self.places.items()]
        by = nearest(sum(apart) / len(apart), self.step) if not math.isnan(sum(apart)) else 0.0
        return by if by and max(apart) - min(apart) <= _ONE * self.step else None

    def values(self, by: float) -> dict[str, float]:
        """Return where they stand once they are moved, as `sheet.change` takes it [mm]."""
        return {own_key(self.spot.side, key): now + by for key, now in self.places.items()}

    def made(self, by: float) -> Mechanism:
        """Return the side with them moved [mm]."""
        side = self.spot.side
        return build(change(self.examination.sheet, self.values(by)), side)[side]

    def by(self) -> float | None:
        """Return how far ahead they must go; None where that cures nothing [mm]."""
        if self.unlike is not None:
            return self.unlike if self._cures(self.unlike) else None
        if len({first_alike(self.examination, name) for name in self.examination.sides}) > 1:
            return None  # they stand as on the other side: something else is unlike
        missing = missing_at(self.examination, self.spot)
        now = self.examination.sides[self.spot.side].mechanism
        try:
            short = missing(now)
            slope = (missing(self.made(_LITTLE)) - short) / _LITTLE
        except LinkageError:
            return None
        if abs(slope) < _HARDLY:
            return None
        needed = -short / slope
        signed = math.copysign(self.step, needed)
        steps = least_steps(
            lambda count: self._cures(count * signed), abs(needed) / self.step, type(self.spot)
        )
        return None if steps is None else round(steps * signed, 6)

    def _cures(self, by: float) -> bool:
        side = self.examination.sheet.sides[self.spot.side]
        if isinstance(side, CoupledSide) and abs(by) > _FARTHEST * side.wheels.throw:
            return False
        try:
            return cured(self.examination, self.spot, self.made(by))
        except LinkageError:
            return False
