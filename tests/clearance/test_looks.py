"""Which pairs of parts are looked at in many variants."""

from __future__ import annotations

import numpy as np
import pytest

from linkage.arrangements import build
from linkage.clearance.looks import Looks
from linkage.clearance.near import reach_of
from linkage.clearance.outlines import PairTable, Poses
from linkage.kinematics import follow_whole, solve_as_far
from tests.ready import ready

ANGLES = 60


@pytest.mark.parametrize("name", ["ardmoor-2-6-0", "ardmoor-pacific-5in-whole"])
def test_what_is_left_out_is_far_at_every_sample(name):
    """Parts left out for their circles are no nearer than is looked at: their clearance says so."""
    sheet = ready(name)
    made = next(iter(build(sheet).values()))
    course, reach = follow_whole(made), reach_of(sheet.wanted_clearance)
    motion = solve_as_far(course, [made], ANGLES)
    looks = Looks(sheet.wanted_clearance, reach)
    near, _ = looks.near([made], motion)
    every, _ = looks.of([made], motion, [0])
    kept = {look.pair.parts for look in near[0]}
    left = [look for look in every[0] if look.pair.parts not in kept]
    assert kept
    assert left, "no pair is left out: nothing is tested"
    names = [part.name for part in made.parts]
    poses = [np.broadcast_to(motion.poses[n], (1, ANGLES, 3))[0] for n in names]
    pieces = [piece for look in left for piece in look.pair.pieces]
    rows = np.repeat(np.arange(len(pieces)), ANGLES)
    at = np.tile(np.arange(ANGLES), len(pieces))
    air = PairTable(pieces).clearances(rows, at, Poses.of(np.stack(poses)))
    assert air.min() >= reach
