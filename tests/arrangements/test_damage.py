"""A leaning pin and a twisted rod, by hand; heads of joints by name."""

from __future__ import annotations

import math

import pytest

from linkage.arrangements import build, coupled_wheels
from linkage.errors import SheetError
from linkage.sheet import change
from linkage.tables.damage import PinLean
from tests.faults.engines import sheet_with


def lean(**ways):
    return PinLean.model_validate({**ways, "over": 4.0})


@pytest.mark.parametrize(
    ("leaning", "out", "place"),
    [
        (lean(away_from_axle=0.4), 4.0, (5.4, 0.0)),
        (lean(away_from_axle=0.4), 2.0, (5.2, 0.0)),
        (lean(towards_axle=0.4), 0.0, (5.0, 0.0)),
        (lean(ahead=0.4), 1.0, (5.0, 0.1)),
        (lean(towards_axle=0.2, behind=0.4), 6.0, (4.7, -0.6)),
    ],
)
def test_where_a_leaning_pin_stands(leaning, out, place):
    assert leaning.at(5.0, out) == pytest.approx(place)


def test_a_lean_along_the_crank_is_a_throw_and_one_across_it_a_quarter():
    """At the middle of the rods, 2.0 out, of a pin measured 3.0 out."""
    sheet = sheet_with(
        "coupled",
        {"right/axles/leading/lean": {"away_from_axle": 0.3, "over": 3.0},
         "left/axles/leading/lean": {"ahead": 0.6, "over": 3.0}},
    )  # fmt: skip
    right, left = (coupled_wheels(sheet).axles[1].pins[side] for side in ("right", "left"))
    assert (right.throw, right.angle) == pytest.approx((4.33 + 0.2, 0.0))
    assert left.throw == pytest.approx(math.hypot(4.33, 0.4))
    assert left.angle == pytest.approx(math.atan(0.4 / 4.33) - math.pi / 2)


def test_on_a_leaning_driving_pin_both_rods_run_where_it_stands_at_their_height():
    """The coupling rod's middle is 2.0 out, the connecting rod's 4.2, the pin measured at 4.0."""
    lean = {"towards_axle": 0.4, "over": 4.0}
    (made,) = build(sheet_with("engine", {"crank_pin/lean": lean})).values()
    joints = {joint.name: joint for joint in made.joints}
    assert joints["crank pin"].a.x == pytest.approx(4.33 - 0.42)
    assert joints["coupling rod pin"].a.x == pytest.approx(4.33 - 0.2)


def test_a_twisted_rod_takes_up_more_in_plan_towards_its_little_end():
    """1.8 deep and 0.6 thick, turned by 20 degrees: 0.6 cos 20 + 1.8 sin 20 at the end."""
    straight, twisted = (
        next(iter(build(sheet_with("engine", put)).values())).part("connecting rod").pieces
        for put in ({}, {"connecting_rod/twist": 20})
    )
    thick = [piece.thickness for piece in twisted if len(piece.corners) == 2]
    assert [piece.thickness for piece in straight] == [0.6]
    assert thick == sorted(thick)
    assert thick[-1] == pytest.approx(
        0.6 * math.cos(math.radians(20)) + 1.8 * math.sin(math.radians(20))
    )
    assert 0.6 < thick[0] < 0.66


def test_a_head_of_its_own_sits_on_its_joint():
    heads = {"pins/heads": {"union_pin": {"diameter": 1.2, "thickness": 0.3, "behind": 0.2}}}
    (made,) = build(sheet_with("gear", heads)).values()
    found = {
        p.label: p for part in made.parts for p in part.pieces if p.key == "pins.heads.union_pin"
    }
    head, end = found["union pin head"], found["union pin's hidden end"]
    assert (head.out[0] - 0.15, end.out[0] + 0.1) == pytest.approx((5.4, 4.4))  # lever, union link
    assert (head.thickness, end.thickness) == (0.3, 0.2)


def test_a_head_on_no_joint_is_asked_about():
    heads = {"pins/heads": {"union_pim": {"diameter": 1.2, "thickness": 0.3}}}
    with pytest.raises(
        SheetError, match='names a joint that is not there; did you mean "union_pin"'
    ):
        build(sheet_with("gear", heads))


def test_a_damage_can_be_put_to_nought():
    sheet = sheet_with("engine", {"connecting_rod/twist": 20})
    assert build(change(sheet, {"connecting_rod.twist": 0.0})) == build(sheet_with("engine", {}))
