"""The blind trial: engines with one fault each, felt as a hand would feel them, and told.

What is felt comes from a whole examination of the engine as it is (`examine`), not from the
variants that the causes are weighed by. The wheels are turned by hand, on and back, until they stop
either way: two places, by the clock of the side that each seems to be on, out by the error that a
place found by hand has, or that they stand fast and turn nowhere; and one of the three groups that
the trade isolates by is taken off. That is what is felt before anything is asked (the lock felt
both ways, then isolated by groups: practice of the trade). ``--said`` is the weaker trial: but one
place of one lock was told, "about five o'clock", by somebody else. The sheet is measured with its
errors, or has ten measured numbers, all else guesses: those of the engine as it was when it was
free, its bend not on it. Where the first answer is not sure, the first test proposed is done on the
engine and answered truthfully, up to three times.

``python -m tests.second_way.felt_trial --seeds 0:20 --sheet rough`` prints the table.
"""

from __future__ import annotations

import argparse
import gc
import math
import sys
import time
import tomllib
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import partial
from multiprocessing import Pool
from typing import Any, assert_never

import numpy as np
import tomlkit

from linkage.advice.keys import bare_key
from linkage.arrangements.numbers import facts_at
from linkage.cause import Fault as Suspect
from linkage.cause import (
    LookAlong,
    LookBetween,
    LookHow,
    Measure,
    MeasureFellow,
    TakeOff,
    Test,
    Weighing,
    proposals,
)
from linkage.cause.explained import _stops, _with_off
from linkage.cause.fault import OPPOSITE
from linkage.clearance.near import PairCurves, reach_of
from linkage.clearance.pairs import pair_parts
from linkage.errors import LinkageError
from linkage.examine import Examination, examine
from linkage.sheet import Sheet, change, is_angle, sheet_from
from linkage.sheet.changing import steps_of
from linkage.sheet.felt import removables
from linkage.sheet.merging import value_at
from linkage.sheet.numbers import numbers_of
from linkage.sheet.ready import ready_sheets
from linkage.tables.felt import ALL_ROUND, BY_HAND, SAID, Off, What
from linkage.tables.fields import Table
from linkage.tables.origin import Source
from linkage.tables.rods import Bend
from linkage.tightspots import TightSpot
from tests.second_way import broken
from tests.second_way.broken import Fault, as_measured, read

ENGINES = (
    "ardmoor-2-6-0-straightened",
    "2-6-0 with coupled wheels",
    "ardmoor-0-6-0-7mm",
    "ardmoor-0-6-0-good",
    "0-6-0 one piece",
    "0-6-0 rod and crosshead",
)
"""Of `broken.whole_engines`."""
MAKERS = (
    broken._moved("coupling rod's length", broken._is_coupling_length, 0.06, 0.35),
    broken._moved("gear's length", broken._is_gear_length, 0.2, 1.2),
    broken._moved("gear's place", broken._is_place, 0.3, 1.5),
    broken._moved("nut too thick", lambda k: k.endswith(("nut.thickness", "head.thickness")),
                  0.2, 1.0, signed=False),
    broken._moved("wrong layer", lambda k: k.endswith(".out") and "body" not in k, 0.2, 0.7),
    broken._return_crank, broken._quarter, broken._throw, broken._spacing,
    broken._bend, broken._bend, broken._bend,
)  # fmt: skip
ISOLATED = ("return_crank", "connecting_rod", "coupling_rods")
"""What comes off to tell which group it is, on both sides: practice of the trade."""
TRIED = 12  # faults of one kind
TEN = ("throw", "centres", "ahead", "back", "pin", "hole", "diameter")
TOUCHES = 0.05  # mm that thin paper does not go through
TESTS = 3  # proposed tests that are done at the most
SURE = 0.9
OFFERED = 3  # the first that can be done is done


@dataclass(frozen=True)
class Told:
    """What came of one engine."""

    seed: int
    engine: str
    fault: str
    place: int  # of the true fault among the causes, from 1; 0 where it is not among them
    after: int  # the same after the proposed tests
    tests: int
    first: str
    chance: float  # of the first, as told at last
    seconds: float


@dataclass(frozen=True)
class Engine:
    """An engine with one fault that locks it, and its sheet as typed."""

    name: str
    fault: Fault
    found: Examination  # of what it is
    typed: str


def engine_of(seed: int, rough: bool) -> Engine | None:
    """Return an engine with a fault of one kind, of which some are tried until one locks it.

    None where none does, or where the kind is none of the engine's.
    """
    rng = np.random.default_rng([29, seed])
    name = ENGINES[int(rng.integers(len(ENGINES)))]
    maker = MAKERS[int(rng.integers(len(MAKERS)))]
    free = _free_engine(name)
    for _ in range(TRIED):
        made = maker(broken._Breaking(read(free), rng, False))
        if made is None or (len(made.values) > 1 and not made.puts):
            continue
        try:
            truth = broken._with(read(free), made)
            found = examine(read(truth))
            # a hole measured no larger than its pin is refused: another engine then
            typed = guessed(free, made, rng) if rough else as_measured(truth, rng)
        except (LinkageError, ValueError):
            continue
        if any(_stops(spot, What.LOCKS) for spot in found.spots):
            return Engine(name, made, found, typed)
    return None


def _free_engine(name: str) -> str:
    """Return the sheet of a free engine, as text: a ready one, or one made of ready ones."""
    path = ready_sheets().get(name)
    return broken.whole_engines()[name] if path is None else path.read_text(encoding="utf-8")


def guessed(free: str, fault: Fault, rng: np.random.Generator) -> str:
    """Return the sheet with ten measured numbers, all else guesses about what it was.

    What is measured is the engine as it is.
    """
    sheet = read(free)
    numbers = [n for n in numbers_of(sheet) if n.origin.source is Source.MEASURED]
    order = sorted(numbers, key=lambda n: (not n.key.endswith(TEN), n.key))
    kept = {n.key for n in order[:10]}
    document = tomlkit.parse(tomlkit.dumps(sheet.data))
    for number in numbers:
        if number.key not in kept:
            _guess(document, number.key, number.value, number.angle)
    if "scale" not in document:
        document["scale"] = "4 mm"
    now = {key: value for key, value in fault.values.items() if {key, bare_key(key)} & kept}
    rough = read(tomlkit.dumps(document))
    return as_measured(tomlkit.dumps(change(rough, now).data), rng)


def _guess(document: Any, key: str, value: float, angle: bool) -> None:
    held: Any = document
    *above, last = steps_of(key)
    try:
        for step in above:
            held = held[step]
        if not isinstance(held[last], dict):
            held[last] = f"about {value:.4f}" + ("" if angle else " mm")
    except (KeyError, TypeError, IndexError):
        return


def felt_of(found: Examination, rng: np.random.Generator, said: bool) -> list[dict[str, Any]]:
    """Return what the hand feels: how far the wheels go, and what one thing taken off does.

    `said`: only one place of one lock was told, by another.
    """
    stops = [spot for spot in found.spots if _stops(spot, What.LOCKS)]
    places = _told_of(found, stops[0], rng) if said else list(_by_hand(found, stops, rng))
    offers = [
        tuple(Off(one, held.key, held.stills) for one in found.sides)
        for held in removables(found.sheet.sides, found.sheet.arrangement)
        if held.key in ISOLATED
    ]
    return [*places, off_line(found, offers[int(rng.integers(len(offers)))])]


def _told_of(found: Examination, spot: TightSpot, rng: np.random.Generator) -> list[dict[str, Any]]:
    at = spot.begin + float(rng.random()) * (spot.end - spot.begin)
    return [{"what": "locks", "side": _clock_of(found, spot), "at": _placed(at, SAID, rng)}]


def _by_hand(
    found: Examination, stops: list[TightSpot], rng: np.random.Generator
) -> Iterator[dict[str, Any]]:
    """Yield where the wheels stop turned on, and turned back, from somewhere where they turn."""
    ahead = {"left": found.sheet.right_leads_by}  # of one side's crank is the right-hand one
    arcs = [(spot.begin + ahead.get(spot.side, 0.0), spot.end - spot.begin, spot) for spot in stops]
    turns = np.arange(0.0, 2 * math.pi, math.radians(0.25))
    turns = turns[[all((t - begin) % (2 * math.pi) > on for begin, on, _ in arcs) for t in turns]]
    if not len(turns):
        yield {"what": "locks", "at": ALL_ROUND}  # and nobody can tell of which side
        return
    start = float(turns[int(rng.integers(len(turns)))])
    _, _, ahead_of = min(arcs, key=lambda arc: (arc[0] - start) % (2 * math.pi))
    _, _, behind = min(arcs, key=lambda arc: (start - arc[0] - arc[1]) % (2 * math.pi))
    for turning, spot, place in (
        ("forward", ahead_of, ahead_of.begin),
        ("backward", behind, behind.end),
    ):
        at = _placed(place, BY_HAND, rng)
        yield {"what": "locks", "side": _clock_of(found, spot), "at": at, "turning": turning}


def _clock_of(found: Examination, spot: TightSpot) -> str:
    return spot.side if spot.side in found.sides else next(iter(found.sides))


def _placed(at: float, error: float, rng: np.random.Generator) -> dict[str, float]:
    """Return a place in the turn as it is found, out by what such a place is out by."""
    at += float(np.clip(rng.normal(), -2, 2)) * error / 2
    return {"value": math.degrees(at) % 360, "measured_to": math.degrees(error)}


def off_line(found: Examination, off: tuple[Off, ...]) -> dict[str, Any]:
    """Return what is felt with something off, truthfully."""
    left = any(_stops(spot, What.LOCKS) for spot in _with_off(found, off))
    names = [f"{o.side}.{o.key}" if o.side in ("right", "left") else o.key for o in off]
    return {"what": "locks" if left else "free", "taken_off": names}


def truth_of(fault: Fault) -> set[tuple[str, str, str]]:
    """Return the fault as side, table and number or way: any of them names it."""
    found = set()
    for place, key, value in fault.puts:
        side, *table = place if place[0] in ("right", "left") else ("only", *place)
        what = key
        if key == "bend":
            what = next(way for way in value[0] if way in Bend.WAYS)
        found.add((side, ".".join(table), what))
    for key in fault.values if not fault.puts else ():
        side = key.partition(".")[0]
        table, _, what = bare_key(key).rpartition(".")
        found.add((side if side in ("right", "left") else "both", table, what.partition("[")[0]))
    return found


def is_it(suspect: Suspect | None, fault: Fault) -> bool:
    """Tell whether a cause is the true fault: its part, and its kind."""
    if suspect is None:
        return False
    for side, table, what in truth_of(fault):
        # the pins of an axle are out of quarter against one another, and a slip has three numbers
        if what in ("pin_ahead_by", "pin_behind_by"):
            if suspect.table == table and suspect.what in ("pin_ahead_by", "pin_behind_by",
                                                           "quarter"):  # fmt: skip
                return True
        elif table == "return_crank" and suspect.table == table:
            return suspect.side in (side, "both")
        elif suspect.table == table and what in (suspect.what.partition("[")[0], *suspect.ways):
            # of a coupling rod nobody can tell whether it is bent up or down, but by looking
            return suspect.side == side or side in ("both", "only")
    return False


def place_of(weighing: Weighing, fault: Fault) -> int:
    """Return the place of the true fault among the causes, from 1; 0 where it is not."""
    seen: list[Any] = []
    for cause in weighing.causes:
        if cause.second is None and cause.fault not in seen:
            seen.append(cause.fault)
    return next((k for k, one in enumerate(seen, 1) if is_it(one, fault)), 0)


def tell(seed: int, rough: bool, said: bool) -> Told | None:
    """Feel one engine, and tell its cause."""
    made = engine_of(seed, rough)
    if made is None:
        return None
    fault, found, rng = made.fault, made.found, np.random.default_rng([31, seed])
    data: dict[str, Any] = dict(tomllib.loads(made.typed))
    lines = felt_of(found, rng, said)
    begun = time.process_time()
    weighing = Weighing(sheet_from({**data, "felt": lines}, "engine.toml", ask=False))
    seconds = time.process_time() - begun
    before = place_of(weighing, fault)
    done = 0
    while done < TESTS and weighing.causes[0].chance < SURE:
        offered = proposals(weighing)
        if not offered:
            break
        if not any(_answer(one.test, found, fault, data, lines) for one in offered[:OFFERED]):
            break
        done += 1
        weighing = Weighing(_with(data, lines), before=weighing)
    first = weighing.causes[0].fault
    said = "outside" if first is None else f"{first.side}.{first.table}.{first.what}"
    return Told(seed, made.name, str(fault), before, place_of(weighing, fault), done, said,
                weighing.causes[0].chance, seconds)  # fmt: skip


def _answer(
    test: Test, found: Examination, fault: Fault, data: dict[str, Any], lines: list[Any]
) -> bool:
    """Do a test on the engine as it is, and put its outcome on the sheet."""
    match test:
        case TakeOff():
            lines.append(off_line(found, test.off))
        case Measure():  # what of it there is to measure
            return any([_measure(one, _with(data, lines), found.sheet, data)
                        for one in test.faults])  # fmt: skip
        case MeasureFellow():
            for one in test.faults:
                fellow = replace(one, side=OPPOSITE[one.side])
                _measure(fellow, _with(data, lines), found.sheet, data)
        case LookAlong():
            _look_along(test, fault, data)
        case LookHow():
            return False  # none of these engines has a part on another way round, and it is seen
        case LookBetween():
            _look_between(test, found, data)
        case _:
            assert_never(test)
    return True


def _with(data: Mapping[str, Any], lines: list[Any]) -> Sheet:
    """Return the sheet as it is so far, with what was felt."""
    return sheet_from({**data, "felt": lines}, "engine.toml", ask=False)


def _look_along(test: LookAlong, fault: Fault, data: dict[str, Any]) -> None:
    """Look along rods: a bend goes on the sheet, or that a rod has none."""
    for side, table in test.rods:
        held: Any = data
        for step in (*(() if side == "only" else (side,)), *table.split(".")):
            held = held.setdefault(step, {})
        held["bend"] = []
        for place, key, value in fault.puts:
            at = place[1:] if place[0] in ("right", "left") else place
            own = place[0] == side or side == "only"
            if key == "bend" and ".".join(at) == table and own:
                held["bend"] = value


def _look_between(test: LookBetween, found: Examination, data: dict[str, Any]) -> None:
    """Look between parts with the wheels turned as far as they go: to where the lock begins."""
    side, wanted = found.sides[test.side], found.sheet.wanted_clearance
    stops = [spot for spot in found.spots if _stops(spot, What.LOCKS)]
    stop = min(stops, key=lambda spot: abs(math.remainder(_middle(spot) - test.at, 2 * math.pi)))
    reach = reach_of(wanted)
    for two in test.pairs:
        gap, pairs = math.inf, pair_parts(side.mechanism, wanted, reach, frozenset(two))
        for back in np.radians((0.1, 1.0, 3.0)) if pairs else ():
            air = PairCurves(side.course, pairs, reach).rows(np.zeros(1, dtype=np.intp))
            gap = float(air(np.array([[stop.begin - back]]))[0, 0])
            if math.isfinite(gap):
                break
        data.setdefault("seen", []).append({
            "gap": 0 if gap < TOUCHES else round(min(gap, reach), 2),
            "between": list(two), "side": test.side,
            "at": {"value": math.degrees(test.at) % 360, "measured_to": math.degrees(test.error)},
        })  # fmt: skip


def _middle(spot: Any) -> float:
    return float(spot.begin + spot.end) / 2


def _measure(suspect: Suspect, sheet: Sheet, real: Sheet, data: dict[str, Any]) -> bool:
    """Measure a number on the engine, and put it on the sheet, of either side as it is there.

    What is not there is nought.
    """
    sides = [suspect.side] if suspect.side in real.sides else list(real.sides)
    bare = bare_key(suspect.key)
    found = {side: _found(suspect, real, side) for side in sides}
    if suspect.what in _other_ways(suspect, real, sides[0]):  # its numbers are given another way
        held, instead = real.dimensions[sides[0]], _given_instead(suspect, real, sides[0])
        mine = {k: v for k, v in held.items()
                if k.rpartition(".")[0].endswith(suspect.table)}  # fmt: skip
        for key, value in mine.items():
            what = key.rpartition(".")[2]
            own = f"{suspect.table}.{what}"
            if what in instead:
                own = own if sides[0] == "only" else f"{sides[0]}.{own}"
                _write(data, own, is_angle(real, key), value)
        return True
    if None in found.values():
        return False  # no such nut is there
    if len(set(found.values())) == 1 and suspect.side not in real.sides:
        _write(data, suspect.key, suspect.angle, found[sides[0]] or 0.0)
        return True
    for side, value in found.items():
        own = bare if side == "only" else f"{side}.{bare}"
        _write(data, own, suspect.angle, value or 0.0)
    return True


def _found(suspect: Suspect, real: Sheet, side: str) -> float | None:
    """Return what is measured of a number on one side; None where there is nothing to measure."""
    held, bare = real.dimensions[side], bare_key(suspect.key)
    value = held.get(f"{side}.{bare}", held.get(bare))
    if suspect.what in OTHER_WAY:
        value = _ahead(real, side, suspect.table)
        return value if suspect.what == "pin_ahead_by" else -value
    if value is not None or suspect.table.endswith("head"):
        return value
    return _not_there(suspect, held)


def _write(data: dict[str, Any], key: str, angle: bool, value: float) -> None:
    """Put a number that was measured on the sheet."""
    *above, last = steps_of(key)
    table: Any = data
    for number, step in enumerate(above):
        if isinstance(last, int) and number == len(above) - 1 and step not in table:
            table[step] = list(value_at(data, [str(one) for one in above[1:]]))  # both sides'
        table = table[step] if isinstance(step, int) else table.setdefault(step, {})
    if isinstance(table, dict):
        table.pop((OTHER_WAY | ONE_WAY).get(str(last), ""), None)
        for beside, size in BESIDE.get(str(above[-1]) if above else "", {}).items():
            table.setdefault(beside, size)
    table[last] = value if angle else f"{value:.3f} mm"


BESIDE = {"lean": {"over": "3 mm"}, "pin": {"diameter": "1.6 mm"}}  # what a table needs besides
OTHER_WAY = {"pin_ahead_by": "pin_behind_by", "pin_behind_by": "pin_ahead_by"}
ONE_WAY = {
    "away_from_axle": "towards_axle",
    "towards_axle": "away_from_axle",
    "ahead": "behind",
    "behind": "ahead",
}  # a lean: none of these engines has one


def _other_ways(suspect: Suspect, real: Sheet, side: str) -> set[str]:
    """Return by what else the table of a number may be given."""
    own: Any = real.sides[side]
    for step in suspect.table.split("."):
        own = own[step] if isinstance(own, Mapping) else getattr(own, step, {})
    return set(own.other_ways(real.sides[side])) if isinstance(own, Table) else set()


def _given_instead(suspect: Suspect, real: Sheet, side: str) -> set[str]:
    """Return the keys of a table by which what is asked for may be given in another way."""
    own: Any = real.sides[side]
    for step in suspect.table.split("."):
        own = own[step] if isinstance(own, Mapping) else getattr(own, step)
    groups = [{key for choice in group for key in choice} for group in own.INSTEAD]
    return next(group for group in groups if suspect.what in group) - {suspect.what}


def _not_there(suspect: Suspect, real: Mapping[str, float]) -> float:
    """Return what is found of a number that the true sheet does not give."""
    wrong = facts_at(f"{suspect.table}.{suspect.what}").wrong
    instead = "" if wrong is None else wrong.instead or ""
    return next((real[key] for key in (f"{suspect.side}.{instead}", instead) if key in real), 0.0)


def _ahead(real: Sheet, side: str, table: str) -> float:
    """Return by how much an axle's pin of one side is ahead, against the other's [degrees].

    It is measured in a jig, both pins at once: nobody can tell which of the two has turned.
    """
    _, axle = table.split(".")
    early = {name: math.degrees(held.axles[axle].pin_early) if axle in held.axles else 0.0
             for name, held in real.sides.items()}  # type: ignore[attr-defined]  # fmt: skip
    return early[side] - sum(value for name, value in early.items() if name != side)


def trial(seeds: range, rough: bool, said: bool = False, jobs: int = 1) -> Iterator[Told]:
    """Yield what came of each seed."""
    # as the command line has it: looking for what nobody holds takes a sixth of the time else
    with Pool(jobs, gc.set_threshold, (10_000, 10, 10)) as pool:
        for told in pool.imap(partial(tell, rough=rough, said=said), seeds):
            if told is not None:
                yield told


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", default="0:20")
    parser.add_argument("--said", action="store_true", help="one place was told, and no more")
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--sheet", choices=["full", "rough"], default="rough")
    asked = parser.parse_args()
    first, last = (int(x) for x in asked.seeds.split(":"))
    told = []
    for one in trial(range(first, last), asked.sheet == "rough", asked.said, asked.jobs):
        told.append(one)
        sys.stderr.write(f"{one}\n")
    for line in table(told):
        sys.stdout.write(f"{line}\n")


def table(told: list[Told]) -> Iterator[str]:
    """Yield the table of a trial, and what was taken for what."""
    count = max(len(told), 1)
    for words, hit in (
        ("first", sum(one.place == 1 for one in told)),
        ("in the first three", sum(1 <= one.place <= 3 for one in told)),
        ("first after the tests", sum(one.after == 1 for one in told)),
    ):
        yield f"{words:24} {hit:4} of {len(told)}  {100 * hit / count:.0f} %"
    yield f"tests done, mean {np.mean([one.tests for one in told] or [0]):.1f}"
    yield f"processor, median {np.median([one.seconds for one in told] or [0]):.1f} s"
    for low, high in ((0.0, 0.3), (0.3, 0.5), (0.5, 0.7), (0.7, 0.9), (0.9, 1.01)):
        mine = [one for one in told if low <= one.chance < high]
        right = sum(one.after == 1 for one in mine)
        said = f"{100 * low:.0f} to {100 * min(high, 1):.0f} in 100"
        yield f"said to be {said}: {right} of {len(mine)} right"
    wrong = Counter((one.fault.partition(":")[0], one.first) for one in told if one.after != 1)
    for (fault, first), number in wrong.most_common():
        yield f"{number:4}  {fault} taken for {first}"


if __name__ == "__main__":
    main()
