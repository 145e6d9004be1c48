"""The dummy gear as an arrangement: it hangs along, and fouls and locks like any other."""

from __future__ import annotations

import copy
import math

import numpy as np
import pytest

from linkage.advice import search_cures
from linkage.advice.cure import changes_of
from linkage.errors import SheetError
from linkage.events import find_events
from linkage.examine import examine
from linkage.examine.evenness import LOPSIDED
from linkage.sheet import change, sheet_from
from linkage.tightspots import kind_of
from tests.ready import examined, ready

NAME = "ardmoor-2-6-0-dummy-gear"


def changed(**tables):
    data = copy.deepcopy(dict(ready(NAME).data))
    return sheet_from(data | {"left": tables}, "dummy.toml", ask=False)


def test_it_is_free_and_proven():
    found = examined(NAME)
    assert found.free
    assert {p.between_samples for s in found.sides.values() for p in s.survey.pairs} <= {"proven"}


def test_the_link_stands_where_rod_and_foot_meet():
    """Of every position: the foot a rod's length from the crank's pin, as of two circles."""
    motion = examined(NAME).sides["right"].motion
    pin = np.stack((np.cos(motion.crank + math.radians(90)), -np.sin(motion.crank
                    + math.radians(90))), axis=-1)  # fmt: skip
    lean = motion.poses["expansion link"][..., 2]
    foot = np.stack((12.0 + 2.3 * np.sin(lean), 2.3 - 2.3 * np.cos(lean)), axis=-1)
    assert np.linalg.norm(foot - pin, axis=-1) == pytest.approx(12.0, abs=1e-9)


def test_it_has_no_valve_and_so_no_events():
    with pytest.raises(SheetError, match="has no valve"):
        find_events(ready(NAME))


def test_how_evenly_its_link_swings_is_not_told():
    """Four tenths short it swings lopsidedly enough for a gear that works a valve: looks alone."""
    found = examine(changed(eccentric_rod={"centres": 11.6}))
    lean = found.sides["left"].motion.poses["expansion link"][..., 2]
    assert abs(lean.max() + lean.min()) / 2 > LOPSIDED
    assert found.free


def test_a_return_crank_that_slipped_locks_it_and_is_made_as_the_other():
    found = examine(changed(return_crank={"pin_circle": 2.6}))
    kinds = {kind_of(spot).name for spot in found.spots}
    assert "cannot close" in kinds
    advice = next(iter(search_cures(found)))
    assert examine(change(found.sheet, dict(changes_of(advice.cures[0].cure)))).free


def test_a_bent_eccentric_rod_fouls():
    bend = [{"kind": "bow", "from": "rear", "towards_frames": 0.9}]
    spots = examine(changed(eccentric_rod={"bend": bend})).spots
    assert ("crank", "eccentric rod") in {spot.parts for spot in spots}
