"""What is filled in from common practice where a sheet does not say, and listed as assumed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from linkage.sheet.fields import read_length

TYPICAL_THROW = 4.33
"""Throw at 4 mm to the foot [mm]; all sizes below are for that scale."""
TYPICAL_RATIO = 76.2

# Widths and thicknesses at 4 mm to the foot [mm]: common practice, no source. Measure yours.
_WIDTHS = {
    "connecting_rod": 1.8,
    "return_crank": 1.4,
    "eccentric_rod": 1.2,
    "expansion_link": 1.6,
    "radius_rod": 1.2,
    "lifting_link": 1.0,
    "weighshaft": 1.0,
    "combination_lever": 1.0,
    "union_link": 0.9,
}
_THICKNESSES = {
    **dict.fromkeys(_WIDTHS, 0.4),
    "connecting_rod": 0.8,
    "crosshead": 1.2,
    "slide_bars": 1.2,
}
_OTHERS = {
    ("slide_bars", "depth"): 1.0,
    ("crosshead", "drop_arm_width"): 0.9,
    ("crosshead", "drop_arm_thickness"): 0.4,
    ("valve_spindle", "diameter"): 0.8,
    ("valve_spindle", "length"): 4.0,
    ("wheels", "rim_thickness"): 2.3,
}
# Not worth a word where what they belong to is not on the sheet.
_ONLY_WITH = {
    "rim_thickness": ("rim_radius",),
    "drop_arm_width": ("drop_arm_pin",),
    "drop_arm_thickness": ("drop_arm_pin",),
    "drop_arm_out": ("drop_arm_pin",),
}
_CONNECTING_ROD_OUT = 2.6
_GEAR_ABOVE_ROD = 1.0  # air between connecting rod and radius rod: the drop arm's layer is there
_GAP = 0.2  # between neighbouring layers of the gear


# Of coupled wheels at 4 mm to the foot [mm].
_COUPLING_PIN = 1.5  # a chassis jig's spigots at that scale
_PIN_PLAY = 0.038  # hole less pin: the upper figure of 0.001 to 0.0015 in reported for that scale
_COUPLING = {"width": 2.0, "thickness": 0.8, "side_play": 0.2}  # common practice, no source
_BOX_PLAY = 0.05  # of an axle in its bearings, either way, in all: common practice, no source
_INHERITED = ("width", "thickness", "out")


class _Filler:
    """Fills one side's tables, and keeps the words for what it filled in."""

    def __init__(self, tables: Mapping[str, Any], unit: str, ratio: float | None) -> None:
        self.tables = {
            name: dict(table) if isinstance(table, Mapping) else table
            for name, table in tables.items()
        }
        self.unit = unit
        self.factor = TYPICAL_RATIO / ratio if ratio else self._factor_by_throw()
        self.assumed: list[tuple[tuple[str, str], str]] = []

    def _factor_by_throw(self) -> float:
        throw = self.value("wheels", "throw")
        return throw / TYPICAL_THROW if throw and throw > 0 else 1.0

    def value(self, table: str, key: str) -> float | None:
        """Return what stands there [mm], or None where nothing (or nothing readable) does."""
        held = self.tables.get(table)
        if not isinstance(held, dict) or key not in held:
            return None
        try:
            return read_length(held[key], self.unit)
        except ValueError:
            return None  # reported when the table is checked

    def fill(self, table: str, key: str, size: float) -> None:
        """Put a size [mm] where the table is there and does not give it."""
        held = self.tables.get(table)
        if not isinstance(held, dict) or key in held:
            return
        size = round(size, 3)
        held[key] = f"{size!r} mm"
        if all(needed in held for needed in _ONLY_WITH.get(key, ())):
            words = f"{table} {key}".replace("_", " ")
            self.assumed.append(((table, key), f"{words} {size:.3g} mm"))

    def layer(self, table: str, place: Callable[[float], float]) -> None:
        """Give a table the place outward that a rule makes of its thickness [mm]."""
        key = "drop_arm_out" if table == "drop_arm" else "out"
        thick = "drop_arm_thickness" if table == "drop_arm" else "thickness"
        table = "crosshead" if table == "drop_arm" else table
        thick = "diameter" if table == "valve_spindle" else thick
        self.fill(table, key, place(self.value(table, thick) or 0.4 * self.factor))

    def thickest(self, *names: str) -> float:
        """Return the largest thickness of some tables [mm]."""
        return max(self.value(name, "thickness") or 0.4 * self.factor for name in names)


def _fill_sizes(filler: _Filler) -> None:
    for table, size in _WIDTHS.items():
        filler.fill(table, "width", size * filler.factor)
    for table, size in _THICKNESSES.items():
        filler.fill(table, "thickness", size * filler.factor)
    for (table, key), size in _OTHERS.items():
        filler.fill(table, key, size * filler.factor)


def _fill_coupling(filler: _Filler) -> None:
    """Fill in what holds for all coupled wheels, where there are any, and hand it to their rods."""
    if not any(filler.tables.get(name) for name in ("axles", "coupling", "coupling_rods")):
        return
    coupling = filler.tables.setdefault("coupling", {})
    if not isinstance(coupling, dict):
        return  # reported when the table is checked
    _fill_play(filler, coupling)
    wheelset = filler.tables.get("wheels")
    if isinstance(wheelset, dict) and "side_play" in wheelset:
        coupling.setdefault("side_play", wheelset["side_play"])
    for key, size in _COUPLING.items():
        filler.fill("coupling", key, size * filler.factor)
    _fill_coupling_out(filler)
    _hand_to_rods(filler, coupling)


def _fill_play(filler: _Filler, coupling: dict[str, Any]) -> None:
    play = _PIN_PLAY * filler.factor
    if "hole" not in coupling:
        filler.fill("coupling", "play", play)
    elif "pin" not in coupling and (hole := _narrowest(coupling["hole"], filler.unit)) > play:
        filler.fill("coupling", "pin", hole - play)
    filler.fill("coupling", "pin", _COUPLING_PIN * filler.factor)
    box = coupling.get("box_play", {})
    if isinstance(box, Mapping):
        size = round(_BOX_PLAY * filler.factor, 3)
        for key, words in (("fore_aft", "fore and aft"), ("vertical", "up and down")):
            if key not in box:
                box = {**box, key: f"{size!r} mm"}
                text = f"coupling box play {words} {size:.3g} mm"
                filler.assumed.append((("coupling", f"box_play.{key}"), text))
        coupling["box_play"] = box


def _narrowest(hole: object, unit: str) -> float:
    """Return a hole's smallest width [mm]; 0 where it cannot be read."""
    worn = isinstance(hole, Mapping) and "along" in hole and "across" in hole
    widths = [hole["along"], hole["across"]] if worn else [hole]  # type: ignore[index]
    try:
        return min(read_length(width, unit) for width in widths)
    except ValueError:
        return 0.0  # reported when the table is checked


def _fill_coupling_out(filler: _Filler) -> None:
    """Lay the coupling rods between the wheels and the connecting rod."""
    connecting = filler.value("connecting_rod", "out")
    beneath = _CONNECTING_ROD_OUT * filler.factor if connecting is None else connecting
    thickness = filler.value("coupling", "thickness") or 0.0
    filler.fill("coupling", "out", beneath - _GAP * filler.factor - thickness)


def _hand_to_rods(filler: _Filler, coupling: Mapping[str, Any]) -> None:
    rods = filler.tables.get("coupling_rods")
    if not isinstance(rods, dict):
        return
    for name, rod in rods.items():
        if not isinstance(rod, Mapping):
            continue
        rods[name] = {**{key: coupling[key] for key in _INHERITED if key in coupling}, **rod}
        knuckle = rod.get("knuckle")
        if isinstance(knuckle, Mapping) and "play" not in knuckle:
            play = round(_PIN_PLAY * filler.factor, 3)
            rods[name]["knuckle"] = {**knuckle, "play": f"{play!r} mm"}
            text = f"knuckle play of coupling rod {name} {play:.3g} mm"
            filler.assumed.append((("coupling_rods", f"{name}.knuckle.play"), text))


def _fill_layers(filler: _Filler) -> None:
    """Stack the layers outward so that none overlaps, round those that the sheet does give.

    From the wheel: connecting rod, with crosshead and slide bars about its middle; drop arm,
    valve spindle and lifting link; radius rod and union link; expansion link, combination lever
    and return crank; eccentric rod. The weighshaft's arm lies behind the lifting link.
    """
    gap = _GAP * filler.factor
    rod_thickness = filler.value("connecting_rod", "thickness") or 0.0
    above = _GEAR_ABOVE_ROD * filler.factor
    radius = filler.value("radius_rod", "out")
    usual = _CONNECTING_ROD_OUT * filler.factor
    beneath = usual if radius is None else radius - above - rod_thickness
    filler.fill("connecting_rod", "out", beneath)
    rod = filler.value("connecting_rod", "out") or 0.0
    for table in ("crosshead", "slide_bars"):
        filler.layer(table, lambda t: rod + rod_thickness / 2 - t / 2)
    if radius is None:
        radius = rod + rod_thickness + above
    filler.fill("radius_rod", "out", radius)
    for table in ("drop_arm", "valve_spindle", "lifting_link"):
        filler.layer(table, lambda t: radius - gap - t)
    lifting = filler.value("lifting_link", "out") or 0.0
    filler.layer("weighshaft", lambda t: lifting - gap - t)
    filler.fill("union_link", "out", radius)
    outer = radius + filler.thickest("radius_rod", "union_link") + gap
    for table in ("expansion_link", "combination_lever", "return_crank"):
        filler.fill(table, "out", outer)
    outermost = max(
        (filler.value(table, "out") or outer) + filler.thickest(table)
        for table in ("expansion_link", "return_crank")
    )
    filler.fill("eccentric_rod", "out", outermost + gap)


def fill_in(
    tables: Mapping[str, Any], unit: str, ratio: float | None
) -> tuple[dict[str, Any], dict[tuple[str, str], str]]:
    """Return one side's tables with the sizes filled in that the file leaves out.

    Parameters
    ----------
    tables : mapping
        As in the file, the side's own differences merged in.
    unit : {"mm", "in"}
        Unit of bare numbers.
    ratio : float or None [1]
        How many times smaller than full size; by the throw where it is not known.

    Returns
    -------
    filled : dict
        The tables, complete.
    assumed : dict
        Table and key of each size filled in, to what was assumed, in plain words.

    Notes
    -----
    The sizes are common practice at 4 mm to the foot, in proportion at other scales.
    """
    filler = _Filler(tables, unit, ratio)
    _fill_sizes(filler)
    _fill_layers(filler)
    _fill_coupling(filler)
    return filler.tables, dict(filler.assumed)
