"""A number moved in the tables is the same number changed on the sheet."""

import copy
import math

import pytest

from linkage.arrangements import build, coupled_wheels
from linkage.sheet import change, sheet_from
from linkage.sheet.numbers import numbers_of, numbers_on, with_number
from linkage.sheet.reading import read_sheet
from linkage.sheet.ready import ready_sheets
from tests.ready import ready

BY = 0.01


@pytest.mark.parametrize(
    "name", ["ardmoor-2-6-0", "ardmoor-0-6-0-middle-hole", "ardmoor-0-4-0-worn-hole", "hoecken"]
)
def test_moving_is_changing(name):
    sheet = read_sheet(ready_sheets()[name])
    numbers = numbers_of(sheet)
    keys = {key for held in sheet.dimensions.values() for key in held}
    assert {number.key for number in numbers} == keys - set(sheet.handed_on)
    for number in numbers:
        changes = {number.key: number.value + BY}
        changed, moved = change(sheet, changes), with_number(sheet, number, BY)
        for one, other in zip(build(changed).values(), build(moved).values(), strict=True):
            assert _figures(one) == pytest.approx(_figures(other), abs=1e-9), number.key
        wheels = coupled_wheels(changed), coupled_wheels(moved)
        if wheels[0] is not None:
            assert _eyes(wheels[0]) == pytest.approx(_eyes(wheels[1]), abs=1e-9)


@pytest.mark.parametrize(
    "name", ["ardmoor-2-6-0", "ardmoor-0-6-0-middle-hole", "ardmoor-0-4-0-worn-hole"]
)
def test_a_number_of_one_side_moves_that_side_alone(name):
    sheet = read_sheet(ready_sheets()[name])
    numbers = numbers_on(sheet, "left")
    assert set(numbers) == set(sheet.dimensions["left"])
    before = _figures(build(sheet, "right")["right"])
    for key, number in numbers.items():
        changed = change(sheet, {f"left.{key.removeprefix('left.')}": number.value + BY})
        moved = with_number(sheet, number, BY)
        assert _figures(build(moved, "left")["left"]) == pytest.approx(
            _figures(build(changed, "left")["left"]), abs=1e-9
        ), key
        assert _figures(build(moved, "right")["right"]) == before, key


def _figures(mechanism):
    places = [(j.a.x, j.a.y, j.b.x, j.b.y) for j in mechanism.joints]
    pieces = [
        (*sum(piece.corners, ()), *piece.out, piece.radius, piece.thickness)
        for part in mechanism.parts
        for piece in part.pieces
    ]
    plays = [w.side_play for w in mechanism.wheelsets]
    return [x for row in (*places, *pieces, plays) for x in row if math.isfinite(x)]


def _eyes(wheels):
    return [x for rod in wheels.rods for eye in rod.eyes for x in (*eye.place, eye.along)]


def test_what_one_side_has_of_its_own_is_handed_on_to_that_sides_rods():
    """And what the other has is not: each side's rods stand where its own number says."""
    data = copy.deepcopy(dict(ready("ardmoor-0-6-0-good").data))
    common = float(data["coupling"]["out"])
    data["right"] = {**data.get("right", {}), "coupling": {"out": common + 0.5}}
    sheet = sheet_from(data, "engine.toml", ask=False)
    by_key = {number.key: number for number in numbers_of(sheet)}
    right, left = by_key["right.coupling.out"], by_key["coupling.out"]

    assert set(right.places) == {"right"}
    assert set(left.places) == {"left"}
    for number, side in ((right, "right"), (left, "left")):
        moved = with_number(sheet, number, 0.2).sides
        for name, rod in moved[side].coupling_rods.items():
            assert rod.out == pytest.approx(sheet.sides[side].coupling_rods[name].out + 0.2)
        other = "left" if side == "right" else "right"
        assert moved[other] == sheet.sides[other]
