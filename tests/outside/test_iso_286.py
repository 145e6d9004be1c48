"""Limits and fits against printed examples.

- V. B. Bhandari, *Design of Machine Elements*, Ex. 3.1 and 3.4: a crank pin of 20 mm H6/e7 has 40
  to 74 micrometres of clearance; a bolt of 12 mm H11/d11 has 50 to 270.
- ISO 286-1 (IS 919-1), A.3.2: ``i = 0.45 D^(1/3) + 0.001 D``, D being the geometric mean of a step;
  IT6 to IT11 are 10, 16, 25, 40, 64 and 100 i. The table is rounded, within 13.3 % of it for sizes
  up to 3 mm: it rules, and H7 at 10 mm is 15 micrometres, not the formula's 14.
- Running fits up to 3 mm, least and greatest clearance in micrometres: H7/h6 0 and 16, H7/g6 2 and
  18, H8/f7 6 and 30, H9/d9 20 and 70, H11/c11 60 and 180; H8/f7 of 3 to 6 mm 10 and 40.
"""

from __future__ import annotations

import math

import pytest

from linkage.standards.fits import STEPS, USUAL, fit_of, tolerance

PRINTED = [
    (20.0, "H6/e7", 0.040, 0.074),
    (12.0, "H11/d11", 0.050, 0.270),
    *((2.0, name, low / 1000, high / 1000)
      for name, low, high in (("H7/h6", 0, 16), ("H7/g6", 2, 18), ("H8/f7", 6, 30),
                              ("H9/d9", 20, 70), ("H11/c11", 60, 180))),
    (4.0, "H8/f7", 0.010, 0.040),
    (10.0, "H8/f7", 0.013, 0.050),
    (25.0, "H8/f7", 0.020, 0.074),
]  # fmt: skip


@pytest.mark.parametrize(("size", "name", "least", "most"), PRINTED)
def test_printed_clearances(size, name, least, most):
    """Exactly: the tables are whole micrometres."""
    fit = fit_of(size, name)
    assert (fit.least, fit.most) == (least, most)


def test_the_table_rules_where_the_formula_differs():
    assert tolerance(10.0, 7) == 0.015


@pytest.mark.parametrize(("step", "within"), [(0, 0.134), (1, 0.085), (2, 0.044), (3, 0.055)])
def test_the_table_is_near_its_formula(step, within):
    low, high = (1.0, *STEPS)[step], STEPS[step]
    mean = math.sqrt(low * high)
    i = 0.45 * mean ** (1 / 3) + 0.001 * mean
    for grade, times in ((6, 10), (7, 16), (8, 25), (9, 40), (10, 64), (11, 100)):
        assert times * i == pytest.approx(tolerance(high, grade) * 1000, rel=within)


def test_a_limit_belongs_to_the_lower_step():
    assert tolerance(3.0, 7) == 0.010
    assert tolerance(3.001, 7) == 0.012


@pytest.mark.parametrize("name", USUAL)
def test_fits_have_their_play_from_their_limits(name):
    fit = fit_of(2.5, name)
    assert fit.least == pytest.approx(fit.hole[0] - fit.pin[1], abs=1e-9)
    assert fit.most == pytest.approx(fit.hole[1] - fit.pin[0], abs=1e-9)
    assert (fit.most > 0) == (name != "H7/s6")


@pytest.mark.parametrize(
    ("size", "name", "words"),
    [
        (0.5, "H7/h6", "sizes of 1 to 30 mm"),
        (31.0, "H7/h6", "sizes of 1 to 30 mm"),
        (2.0, "H4/h6", "grades 5 to 14"),
        (2.0, "K7/h6", "hole H"),
        (2.0, "H7/z6", "pin one of"),
    ],
)
def test_what_the_tables_do_not_have_is_refused(size, name, words):
    with pytest.raises(ValueError, match=words):
        fit_of(size, name)
