"""Two commands killed a few dozen times; `python -m tests.second_way.kills` kills a thousand."""

from __future__ import annotations

from tests.second_way.kills import kills, table


def test_what_stands_after_a_kill_is_all_old_or_all_new():
    (*_, found) = kills(48, 20, ("template", "new, with its form"))
    assert all(set(counts) == {"old", "new"} for counts in found.values()), table(found)
    assert sum(counts.total() for counts in found.values()) == 48
