"""What is put on the sheet of the cures that are told."""

from __future__ import annotations

from dataclasses import replace

import pytest

from linkage.advice import advise
from linkage.advice.applying import apply_advice
from linkage.advice.cure import Outcome, Tried, changes_of
from linkage.errors import SheetError
from linkage.sheet.ready import ready_sheets
from tests.ready import examined

NAME = "ardmoor-2-6-0"


@pytest.fixture(scope="module")
def found():
    return examined(NAME)


@pytest.fixture(scope="module")
def first(found):
    return advise(found)[0]


def spoiling(found, also=0):
    """Return what comes of a cure that makes two things wrong."""
    (spot,) = found.spots
    other = replace(spot, parts=("connecting rod", "slide bars"))
    return Outcome(spoils=(spot, other, replace(other, worst=spot.worst + 1.0)), also=also)


def applied(found, item, *cures):
    return apply_advice(found, [replace(item, cures=cures)], ready_sheets()[NAME].read_text())


def test_what_makes_more_wrong_than_it_puts_right_is_left_to_the_hand(found, first):
    (key, value), *_ = changes_of(first.cures[0].cure)
    poor = Tried(first.cures[0].cure, spoiling(found))
    with pytest.raises(SheetError, match="no cure that can be put on the sheet"):
        applied(found, first, poor)

    good = Tried(replace(first.cures[0].cure, changes=((key, value + 0.1),)))
    assert applied(found, first, poor, good).changes == ((key, value + 0.1),)


def test_what_puts_as_much_right_is_put_on_it(found, first):
    even = Tried(first.cures[0].cure, spoiling(found, also=1))
    assert applied(found, first, even).changes == changes_of(first.cures[0].cure)
