"""What cures that parts are pinched, that wheels limp or slip, and that a link swings unevenly.

None of these is a place in the turn where something meets: each is a number by itself. A link's
swing is made even by a number in which the sides differ, or by the length or the setting that moves
the middle of the swing there with the least change of it: to the first order by ``-m / (dm/dn)``, m
being what is wrong, and then again from there.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

import numpy as np

from linkage.advice.bench import bench_step, nearest, step_of, up
from linkage.advice.correcting import put_right_loop
from linkage.advice.cure import (
    Bush,
    Correction,
    Cure,
    MakeTrue,
    Number,
    PutRight,
    Straighten,
    Together,
)
from linkage.advice.keys import across, bare_key, held_key, on_sheet, own_key, value_of
from linkage.advice.patience import begin_trial
from linkage.advice.slack import SAMPLES
from linkage.advice.slipped import slipped
from linkage.arrangements import build
from linkage.arrangements.numbers import facts_at
from linkage.errors import LinkageError
from linkage.examine import Examination, uneven
from linkage.kinematics import solve_round
from linkage.sheet import Sheet, change, is_angle
from linkage.tightspots import (
    Limps,
    Pinched,
    TightSpot,
    Uneven,
    UnlikeWheels,
    limping,
)
from linkage.valve import figures_of

_STEP = 0.02  # trial change [mm, degrees]
_TRIED = 3  # numbers tried, the smallest change first
_AGAIN = 3  # times that the change is worked out anew from where it led
_LARGEST = 0.25  # share of a number that is still called a change of it


def running_cures(
    examination: Examination, spot: Pinched | Limps | UnlikeWheels | Uneven
) -> Iterator[Cure]:
    """Yield what cures a spot that is nowhere in the turn; each was tried."""
    match spot:
        case Pinched():
            cure = _untwisted if spot.grip.askew else _longer_bush
            yield cure(examination, spot)
        case Limps():
            yield from _bushed(examination, spot)
        case UnlikeWheels():
            yield from _of_one_size(examination, spot)
        case Uneven():
            yield from _even(examination, spot)


def _untwisted(examination: Examination, spot: Pinched) -> MakeTrue:
    """Return the twist taken out of a rod that binds by it."""
    own = own_key(spot.side, spot.grip.key)
    now = value_of(examination.sheet, own)
    number = Number(held_key(examination.sheet, own) or own, now, -now, 0.0, degrees=True)
    return MakeTrue(number, changes=on_sheet(examination, spot.side, {own: 0.0}))


def _longer_bush(examination: Examination, spot: Pinched) -> PutRight:
    """Return the bush, shoulder or rivet as long as what it holds and a little air."""
    side, grip = spot.side, spot.grip
    step = step_of(examination.sheet, own_key(side, grip.key))
    by = up(spot.pinch + step / 2, step)
    changes = on_sheet(examination, side, {own_key(side, grip.key): grip.room + by})
    return PutRight(Number(grip.key, grip.room, by), changes=changes)


def _bushed(examination: Examination, spot: Limps) -> Iterator[Bush]:
    """Yield the worn holes of the rod bushed to the best of all holes; else the axles' boxes."""
    if examination.play is None:
        return
    sheet, lost, wheels = examination.sheet, spot.lost, examination.play.wheels
    best = min(eye.along for rod in wheels.rods for eye in rod.eyes)
    holes: dict[str, float] = {}
    for number, eye in enumerate(lost.rod.eyes, 1):
        if eye.axle in lost.axles and eye.along > best:
            for key in _hole_keys(sheet, lost.side, f"{lost.rod.key}.holes[{number}]"):
                holes[key] = value_of(sheet, key) - 2 * (eye.along - best)
    tight = min(axle.fore_aft for axle in wheels.axles)
    boxes = {
        key: 2 * tight
        for axle in wheels.axles
        if axle.name in lost.axles and axle.fore_aft > tight
        for key in _box_keys(sheet, axle.key)
    }
    for values, joint, left in (
        (holes, f"holes of the {lost.rod.name}", best),
        (boxes, "axle boxes", tight),
    ):
        if values and not _limps(examination, change(sheet, values), spot):
            yield Bush(joint, round(2 * left, 4), changes=tuple(values.items()))
            return


def _box_keys(sheet: Sheet, axle: str) -> Iterator[str]:
    """Yield the key of an axle's play in its boxes, its own or that of all."""
    for key in (f"{axle}.box_play.fore_aft", "coupling.box_play.fore_aft"):
        if held_key(sheet, key) == key:
            yield key
            return


def _hole_keys(sheet: Sheet, side: str, own: str) -> Iterator[str]:
    """Yield the keys of a worn hole's width along its rod, or of its diameter, as far as it has."""
    for name in (f"{side}.{own}", own, f"{side}.coupling.hole", "coupling.hole"):
        for key in (f"{name}.along", name):
            if held_key(sheet, key) == key:
                yield key
                return


def _limps(examination: Examination, sheet: Sheet, spot: Limps) -> bool:
    wheels = examination.wheels_of(sheet)
    return wheels is None or spot.fault in {one.fault for one in limping(wheels)}


def _of_one_size(
    examination: Examination, spot: UnlikeWheels
) -> Iterator[Straighten | Correction | Together]:
    """Yield the wheels that are not of the others' size changed for such as are."""
    sheet, unlike = examination.sheet, spot.unlike
    side = next(iter(examination.sides)) if spot.side == "both" else spot.side
    for key in (unlike.key, "wheels.tread"):
        own = key if spot.side == "both" else own_key(side, key)
        if held_key(sheet, own) is not None:
            number = Number(key, unlike.tread, unlike.others - unlike.tread)
            changed = change(sheet, {own: unlike.others})
            yield put_right_loop(examination, side, (number,), changed)
            return


def _even(examination: Examination, spot: Uneven) -> Iterator[Straighten | Correction | Together]:
    """Yield the number in which the sides differ that makes the link swing evenly; else another."""
    sheet, side = examination.sheet, spot.side
    for cure in slipped(examination, side):
        if _is_even(sheet, side, dict(cure.changes)):
            yield cure
            return
    held = {bare_key(key): now for key, now in sheet.dimensions[side].items()}
    for key, now in held.items():
        other = across(sheet, own_key(side, key))
        if not math.isnan(other) and _is_even(sheet, side, {own_key(side, key): other}):
            number = Number(key, now, other - now, other, is_angle(sheet, own_key(side, key)))
            yield _cure(examination, side, number)
            return
    tried = sorted(_needed(sheet, side, held).items(), key=lambda one: abs(one[1] / held[one[0]]))
    for key, _ in tried[:_TRIED]:
        by = _closed_in_on(sheet, side, key, held[key])
        own = own_key(side, key)
        if abs(by) < _LARGEST * abs(held[key]) and _is_even(sheet, side, {own: held[key] + by}):
            yield _cure(examination, side, Number(key, held[key], by, degrees=is_angle(sheet, own)))
            return


def _cure(
    examination: Examination, side: str, number: Number
) -> Straighten | Correction | Together:
    sheet = change(examination.sheet, {own_key(side, number.key): number.to})
    return put_right_loop(examination, side, (number,), sheet)


def _needed(sheet: Sheet, side: str, held: Mapping[str, float]) -> dict[str, float]:
    """Return by how much each length or setting of the gear would have to differ."""
    found = {}
    middle = _middle(sheet, {}, side)
    for key, now in held.items():
        if facts_at(key).mends in ("replace", "reset") and now:
            slope = (_middle(sheet, {own_key(side, key): now + _STEP}, side) - middle) / _STEP
            if abs(slope) > 1e-4 and not math.isnan(slope):
                found[key] = -middle / slope
    return found


def _closed_in_on(sheet: Sheet, side: str, key: str, now: float) -> float:
    own, by = own_key(side, key), 0.0
    for _ in range(_AGAIN):
        middle, ahead = (_middle(sheet, {own: now + by + step}, side) for step in (0.0, _STEP))
        slope = (ahead - middle) / _STEP
        if not slope or math.isnan(slope):
            return math.inf
        by -= middle / slope
    return nearest(by, step_of(sheet, own) if not math.isinf(by) else bench_step(sheet))


def _swing(sheet: Sheet, values: Mapping[str, float]) -> list[TightSpot] | None:
    """Return the uneven links of a sheet with some numbers changed; None where it does not turn."""
    begin_trial()
    try:
        made = build(change(sheet, dict(values)) if values else sheet)
    except LinkageError:
        return None
    figures, links = {}, {}
    for name, mechanism in made.items():
        motion = solve_round([mechanism], SAMPLES)
        if motion is None:
            return None
        figures[name] = {what: float(one[0]) for what, one in figures_of(motion).items()}
        links[name] = mechanism.watched.link
    return uneven(figures, links)


def _is_even(sheet: Sheet, side: str, values: Mapping[str, float]) -> bool:
    found = _swing(sheet, values)
    return found is not None and side not in {spot.side for spot in found}


def _middle(sheet: Sheet, values: Mapping[str, float], side: str) -> float:
    """Return the middle of the link's swing of a side [degrees]; nan where it does not turn."""
    begin_trial()
    try:
        made = build(change(sheet, dict(values)) if values else sheet, side)
    except LinkageError:
        return math.nan
    motion = solve_round([made[side]], SAMPLES)
    if motion is None:
        return math.nan
    angle = np.unwrap(motion.poses[made[side].watched.link][0, :, 2])
    middle = (angle.max() + angle.min()) / 2
    return float(np.degrees(middle - 2 * np.pi * round(middle / (2 * np.pi))))
