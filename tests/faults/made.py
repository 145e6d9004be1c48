"""One small made sheet for each fault of the trade: what is changed, what is found, what cures it.

The table of all of them in DEVELOPERS.md is made from here: `python -m tests.faults`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from linkage.advice.cure import (
    Bush,
    Cure,
    File,
    MakeTrue,
    PutRight,
    Replace,
    Requarter,
    ResetReturnCrank,
    ScrewHome,
    SetBack,
    Straighten,
    TakeOutSidePlay,
    TakeUpAlong,
    ThinNut,
    Together,
    TurnEccentric,
    TurnRound,
    Washer,
)
from linkage.tightspots import (
    CannotClose,
    Fouls,
    Limps,
    Mistimed,
    Pinched,
    PlayUsedUp,
    RunsOff,
    TightSpot,
    TouchesWithPlay,
    Uneven,
    UnlikeWheels,
)


@dataclass(frozen=True)
class Made:
    """One fault, on an engine that is free without it."""

    fault: int  # its number in the trade's list
    name: str
    sheet: str  # its place on the sheet, for the table
    engine: str
    puts: Mapping[str, Any]  # as `engines.sheet_with` takes them
    finding: type[TightSpot] | None = None  # None where it must not be called a fault
    side: str = "only"
    parts: tuple[str, ...] = ()  # among the parts of the finding
    worst: float = math.nan  # crank angle of that side, nan where it is the same everywhere [deg]
    cure: type[Cure] | None = None  # the first

    def __str__(self) -> str:
        return f"F{self.fault} {self.name}"


_R, _RODS = "right/coupling_rods/main/", "coupling_rods/main/"
_ROD, _PINS = ("coupling rod",), ("coupling rod", "leading crank pin")
_LEVER, _CRANK = "combination_lever/", "return_crank/"

_ARM = {
    "return_crank/pin_circle": None, "return_crank/leads": None,
    "return_crank/arm": 4.903, "return_crank/lean": 27.98, "return_crank/leans": "leading",
}  # fmt: skip

MADE = (
    Made(
        1,
        "rod centres differ from axle centres, both sides",
        "`coupling_rods.*.centres`, `axles.*.ahead`",
        "coupled",
        {_RODS + "centres": 29.2},
        PlayUsedUp, "both", _PINS, math.nan, Replace,
    ),
    Made(
        2,
        "one side's rod wrong",
        "`[right]` and `[left]` `coupling_rods.*.centres`",
        "coupled",
        {_R + "centres": 29.2},
        PlayUsedUp, "right", _PINS, 0, Replace,
    ),
    Made(
        2,
        "one side's rod long, the other's short",
        "`[right]` and `[left]` `coupling_rods.*.centres`",
        "coupled",
        {_R + "centres": 29.2, "left/" + _RODS + "centres": 28.8},
        PlayUsedUp, "both", _PINS, 135, Together,
    ),
    Made(
        3,
        "quartering wrong on one axle",
        "`axles.*.quarter`, `pin_ahead_by`, `pin_behind_by`",
        "coupled",
        {"axles/leading/quarter": 98},
        PlayUsedUp, "both", _PINS, 135, Requarter,
    ),
    Made(
        4,
        "all axles wrong in quarter alike: no fault",
        "`wheels.right_leads_by`",
        "coupled",
        {"wheels/right_leads_by": 87},
    ),
    Made(
        5,
        "throw of one wheel",
        "`[right]` `axles.*.throw`",
        "coupled",
        {"right/axles/leading/throw": 4.55},
        PlayUsedUp, "right", _PINS, 0, PutRight,
    ),
    Made(
        6,
        "crank pin leaning along the crank",
        "`axles.*.lean`, `crank_pin.lean`",
        "coupled",
        {"right/axles/leading/lean": {"away_from_axle": 0.3, "over": 3.0}},
        PlayUsedUp, "right", _PINS, 0, MakeTrue,
    ),
    Made(
        6,
        "crank pin leaning across the crank",
        "`axles.*.lean`, `crank_pin.lean`",
        "coupled",
        {"right/axles/leading/lean": {"behind": 0.8, "over": 3.0}},
        PlayUsedUp, "both", _PINS, 135, MakeTrue,
    ),
    Made(
        7,
        "coupling rod kinked in the side view",
        "`coupling_rods.*.bend`, `up` or `down`",
        "coupled",
        {
            _R + "centres_measured": "straight",
            _R + "bend": [{"kind": "kink", "from": "driving", "at": 14.0, "down": 2.0}],
        },
        PlayUsedUp, "right", _PINS, 180, Straighten,
    ),
    Made(
        8,
        "coupling rod bowed sideways, to the frames",
        "`coupling_rods.*.bend`, `towards_frames` or `away_from_frames`",
        "coupled",
        {_R + "bend": [{"kind": "bow", "from": "driving", "towards_frames": 1.1}]},
        Fouls, "right", ("coupling rod", "leading wheel"), 0, SetBack,
    ),
    Made(
        9,
        "hole worn: limp, and the wrong way past the dead centre",
        "`coupling_rods.*.holes`, `along` and `across`",
        "coupled",
        {_R + "holes": [{"along": 1.8, "across": 1.6}, {"along": 2.0, "across": 1.6}]},
        Limps, "right", _ROD, 79, Bush,
    ),
    Made(
        10,
        "pin bush shorter than the rod is thick",
        "`coupling.bush`, `crank_pin.bush`",
        "coupled",
        {"coupling/bush": 0.7},
        Pinched, "right", ("coupling rod", "leading wheel"), math.nan, PutRight,
    ),
    Made(
        11,
        "rod end for end",
        "both numbers of `coupling_rods.*.centres`",
        "one piece",
        {"axles/trailing/back": 29.3, "coupling_rods/whole/centres": [29.3, 29.0],
         "right/coupling_rods/whole/centres": [29.0, 29.3]},
        PlayUsedUp, "right", ("coupling rod",), 0, TurnRound,
    ),
    Made(
        12,
        "rigid rod over axles that are not level",
        "`axles.*.up`, `box_play`",
        "one piece",
        {"axles/trailing/up": 0.6},
        PlayUsedUp, "both", ("coupling rod",), math.nan, MakeTrue,
    ),
    Made(
        13,
        "crank-pin nut working loose",
        "`axles.*.head.out`, `crank_pin.nut.out`",
        "engine",
        {"axles/leading/head": {"diameter": 2.4, "thickness": 0.5, "out": 3.5}},
        Fouls, "only", ("crosshead", "leading wheel"), 0, ScrewHome,
    ),
    Made(
        14,
        "connecting rod bent to the frames",
        "`connecting_rod.bend`",
        "engine",
        {"connecting_rod/bend": [{"kind": "bow", "from": "big end", "towards_frames": 1.2}],
         "axles/leading/head": {"diameter": 2.4, "thickness": 0.9}},
        Fouls, "only", ("connecting rod", "leading wheel"), 14, SetBack,
    ),
    Made(
        15,
        "connecting rod meets a slide bar",
        "`slide_bars.gap`, `rear`, `connecting_rod.width`",
        "engine",
        {"slide_bars/rear": 19.5, "slide_bars/gap": 4.4, "crosshead/slipper/depth": 4.3},
        Fouls, "only", ("connecting rod", "slide bars"), 66, File,
    ),
    Made(
        16,
        "connecting rod short",
        "`connecting_rod.centres`",
        "engine",
        {"connecting_rod/centres": 26.0},
        RunsOff, "only", ("crosshead", "slide bars"), 180, Replace,
    ),
    Made(
        17,
        "cylinder too far back",
        "`cylinder.rear_cover`, `front_cover`, `slide_bars.rear`, `front`",
        "engine",
        {"cylinder/rear_cover": 37.5, "cylinder/front_cover": 50.7},
        RunsOff, "only", ("piston", "front cover"), 0, PutRight,
    ),
    Made(
        18,
        "slide bars not parallel, closed at the bracket",
        "`slide_bars.gap`, `gap_rear`, `crosshead.slipper`",
        "engine",
        {"slide_bars/gap_rear": 5.0},
        RunsOff, "only", ("crosshead", "narrow end of the slide bars"), 180, PutRight,
    ),
    Made(
        19,
        "crosshead pin proud on the frames side",
        "`crosshead.pin`",
        "engine",
        {"axles/leading/ahead": 27.0, "coupling_rods/main/centres": 27.0,
         "crosshead/pin": {"diameter": 1.2, "behind": 0.6}},
        Fouls, "only", ("crosshead", "leading wheel"), 0, MakeTrue,
    ),
    Made(
        20,
        "connecting rod twisted",
        "`twist` of any rod",
        "engine",
        {"slide_bars/gap": 3.4, "crosshead/slipper/depth": 3.3, "slide_bars/out": 4.75,
         "slide_bars/thickness": 0.4, "connecting_rod/twist": 20},
        Fouls, "only", ("connecting rod", "slide bars"), math.nan, MakeTrue,
    ),
    Made(
        20,
        "rod twisted: its eyes out of square bind on their pins",
        "`twist`, `joint_play` or `coupling.hole`",
        "engine",
        {"connecting_rod/twist": 20, "joint_play": {"everywhere": 0.04}},
        Pinched, "only", ("connecting rod", "crank"), math.nan, MakeTrue,
    ),
    Made(
        22,
        "return crank slipped, its circle grown",
        "`return_crank.pin_circle`, `leads` or `follows`",
        "both gears",
        {**_ARM, "right/return_crank/lean": 55.98},
        CannotClose, "right", ("eccentric rod", "expansion link"), 101, ResetReturnCrank,
    ),
    Made(
        23,
        "return crank slipped, its circle shrunk: timing alone",
        "`return_crank.pin_circle`, `leads`, `arm`, `lean`",
        "both gears",
        {"right/return_crank/pin_circle": 1.7},
        Uneven, "right", ("expansion link",), math.nan, PutRight,
    ),
    Made(
        23,
        "an eccentric slipped: timing alone",
        "`eccentric.leads`, `follows` and their like",
        "slip eccentrics",
        {"left/eccentric/leads": 123.0},
        Mistimed, "left", ("valve spindle",), math.nan, TurnEccentric,
    ),
    Made(
        24,
        "return crank clamped to the connecting rod",
        "`crank_pin.bush`",
        "gear",
        {"crank_pin/bush": 0.7},
        Pinched, "only", ("connecting rod", "crank"), math.nan, PutRight,
    ),
    Made(
        25,
        "return crank hung too low",
        "`return_crank.pin_circle`, `[[fixed]]`",
        "gear",
        {"fixed": [{"name": "deck", "side_view": [[-20, -7], [20, -7], [20, -4.9], [-20, -4.9]],
                    "out": 4.9, "thickness": 4.0}]},
        Fouls, "only", ("crank", "deck"), 90, File,
    ),
    Made(
        26,
        "eccentric rod short: a lopsided swing",
        "`eccentric_rod.centres`",
        "gear",
        {"eccentric_rod/centres": 23.1},
        Uneven, "only", ("expansion link",), math.nan, Replace,
    ),
    Made(
        27,
        "eccentric rod bowed",
        "`eccentric_rod.bend`",
        "gear",
        {"eccentric_rod/bend": [{"kind": "bow", "from": "rear", "towards_frames": 1.2}]},
        Fouls, "only", ("crank", "eccentric rod"), 24, SetBack,
    ),
    Made(
        28,
        "radius rod meets the motion bracket",
        "`[motion_bracket]`, `radius_rod.out`, `width`",
        "worked gear",
        {"motion_bracket/thickness": 16.2},
        Fouls, "only", ("radius rod", "motion bracket"), math.nan, PutRight,
    ),
    Made(
        29,
        "radius rod short",
        "`radius_rod.centres`, `valve_spindle.guide`",
        "both gears",
        {"right/radius_rod/centres": 19.0, "expansion_link/slot_radius": 23.0},
        RunsOff, "right", ("valve spindle", "guide"), 246, Replace,
    ),
    Made(
        30,
        "die block meets the slot's end",
        "`expansion_link.slot_half_length`, `die_length`, `weighshaft`",
        "worked gear",
        {"weighshaft/arm_angle": -21.5},
        RunsOff, "only", ("die block", "slot"), 85, PutRight,
    ),
    Made(
        31,
        "combination lever wrong",
        "`combination_lever`, `union_link.centres`",
        "both gears",
        {"right/combination_lever/radius_rod_pin_to_union_pin": 14.0},
        CannotClose, "right", ("combination lever", "union link"), 345, PutRight,
    ),
    Made(
        32,
        "expansion link back to front",
        "`expansion_link.foot_pin.back`",
        "both gears",
        {"eccentric_rod/centres": 23.4, "expansion_link/foot_pin": {"below": 4.6, "back": 0.8},
         "right/expansion_link/foot_pin": {"below": 4.6, "back": -0.8}},
        Uneven, "right", ("expansion link",), math.nan, PutRight,
    ),
    Made(
        33,
        "weighshaft's arm catches the radius rod, in back gear",
        "`weighshaft`, `lifting_link`, `radius_rod`",
        "worked gear",
        {"weighshaft/arm_angle": 17.0, "weighshaft/up": 54.0, "lifting_link/centres": 15.0,
         "weighshaft/out": 20.5},
        Fouls, "only", ("radius rod", "weighshaft"), math.nan, PutRight,
    ),
    Made(
        34,
        "joint stiff: rivet shorter than its stack",
        "`pins.heads.*.grip`",
        "gear",
        {"pins/heads": {"link_foot_pin": {"diameter": 1.2, "thickness": 0.3, "grip": 0.9}}},
        Pinched, "only", ("eccentric rod", "expansion link"), math.nan, PutRight,
    ),
    Made(
        35,
        "joints sloppy",
        "`joint_play`",
        "gear",
        {"joint_play/everywhere": 0.5},
        TouchesWithPlay, "only", ("connecting rod", "slide bars"), 289, Bush,
    ),
    Made(
        35,
        "joints sloppy along their pins",
        "`pins.along`, `pins.heads.*.along`, `grip`",
        "gear",
        {"pins/along": 0.4},
        Fouls, "only", ("radius rod", "motion bracket"), math.nan, TakeUpAlong,
    ),
    Made(
        36,
        "clip-on joint made anew, its clip too thick",
        "`pins.heads`, by joint",
        "gear",
        {"pins/heads": {"radius_rod_pin": {"diameter": 1.2, "thickness": 0.6}},
         "fixed": [{"name": "valance", "out": 5.95, "thickness": 0.5,
                    "side_view": [[30, 0], [60, 0], [60, 12], [30, 12]]}]},
        Fouls, "only", ("combination lever", "valance"), math.nan, Washer,
    ),
    Made(
        37,
        "rivet proud into the next layer",
        "`pins.heads`, by joint",
        "gear",
        {"pins/heads": {"radius_rod_pin": {"diameter": 1.4, "thickness": 0.3, "behind": 1.0}}},
        Fouls, "only", ("radius rod", "valve spindle"), math.nan, MakeTrue,
    ),
    Made(
        38,
        "leading nut meets the crosshead",
        "`axles.*.head`, `crosshead.out`, `side_play`",
        "engine",
        {"axles/leading/head": {"diameter": 2.4, "thickness": 1.15}},
        Fouls, "only", ("crosshead", "leading wheel"), 0, ThinNut,
    ),
    Made(
        39,
        "too much side play",
        "`axles.*.side_play`, `wheels.curve`",
        "engine",
        {"axles/leading/side_play": 0.65},
        Fouls, "only", ("crosshead", "leading wheel"), 0, TakeOutSidePlay,
    ),
    Made(
        40,
        "washer too thick",
        "`coupling.out`, `coupling_rods.*.out`",
        "engine",
        {"coupling_rods/main/out": 2.2},
        Fouls, "only", ("crosshead", "leading wheel"), 0, Washer,
    ),
    Made(
        41,
        "return crank's stud meets the connecting rod",
        "`pins.heads`, `return_crank.out`",
        "gear",
        {"pins/heads": {"return_crank_pin": {"diameter": 1.0, "thickness": 0.3, "behind": 1.8}}},
        Fouls, "only", ("crank", "connecting rod"), math.nan, MakeTrue,
    ),
    Made(
        42,
        "running plate, brake gear, steps",
        "`[[fixed]]`",
        "engine",
        {"fixed": [{"name": "running plate", "out": 1.0, "thickness": 8.0,
                    "side_view": [[-10, 5.3], [40, 5.3], [40, 6.5], [-10, 6.5]]}]},
        Fouls, "only", ("crank", "running plate"), 270, File,
    ),
    Made(
        44,
        "axleboxes worn",
        "`axles.*.box_play`, `joint_play.driving_axle`",
        "coupled",
        {"axles/leading/box_play": {"fore_aft": 0.6, "vertical": 0.1}},
        Limps, "", _ROD, math.nan, Bush,
    ),
    Made(
        45,
        "chassis grown",
        "`axles.*.ahead` as it is now",
        "coupled",
        {"axles/leading/ahead": 29.2},
        PlayUsedUp, "", _PINS, math.nan, Replace,
    ),
    Made(
        48,
        "wheels of one axle smaller than the others",
        "`axles.*.tread`, `wheels.tread`",
        "coupled",
        {"wheels/tread": 23.0, "axles/leading/tread": 22.0},
        UnlikeWheels, "both", ("leading wheel",), math.nan, Replace,
    ),
    Made(
        48,
        "one wheel of another size than its fellows",
        "`[right]` `axles.*.tread`",
        "one piece",
        {"wheels/tread": 23.0, "right/axles/trailing/tread": 23.6},
        UnlikeWheels, "right", ("trailing wheel",), math.nan, Replace,
    ),
)  # fmt: skip
