"""The next test: what divides the causes best for its minutes, and what is not offered."""

from __future__ import annotations

from itertools import pairwise

import pytest

from linkage.cause import Measure, TakeOff, Weighing, proposals
from linkage.sheet import sheet_from
from tests.ready import ready

GOOD = "ardmoor-0-6-0-good"


@pytest.fixture(scope="module")
def weighing():
    """Return a locked engine of which nothing else is known."""
    lines = [{"what": "locks", "side": "right", "at": "about 3 o'clock"}]
    return Weighing(sheet_from({**ready(GOOD).data, "felt": lines}, "engine.toml", ask=False))


def test_outcomes_are_weighed_and_the_best_for_its_minutes_comes_first(weighing):
    offered = proposals(weighing)

    assert offered
    assert all(a.worth >= b.worth for a, b in pairwise(offered))
    for one in offered:
        assert sum(outcome.chance for outcome in one.outcomes) == pytest.approx(1.0)
        assert 0 < one.bits <= 1


def test_what_is_learnt_is_what_the_outcomes_leave_less_unsure(weighing):
    """A number that is measured and is it leaves its own fault the likeliest."""
    one = next(one for one in proposals(weighing) if isinstance(one.test, Measure))
    yes, _ = one.outcomes

    assert yes.left[0][0] in one.test.faults


def test_coupling_rods_come_off_on_both_sides_together(weighing):
    for one in proposals(weighing):
        if isinstance(one.test, TakeOff):
            rods = [off for off in one.test.off if off.key.startswith("coupling_rods")]
            assert {off.side for off in rods} in (set(), {"right", "left"})


def test_what_was_done_is_not_offered_again():
    lines = [
        {"what": "locks", "side": "right", "at": "about 3 o'clock"},
        {"what": "locks", "taken_off": ["motor"]},
    ]
    sheet = sheet_from({**ready(GOOD).data, "felt": lines}, "engine.toml", ask=False)
    offered = proposals(Weighing(sheet))
    taken = [one.test.off for one in offered if isinstance(one.test, TakeOff)]

    assert all(off[0].key != "motor" for off in taken)
