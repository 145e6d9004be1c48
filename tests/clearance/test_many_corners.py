"""Outlines of hundreds of corners, as a scanner gives them."""

from __future__ import annotations

import math
import tracemalloc

import numpy as np
import pytest

from linkage.clearance.outlines import PairTable, PiecePair, Poses
from tests.clearance.bodies import bar, disc, plate


def test_an_outline_of_hundreds_of_corners_is_its_disc_and_takes_little_memory():
    """Beside a sloping bar; what it takes grows with the corners, not with their cube."""
    turn = np.arange(400) * 2 * np.pi / 400
    corners = [(3 * math.cos(t), 3 * math.sin(t)) for t in turn]
    slope = bar((-4, 0), (4, 0), 0.6, (0.0, 2.0), 0.4)
    tables = [
        PairTable([PiecePair((0, 1), (piece, slope))])
        for piece in (plate(corners), disc((0, 0), 3.0))
    ]
    rng = np.random.default_rng(3)
    poses = np.stack((rng.uniform(-5, 5, (2, 300)), rng.uniform(-5, 5, (2, 300)),
                      rng.uniform(0, 7, (2, 300))), axis=-1)  # fmt: skip
    items = np.zeros(300, dtype=np.intp), np.arange(300), Poses.of(poses)
    tracemalloc.start()
    many, smooth = (table.clearances(*items) for table in tables)
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    # the circle stands out from its polygon by no more than this
    assert many == pytest.approx(smooth, abs=3 * (1 - math.cos(math.pi / 400)))
    assert most < 50e6
