"""Everything a page shows, as plain values that can be written as JSON.

Lengths are mm, angles along the turn degrees of the right-hand crank; parts' axes are those of
`mechanism`. All words are made here, none in the browser.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from enum import IntEnum
from pathlib import Path
from typing import Any

import numpy as np

from linkage.clearance.sideways import State
from linkage.examine import Examination
from linkage.kinematics import Motion
from linkage.page.bodies import (
    bodies_data,
    crank_data,
    joined,
    joints_data,
    parts_data,
    side_of,
    window_of,
)
from linkage.page.curves import curve_data
from linkage.page.gears import Gears
from linkage.page.poses import (
    EVERY,
    NO_PLACE,
    Stops,
    even_crank,
    motion_of,
    poses_data,
    stops_of,
)
from linkage.page.spots import spot_data
from linkage.report.cautions import CAUTION
from linkage.report.voice import to_bench
from linkage.report.words import BY_FIGURES, count_spots, say_free, say_nearest
from linkage.scene.moment import plain_moment
from linkage.tightspots import Close, Fouls, TightSpot
from linkage.units import hour

SHOWN = (
    "The pictures show computed positions only, every {every}, and one more at the worst place of "
    "each tight spot. Nothing is drawn in between."
)
LOCKED = "The wheels lock here: no position. Shown is the last one before it."
NOTHING = "Free here: no tight spot at this place of the turn."
PATHS = "Dotted: where the joints go in a turn."
NO_OUTLINES = "The sheet gives no outlines, so there is nothing to draw from above."
WHEELSETS = "Drawn with the wheelsets over as the tight spot says."


class Told(IntEnum):
    """How much of what was found out is told, what takes longer last."""

    TURN = 1  # how it turns; nothing of what was found out
    WORST = 2  # each tight spot, its place where it is worst, and nothing of how sure it is
    ALL = 3


def viewer_data(
    before: Examination, after: Examination | None = None, told: Told = Told.ALL
) -> dict[str, Any]:
    """Return what the viewer is to show.

    ``sheets``: one or two, see `sheet_data`; ``window``: what holds all of them in every
    position [mm]; ``outlines``: lists of bodies that sides refer to; ``words``, ``cautions``.

    `after`: what was found out about the same engine put right. `told`: how much of it is told.
    """
    outlines: list[Any] = []
    found = [before] if after is None else [before, after]
    sheets = [sheet_data(examination, outlines, told) for examination in found]
    every = "degree" if EVERY == 1 else f"{EVERY} degrees"
    return {
        "sheets": sheets,
        "window": joined([w for sheet in sheets for w in sheet.pop("windows")]),
        "outlines": outlines,
        "parts": parts_data(sorted({body["name"] for bodies in outlines for body in bodies}),
                            before.sheet.arrangement),
        "noPlace": NO_PLACE,
        "words": {"shown": SHOWN.format(every=every), "locked": LOCKED, "nothing": NOTHING,
                  "paths": PATHS, "noOutlines": NO_OUTLINES, "wheelsets": WHEELSETS},
        "cautions": [CAUTION],
    }  # fmt: skip


def sheet_data(
    examination: Examination, outlines: list[Any], told: Told = Told.ALL
) -> dict[str, Any]:
    """Return one sheet's motion and tight spots.

    ``title``, ``verdict``; ``crank``: right-hand crank at each
    stop [degrees]; ``crankWord``; ``sides``, see `_side`; ``spots``, see `spots.spot_data`,
    with ``outlines``: bodies that lie elsewhere for it, by side, and ``place``: which of
    ``places``, None for the sides as they are; ``places``: the sides with the reverser elsewhere,
    and ``set``: where that is, a name or an angle of its arm [rad];
    ``windows``: what each side takes up [mm].

    `outlines`: lists of bodies so far; a new one is put in where none is equal.
    """
    stops = stops_of(examination)
    motions = {side: motion_of(examination, side, stops) for side in examination.sides}
    gears = Gears(examination, stops, motions)
    return {
        "title": title_of(examination),
        "verdict": verdict_of(examination, told),
        "crank": [round(angle, 3) for angle in np.degrees(stops.crank).tolist()],
        "crankWord": "crank" if "only" in examination.sides else "right-hand crank",
        "sides": {
            side: _side(examination, side, (stops, motion), outlines, told)
            for side, motion in motions.items()
        },
        "set": list(gears.places),
        "places": [
            {side: _side(there, side, (stops, m), outlines, told) for side, m in moved.items()}
            for there, moved in gears.others
        ],
        "spots": [
            {
                **spot_data(examination, spot, stops, gears.of(spot), told is Told.ALL),
                "outlines": _shifted(examination, spot, outlines),
                "place": gears.number(spot),
            }
            for spot in examination.spots
        ],
        "windows": [
            window_of(there, side, motion)
            for there, moved in ((examination, motions), *gears.others)
            for side, motion in moved.items()
        ],
    }


def glimpse_data(examination: Examination, motions: Mapping[str, Motion]) -> dict[str, Any]:
    """Return how each side turns and its outlines, for a drawing that follows a hand.

    ``sides``: of each side ``parts``, ``poses``, ``joints`` and ``crank`` as in `sheet_data`, at
    every even stop, and ``bodies``.

    `motions`: of each side at those stops (`poses.even_crank`).
    """
    sides = {}
    for side, findings in examination.sides.items():
        parts = side_of(findings)
        sides[side] = {
            "parts": list(parts),
            "poses": poses_data(motions[side], parts),
            "bodies": bodies_data(examination, side, ()),
            "joints": joints_data(examination, side),
            "crank": crank_data(examination, side),
        }
    return {"sides": sides, "stops": len(even_crank()), "noPlace": NO_PLACE}


def _shifted(examination: Examination, spot: TightSpot, outlines: list[Any]) -> dict[str, int]:
    """Return the bodies of a spot's side with the wheelsets over, where they must be for it."""
    state = spot.contact.state if isinstance(spot, Fouls | Close) else ()
    if not any(over for _, over in state):
        return {}
    there = examination.set_to(spot.place)
    return {spot.side: _kept(outlines, bodies_data(there, spot.side, state))}


def _side(
    examination: Examination,
    side: str,
    turn: tuple[Stops, Motion],
    outlines: list[Any],
    told: Told,
) -> dict[str, Any]:
    """Return one side: its bodies, joints, positions, and what its clock says at each stop."""
    stops, motion = turn
    shift = examination.right_hand(side, 0.0)
    said = [hour(side, angle - shift) for angle in stops.crank.tolist()]
    clocks = list(dict.fromkeys(said))
    parts = side_of(examination.sides[side])
    middle: State = ()
    plain = plain_moment(examination, side)
    return {
        "seen": f"{plain.seen}{plain.gear}",
        "mirrored": side == "left",
        "behind": round(math.degrees(shift), 3),
        "parts": list(parts),
        "poses": poses_data(motion, parts),
        "outlines": _kept(outlines, bodies_data(examination, side, middle)),
        "joints": joints_data(examination, side),
        "crank": crank_data(examination, side),
        "clocks": clocks,
        "clock": [clocks.index(words) for words in said],
        "curve": None if told is Told.TURN else curve_data(examination, side, None),
    }


def _kept(outlines: list[Any], bodies: list[dict[str, Any]]) -> int:
    """Return where a list of bodies stands, putting it in where it is new."""
    if bodies not in outlines:
        outlines.append(bodies)
    return outlines.index(bodies)


def title_of(examination: Examination) -> str:
    """Return what a sheet is about, or its file's name."""
    return examination.sheet.title or Path(examination.sheet.source).stem


def verdict_of(examination: Examination, told: Told = Told.ALL) -> str:
    """Return the finding in one line: free, or how many tight spots."""
    if told is Told.TURN:
        return ""
    if examination.free and told is Told.WORST:
        return f"{BY_FIGURES} {say_nearest(examination, to_bench(examination.sheet))}".strip()
    if examination.free:
        return say_free(examination)
    return count_spots(examination.spots)
