"""Which dimension, changed least, would let a loop close or keep something on its slide."""

from __future__ import annotations

import math
from collections.abc import Callable

from linkage.arrangements import build
from linkage.errors import LinkageError
from linkage.examine import Examination
from linkage.kinematics import AngleGap, gap_at, solve_at
from linkage.mechanism import Mechanism
from linkage.sheet import change
from linkage.tightspots import TightSpot

_STEP = 0.02  # trial change [mm, degrees]
_SHOWN = 3  # dimensions offered


def dimension_cures(examination: Examination, spot: TightSpot) -> list[tuple[str, float]]:
    """List the dimensions whose change would cure an open loop or a travel run out.

    Parameters
    ----------
    examination : Examination
        What was found out.
    spot : TightSpot
        "cannot close" or "runs off".

    Returns
    -------
    list of (str, float [mm, degrees])
        Key on the sheet and the change needed to first order, the smallest change in proportion
        to the dimension first; at most three.
    """
    missing = _missing(examination, spot)
    if missing is None:
        return []
    found: list[tuple[float, str, float]] = []
    own = f"{spot.side}." if spot.side in ("left", "right") else ""
    for key, value in examination.sheet.dimensions[spot.side].items():
        bare = key.removeprefix(own)
        slope = _slope(examination, spot, own + bare, value, missing)
        if slope is None or abs(slope) < 1e-3:
            continue
        needed = -missing(examination.sides[spot.side].mechanism) / slope
        share = abs(needed) / max(abs(value), 1.0)
        if share < 0.5:
            found.append((share, bare, needed))
    return [(key, needed) for _, key, needed in sorted(found)[:_SHOWN]]


def _missing(examination: Examination, spot: TightSpot) -> Callable[[Mechanism], float] | None:
    """Return what is missing at the spot's worst crank angle, as a function of the mechanism."""
    course = examination.sides[spot.side].course
    crank = spot.worst % (2 * math.pi)
    if spot.kind == "cannot close":
        start = AngleGap(course, crank)
        return lambda mechanism: gap_at(start, mechanism)
    run_off = spot.run_off
    if run_off is None:
        return None

    def beyond(mechanism: Mechanism) -> float:
        from linkage.kinematics import solve_variants

        if mechanism is course.mechanism:
            motion = solve_at(course, [crank])
            place = float(motion.travel(run_off.travel.joint)[0])
        else:
            place = float(
                solve_variants(course, [mechanism], [crank]).travel(run_off.travel.joint)[0, 0]
            )
        travel = next(
            t for t in mechanism.travels
            if (t.joint, t.part, t.against)
            == (run_off.travel.joint, run_off.travel.part, run_off.travel.against)
        )  # fmt: skip
        return place - travel.most if run_off.forward else travel.least - place

    return beyond


def _slope(
    examination: Examination,
    spot: TightSpot,
    key: str,
    value: float,
    missing: Callable[[Mechanism], float],
) -> float | None:
    """Return how fast what is missing changes with a dimension; None where it cannot be tried."""
    try:
        made = build(change(examination.sheet, {key: value + _STEP}))[spot.side]
        after = missing(made)
    except LinkageError:
        return None
    return (after - missing(examination.sides[spot.side].mechanism)) / _STEP
