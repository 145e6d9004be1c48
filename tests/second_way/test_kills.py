"""Two commands killed a few dozen times; `python -m tests.second_way.kills` kills a thousand."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from tests.second_way.kills import OUTCOMES

HOUSE = Path(__file__).parents[2]


def test_what_stands_after_a_kill_is_all_old_or_all_new():
    """In a process of its own: this one has threads, and must not be forked."""
    only = ("--only", "template", "--only", "new, with its form")
    run = subprocess.run(
        (sys.executable, "-m", "tests.second_way.kills", "--count", "48", "--seed", "20", *only),
        cwd=HOUSE, capture_output=True, text=True, timeout=300, check=False,
    )  # fmt: skip
    assert run.returncode == 0, run.stdout + run.stderr
    last = run.stdout.strip().split("\n\n")[-1].splitlines()[1:]
    counts = [[int(word) for word in line.split()[-len(OUTCOMES) :]] for line in last]
    assert len(counts) == 2
    assert sum(map(sum, counts)) == 48
    for old, new, half, hidden in counts:
        assert old > 0
        assert new > 0
        assert (half, hidden) == (0, 0)
