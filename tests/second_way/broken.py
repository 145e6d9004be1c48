"""Engines broken at random: free ones, measured well or roughly, with one to three faults each.

They are the ready sheets that are free, and sheets as `new` issues them, of any gear and scale.

What the engine is and what its sheet says are two things: the sheet is measured, with errors.

Sizes of faults are those of the trade's talk at 4 mm to the foot, brought to the engine's scale.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any

import numpy as np
import tomlkit

from linkage.advice.keys import bare_key, table_at
from linkage.advice.setting import bars_of, eyes_apart
from linkage.arrangements import ARRANGEMENTS, build
from linkage.errors import LinkageError
from linkage.examine import examine
from linkage.sheet import Sheet, change, sheet_from
from linkage.sheet.blank import blank_sheet
from linkage.sheet.numbers import numbers_of
from linkage.sheet.ready import ready_sheets
from linkage.sheet.wheel_arrangement import LARGEST, WheelArrangement
from linkage.tables.coupled import CouplingRodTable
from linkage.tables.facts import TYPICAL_THROW, facts_of, fields_by_key, table_in
from linkage.tables.origin import Source
from linkage.tables.rods import Bar, Rod
from linkage.units import SCALES
from tests.ready import FREE

COUPLED = """
[coupling]
pin = 1.5
hole = 1.56
width = 2.0
thickness = 0.8
out = 1.2
box_play = { fore_aft = 0.02, vertical = 0.02 }
hub = { diameter = 5.0, out = 0.0, thickness = 0.8 }

[axles.leading]
ahead = 29.0

[axles.trailing]
back = 25.0

[coupling_rods.front]
from = "driving"
to = "leading"
centres = 29.0

[coupling_rods.rear]
from = "trailing"
centres = 21.0
knuckle = { on = "front", behind = "driving", distance = 4.0, play = 0.05 }

[right]
"""


ISSUED = (
    "walschaerts", "stephenson", "gooch", "allan", "joy", "hackworth", "southern", "baker",
    "slip-eccentric", "rocker", "stephenson-rocker", "conjugated", "dummy", "slider-crank",
    "coupled-wheels",
)  # fmt: skip
ISSUED_SHARE = 0.4
"""Share of engines whose sheets are as issued by `new`; the others are ready ones."""


@cache
def whole_engines() -> Mapping[str, str]:
    """Return the sheets of free engines, as text: ready ones, and three made of ready ones."""
    ready = {name: path.read_text(encoding="utf-8") for name, path in ready_sheets().items()}
    free = {name: text for name, text in ready.items() if name in FREE}
    straightened = ready["ardmoor-2-6-0-straightened"]
    one_piece = ready["ardmoor-0-6-0-middle-hole"].partition("[right.coupling_rods")[0]
    on_curves = ready["ardmoor-0-6-0-nut-on-curves"].replace("= 0.65", "= 0.2")
    named = {
        "2-6-0": straightened,
        "2-6-0 with coupled wheels": straightened.replace("\n[right]\n", COUPLED),
        "0-6-0 7 mm": ready["ardmoor-0-6-0-7mm"],
        "0-6-0 jointed": ready["ardmoor-0-6-0-good"],
        "0-6-0 one piece": one_piece,
        "0-4-0 worn": ready["ardmoor-0-4-0-worn-hole"],
        "0-6-0 rod and crosshead": on_curves,
        "Pacific 5 in": ready["ardmoor-pacific-5in"],
        "slider-crank": ready["slider-crank"],
    }
    engines = {name: text for name, text in free.items() if read(text).arrangement != "linkage"}
    return named | {name: text for name, text in engines.items() if text not in named.values()}


def issued_engine(rng: np.random.Generator) -> tuple[str, str]:
    """Return an engine as a sheet for it is issued, of any gear and scale, and its name.

    Some of its guesses have been measured and were right; all of them, of one in four.
    """
    arrangement = str(rng.choice(ISSUED))
    scale, count = str(rng.choice(list(SCALES))), int(rng.integers(1, LARGEST + 1))
    wheels = f"2-{2 * count}-0" if count > 1 else None  # one: its gear alone
    driven = int(rng.integers(1, count + 1)) if wheels else None
    coupled = None if wheels is None else WheelArrangement.of(wheels, driven)
    share = float(rng.choice((0.3, 0.6, 0.9, 1.0)))

    def measured(guess: re.Match[str]) -> str:
        return guess[1] if rng.random() < share else guess[0]

    text = re.sub(r'"about (-?[0-9.]+)"', measured, blank_sheet(arrangement, scale, coupled))
    on_axle = f", {wheels} driven on {driven}" if wheels else ""
    return f"{arrangement} {scale}{on_axle}, {share:.0%} measured", text


@dataclass(frozen=True)
class Fault:
    """One fault, as it stands on the sheet."""

    kind: str
    values: Mapping[str, float]  # what it changes, by key as `sheet.change` takes it
    # what is put into the file beside numbers: the place of its table, key and value
    puts: tuple[tuple[tuple[str, ...], str, Any], ...] = ()

    def __str__(self) -> str:
        numbers = [f"{key} = {value:.3f}" for key, value in self.values.items()]
        bends = [f"{'.'.join(place)}.{key} = {value}" for place, key, value in self.puts]
        return f"{self.kind}: {', '.join(numbers + bends)}"


@dataclass(frozen=True)
class Broken:
    """An engine with faults, and its sheet."""

    seed: int
    engine: str
    rough: bool  # whether many numbers of the sheet were left out
    faults: tuple[Fault, ...]
    truth: str = field(repr=False)  # the sheet of what it really is
    text: str = field(repr=False)  # its sheet as it was measured


def read(text: str) -> Sheet:
    """Return the sheet that a text holds; unusual numbers are not asked about."""
    return sheet_from(tomllib.loads(text), "engine.toml", ask=False)


def free_engine(rng: np.random.Generator, among: Collection[str] = ()) -> tuple[str, str, bool]:
    """Return a free engine by chance: its name, its sheet, and whether that is a rough one.

    `among`: names of ready ones it is to be of, so that others that come to be do not change it.
    """
    if not among and rng.random() < ISSUED_SHARE:
        return *issued_engine(rng), True
    names = sorted(among or whole_engines())
    name = names[int(rng.integers(len(names)))]
    text, rough = whole_engines()[name], bool(rng.random() < 0.5)
    return name, _left_out(text, rng) if rough else text, rough


def broken_engine(seed: int, among: Collection[str] = ()) -> Broken | None:
    """Return the engine of a seed; None where what was done to it hinders nothing.

    `among`: as for `free_engine`.
    """
    rng = np.random.default_rng([11, seed])
    name, text, rough = free_engine(rng, among)
    wanted = int(rng.integers(1, 4))
    faults: list[Fault] = []
    for _ in range(20):
        if len(faults) == wanted:
            break
        sheet = read(text)
        made = _MAKERS[int(rng.integers(len(_MAKERS)))](_Breaking(sheet, rng, rough))
        if made is None or any(made.kind == one.kind for one in faults):
            continue
        try:
            changed = _with(sheet, made)
            build(read(changed))
        except (LinkageError, ValueError):
            continue
        text = changed
        faults.append(made)
    try:
        measured = as_measured(text, rng)
        free = examine(read(text)).free or examine(read(measured)).free
    except LinkageError:
        return None  # it cannot be put together at all, and `check` says so
    return None if free else Broken(seed, name, rough, tuple(faults), text, measured)


def as_measured(truth: str, rng: np.random.Generator) -> str:
    """Return the sheet of an engine as it was measured: each number anywhere within its error.

    To a hundredth, as callipers read; what is about as small as its error keeps half its size.
    """
    sheet = read(truth)
    values = {}
    for number in numbers_of(sheet):
        read_off = number.value + float(rng.uniform(-1.0, 1.0)) * number.origin.error
        least = number.value / 2 if number.value >= 0.0 else read_off
        if number.origin.source is Source.MEASURED:
            values[number.key] = max(round(read_off, 2), round(least, 3))
    return tomlkit.dumps(change(sheet, values).data)


def _with(sheet: Sheet, fault: Fault) -> str:
    """Return the sheet's text with a fault."""
    document = tomlkit.parse(tomlkit.dumps(change(sheet, fault.values).data))
    for place, key, value in fault.puts:
        here: Any = document
        for step in place:
            here = here.setdefault(step, {})
        here[key] = _inline(value)
    return tomlkit.dumps(document)


def _inline(value: Any) -> Any:
    """Return a value as it stands on one line: lists of tables would start tables of their own."""
    if isinstance(value, dict):
        made = tomlkit.inline_table()
        made.update({key: _inline(held) for key, held in value.items()})
        return made
    if isinstance(value, list):
        items = tomlkit.array()
        for held in value:
            items.append(_inline(held))
        return items
    return value


def _left_out(text: str, rng: np.random.Generator) -> str:
    """Return the text without many of the numbers that can be assumed, the engine still free."""
    kind = ARRANGEMENTS[tomllib.loads(text)["arrangement"]].tables
    for share in (0.7, 0.4, 0.2):
        document = tomlkit.parse(text)
        for name, field_ in fields_by_key(kind).items():
            table = table_in(field_.annotation)
            if table is None or name not in document or not hasattr(document[name], "keys"):
                continue
            for key, inner in fields_by_key(table).items():
                assumed = facts_of(inner).usual is not None
                if key in document[name] and assumed and rng.random() < share:
                    del document[name][key]  # type: ignore[union-attr]
        rough = tomlkit.dumps(document)
        try:
            if examine(read(rough)).free:
                return rough
        except LinkageError:
            continue
    return text


@dataclass(frozen=True)
class _Breaking:
    """A sheet about to be broken, and by what chance."""

    sheet: Sheet
    rng: np.random.Generator
    rough: bool

    @property
    def factor(self) -> float:
        """What sizes at 4 mm to the foot are multiplied by [1]."""
        sides = next(iter(self.sheet.sides.values()))
        return float(sides.wheels.throw / TYPICAL_THROW)  # type: ignore[attr-defined]

    def side(self) -> str:
        """Return one side by chance."""
        return str(self.rng.choice(list(self.sheet.sides)))

    def numbers(self, side: str, fits: Callable[[str], bool]) -> dict[str, float]:
        """Return the numbers of a side by bare key, those whose key fits."""
        held = {bare_key(key): value for key, value in self.sheet.dimensions[side].items()}
        return {key: value for key, value in sorted(held.items()) if fits(key)}

    def one(self, side: str, fits: Callable[[str], bool]) -> tuple[str, float] | None:
        """Return one of those by chance."""
        held = list(self.numbers(side, fits).items())
        return held[int(self.rng.integers(len(held)))] if held else None

    def size(self, low: float, high: float, signed: bool = True) -> float:
        """Return a size by chance, brought to scale [mm]."""
        sign = float(self.rng.choice((-1.0, 1.0))) if signed else 1.0
        return sign * self.factor * float(self.rng.uniform(low, high))

    def own(self, side: str, key: str) -> str:
        """Return the key of one side's number."""
        return key if side == "only" else f"{side}.{key}"


def _moved(
    kind: str, fits: Callable[[str], bool], low: float, high: float, signed: bool = True
) -> Callable[[_Breaking], Fault | None]:
    """Return what moves one number of one side."""

    def make(b: _Breaking) -> Fault | None:
        side = b.side()
        found = b.one(side, fits)
        if found is None:
            return None
        key, now = found
        return Fault(kind, {b.own(side, key): now + b.size(low, high, signed)})

    return make


def _is_coupling_length(key: str) -> bool:
    return key.startswith("coupling_rods.") and ".centres" in key


def _is_gear_length(key: str) -> bool:
    ends = ("centres", "_to_valve_pin", "_to_union_pin", "foot_pin.below", ".arm", "pin_circle")
    return not key.startswith(("coupling_rods.", "connecting_rod.")) and key.endswith(ends)


def _is_place(key: str) -> bool:
    places = (
        "expansion_link.trunnion.ahead", "expansion_link.trunnion.up", "weighshaft.ahead",
        "weighshaft.up", "valve_spindle.height", "crosshead.drop_arm_pin.below",
    )  # fmt: skip
    return key in places


def _return_crank(b: _Breaking) -> Fault | None:
    side = b.side()
    found = b.one(side, lambda key: key in ("return_crank.leads", "return_crank.follows"))
    if found is None:
        return None
    slip = float(b.rng.uniform(5.0, 35.0) * b.rng.choice((-1, 1)))
    return Fault("return crank slipped", {b.own(side, found[0]): found[1] + slip})


def _quarter(b: _Breaking) -> Fault | None:
    axles = _axles(b)
    if not axles:
        return None
    axle, by = str(b.rng.choice(axles)), float(b.rng.uniform(2.0, 9.0))
    key = str(b.rng.choice(("pin_ahead_by", "pin_behind_by")))
    put = ((b.side(), "axles", axle), key, round(by, 1))
    return Fault("quarter", {}, (put,))


def _throw(b: _Breaking) -> Fault | None:
    axles, side = _axles(b), next(iter(b.sheet.sides.values()))
    if not axles:
        return None
    throw = side.wheels.throw + b.size(0.06, 0.3)  # type: ignore[attr-defined]
    put = ((b.side(), "axles", str(b.rng.choice(axles))), "throw", f"{throw:.3f} mm")
    return Fault("throw", {}, (put,))


def _axles(b: _Breaking) -> list[str]:
    sides = list(b.sheet.sides.values())
    return sorted(getattr(sides[0], "axles", {})) if len(sides) > 1 else []


def _spacing(b: _Breaking) -> Fault | None:
    """Move an axle, on both sides or one."""
    side = b.side()
    found = b.one(side, lambda key: key.startswith("axles.") and key.endswith(("ahead", "back")))
    if found is None or side == "only":
        return None
    key = found[0] if b.rng.random() < 0.5 else b.own(side, found[0])
    return Fault("axle spacing", {key: found[1] + b.size(0.06, 0.3)})


def _cylinder(b: _Breaking) -> Fault | None:
    """Move a cylinder with its covers and bars along its line."""
    side = b.side()
    keys = ("cylinder.rear_cover", "cylinder.front_cover", "slide_bars.rear", "slide_bars.front")
    held = b.numbers(side, lambda key: key in keys)
    by = b.size(0.5, 2.0)
    if not held:
        return None
    return Fault("cylinder moved", {b.own(side, key): value + by for key, value in held.items()})


def _worn_hole(b: _Breaking) -> Fault | None:
    rods = [
        (side, key, rod)
        for side in sorted(b.sheet.sides)
        for key, rod in sorted(bars_of(b.sheet, side).items())
        if isinstance(rod, CouplingRodTable)
    ]
    hole = b.sheet.dimensions[next(iter(b.sheet.sides))].get("coupling.hole")
    if not rods or hole is None:
        return None
    side, key, rod = rods[int(b.rng.integers(len(rods)))]
    holes: list[Any] = [f"{hole:.3f} mm" for _ in rod.axles]
    worn = hole + b.size(0.1, 0.3, signed=False)
    holes[int(b.rng.integers(len(holes)))] = {
        "along": f"{worn:.3f} mm", "across": f"{hole + 0.02 * b.factor:.3f} mm",
    }  # fmt: skip
    return Fault("hole worn", {}, (((side, *key.split(".")), "holes", holes),))


def _joint_play(b: _Breaking) -> Fault | None:
    if not hasattr(next(iter(b.sheet.sides.values())), "return_crank"):
        return None
    joint = str(b.rng.choice(("link_foot_pin", "return_crank_pin", "radius_rod_pin", "die_block")))
    side = b.side()
    play = b.size(0.1, 0.5, signed=False)
    return Fault("joint worn", {}, (((side, "joint_play"), joint, f"{play:.3f} mm"),))


def _side_play(b: _Breaking) -> Fault | None:
    found = b.one(next(iter(b.sheet.sides)), lambda key: key.endswith("side_play"))
    if found is None:
        return None
    return Fault("side play", {found[0]: found[1] + b.size(0.2, 0.8, signed=False)})


def _bend(b: _Breaking) -> Fault | None:
    """Bend a rod one of four ways; of a rough sheet a bend in the side view goes unmeasured."""
    side = b.side()
    bars = {key: bar for key, bar in sorted(bars_of(b.sheet, side).items()) if not bar.bend}
    rods = {key: bar for key, bar in bars.items() if isinstance(bar, Rod | CouplingRodTable)}
    if not rods:
        return None
    key = str(b.rng.choice(list(rods)))
    rod = rods[key]
    in_plane = ("ahead", "back") if rod.UPRIGHT else ("up", "down")
    way = str(b.rng.choice(("towards_frames", "away_from_frames", *in_plane)))
    length = eyes_apart(rod)
    amount = min(b.size(0.2, 1.0, signed=False), 0.06 * length)
    start = rod.end_names()[0][0]
    bend: dict[str, Any] = {"kind": str(b.rng.choice(("bow", "kink", "joggle"))), "from": start}
    if bend["kind"] != "bow":
        bend["at"] = f"{length * float(b.rng.uniform(0.25, 0.6)):.2f} mm"
    if bend["kind"] == "joggle":
        bend["length"] = f"{length * 0.2:.2f} mm"
    bend[way] = f"{amount:.2f} mm"
    put = ((side, *key.split(".")), "bend", [bend])
    if side == "only":
        put = (tuple(key.split(".")), "bend", [bend])
    centres = _as_it_lies(b.sheet, side, key, bend)
    if centres is None:
        return None
    values = {b.own(side, f"{key}.{name}"): value for name, value in centres.items()}
    if b.rough and way in in_plane:
        return Fault("bend unmeasured", values)
    return Fault("bend", values, (put,))


def _as_it_lies(sheet: Sheet, side: str, key: str, bend: dict[str, Any]) -> dict[str, float] | None:
    """Return a rod's centres as they are measured once it is bent; None where it cannot be."""
    rod: Any = table_at(sheet, side, key)
    bent = type(rod.bend[0]) if rod.bend else _bend_table(type(rod))
    try:
        one = bent.model_validate(bend, context={"unit": "mm"})
        straight = rod.model_copy(update={"bend": (one,), "centres_measured": "straight"})
        if isinstance(rod.centres, float):
            return {"centres": round(eyes_apart(straight), 3)}
        # of a rod in one piece only the side view is measured; what it loses is small
        return {f"centres[{k}]": span for k, span in enumerate(rod.centres, 1)}
    except ValueError:
        return None


def _bend_table(table: type[Bar]) -> Any:
    return table_in(table.model_fields["bend"].annotation)


def _end_for_end(b: _Breaking) -> Fault | None:
    """Turn a part with unlike ends round: spans of a rod, the arms of the lever, the link."""
    side = b.side()
    choices: list[dict[str, float]] = []
    for key, bar in bars_of(b.sheet, side).items():
        spans = getattr(bar, "centres", None)
        if isinstance(spans, tuple) and len(set(spans)) > 1:
            choices.append({f"{key}.centres[{k}]": s for k, s in enumerate(spans[::-1], 1)})
    lever = b.numbers(side, lambda key: key.startswith("combination_lever.radius_rod_pin_to"))
    if len(lever) == 2:
        union, valve = lever.values()  # by key
        choices.append(
            {"combination_lever.radius_rod_pin_to_valve_pin": union - valve}
            if union > 2 * valve
            else {}
        )
    back = b.numbers(side, lambda key: key == "expansion_link.foot_pin.back")
    choices += [{key: -value} for key, value in back.items() if value]
    choices = [one for one in choices if one]
    if not choices:
        return None
    chosen = choices[int(b.rng.integers(len(choices)))]
    return Fault("end for end", {b.own(side, key): value for key, value in chosen.items()})


def _exchanged(b: _Breaking) -> Fault | None:
    """Put either side's coupling rod on the other, of an engine whose axles stand skew."""
    if set(b.sheet.sides) != {"right", "left"}:
        return None
    rods = [
        key
        for key, rod in sorted(bars_of(b.sheet, "right").items())
        if isinstance(rod, CouplingRodTable) and isinstance(rod.centres, float)
        and rod.knuckle is None and "driving" in rod.axles
    ]  # fmt: skip
    if not rods:
        return None
    rod: Any = table_at(b.sheet, "right", str(b.rng.choice(rods)))
    other = next(axle for axle in rod.axles if axle != "driving")
    axle: Any = table_at(b.sheet, "right", f"axles.{other}")
    way = "ahead" if axle.ahead is not None else "back"
    by = b.size(0.15, 0.3)
    own = next(key for key in rods if table_at(b.sheet, "right", key) is rod)
    return Fault(
        "rods exchanged",
        {
            f"left.axles.{other}.{way}": abs(axle.x) + by,
            f"right.{own}.centres": rod.centres + by,
            f"left.{own}.centres": rod.centres,
        },
    )


_MAKERS: tuple[Callable[[_Breaking], Fault | None], ...] = (
    _moved("coupling rod's length", _is_coupling_length, 0.06, 0.35),
    _moved("coupling rod's length", _is_coupling_length, 0.06, 0.35),
    _moved("gear's length", _is_gear_length, 0.2, 1.2),
    _moved("connecting rod's length", lambda k: k == "connecting_rod.centres", 0.5, 2.0),
    _moved("gear's place", _is_place, 0.3, 1.5),
    _moved("bracket moved", lambda k: k == "motion_bracket.out", 0.2, 1.0),
    _moved("nut too thick", lambda k: k.endswith(("nut.thickness", "head.thickness")), 0.2, 1.0,
           signed=False),
    _moved("wrong layer", lambda k: k.endswith(".out") and "body" not in k, 0.2, 0.7),
    _moved("too thick", lambda k: k.endswith(".thickness") and "body" not in k, 0.2, 0.7,
           signed=False),
    _return_crank, _quarter, _throw, _spacing, _cylinder, _worn_hole, _joint_play, _side_play,
    _bend, _bend, _bend, _end_for_end, _exchanged,
)  # fmt: skip
