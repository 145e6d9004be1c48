"""What was felt, typed by the clock or in degrees; slips in it told all at once."""

from __future__ import annotations

import math

import pytest

from linkage.errors import SheetError
from linkage.sheet import sheet_from
from linkage.tables.felt import parse_place
from linkage.units import clock
from tests.ready import ready

ROUGH = "ardmoor-2-6-0-rough"


def with_lines(felt=(), seen=()):
    data = {**ready(ROUGH).data, "felt": list(felt), "seen": list(seen)}
    return sheet_from(data, "engine.toml", ask=False)


@pytest.mark.parametrize(
    ("typed", "side", "degrees", "error"),
    [
        ("5 o'clock", "right", 60, 5),
        ("about five o'clock", "right", 60, 10),
        ("5 o'clock", "left", 120, 5),
        ("about half past 4", "left", 135, 10),
        ("quarter to 6", "right", 82.5, 5),
        ("4:20", "right", 40, 5),
        (75, "left", 75, 5),
        ("about 75", "right", 75, 10),
        ("75,5 deg", "right", 75.5, 5),
        ({"value": "12 o'clock", "measured_to": 3}, "right", 270, 3),
    ],
)
def test_a_place_is_read_by_the_clock_of_its_side_or_in_degrees(typed, side, degrees, error):
    place = parse_place(typed)

    assert math.degrees(place.on(side)) == pytest.approx(degrees)
    assert math.degrees(place.error) == pytest.approx(error)


@pytest.mark.parametrize("side", ["right", "left"])
def test_the_clock_is_read_as_it_is_said(side):
    for half_hours in range(24):
        angle = math.radians(15 * half_hours)

        assert parse_place(clock(side, angle)).on(side) == pytest.approx(angle)


def test_lines_know_their_side_their_arc_and_what_was_off():
    sheet = with_lines(
        [
            {"what": "locks", "side": "left", "from": "about 4 o'clock", "to": "3 o'clock",
             "turning": "forward"},
            {"what": "free", "taken_off": ["left.return_crank", "coupling rods"]},
        ],
        [{"gap": "0.2 mm", "between": ["connecting rod", "slide bars"], "side": "right", "at": 20}],
    )  # fmt: skip
    locks, free = sheet.felt

    assert math.degrees(locks.begin) == pytest.approx(150)
    assert math.degrees(locks.end) == pytest.approx(180)
    assert math.degrees(locks.error) == pytest.approx(10)
    assert [(off.side, off.key) for off in free.off] == [
        ("left", "return_crank"), ("right", "coupling_rods"), ("left", "coupling_rods"),
    ]  # fmt: skip
    assert "radius_rod" in free.off[0].stills
    assert free.off[1].stills == {"coupling_rods.front", "coupling_rods.rear"}
    assert (sheet.seen[0].gap, sheet.seen[0].gap_error) == (0.2, 0.1)


@pytest.mark.parametrize(
    ("what", "side", "hours", "degrees"),
    [
        ("stiff", "left", ("7 o'clock", "8 o'clock"), (30, 60)),  # as the clock goes
        ("stiff", "left", ("8 o'clock", "7 o'clock"), (30, 60)),  # as the pin goes
        ("locks", "right", ("8 o'clock", "7 o'clock"), (120, 150)),  # turned backward
        ("free", "left", ("7 o'clock", "8 o'clock"), (60, 390)),  # most of the turn may be free
        ("locks", "right", (10, 300), (10, 300)),  # degrees are as they are typed
    ],
)
def test_a_lock_is_the_shorter_way_round_the_clock(what, side, hours, degrees):
    begin, end = hours
    (line,) = with_lines([{"what": what, "side": side, "from": begin, "to": end}]).felt
    assert (math.degrees(line.begin), math.degrees(line.end)) == pytest.approx(degrees)


LOCKS = {"what": "locks", "side": "right", "at": "5 o'clock"}


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ({"what": "lock"}, r'felt\[1\].what: should be .*did you mean "locks"'),
        ({**LOCKS, "at": "13 o'clock"}, r"felt\[1\].at: is no time of a clock face"),
        ({**LOCKS, "at": "tea time"}, r"felt\[1\].at: should be a place in the turn"),
        ({**LOCKS, "at": {"value": 20, "measured_to": 200}}, r"measured_to should be above 0 and"),
        ({"what": "locks", "at": 20}, r"felt\[1\]: should say by which side's clock"),
        ({**LOCKS, "side": "only"}, r"is not one of this sheet's sides, right, left"),
        ({**LOCKS, "from": 20, "to": 30}, r"felt\[1\]: give at = ..., or from"),
        ({"what": "free", "side": "right", "from": 3}, r"from and to go together"),
        (
            {**LOCKS, "taken_off": ["boiler"]},
            r"nothing that can be taken off.*what can be is motor",
        ),
        ({**LOCKS, "taken_off": ["retrun_crank"]}, r'did you mean "return_crank"'),
        ({**LOCKS, "running": "full_forward"}, r"felt\[1\].running: needs a lifting_link"),
        ({**LOCKS, "running": "forwards"}, r"felt\[1\].running: should be"),
        ({**LOCKS, "hour": 5}, r"felt\[1\].hour: is not a known key"),
    ],
)
def test_a_slip_is_told_by_its_line(line, message):
    with pytest.raises(SheetError, match=message):
        with_lines([line])


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ({"gap": {"value": 0.1, "measured_to": 0.3}}, "measured_to is larger than the gap itself"),
        ({"gap": -0.1}, "should not be below 0"),
        ({"between": ["connecting rod", "slidebars"]}, 'no part of this side; did you mean "slide'),
        ({"between": ["slide bars", "slide bars"]}, "names one part twice"),
        ({"between": ["connecting rod"]}, r"between\[2\]: should have one more value"),
    ],
)
def test_a_slip_in_what_was_seen_is_told(line, message):
    whole = {"gap": 0.1, "between": ["connecting rod", "slide bars"], "side": "right", "at": 20}

    with pytest.raises(SheetError, match=message):
        with_lines(seen=[{**whole, **line}])


def test_slips_are_told_all_at_once():
    with pytest.raises(SheetError) as error:
        with_lines([{"what": "lock"}, {**LOCKS, "at": "25"}, {**LOCKS, "at": "25 o'clock"}])

    assert [problem.key for problem in error.value.problems] == ["felt[1].what", "felt[3].at"]


FREE = {"what": "free", "side": "right"}
FAST = {"what": "locks", "at": "all round"}


@pytest.mark.parametrize(
    ("one", "other", "contradict"),
    [
        (LOCKS, FREE, True),
        (LOCKS, {**FREE, "from": "3 o'clock", "to": "7 o'clock"}, True),
        (LOCKS, {**FREE, "from": "7 o'clock", "to": "3 o'clock"}, False),
        (LOCKS, {**FREE, "side": "left"}, False),
        (LOCKS, {**FREE, "taken_off": ["right.return_crank"]}, False),
        ({**LOCKS, "taken_off": ["right.return_crank"]}, FREE, True),
        ({**LOCKS, "taken_off": ["left.coupling_rods"]}, FREE, False),
        ({**LOCKS, "turning": "forward"}, {**FREE, "turning": "backward"}, False),
        (FAST, {**FREE, "from": "7 o'clock", "to": "3 o'clock"}, True),
        (FAST, {**FREE, "taken_off": ["right.return_crank"]}, False),
        (FAST, {**LOCKS, "turning": "forward"}, True),  # it was turned there
        (FAST, {**LOCKS, "taken_off": ["right.return_crank"]}, False),
        ({**FAST, "taken_off": ["right.return_crank"]}, LOCKS, False),
    ],
)
def test_lines_that_contradict_one_another_are_told(one, other, contradict):
    if contradict:
        with pytest.raises(SheetError, match=r"felt\[2\]: contradicts felt\[1\]"):
            with_lines([one, other])
    else:
        assert len(with_lines([one, other]).felt) == 2


def test_what_stands_fast_is_felt_by_no_clock():
    """No side need be said, and free all round is free, no place being said."""
    fast, free = with_lines(
        [FAST, {"what": "free", "at": "all round", "taken_off": ["motor"]}]
    ).felt

    assert fast.all_round
    assert fast.side == ""
    assert not free.placed
    assert not free.all_round


@pytest.mark.parametrize(
    ("line", "key"),
    [
        ({**LOCKS, "at": {"value": "all round", "measured_to": 5}}, "felt[1].at"),
        ({"what": "locks", "side": "right", "from": "all round", "to": 20}, "felt[1].from"),
    ],
)
def test_the_whole_turn_is_no_end_of_a_stretch(line, key):
    with pytest.raises(SheetError) as error:
        with_lines([line])

    assert [problem.key for problem in error.value.problems] == [key]
