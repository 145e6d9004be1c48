"""The 2-6-0 with the bent radius rod: as found, after straightening, and its figures by hand."""

import math

import numpy as np
import pytest

from linkage.advice.setting import straight_length
from linkage.tightspots import amount_of

# Of the right-hand side, from the sheet [mm].
CIRCLE, ROD, FOOT, TRUNNION = 2.3, 24.1, 4.6, (24.0, 4.5)
SLOT_RADIUS, DIE, RADIUS_ROD = 23.0, 2.5, 23.0
LEVER_PIN = 5.8 + 1.21  # height; the lever's lean takes hundredths off it
SAG, AT, OVER, THICKNESS = 0.70, 9.6, 6.0, 0.4
BRACKET_FRONT = 30.6
AIR_WHEN_STRAIGHT = 4.4 - (2.6 + 1.5)  # rod's inner face from the bracket's outer one
BOW_RADIUS = (OVER**2 + 4 * SAG**2) / (8 * SAG)


def radius_rod_at(crank):
    """Return how far ahead the die is [mm], and the rod's slope [rad], by circle crossings."""
    pin = -CIRCLE * math.sin(crank), -CIRCLE * math.cos(crank)  # a quarter turn ahead
    span = pin[0] - TRUNNION[0], pin[1] - TRUNNION[1]
    distance = math.hypot(*span)
    opening = math.acos((FOOT**2 + distance**2 - ROD**2) / (2 * FOOT * distance))
    towards = math.atan2(span[1], span[0]) + math.pi / 2
    lean = min((math.remainder(towards + k * opening, math.tau) for k in (1, -1)), key=abs)
    turned = DIE / SLOT_RADIUS
    x, y = SLOT_RADIUS * (1 - math.cos(turned)), SLOT_RADIUS * math.sin(turned)
    height = TRUNNION[1] + x * math.sin(lean) + y * math.cos(lean)
    ahead = TRUNNION[0] + x * math.cos(lean) - y * math.sin(lean)
    return ahead, math.asin((LEVER_PIN - height) / RADIUS_ROD)


def overlap(crank):
    """Return how far the rod stands in the bracket: to be moved out sideways or ahead [mm].

    The bow bulges most ahead of the bracket, so its rear half is what meets the bracket's front
    edge. A bit of rod is in by the less of its depth in plan and its way out ahead.
    """
    along = np.linspace(AT - OVER / 2, AT + OVER / 2, 60001)
    level = np.sqrt(BOW_RADIUS**2 - (along - AT) ** 2)
    slope = (along - AT) / level
    inner = level - (BOW_RADIUS - SAG) + THICKNESS / 2 * (np.hypot(1, slope) - 1)
    die, tilt = radius_rod_at(crank)
    room = BRACKET_FRONT - (die + along * math.cos(tilt))
    return np.minimum(inner - AIR_WHEN_STRAIGHT, room).max()


@pytest.fixture
def spot(examined):
    (found,) = examined("ardmoor-2-6-0").spots
    return found


def test_where_it_locks(spot):
    """Pinned as it is now, to half the last digit; not a check against anything."""
    degrees = np.degrees([spot.begin, spot.worst, spot.end])
    assert degrees == pytest.approx([218.5, 268.7, 320.8], abs=0.06)
    assert amount_of(spot) == pytest.approx(0.126, abs=0.0005)


def test_the_worst_place_is_the_links_back_stop(spot):
    """The die is farthest back there, so that the most of the bow lies over the bracket."""
    angles = np.radians(np.arange(180.0, 360.0, 0.1))
    ahead = [radius_rod_at(angle)[0] for angle in angles]
    # the least is flat: half a degree moves the die by 1e-4 mm there
    farthest_back = math.degrees(angles[int(np.argmin(ahead))])
    assert farthest_back == pytest.approx(math.degrees(spot.worst), abs=0.5)


# The bow is drawn as 16 chords, which stand off their arc by sag / 256.
CHORDS = SAG / 256


def test_how_much_by_hand(spot):
    """The lever pin is taken hundredths too high, which tilts the rod by less than 1e-3."""
    assert amount_of(spot) == pytest.approx(overlap(spot.worst), abs=CHORDS + 1e-3)


def test_from_where_to_where_by_hand(spot):
    """The overlap changes sign at either end of the arc, within what the chords take off it."""
    for end, outward in ((spot.begin, -1), (spot.end, 1)):
        assert overlap(end) == pytest.approx(0.0, abs=CHORDS + 1e-3)
        assert (
            overlap(end + outward * math.radians(2)) < 0 < overlap(end - outward * math.radians(2))
        )


def test_air_when_straight(examined):
    """4.4 less the bracket's face at 2.6 + 1.5, wherever the rod passes it."""
    (pair,) = (
        pair
        for pair in examined("ardmoor-2-6-0-straightened").sides["right"].survey.pairs
        if pair.parts == ("radius rod", "motion bracket")
    )
    assert pair.least == pytest.approx(AIR_WHEN_STRAIGHT, abs=1e-9)


def test_the_straight_rod_is_as_long_as_the_metal(ready):
    """The bow's arc less its chord, which `over` is: 2 R asin(3 / R) - 6, R the bow's radius."""
    arc = 2 * BOW_RADIUS * math.asin(OVER / 2 / BOW_RADIUS)
    bent = ready("ardmoor-2-6-0").sides["right"].radius_rod
    assert straight_length(bent) - 23.0 == pytest.approx(arc - OVER, abs=1e-9)
    typed = ready("ardmoor-2-6-0-straightened").dimensions["right"]["right.radius_rod.centres"]
    assert typed == pytest.approx(straight_length(bent), abs=0.0005)  # typed to three decimals
