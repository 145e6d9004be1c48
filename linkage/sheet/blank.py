"""A sheet to fill in, with a measuring hint beside every number."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import tomlkit
from tomlkit.items import Table as TomlTable

from linkage.sheet.assumptions import TYPICAL_RATIO
from linkage.units import SCALES

TYPICAL = "TYPICAL, measure yours: "


@dataclass(frozen=True)
class Row:
    """One line of a blank sheet.

    Attributes
    ----------
    key : str
        Within its table.
    value : float, Angle, str, list or dict
        A bare float is a length at 4 mm to the foot [mm] and is brought to scale; anything else
        stands as it is.
    hint : str
        How it is measured.
    optional : bool
        Whether it may be left out, and stands commented out.
    """

    key: str
    value: Any
    hint: str
    optional: bool = False


@dataclass(frozen=True)
class Angle:
    """An angle, which no scale changes."""

    degrees: float


def _maybe(key: str, value: Any, hint: str) -> Row:
    return Row(key, value, hint, optional=True)


Section = tuple[str, Sequence[Row]]
"""A table of the sheet: its name, and its rows."""

_BARS = (
    _maybe("width", 1.2, "depth of the bar in the side view"),
    _maybe("thickness", 0.4, "square to the wheel, where it passes other parts"),
    _maybe("out", 4.4, "its inner face, outward from the wheel's face"),
)
_BEND = _maybe(
    "bend",
    [{"kind": "bow", "from": "rear", "towards_frames": 0.5}],
    "kink, bow or joggle; laid on a flat; towards_frames, away_from_frames, up or down",
)
_ENGINE: Sequence[Section] = (
    (
        "wheels",
        (
            Row("throw", 4.33, "axle centre to crank-pin centre: half the stroke"),
            Row("side_play", 0.15, "how far the wheelset slides to either side of its middle"),
            _maybe("right_leads_by", Angle(90.0), "right-hand crank before the left, forward"),
            _maybe("rim_radius", 12.0, "over the flange, where anything runs behind the wheel"),
        ),
    ),
    (
        "crank_pin",
        (
            Row("diameter", 1.5, "callipers on the pin, not on the bush"),
            _maybe(
                "nut",
                {"diameter": 2.4, "out": 3.5, "thickness": 0.6},
                "over its widest; out is its inner face, outward from the wheel's face",
            ),
        ),
    ),
    (
        "cylinder",
        (
            Row("inclination", Angle(0.0), "degrees; 0 level, more with the front end raised"),
            Row("axis_height", 0.0, "centre line above the axle, at the axle, square to the line"),
            _maybe(
                "piston",
                {"ahead_of_crosshead_pin": 12.0, "thickness": 1.5},
                "crosshead pin to the middle of the piston; needed with the covers",
            ),
            _maybe("rear_cover", 44.5, "axle to the inner face, along the centre line"),
            _maybe("front_cover", 55.5, "axle to the inner face, along the centre line"),
            _maybe(
                "body",
                {"rear": 48.5, "front": 57.0, "depth": 8.0, "out": -0.5, "thickness": 8.0},
                "outside, covers and all; out may be negative, behind the wheel's face",
            ),
        ),
    ),
    (
        "connecting_rod",
        (
            Row("centres", 38.0, "outside to outside of the eyes, less half of each eye"),
            Row("width", 1.8, "depth in the side view, between the eyes"),
            Row("thickness", 0.8, "square to the wheel, between the eyes"),
            Row("out", 2.6, "its inner face, outward from the wheel's face"),
            _BEND,
        ),
    ),
    (
        "slide_bars",
        (
            Row("rear", 31.0, "axle to the bars' rear end, along the centre line"),
            Row("front", 45.0, "axle to the bars' front end, along the centre line"),
            Row("gap", 4.4, "between upper and lower bar, at the front and at the back: the less"),
            _maybe("depth", 1.0, "of one bar in the side view"),
        ),
    ),
    (
        "crosshead",
        (
            Row(
                "slipper",
                {"ahead": 2.0, "back": 2.0, "depth": 4.2},
                "the sliding block, from its pin: to the front end, to the rear end, and deep",
            ),
        ),
    ),
)
_DROP_ARM = Row(
    "drop_arm_pin",
    {"ahead": 2.0, "below": 3.0},
    "from the crosshead's pin, along the slide and square to it",
)
_GEAR: Sequence[Section] = (
    (
        "return_crank",
        (
            Row("pin_circle", 1.55, "axle centre to the return crank's pin: a radius"),
            Row("leads", Angle(90.0), "ahead of the crank pin, forward; or write follows = ..."),
        ),
    ),
    (
        "eccentric_rod",
        (
            Row("centres", 20.6, "outside to outside of the eyes, less half of each eye"),
            *_BARS,
            _BEND,
        ),
    ),
    (
        "expansion_link",
        (
            Row("trunnion", {"ahead": 20.2, "up": 7.0}, "its pivot, from the driving axle"),
            Row(
                "foot_pin",
                {"below": 6.9, "back": 0.0},
                "from the pivot, with the slot held upright; back is towards the cab",
            ),
            Row("slot_half_length", 3.0, "pivot to the end of the slot"),
            _maybe("slot_radius", 16.4, "where it is not the radius rod's length"),
        ),
    ),
    (
        "radius_rod",
        (
            Row("centres", 16.4, "die block to the front pin"),
            Row(
                "die_above_trunnion",
                2.2,
                "along the slot; or die_below_trunnion = ..., or [lifting_link] and [weighshaft]",
            ),
            *_BARS,
            _BEND,
        ),
    ),
    (
        "combination_lever",
        (
            Row("radius_rod_pin_to_valve_pin", 1.21, "pin centres"),
            Row("radius_rod_pin_to_union_pin", 9.0, "pin centres"),
            _maybe("admission", "inside", "inside: radius-rod pin on top; outside: valve pin"),
        ),
    ),
    (
        "lifting_link",
        (
            _maybe("centres", 3.5, "weighshaft arm to radius rod, pin centres"),
            _maybe(
                "pin",
                {"ahead_of_die": 5.0, "above": 0.4},
                "on the radius rod, from the die block; or behind_die",
            ),
        ),
    ),
    (
        "weighshaft",
        (
            _maybe("ahead", 29.0, "its centre, from the driving axle"),
            _maybe("up", 11.0, "its centre, from the driving axle"),
            _maybe("arm", 4.0, "centre of the shaft to the lifting link's pin"),
            _maybe("arm_angle", Angle(-20.0), "degrees above the horizontal"),
            _maybe("arm_points", "back", "forward or back, from the shaft"),
        ),
    ),
    ("union_link", (Row("centres", 4.2, "drop arm's pin to the lever's foot"),)),
    (
        "valve_spindle",
        (
            Row("height", 6.0, "above the driving axle, at the axle, square to the cylinder"),
            _maybe(
                "guide", {"rear": 33.5, "front": 39.5}, "axle to where the valve pin must not go"
            ),
        ),
    ),
)
_PLAY: Section = (
    "joint_play",
    (
        Row("everywhere", 0.03, "hole less pin, in every joint of the gear; wobble and guess"),
        _maybe("driving_axle", 0.05, "of the axle in its boxes, in all"),
        _maybe("return_crank_pin", 0.06, "or any joint that is worn more than the rest"),
    ),
)
_COUPLED: Sequence[Section] = (
    (
        "coupling",
        (
            Row("pin", 1.5, "callipers on the crank pin, where the coupling rod runs"),
            Row("hole", 1.54, "of the rods; worn: { along = ..., across = ... }"),
            Row(
                "box_play",
                {"fore_aft": 0.05, "vertical": 0.05},
                "how far an axle moves in its bearings, from end to end",
            ),
            _maybe("side_play", 0.2, "of the others, where it is not wheels.side_play"),
            _maybe("width", 2.0, "depth of the coupling rods in the side view"),
            _maybe("thickness", 0.8, "of the coupling rods, square to the wheel"),
            _maybe("out", 1.6, "their inner face, outward from the wheel's face"),
            _maybe("head", {"diameter": 2.4, "thickness": 0.5}, "nut or head of the crank pins"),
        ),
    ),
    (
        "axles.leading",
        (
            Row("ahead", 29.0, "of the driving axle, centre to centre; or back = ..."),
            _maybe("throw", 4.33, "where it is not wheels.throw"),
            _maybe("quarter", Angle(90.0), "right pin before its left, where not as driving"),
        ),
    ),
    (
        "coupling_rods.front",
        (
            Row("from", "driving", "axle of the rear pin"),
            Row("to", "leading", "axle of the front pin"),
            Row("centres", 29.0, "outside to outside of the eyes, less half of each eye"),
            _maybe("holes", [1.54, 1.54], "where they are not all alike: rear, front"),
            _maybe(
                "bend",
                [{"kind": "bow", "from": "driving", "towards_frames": 0.5}],
                "kink, bow or joggle; laid on a flat; towards_frames, away_from_frames, up or down",
            ),
        ),
    ),
)
FIXED: Section = (
    "fixed",
    (
        _maybe("name", "motion bracket", ""),
        _maybe(
            "side_view",
            [[21.5, 4.0], [23.5, 4.0], [23.5, 10.5], [21.5, 10.5]],
            "its corners in turn, from the driving axle: [ahead, up]",
        ),
        _maybe("out", 2.9, "its inner face, outward from the wheel's face"),
        _maybe("thickness", 0.8, "square to the wheel"),
    ),
)
"""What anything fixed is given by, one example of it."""
_LEFT = {
    "walschaerts": """
# What differs on one side only:
# [left]
# radius_rod.centres = 16.3
""",
    "coupled-wheels": """
# What differs on one side only:
# [left]
# coupling_rods.front.centres = 28.9
""",
}
_JOB = """
# What the report to the owner says beside the findings (tightspot report); all may be left out:
# [job]
# letterhead = "Your name, Model Engine Repairs\\nYour street and town"
# owner = ""
# came_in = 2026-03-14                # or words
# complaint = ""                      # what came in, and what the owner said of it
# other_work = ["Motor and gears cleaned and oiled."]
# parts_replaced = []
# not_original = []
# photographs = ["lock.jpg", { file = "rod.jpg", caption = "The rod as it came." }]
# advice = []                         # how to keep it so
# date = 2026-03-28
"""
LINKAGE = """\
title = ""
arrangement = "linkage"
units = "mm"
measured_to = "callipers"

[crank]
axle = [0.0, 0.0]               # from where all places on the frame are measured
pins = { pin = [10.0, 0.0] }    # TYPICAL, measure yours: from the axle, [along, across] the crank

[[part]]
name = "coupler"
centres = 30.0                  # TYPICAL, measure yours: "rear" and "front" are its two eyes

[[part]]
name = "rocker"
centres = 25.0                  # TYPICAL, measure yours

[[pin]]
name = "crank pin"
joins = ["crank.pin", "coupler.rear"]

[[pin]]
name = "coupler pin"
joins = ["coupler.front", "rocker.front"]
near = [33.0, 19.0]             # about where it is when the crank points straight ahead

[[pin]]
name = "rocker pivot"
joins = ["rocker.rear", [35.0, 0.0]]  # TYPICAL, measure yours: a bare [ahead, up] is on the frame
"""


def blank_sheet(arrangement: str = "walschaerts", scale: str | None = None) -> str:
    """Return a commented sheet to fill in.

    TOML that can be read as it stands: each number is typical of the scale, says so, and says
    how it is measured. What may be left out is commented out.

    Parameters
    ----------
    arrangement : {"walschaerts", "slider-crank", "coupled-wheels", "linkage"}
        Which mechanism.
    scale : str or None
        A key of `linkage.units.SCALES`; 4 mm to the foot where none is given.

    Raises
    ------
    ValueError
        For an arrangement or a scale that is not known.
    """
    if scale is not None and scale not in SCALES:
        raise ValueError(f"scale {scale!r} is none of {', '.join(SCALES)}")
    if arrangement == "linkage":
        return LINKAGE + _JOB
    sections = sections_of(arrangement)
    factor = scale_factor(scale)
    document = tomlkit.document()
    _write_head(document, arrangement, scale)
    for name, rows in sections:
        document.add(tomlkit.nl())
        _write_section(document, name, rows, factor)
    _write_fixed(document, factor)
    return tomlkit.dumps(document) + _LEFT.get(arrangement, "") + _JOB


def scale_factor(scale: str | None) -> float:
    """Return what lengths at 4 mm to the foot are multiplied by for a scale [1]."""
    return TYPICAL_RATIO / SCALES[scale].ratio if scale else 1.0


def sections_of(arrangement: str) -> Sequence[Section]:
    """Return the tables of an arrangement made from rows (`linkage` is a text instead)."""
    if arrangement == "slider-crank":
        return (*_ENGINE, _PLAY)
    if arrangement == "coupled-wheels":
        return (*_ENGINE[:2], *_COUPLED)
    if arrangement != "walschaerts":
        raise ValueError(
            f"arrangement {arrangement!r} is none of walschaerts, slider-crank, coupled-wheels, "
            "linkage"
        )
    with_arm = [
        (name, (*rows, _DROP_ARM) if name == "crosshead" else rows) for name, rows in _ENGINE
    ]
    return (*with_arm, *_GEAR, _PLAY)


def head_rows(arrangement: str, scale: str | None) -> Sequence[Row]:
    """Return what stands above all tables."""
    rows = (
        Row("title", "", ""),
        Row("arrangement", arrangement, ""),
        Row("units", "mm", "of bare numbers: mm or in"),
        Row("scale", scale, ""),
        Row("measured_to", "callipers", "or plus or minus, where a line says nothing else"),
        _maybe("wanted_clearance", 0.15, "air asked for between moving parts"),
    )
    return [row for row in rows if row.value is not None]


def _write_head(document: tomlkit.TOMLDocument, arrangement: str, scale: str | None) -> None:
    for text in (
        'A number may be written 4.33, "4,33", "3/32 in", "38 thou", or with its own error:',
        "{ value = 4.33, measured_to = 0.03 }; centres may be given as",
        "{ outside_to_outside = 10.4, ends = [1.4, 1.4] } or",
        "{ inside_to_inside = 9.0, holes = [0.6, 0.6] }.",
        "Ahead is towards the chimney, back towards the cab, from the driving axle.",
    ):
        document.add(tomlkit.comment(text))
    for row in head_rows(arrangement, scale):
        if row.optional:
            document.add(tomlkit.comment(f"{row.key} = {row.value}  # {row.hint}"))
        else:
            item = tomlkit.item(row.value)
            document.add(row.key, item.comment(row.hint) if row.hint else item)


def _write_fixed(document: tomlkit.TOMLDocument, factor: float) -> None:
    """Write an example of anything fixed, commented out."""
    name, rows = FIXED
    document.add(tomlkit.nl())
    for text in (
        "Anything fixed that the motion could touch.",
        f"[[{name}]]",
    ):
        document.add(tomlkit.comment(text))
    for row in rows:
        said = f"  # {row.hint}" if row.hint else ""
        document.add(
            tomlkit.comment(f"{row.key} = {to_scale(row.value, factor).as_string()}{said}")
        )


def _write_section(
    document: tomlkit.TOMLDocument, name: str, rows: Sequence[Row], factor: float
) -> None:
    """Write one table; commented out whole where all of it may be left out."""
    optional = all(row.optional for row in rows)
    table: TomlTable | tomlkit.TOMLDocument = document if optional else tomlkit.table()
    if optional:
        document.add(tomlkit.comment(f"[{name}]"))
    for row in rows:
        value = to_scale(row.value, factor)
        if row.optional:
            table.add(tomlkit.comment(f"{row.key} = {value.as_string()}  # {row.hint}"))
        else:
            word = isinstance(row.value, str)
            table.add(row.key, value.comment(row.hint if word else TYPICAL + row.hint))
    if not optional:
        outer, _, inner = name.partition(".")
        if inner:
            table = tomlkit.table(is_super_table=True).add(inner, table)
        document.add(outer, table)


def to_scale(value: Any, factor: float) -> Any:
    """Return a value as an item of the file, every length in it brought to scale."""
    if isinstance(value, dict):
        inline = tomlkit.inline_table()
        for key, held in value.items():
            inline.append(key, to_scale(held, factor))
        return inline
    if isinstance(value, list):
        array = tomlkit.array()
        for held in value:
            array.append(to_scale(held, factor))
        return array
    if isinstance(value, Angle):
        return tomlkit.item(value.degrees)
    return tomlkit.item(round(value * factor, 2) if isinstance(value, float) else value)
