"""The curve over the turn that shows a tight spot best, as plain values for a page."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np

from linkage.arrays import Array
from linkage.clearance import PairClearance
from linkage.examine import Examination, SideFindings
from linkage.kinematics import transmission_angles
from linkage.play import PlayFindings
from linkage.tightspots import (
    LEAST_TRANSMISSION,
    Close,
    Fouls,
    PlayUsedUp,
    PoorTransmission,
    RunsOff,
    TightSpot,
    TouchesWithPlay,
)

_SAMPLES = 360  # of the play, which is known at more angles than a small picture can show


def curve_data(
    examination: Examination, side: str, spot: TightSpot | None
) -> dict[str, Any] | None:
    """Return the curve of a tight spot, or of a side's nearest pair.

    ``title``; ``side``; ``points``: right-hand crank angle [degrees] and value, None where
    there is none; ``levels``: values with what they mean; ``low``, ``high``: what is to be in
    sight. None where no curve says anything.

    Parameters
    ----------
    side : str
        Which side, where no spot is given or it concerns both.
    spot : TightSpot or None
        The spot.
    """
    play = examination.play
    if play is not None and (spot is None or isinstance(spot, PlayUsedUp)):
        return _of_play(play)
    findings = examination.sides[spot.side if spot and spot.side in examination.sides else side]
    if isinstance(spot, RunsOff):
        return _of_travel(examination, findings, spot)
    pair = spot.clearance if isinstance(spot, Fouls | Close | TouchesWithPlay) else None
    if pair is None and findings.survey.pairs:
        pair = findings.survey.pairs[0]
    if pair is not None and not isinstance(spot, PoorTransmission):
        return _of_pair(examination, findings, pair)
    return _of_transmission(examination, findings, spot)


def _of_pair(
    examination: Examination, findings: SideFindings, pair: PairClearance
) -> dict[str, Any]:
    levels = [[0.0, "0: they touch"], [pair.asked, f"{pair.asked:.2f} mm wanted"]]
    looked_at = pair.curve < findings.survey.reach - 1e-9
    high = max(3 * pair.asked, 2.5 * abs(pair.least), 0.05)
    return {
        "title": f"Clearance of {' and '.join(pair.parts)}, mm",
        **_points(examination, findings, np.where(looked_at, pair.curve, np.nan)),
        "levels": levels,
        "low": min(0.0, pair.least) - 0.1 * high,
        "high": high,
    }


def _of_travel(examination: Examination, findings: SideFindings, spot: RunsOff) -> dict[str, Any]:
    travel = spot.run_off.travel
    values = findings.motion.travel(travel.joint)
    ends = [level for level in (travel.least, travel.most) if math.isfinite(level)]
    seen = [*values[np.isfinite(values)].tolist(), *ends]
    room = 0.1 * (max(seen) - min(seen))
    return {
        "title": f"Travel of the {travel.part}, mm",
        **_points(examination, findings, values),
        "levels": [[level, "an end"] for level in ends],
        "low": min(seen) - room,
        "high": max(seen) + room,
    }


def _of_transmission(
    examination: Examination, findings: SideFindings, spot: TightSpot | None
) -> dict[str, Any] | None:
    angles = transmission_angles(findings.motion)
    if not angles:
        return None
    worst = min(angles, key=lambda parts: float(np.nanmin(angles[parts], initial=math.inf)))
    parts = spot.parts if spot is not None and spot.parts in angles else worst
    limit = float(np.degrees(LEAST_TRANSMISSION))
    named = " and ".join(parts) if len(parts) < 3 else f"{parts[0]} to {parts[-1]}"
    return {
        "title": f"Transmission angle of {named}, degrees: 90 best, 0 a dead point",
        **_points(examination, findings, np.degrees(angles[parts])),
        "levels": [[limit, f"{limit:.0f}: apt to jam"]],
        "low": 0.0,
        "high": 92.0,
    }


def _of_play(play: PlayFindings) -> dict[str, Any]:
    every = len(play.used.crank) // _SAMPLES
    crank, used = np.degrees(play.used.crank)[::every], play.used.used[::every]
    return {
        "title": "Play needed by the coupled wheels, 1: all there is",
        "side": "both",
        "points": _listed(crank, used),
        "levels": [[1.0, "1: it binds"]],
        "low": 0.0,
        "high": 1.1 * max(1.1, float(play.used.used.max())),
    }


def _points(examination: Examination, findings: SideFindings, values: Array) -> dict[str, Any]:
    shift = math.degrees(examination.right_hand(findings.side, 0.0))
    crank = (np.degrees(findings.survey.crank) + shift) % 360.0
    order = np.argsort(crank)
    return {"side": findings.side, "points": _listed(crank[order], values[order])}


def _listed(crank: Array, values: Array) -> list[Sequence[float | None]]:
    return [
        [round(float(x), 2), round(float(y), 4) if math.isfinite(y) else None]
        for x, y in zip(crank, values, strict=True)
    ]
