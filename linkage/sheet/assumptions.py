"""What is filled in from common practice where a sheet does not say, and listed as assumed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, get_origin

from linkage.tables.facts import (
    TYPICAL_RATIO,
    TYPICAL_THROW,
    facts_of,
    fields_by_key,
    table_in,
)
from linkage.tables.fields import Location, read_length
from linkage.tables.origin import Source, with_source
from linkage.tables.shapes import Side

# Of coupled wheels at 4 mm to the foot [mm].
_COUPLING_PIN = 1.5  # a chassis jig's spigots at that scale
_PIN_PLAY = 0.038  # hole less pin: the upper figure of 0.001 to 0.0015 in reported for that scale
_BOX_PLAY = 0.05  # of an axle in its bearings, either way, in all: common practice, no source
_INHERITED = ("width", "thickness", "out")


@dataclass(frozen=True)
class Filled:
    """One side's tables, complete.

    Attributes
    ----------
    tables : dict
        As in the file, the side's own differences merged in and what was missing assumed.
    assumed : mapping of Location to str
        What was filled in, by its place, as it stands there.
    handed_on : mapping of Location to Location
        Places that have another place's number, and no number of their own.
    factor : float [1]
        What sizes at 4 mm to the foot were multiplied by.
    """

    tables: dict[str, Any]
    assumed: Mapping[Location, str]
    handed_on: Mapping[Location, Location]
    factor: float


class _Filler:
    """Fills one side's tables, and keeps what it filled in; a `facts.Beside`."""

    def __init__(
        self, kind: type[Side], tables: Mapping[str, Any], unit: str, ratio: float | None
    ) -> None:
        self.tables = {
            name: dict(table) if isinstance(table, Mapping) else table
            for name, table in tables.items()
        }
        self.unit = unit
        self.kinds = {
            name: fields_by_key(table)
            for name, field in kind.model_fields.items()
            if get_origin(field.annotation) is not dict
            and (table := table_in(field.annotation)) is not None
        }
        self.factor = TYPICAL_RATIO / ratio if ratio else self._factor_by_throw()
        self.assumed: dict[Location, str] = {}
        self.handed_on: dict[Location, Location] = {}

    def _factor_by_throw(self) -> float:
        throw = self.given("wheels.throw")
        return throw / TYPICAL_THROW if throw and throw > 0 else 1.0

    def given(self, key: str) -> float | None:
        """Return what stands there [mm], or None where nothing (or nothing readable) does."""
        table, _, name = key.partition(".")
        held = self.tables.get(table)
        if not isinstance(held, dict) or name not in held:
            return None
        try:
            return read_length(held[name], self.unit)
        except ValueError:
            return None  # reported when the table is checked

    def size(self, key: str, otherwise: float = 0.0) -> float:
        """Return what is given or assumed [mm]; `otherwise` where its table is not there."""
        table, _, name = key.partition(".")
        if table in self.kinds:
            self.fill(table, name)
        found = self.given(key)
        return otherwise if found is None else found

    def fill(self, table: str, key: str) -> None:
        """Put the usual size where the table is there and does not give it."""
        facts = facts_of(self.kinds[table][key])
        held = self.tables.get(table)
        if facts.usual is None or not isinstance(held, dict) or key in held:
            return
        usual = facts.usual * self.factor if isinstance(facts.usual, float) else facts.usual(self)
        self.put(table, key, usual)

    def put(self, table: str, key: str, size: float) -> None:
        """Put a size [mm] where the table does not give it."""
        held = self.tables[table]
        if key not in held:
            held[key] = self.note((table, key), size)

    def note(self, place: Location, size: float) -> str:
        """Return a size [mm] as it is filled in at a place, and keep it."""
        self.assumed[place] = with_source(Source.ASSUMED, f"{round(size, 3)!r} mm")
        return self.assumed[place]


def _fill_coupling(filler: _Filler) -> None:
    """Fill in what holds for all coupled wheels, where there are any, and hand it to their rods."""
    some = any(filler.tables.get(name) for name in ("axles", "coupling", "coupling_rods"))
    if not some or "coupling" not in filler.kinds:  # of a gear without wheels it is reported
        return
    coupling = filler.tables.setdefault("coupling", {})
    if not isinstance(coupling, dict):
        return  # reported when the table is checked
    _fill_play(filler, coupling)
    wheelset = filler.tables.get("wheels")
    if isinstance(wheelset, dict) and "side_play" in wheelset and "side_play" not in coupling:
        coupling["side_play"] = wheelset["side_play"]
        filler.handed_on["coupling", "side_play"] = ("wheels", "side_play")
    for key in ("width", "thickness", "side_play", "out"):
        filler.fill("coupling", key)
    _hand_to_rods(filler, coupling)


def _fill_play(filler: _Filler, coupling: dict[str, Any]) -> None:
    play = _PIN_PLAY * filler.factor
    if "hole" not in coupling:
        filler.put("coupling", "play", play)
    elif "pin" not in coupling and (hole := _narrowest(coupling["hole"], filler.unit)) > play:
        filler.put("coupling", "pin", hole - play)
    filler.put("coupling", "pin", _COUPLING_PIN * filler.factor)
    box = coupling.get("box_play", {})
    if isinstance(box, Mapping):
        size = _BOX_PLAY * filler.factor
        for key in ("fore_aft", "vertical"):
            if key not in box:
                box = {**box, key: filler.note(("coupling", "box_play", key), size)}
        coupling["box_play"] = box


def _narrowest(hole: object, unit: str) -> float:
    """Return a hole's smallest width [mm]; 0 where it cannot be read."""
    worn = isinstance(hole, Mapping) and "along" in hole and "across" in hole
    widths = [hole["along"], hole["across"]] if worn else [hole]  # type: ignore[index]
    try:
        return min(read_length(width, unit) for width in widths)
    except ValueError:
        return 0.0  # reported when the table is checked


def _hand_to_rods(filler: _Filler, coupling: Mapping[str, Any]) -> None:
    rods = filler.tables.get("coupling_rods")
    if not isinstance(rods, dict):
        return
    for name, rod in rods.items():
        if not isinstance(rod, Mapping):
            continue
        handed = {key: coupling[key] for key in _INHERITED if key in coupling and key not in rod}
        for key in handed:
            filler.handed_on["coupling_rods", name, key] = ("coupling", key)
        rods[name] = {**handed, **rod}
        knuckle = rod.get("knuckle")
        if isinstance(knuckle, Mapping) and "play" not in knuckle:
            place = ("coupling_rods", name, "knuckle", "play")
            play = filler.note(place, _PIN_PLAY * filler.factor)
            rods[name]["knuckle"] = {**knuckle, "play": play}


def fill_in(kind: type[Side], tables: Mapping[str, Any], unit: str, ratio: float | None) -> Filled:
    """Return one side's tables with the sizes filled in that the file leaves out.

    Parameters
    ----------
    kind : type of Side
        Whose fields say what is usual.
    tables : mapping
        As in the file, the side's own differences merged in.
    unit : {"mm", "in"}
        Unit of bare numbers.
    ratio : float or None [1]
        How many times smaller than full size; by the throw where it is not known.

    Notes
    -----
    The sizes are common practice at 4 mm to the foot, in proportion at other scales.
    """
    filler = _Filler(kind, tables, unit, ratio)
    for table, fields in filler.kinds.items():
        for key in fields if table != "coupling" else ():
            filler.fill(table, key)
    _fill_coupling(filler)
    return Filled(filler.tables, filler.assumed, filler.handed_on, filler.factor)
