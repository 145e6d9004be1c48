"""The demonstration, and ways to give it other numbers."""

from __future__ import annotations

import os

os.environ.setdefault("OMP_NUM_THREADS", "1")  # the tests themselves run side by side

import pytest

from linkage.sheet import change, read_sheet
from linkage.sheet.ready import demonstration


@pytest.fixture(scope="session")
def demo():
    """Return the demonstration sheet, bent rod and all."""
    return read_sheet(demonstration())


@pytest.fixture(scope="session")
def straight(demo):
    """Return the demonstration with the bend all but taken out: it turns freely."""
    return change(demo, {"right.radius_rod.bend[1].towards_frames": 0.001})
