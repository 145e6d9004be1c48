"""Against R. S. Khurmi & J. K. Gupta, *Theory of Machines* (title cited from memory).

Examples 6.2, 7.2, 8.1, 8.2, 15.1, 15.2 and 15.3, as worked in the textbook companion of that book
in the FOSSEE Scilab collection, folder 213. The crank angles are cited from memory and confirmed
by the fit. All but 15.3 are read off drawn diagrams: 3 % is their drawing error. The exact values
beside them were computed from the closed form of the slider-crank.
"""

import numpy as np
import pytest

from linkage.kinematics import follow, solve_at, velocities
from linkage.kinematics import rates as rates_of
from linkage.search import find_minima
from tests.kinematics.linkages import DEGREE, point_rates, slider_crank

DRAWN = 0.03  # of the printed value: read off a diagram


def values(crank, rod, degrees, speed, **more):
    """Return the figures that the examples ask for [m/s, m/s^2, rad/s, rad/s^2, mm].

    More: `gain`, the crank's angular acceleration; `point` on the rod, from the crank pin.
    """
    gain, place = more.get("gain", 0.0), more.get("point", rod / 2)
    motion = solve_at(follow(slider_crank(crank, rod)), [degrees * DEGREE])
    rates = rates_of(motion)
    turn, turn2 = rates.first["rod"][0, 2], rates.second["rod"][0, 2]
    head, head2 = rates.first["crosshead"][0, 0], rates.second["crosshead"][0, 0]
    v, a = point_rates(motion, "rod", place, 0.0)
    omega = abs(turn * speed)
    return {
        "piston": abs(head) * speed / 1e3,
        "piston_gain": abs(head2 * speed**2 + head * gain) / 1e3,
        "rod": omega,
        "rod_gain": abs(turn2 * speed**2 + turn * gain),
        "relative": omega * rod / 1e3,
        "point": np.hypot(*v[0]) * speed / 1e3,
        "point_gain": np.hypot(*(a[0] * speed**2 + v[0] * gain)) / 1e3,
        "centre_to_slider": abs(head) / abs(turn),
        "centre_to_pin": crank / abs(turn),
    }


RPM = np.pi / 30
EX_6_2 = {"crank": 100, "rod": 400, "degrees": 45, "speed": 10}
EX_7_2 = {"crank": 500, "rod": 2000, "degrees": 45, "speed": 180 * RPM}
EX_8_1 = {"crank": 150, "rod": 600, "degrees": 45, "speed": 300 * RPM}
# The sense of the 1200 rad/s^2 does not stand in the companion's file, only in the book's drawing.
# Printed 1820 fits a crank that slows (1853.5); one that gains speed would give 1435.7.
EX_8_2 = {"crank": 100, "rod": 300, "degrees": 60, "speed": 75, "gain": -1200}
EX_15_1 = {"crank": 200, "rod": 700, "degrees": 30, "speed": 120}
EX_15_2 = {"crank": 150, "rod": 600, "degrees": 60, "speed": 450 * RPM, "point": 150}
TABLE = [  # example, figure, printed, exact to the digits given
    ("6.2", EX_6_2, "piston", 0.82, "0.8341"),
    ("6.2", EX_6_2, "rod", 1.78, "1.7961"),
    ("6.2", EX_6_2, "centre_to_slider", 460, "464.4"),
    ("6.2", EX_6_2, "centre_to_pin", 560, "556.8"),
    ("7.2", EX_7_2, "relative", 6.8, "6.771"),
    ("7.2", EX_7_2, "rod", 3.4, "3.385"),
    ("8.1", EX_8_1, "relative", 3.4, "3.385"),
    ("8.1", EX_8_1, "point", 4.1, "3.995"),
    ("8.1", EX_8_1, "point_gain", 117, "117.31"),
    ("8.1", EX_8_1, "rod", 5.67, "5.642"),
    ("8.1", EX_8_1, "rod_gain", 171.67, "171.55"),
    ("8.2", EX_8_2, "relative", 4, "3.917"),
    ("8.2", EX_8_2, "rod_gain", 1820, "1853.5"),
    ("15.1", EX_15_1, "piston", 15.24, "15.000"),
    ("15.1", EX_15_1, "piston_gain", 2880, "2922.8"),
    ("15.1", EX_15_1, "rod", 29.66, "30.000"),
    ("15.1", EX_15_1, "rod_gain", 1913.1, "1948.6"),
    ("15.1", EX_15_1, "point", 16.8, "17.037"),
    ("15.2", EX_15_2, "piston", 6.834, "6.905"),
    ("15.2", EX_15_2, "piston_gain", 124.4, "124.9"),
    ("15.2", EX_15_2, "rod_gain", 481.1, "484.4"),
    ("15.2", EX_15_2, "point", 6.834, "6.851"),
    ("15.2", EX_15_2, "point_gain", 266.5, "266.82"),
]
IDS = [f"{row[0]}-{row[2]}" for row in TABLE]


@pytest.mark.parametrize(("example", "data", "figure", "printed", "exact"), TABLE, ids=IDS)
def test_examples_read_off_diagrams(example, data, figure, printed, exact):
    assert values(**data)[figure] == pytest.approx(printed, rel=DRAWN)


@pytest.mark.parametrize(("example", "data", "figure", "printed", "exact"), TABLE, ids=IDS)
def test_examples_exact(example, data, figure, printed, exact):
    half_last_digit = 0.5 * 10.0 ** -len(exact.partition(".")[2])
    assert values(**data)[figure] == pytest.approx(float(exact), abs=half_last_digit)


def test_example_8_2_sense_of_the_acceleration():
    """The other sense is 21 % off the print, far outside the drawing error."""
    assert values(**{**EX_8_2, "gain": 1200})["rod_gain"] == pytest.approx(1435.7, abs=0.05)


@pytest.mark.xfail(reason="prints 8.15 m/s; exact is 7.861 and even the series 7.84: 3.7 % high")
def test_example_7_2_piston_speed_as_printed():
    assert values(**EX_7_2)["piston"] == pytest.approx(8.15, rel=DRAWN)


def test_example_7_2_piston_speed_exact():
    assert values(**EX_7_2)["piston"] == pytest.approx(7.861, abs=5e-4)


def greatest_speed(crank, rod):
    """Return crank angle [rad] and size [mm/rad] of the greatest piston speed."""
    course = follow(slider_crank(crank, rod))

    def toward_axle(angles):
        motion = solve_at(course, angles.ravel())
        return velocities(motion)["crosshead"][:, 0].reshape(angles.shape)

    angle, least = find_minima(toward_axle, np.array([1.0]), np.array([1.6]), 1e-6)
    return float(angle[0]), -float(least[0])


def test_example_15_3_exact_not_the_series():
    """Crank 300, rod 1000 mm, 200 rev/min: 75 deg and 6.54 m/s by the two-term series."""
    angle, speed = greatest_speed(300, 1000)
    metres = speed * 200 * RPM / 1e3
    assert angle / DEGREE == pytest.approx(74.529, abs=1e-3)
    assert metres == pytest.approx(6.5617, abs=1e-3)
    assert metres / 6.5403 - 1 == pytest.approx(0.0033, abs=1e-4)  # the series is this much low


def test_example_15_3_series_gives_the_printed_figures():
    """The printed 75 deg and 6.54 m/s are the series' own: nothing else is between us."""
    t = np.linspace(60, 90, 300_001) * DEGREE
    series = 200 * RPM * 0.3 * (np.sin(t) + np.sin(2 * t) / (2 * 1000 / 300))
    assert series.max() == pytest.approx(6.54, abs=0.005)
    assert t[series.argmax()] / DEGREE == pytest.approx(75, abs=0.5)
