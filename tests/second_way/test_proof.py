"""One linkage at 0.02 degree; ``python -m tests.second_way.proof`` holds thousands."""

from __future__ import annotations

from tests.second_way.proof import hold, table


def test_no_verdict_is_missed_and_none_is_false():
    held = hold(7, samples=18_000)
    assert not held.missed
    assert not held.false
    assert held.proven == held.pairs > 0, table([held])
