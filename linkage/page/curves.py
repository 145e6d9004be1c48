"""The curve over the turn that shows a tight spot best, as plain values for a page."""

from __future__ import annotations

import math
from typing import Any

from linkage.examine import Examination
from linkage.scene.curves import curve_of
from linkage.scene.moment import Moment
from linkage.tightspots import Close, Fouls, PoorTransmission, TightSpot, TouchesWithPlay

_SAMPLES = 360  # at most about so many: the play is known at more than a small picture can show
_ROOM = 0.1  # above and below what is to be seen, in heights of it


def curve_data(
    examination: Examination, side: str, spot: TightSpot | None
) -> dict[str, Any] | None:
    """Return the curve of a tight spot, or of a side's nearest pair.

    ``title``; ``side``; ``points``: right-hand crank angle [degrees] and value, None where
    there is none; ``levels``: values with what they mean; ``low``, ``high``: what is to be in
    sight. None where no curve says anything.

    `side`: which side, where no spot is given or it concerns both. `spot`: the spot.
    """
    if spot is not None and spot.side in examination.sides:
        findings = examination.where(spot)
    else:
        findings = examination.sides[side]
    pair = spot.clearance if isinstance(spot, Fouls | Close | TouchesWithPlay) else None
    if pair is None and not isinstance(spot, PoorTransmission):
        pair = next(iter(findings.survey.pairs), None)
    curve = curve_of(Moment(examination, findings, 0.0, {}, spot, pair))
    if not curve.lines:
        return None
    line, every = curve.lines[-1], max(1, len(curve.crank) // _SAMPLES)
    room = _ROOM * (curve.high - curve.low)
    return {
        "title": f"{curve.title}: {line.name}" if line.name else curve.title,
        "side": "both" if curve.of_both else findings.side,
        "points": [
            [round(x, 2), round(y, 4) if math.isfinite(y) else None]
            for x, y in zip(
                curve.crank[::every].tolist(), line.values[::every].tolist(), strict=True
            )
        ],
        "levels": [[level.value, level.text] for level in curve.levels if level.text],
        "low": curve.low - room,
        "high": curve.high + room,
    }
