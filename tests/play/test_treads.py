"""Coupled wheels of other sizes, by hand, and against wheels rolled in small steps."""

from __future__ import annotations

import math

import numpy as np
import pytest

from linkage.arrangements import coupled_wheels
from linkage.examine import examine
from linkage.play import UNLIKE_TREADS, find_unlike_treads
from linkage.tightspots import UnlikeWheels
from tests.faults.engines import sheet_with


def unlike(puts, engine="one piece"):
    """Return what is unlike on an engine with some wheels' diameters put in."""
    return find_unlike_treads(coupled_wheels(sheet_with(engine, puts)))


def test_of_no_diameter_nothing_is_said():
    assert unlike({}) == ()


def test_one_diameter_for_all_is_no_fault():
    assert unlike({"wheels/tread": 23.0}) == ()


def test_a_hundredth_passes_and_a_little_more_does_not():
    mark = 23.0 * UNLIKE_TREADS
    assert unlike({"wheels/tread": 23.0, "axles/leading/tread": 23.0 - 0.99 * mark}) == ()
    (one,) = unlike({"wheels/tread": 23.0, "axles/leading/tread": 23.0 - 1.01 * mark})
    assert one.room == pytest.approx(-0.01 * mark)


def test_most_wheels_tell_which_are_wrong():
    two = {"axles/leading/tread": 23.0, "axles/trailing/tread": 23.05}
    (one,) = unlike({"wheels/tread": 22.0, **two})
    assert (one.axle, one.sides, one.key) == ("driving", ("right", "left"), "wheels.tread")
    assert one.others == 23.05  # of the two, the first from the rear


def test_of_two_axles_the_driving_one_is_right():
    (one,) = unlike({"wheels/tread": 22.0, "axles/leading/tread": 23.0}, "coupled")
    assert (one.axle, one.others) == ("leading", 22.0)


def test_the_slip_is_what_two_wheels_roll_apart_in_a_turn():
    """Rolled in small steps, each rim a polygon on its own rail."""
    (one,) = unlike({"wheels/tread": 23.0, "axles/leading/tread": 22.0}, "coupled")
    turned = np.linspace(0.0, 2 * math.pi, 20001)
    rims = [np.exp(1j * turned) * tread / 2 for tread in (one.tread, one.others)]
    rolled = [float(np.abs(np.diff(rim)).sum()) for rim in rims]
    assert one.slip == pytest.approx(abs(rolled[1] - rolled[0]), rel=1e-6)


def test_of_one_side_alone_the_wheel_is_told():
    found = examine(sheet_with("coupled", {"wheels/tread": 23.0, "left/axles/leading/tread": 22.0}))
    assert [(type(spot), spot.side) for spot in found.spots] == [(UnlikeWheels, "left")]
