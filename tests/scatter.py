"""Variants of a ready sheet with several numbers moved at once, by seeded chance."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from linkage.arrangements import build
from linkage.errors import LinkageError
from linkage.sheet import Sheet, change, is_angle

ANGLE, LENGTH = 6.0, 0.6  # how far a number is moved at the most [degrees, mm]


def numbers_on(sheet: Sheet) -> dict[str, float]:
    """Return every dimension of a sheet by key: of all sides, and of each side alone."""
    found = {}
    for side, held in sheet.dimensions.items():
        for name, value in held.items():
            found[name] = value
            if side != "only" and not name.startswith(f"{side}."):
                found[f"{side}.{name}"] = value
    return found


def scattered(
    sheet: Sheet, rng: np.random.Generator, count: int, share: float = 0.05, most: int = 4
) -> Iterator[Sheet]:
    """Yield variants, each with one to `most` numbers moved; refused ones are drawn again."""
    numbers = numbers_on(sheet)
    keys = sorted(numbers)
    made = 0
    while made < count:
        some = rng.choice(len(keys), min(len(keys), int(rng.integers(1, most + 1))), replace=False)
        moved = {}
        for key in (keys[k] for k in some):
            reach = ANGLE if is_angle(sheet, key) else max(LENGTH, share * abs(numbers[key]))
            moved[key] = float(numbers[key] + rng.uniform(-reach, reach))
        try:
            variant = change(sheet, moved)
            build(variant)
        except LinkageError:
            continue
        made += 1
        yield variant


def form_of(mechanism) -> tuple:
    """Return what mechanisms must have alike to be variants of one another."""
    joints = tuple((type(j), j.name, j.a.part, j.b.part) for j in mechanism.joints)
    travels = tuple(travel.joint for travel in mechanism.travels)
    return tuple(part.name for part in mechanism.parts), joints, travels


def sides_of(sheets: Sequence[Sheet]) -> list[list]:
    """Return the mechanisms of all sides of all sheets, those of one form together."""
    pool: dict[tuple, list] = {}
    for sheet in sheets:
        for mechanism in build(sheet).values():
            pool.setdefault(form_of(mechanism), []).append(mechanism)
    return list(pool.values())
