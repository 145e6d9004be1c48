"""What was felt and seen on a sheet, set against what is on it: sides, parts, places, itself.

Two lines contradict one another where the one says that it locks somewhere and the other that it
is free there, with the same things off or with fewer: taking off sets free. So do that it locks all
round, and that it was turned to a place. Not so of coupling rods
of one side: with them off, the other side's may lead the wheels astray at the dead centres.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from linkage.arrangements import ARRANGEMENTS, Removable
from linkage.mechanism import Mechanism, Running
from linkage.sheet.head import Head, place_of_reverser
from linkage.tables.couplings import axle_names
from linkage.tables.felt import Felt, FeltTable, Off, Seen, SeenTable, Turning, What
from linkage.tables.fields import Location, did_you_mean
from linkage.tables.shapes import Side
from linkage.tables.sides import CoupledSide

MOTOR = "motor"
"""What is on no sheet, and taken off to find out whether it is the motion at all."""
COUPLING_RODS = "coupling_rods"
ALL_AXLES = "all"
"""Stands for every wheelset, where all were pushed over."""
_RODS_MINUTES = 4.0
_TURN = 2 * math.pi

Note = Callable[[Location, str, str], None]
"""Takes a place in the file, what is wrong there, and what was found."""


def removables(sides: Mapping[str, Side], arrangement: str) -> tuple[Removable, ...]:
    """Return what can be taken off a side, what is quickest first, the motor not among them."""
    rods: dict[str, None] = {}
    for side in sides.values():
        if isinstance(side, CoupledSide):
            rods |= dict.fromkeys(side.coupling_rods)
    found = list(ARRANGEMENTS[arrangement].removable)
    keys = [f"{COUPLING_RODS}.{name}" for name in rods]
    if rods:
        found.append(Removable(COUPLING_RODS, _RODS_MINUTES, frozenset(keys)))
    if len(rods) > 1:
        found += [Removable(key, _RODS_MINUTES, frozenset({key})) for key in keys]
    return tuple(found)


@dataclass(frozen=True)
class FeltReader:
    """Reads what was felt and seen on a sheet; what is wrong with it is noted, all of it."""

    head: Head
    sides: Mapping[str, Side]
    note: Note

    def felt(self) -> tuple[Felt, ...]:
        """Return what was felt."""
        lines = [self._felt(number, table) for number, table in enumerate(self.head.felt)]
        found = [(number, line) for number, line in enumerate(lines) if line is not None]
        for (a, one), (b, other) in combinations(found, 2):
            if contradicts(one, other):
                wrong = f"contradicts felt[{a + 1}]: it cannot lock there and be free there too"
                self.note(("felt", b), wrong, "")
            elif _turned_though_fast(one, other):
                wrong = f"contradicts felt[{a + 1}]: what locks all round is turned to no place"
                self.note(("felt", b), wrong, "")
        return tuple(line for _, line in found)

    def seen(self, built: Callable[[], Mapping[str, Mechanism]]) -> tuple[Seen, ...]:
        """Return what was seen; `built` gives the mechanism of each side."""
        if not self.head.seen:
            return ()
        parts = {side: [p.name for p in held.parts if p.pieces] for side, held in built().items()}
        found = []
        for number, table in enumerate(self.head.seen):
            here: Location = ("seen", number)
            side = self._side(here, table.side, needed=True)
            running = self._running(here, table.running)
            if side is None:
                continue
            between = [self._part((*here, "between", k), name, parts[side])
                       for k, name in enumerate(table.between)]  # fmt: skip
            if between[0] == between[1] and between[0]:
                self.note((*here, "between"), "names one part twice", "")
            found.append(_seen(table, side, (between[0], between[1]), running))
        return tuple(found)

    def _felt(self, number: int, table: FeltTable) -> Felt | None:
        here: Location = ("felt", number)
        placed = table.at is not None or table.start is not None
        if table.all_round and table.what == "free":
            placed = False  # free, no place being said, is free all round
        side = self._side(here, table.side, needed=placed and not table.all_round)
        off = [self._off((*here, "taken_off", k), name) for k, name in enumerate(table.taken_off)]
        running = self._running(here, table.running)
        pushed = tuple(self._pushed((*here, "pushed"), table.pushed))
        if side is None or None in off:
            return None
        begin, end, error = table.ends(side) or (0.0, _TURN, 0.0)
        what, turning = What(table.what), Turning(table.turning) if table.turning else None
        flat = tuple(one for some in off for one in some or ())
        return Felt(what, side, begin, end, error, placed, turning, flat, running, pushed)

    def _pushed(self, here: Location, typed: Mapping[str, str]) -> Iterator[tuple[str, str]]:
        """Yield the axles whose wheelset was pushed over, and to which side."""
        axles: dict[str, None] = {}
        for side in self.sides.values():
            if isinstance(side, CoupledSide):
                axles |= dict.fromkeys(axle_names(side))
        for name, way in typed.items():
            if way not in self.sides:
                self.note((*here, name), "needs a sheet with a right and a left side", f'"{way}"')
            elif name == ALL_AXLES:
                yield from ((axle, way) for axle in axles)
            elif name in axles:
                yield name, way
            else:
                near = did_you_mean(name, axles) or f"; its axles are {', '.join(axles)}"
                self.note((*here, name), f"is no axle of this engine{near}", f'"{way}"')

    def _side(self, here: Location, given: str | None, needed: bool) -> str | None:
        names = tuple(self.sides)
        if given is None and len(names) == 1:
            return names[0]
        if given is None:
            if needed:
                sides = " or ".join(f'side = "{name}"' for name in names)
                self.note(here, f"should say by which side's clock: {sides}", "")
            return None if needed else ""
        if given not in names:
            wrong = f"is not one of this sheet's sides, {', '.join(names)}"
            self.note((*here, "side"), wrong, f'"{given}"')
            return None
        return given

    def _off(self, here: Location, name: str) -> tuple[Off, ...] | None:
        known = dict(self._names())
        by_words = {_in_words(key): off for key, off in known.items()}
        said = _in_words(name)
        found = by_words.get(said) or by_words.get(said.removesuffix("s"))  # "return cranks"
        if found is None:
            near = did_you_mean(name, known) or f"; what can be is {', '.join(known)}"
            self.note(here, f"is nothing that can be taken off this engine{near}", f'"{name}"')
        return found

    def _names(self) -> Iterator[tuple[str, tuple[Off, ...]]]:
        """Yield each way to say what was taken off, and what that is."""
        yield MOTOR, (Off("", MOTOR),)
        for one in removables(self.sides, self.head.arrangement):
            mine = {side: Off(side, one.key, one.stills) for side in self.sides}
            yield one.key, tuple(mine.values())
            if len(mine) > 1:
                yield from ((f"{side}.{one.key}", (off,)) for side, off in mine.items())

    def _part(self, here: Location, name: str, known: Sequence[str]) -> str:
        if name not in known:
            near = did_you_mean(name, known) or f"; its parts are {', '.join(known)}"
            self.note(here, f"is no part of this side{near}", f'"{name}"')
        return name

    def _running(self, here: Location, typed: object) -> Running:
        if typed is None:
            return None
        try:
            running = place_of_reverser(typed)
        except ValueError as error:
            self.note((*here, "running"), str(error), f'"{typed}"')
            return None
        for side in self.sides.values():
            wrong = next((wrong for _, wrong in side.running_faults(running)), None)
            if wrong is not None:
                self.note((*here, "running"), wrong, f'"{typed}"')
                return None
        return running


def _in_words(key: str) -> str:
    """Return a key as it is said: "right return crank"."""
    return key.replace(".", " ").replace("_", " ").replace("-hand ", " ")


def _seen(table: SeenTable, side: str, between: tuple[str, str], running: Running) -> Seen:
    gap, error = table.gap
    return Seen(gap, error, between, side, table.at.on(side), table.at.error, running)


def contradicts(one: Felt, other: Felt) -> bool:
    """Tell whether two lines cannot both be so."""
    free, tight = (one, other) if one.what is What.FREE else (other, one)
    if free.what is not What.FREE or tight.what is not What.LOCKS:
        return False
    fast = tight.all_round and not tight.side  # then neither side turns
    if (free.side != tight.side and not fast) or free.running != tight.running:
        return False
    if not set(free.pushed) <= set(tight.pushed):  # free as they like is free pushed over too
        return False
    if free.turning not in (None, tight.turning):
        return False
    if not set(free.off) <= set(tight.off) or (
        set(free.off) != set(tight.off) and any(_is_rod(off) for off in tight.off)
    ):
        return False
    if not tight.placed or not free.placed:
        return not free.placed
    if tight.all_round:
        return True
    # where it is free for certain, and where it locks for certain
    begin, end = free.begin + free.error, free.end - free.error
    middle = (tight.begin + tight.end) / 2
    return (middle - begin) % _TURN < end - begin


def _turned_though_fast(one: Felt, other: Felt) -> bool:
    """Tell whether of two lines one has the wheels locked all round, and one turned to a place."""
    fast, turned = (one, other) if one.all_round else (other, one)
    return (
        fast.all_round
        and turned.placed
        and not turned.all_round
        and (one.what, set(one.off), one.running) == (other.what, set(other.off), other.running)
        and set(one.pushed) == set(other.pushed)
    )


def _is_rod(off: Off) -> bool:
    return off.key.startswith(COUPLING_RODS)
