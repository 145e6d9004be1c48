"""The ready sheets of coupled wheels with one fault each, against the trade's signature table.

The trade's signature table, derived from geometry (`tests/play/test_signatures.py` checks it by
closed forms), says where each fault is tight. Right-hand crank angles, the right crank leading.

Sizes and ends of arcs come from `share`, plain trigonometry of two axles that knows nothing of the
solver. The boxes take part: where the table has a bare rod error e over the play h of two holes,
a sheet has e / (h + b), b being the fore-and-aft play of a box, as both boxes give way by half of
theirs. So a rod 0.20 wrong over 0.06 and 0.02 uses 2.5 times the play there is.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from click.testing import CliRunner

from linkage.advice import advise
from linkage.advice.coupling import coupling_cures
from linkage.arrangements import coupled_wheels
from linkage.cli import main
from linkage.examine import examine
from linkage.play import NEARLY, Turning, find_play
from linkage.sheet import change, sheet_from
from linkage.sheet.numbers import numbers_of, with_number
from linkage.sheet.ready import ready_sheets

THROW, SPAN, PLAY, BOX, ERROR = 4.33, 29.0, 0.06, 0.02, 0.20
"""Throw, axles apart, hole less pin, play of a box, and what is wrong with a rod or throw [mm]."""
LONG = SPAN + ERROR
HELD = 4e-6
"""Play of boxes that all but hold their axles, as the table has them [mm]."""
NEAR = 0.5
"""The table's places and the ends of arcs are held to this [degrees]."""
SHEETS = {  # sheet: rods (right, left), throws of the leading pins (right, left), play of a rod
    "ardmoor-0-6-0-rod-long": ((LONG, SPAN), (THROW, THROW), PLAY),
    "ardmoor-0-6-0-both-long": ((LONG, LONG), (THROW, THROW), PLAY),
    "ardmoor-0-6-0-long-and-short": ((LONG, SPAN - ERROR), (THROW, THROW), PLAY),
    "ardmoor-0-6-0-short-throw": ((SPAN, SPAN), (THROW - ERROR, THROW), PLAY),
    # 1.56 and 1.72 along the rod over pins of 1.50: a mean play of (0.06 + 0.22) / 2
    "ardmoor-0-4-0-worn-hole": ((SPAN + 0.10, SPAN + 0.10), (THROW, THROW), 0.14),
}
BINDING = [name for name in SHEETS if "worn" not in name]


def share(name, degrees, box=BOX):
    """Return the share of play that a sheet's front rods use, by trigonometry alone.

    With the leading wheels swung by some angle each rod misses its pins by a gap. The boxes shift
    both gaps alike, by no more than their play; the holes take the rest. Three stretches of a line
    have a place in common when every two of them have, so at one swing the share is the greater of
    ``|right - left| / (2 play)`` and ``max(|right|, |left|) / (play + box)``; the least over all
    swings is what is used. Play up and down alters a rod's reach by a thousandth and is left out.
    """
    rods, throws, play = SHEETS[name]
    crank = np.radians(np.atleast_1d(degrees).astype(float))[:, None]
    swing = np.linspace(-0.1, 0.1, 4001)  # every 0.0002 mm at the pin
    right, left = (
        rod
        - np.hypot(
            SPAN + throw * np.cos(crank + turn + swing) - THROW * np.cos(crank + turn),
            throw * np.sin(crank + turn + swing) - THROW * np.sin(crank + turn),
        )
        for rod, throw, turn in zip(rods, throws, (0.0, -np.pi / 2), strict=True)
    )
    far = np.maximum(np.abs(right), np.abs(left)) / (play + box)
    return np.maximum(np.abs(right - left) / (2 * play), far).min(axis=1)


@cache
def ends_of_arcs(name):
    """Return (begin, end) of the arcs in which `share` is above 1 [degrees]."""
    degrees = np.arange(0.0, 360.0, 0.1)
    above = share(name, degrees) > 1
    begins = degrees[above & ~np.roll(above, 1)]
    ends = degrees[above & ~np.roll(above, -1)]
    return [(begin, ends[np.argmin((ends - begin) % 360)]) for begin in begins]


def wheels_of(sheet):
    wheels = coupled_wheels(sheet)
    assert wheels is not None
    return wheels


def with_boxes_held(sheet):
    keys = ("coupling.box_play.fore_aft", "coupling.box_play.vertical")
    for number in numbers_of(sheet):
        if number.key in keys:  # less than could be measured, and so than a sheet may say
            sheet = with_number(sheet, number, HELD - number.value)
    return find_play(wheels_of(sheet))


def worst(found):
    return sorted(math.degrees(arc.worst) % 360 for arc in found.binding)


def apart(first, second):
    """Return how far apart two places are round the turn [degrees]."""
    return abs((first - second + 180) % 360 - 180)


def used_at(found, *degrees):
    """Return the share used at some of the sampled places of the turn."""
    return np.interp(degrees, np.degrees(found.used.crank), found.used.used)


@pytest.mark.parametrize("name", ["ardmoor-0-6-0-good", "ardmoor-0-4-0-worn-hole"])
def test_check_calls_them_free(name):
    done = CliRunner().invoke(main, ["check", str(ready_sheets()[name])])
    assert done.exit_code == 0
    assert (
        done.output.count("Free all round the turn.") + done.output.count("Free by the figures")
        == 1
    )


def test_a_sound_engine_needs_no_play(examined):
    """Rods as long as the axles are apart, on equal throws: the pins stand in mid-hole."""
    found = examined("ardmoor-0-6-0-good")
    assert found.play.used.most < 1e-6
    assert found.play.binding == found.play.nearly == ()


@pytest.mark.parametrize("name", sorted(SHEETS))
def test_share_used_all_round_the_turn(examined, name):
    """To 1 percent of the most; the rear rods, on their knuckles, fit and take no part."""
    used = examined(name).play.used
    expected = share(name, np.degrees(used.crank))
    assert used.used == pytest.approx(expected, abs=0.01 * expected.max())


@pytest.mark.parametrize("name", BINDING)
def test_begin_and_end_of_every_arc(examined, name):
    arcs = sorted(examined(name).play.binding, key=lambda arc: math.degrees(arc.begin) % 360)
    for arc, (begin, end) in zip(arcs, ends_of_arcs(name), strict=True):
        assert apart(math.degrees(arc.begin), begin) <= NEAR
        assert apart(math.degrees(arc.end), end) <= NEAR


@pytest.mark.parametrize("name", ["ardmoor-0-6-0-rod-long", "ardmoor-0-6-0-short-throw"])
def test_a_rod_or_throw_of_one_side_is_worst_at_its_dead_centres(examined, ready, name):
    """At 0 and 180, free at 90 and 270; the misfit is the error, in the table's still axles."""
    held = with_boxes_held(ready(name))
    back, front = sorted(held.binding, key=lambda arc: math.cos(arc.worst))
    assert apart(math.degrees(back.worst), 180) <= NEAR
    assert apart(math.degrees(front.worst), 0) <= NEAR
    assert held.used.most * PLAY == pytest.approx(ERROR, rel=0.01)
    assert used_at(held, 90, 270).max() < 1
    found = examined(name).play
    assert found.used.most == pytest.approx(ERROR / (PLAY + BOX), rel=0.01)
    assert {spot.side for spot in examined(name).spots} == {"right"}


def test_a_long_rod_in_loose_boxes_is_worst_just_before_the_back_dead_centre(examined):
    """The boxes, thrust apart by the right rod, help the left holes one way and rob them the other.

    At the share used u the wheel may so swing by u (play + box) one way and by u (play - box) the
    other, over the throw. Both ease the right rod alike where they end equally far from the dead
    centre, which is half of their difference before it.
    """
    before = math.degrees(BOX * ERROR / (PLAY + BOX) / THROW)  # 0.66
    (at,) = (place for place in worst(examined("ardmoor-0-6-0-rod-long").play) if 90 < place < 270)
    assert at == pytest.approx(180 - before, abs=NEAR)


def test_both_rods_long_bind_with_one_pin_low_and_one_high(examined):
    """Right through 0 to 90 and 180 to 270, free at 135 and 315.

    The quarters are plateaus, told at their middles. There the free wheels have no cause to swing,
    and the size is exact.
    """
    found = examined("ardmoor-0-6-0-both-long").play
    assert used_at(found, 135, 315).max() < 1
    assert used_at(found, *range(0, 91, 5), *range(180, 271, 5)).min() > 2
    expected = ERROR / (PLAY + BOX)
    assert used_at(found, 45, 225) == pytest.approx([expected, expected], rel=0.01)
    assert worst(found) == pytest.approx([45, 225], abs=NEAR)
    assert found.used.most == pytest.approx(expected, rel=0.01)
    # left free: tan(45 degrees - x) = play / (error - box) = 1/3 to either side of 135, 36.9 in all
    free = 2 * math.degrees(math.atan(PLAY / (ERROR - BOX)))
    bound = [math.degrees(arc.end - arc.begin) for arc in found.binding]
    assert sum(bound) == pytest.approx(360 - 2 * free, abs=2 * NEAR)


def test_one_long_one_short_binds_with_both_pins_low_or_both_high(examined):
    """Right through 90 to 180 and 270 to 360, free at 45 and 225.

    The table has a plateau. The boxes make a peak of its middle: at 135 and 315 they would have to
    give way to one rod in one direction and to the other in the other, so all falls to the holes.
    """
    found = examined("ardmoor-0-6-0-long-and-short").play
    assert worst(found) == pytest.approx([135, 315], abs=NEAR)
    assert used_at(found, 45, 225).max() < 1
    assert used_at(found, *range(90, 181, 5), *range(270, 360, 5)).min() > 2
    assert found.used.most == pytest.approx(ERROR / PLAY, rel=0.01)


def test_long_rod_made_as_the_other_side(examined):
    (first,) = next(coupling_cures(examined("ardmoor-0-6-0-rod-long")))
    assert first.key == "right.coupling_rods.front.centres"
    assert (first.now, first.by, first.other) == pytest.approx((LONG, -ERROR, SPAN))
    assert advise(examined("ardmoor-0-6-0-rod-long"))[0].cures[0].cure.number == first


def test_short_throw_told_apart_from_a_wrong_rod(examined):
    (first,) = next(coupling_cures(examined("ardmoor-0-6-0-short-throw")))
    assert first.key == "right.axles.leading.throw"
    assert (first.now, first.by) == pytest.approx((THROW - ERROR, ERROR), abs=0.01)
    cure = advise(examined("ardmoor-0-6-0-short-throw"))[0].cures[0].cure
    assert cure.number == first


def test_both_rods_long_come_before_an_axle_too_near(examined):
    """No turn of the wheels tells one from the other; the rods are the likelier, and come first."""
    cures = [cure for (cure,) in coupling_cures(examined("ardmoor-0-6-0-both-long"))]
    assert [cure.key for cure in cures] == ["coupling_rods.front.centres", "axles.leading.ahead"]
    assert [cure.by for cure in cures] == pytest.approx([-ERROR, ERROR], abs=0.01)


@pytest.mark.parametrize("name", ["ardmoor-0-6-0-long-and-short", "ardmoor-0-6-0-middle-hole"])
def test_two_numbers_wrong_are_not_blamed_on_one(examined, name):
    found = examined(name)
    ways = list(coupling_cures(found))
    assert ways
    for numbers in ways:
        assert len(numbers) > 1
        together = change(found.sheet, {number.key: number.to for number in numbers})
        assert Turning(wheels_of(together)).samples[1].used.max() < NEARLY


def test_a_middle_hole_off_its_mark_binds_all_round(examined):
    """A rod in one piece has no row in the table; its sizes follow from three pins on one line.

    At the dead centres of its side it is like a rod wrong by as much. At 90 and 270 a jointed rod
    would be free, as both outer axles swing; here that lifts the outer pins of the other side off
    the line of its middle one. Each side takes half of the error; boxes that give way to one side
    along its rod stand across the other's, in round holes: (error / 2 - b u)^2 + (b u)^2 = (h u)^2.
    """
    found = examined("ardmoor-0-6-0-middle-hole")
    assert {spot.side for spot in found.spots} == {"right"}
    assert worst(found.play) == pytest.approx([180], abs=NEAR)
    assert found.play.used.most == pytest.approx(ERROR / (PLAY + BOX), rel=0.01)
    assert found.play.used.used.min() > 1
    across = ERROR / 2 / (BOX + math.sqrt(PLAY**2 - BOX**2))  # 1.31
    assert used_at(found.play, 90, 270) == pytest.approx([across, across], rel=0.01)


def test_over_its_outer_pins_the_rod_fits(ready):
    """With the middle pin left out on that side it needs no play: 25.2 and 28.8 are 25 and 29."""
    wheels = wheels_of(ready("ardmoor-0-6-0-middle-hole"))
    rods = tuple(
        replace(rod, eyes=(rod.eyes[0], rod.eyes[2])) if rod.side == "right" else rod
        for rod in wheels.rods
    )
    assert Turning(replace(wheels, rods=rods)).samples[1].used.max() < 1e-6


def test_a_middle_hole_put_right_is_free(ready):
    spans = {"centres[1]": 25.0, "centres[2]": 29.0}
    put_right = change(
        ready("ardmoor-0-6-0-middle-hole"),
        {f"right.coupling_rods.whole.{key}": value for key, value in spans.items()},
    )
    assert Turning(wheels_of(put_right)).samples[1].used.max() < 1e-6


def bushed(sheet):
    """Return the sheet with its worn hole as new."""
    rod = dict(sheet.data["coupling_rods"]["front"]) | {"holes": [1.56, 1.56]}
    return sheet_from(dict(sheet.data) | {"coupling_rods": {"front": rod}}, ask=False)


def test_a_worn_hole_hides_long_rods(examined, ready):
    """Worn, it turns on 0.10 / (0.14 + 0.02) of its play; as new it lacks 0.02 and binds."""
    name = "ardmoor-0-4-0-worn-hole"
    assert examined(name).free
    assert examined(name).play.used.most == pytest.approx(0.10 / (0.14 + BOX), rel=0.01)
    found = find_play(wheels_of(bushed(ready(name))))
    assert len(found.binding) == 2
    assert found.used.most == pytest.approx(0.10 / (PLAY + BOX), rel=0.01)


def test_wear_is_no_cure_but_rods_of_the_right_length_are(ready):
    """With the hole as new the rods are named; as long as the axles are apart they need no play."""
    new = bushed(ready("ardmoor-0-4-0-worn-hole"))
    cures = {cure.key: cure.by for (cure,) in coupling_cures(examine(new))}
    assert cures["coupling_rods.front.centres"] == pytest.approx(-0.10, abs=0.01)
    put_right = change(new, {"coupling_rods.front.centres": SPAN})
    assert Turning(wheels_of(put_right)).samples[1].used.max() < 1e-6
