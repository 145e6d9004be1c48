"""One fault of every gear, put on one side of two: found by `check`, and told by `cause`.

A rod is bent, and so measures short, or is of another length than the other side's. What is felt is
one place of the lock, truthfully; the sheet has the rod's centres as they measure, and no bend.
Where the fault hinders no turn there is nothing to feel, so it is one that does.
"""

from __future__ import annotations

import copy
import math
from dataclasses import dataclass, field
from typing import Any

import pytest

from linkage.advice import search_cures
from linkage.advice.cure import changes_of
from linkage.arrangements import ARRANGEMENTS
from linkage.arrangements.rods import eye_to_eye
from linkage.cause import Weighing
from linkage.examine import examine
from linkage.sheet import change, sheet_from
from linkage.tables.shapes import Side
from tests.ready import ready

NO_GEAR = {"slider-crank", "coupled-wheels", "linkage"}
ROUNDS = 3
FIRST = 3  # among so many causes the true one is


@dataclass(frozen=True)
class Case:
    """A fault of a gear on the left-hand side."""

    sheet: str
    rod: str
    longer: float = 0.0  # [mm] than it ought to be
    bend: dict[str, Any] = field(default_factory=dict)
    besides: dict[str, Any] = field(default_factory=dict)  # of both sides
    quick: bool = False

    def made(self, left: dict[str, Any], **top: Any) -> Any:
        """Return the sheet of both sides with something on the left-hand one."""
        data = copy.deepcopy(dict(ready(self.sheet).data)) | top
        data.pop("sides", None)
        data["wheels"].setdefault("right_leads_by", 90)
        for key, held in self.besides.items():
            data[key] = {**data[key], **held}
        return sheet_from(data | {"left": left}, "engine.toml", ask=False)

    def rod_of(self, sheet: Any) -> Any:
        """Return the table of the rod on the left-hand side."""
        side: Side = sheet.sides["left"]
        return getattr(side, self.rod)

    def engine(self) -> Any:
        """Return the engine as it is."""
        if self.bend:
            return self.made({self.rod: {"bend": [self.bend], "centres_measured": "straight"}})
        centres = self.rod_of(self.made({})).centres + self.longer
        return self.made({self.rod: {"centres": round(centres, 3)}})

    def typed(self, **top: Any) -> Any:
        """Return the sheet as somebody types it who has not seen the bend."""
        return self.made({self.rod: {"centres": round(eye_to_eye(self.rod_of(self.engine())), 2)}},
                         **top)  # fmt: skip


def bow(deep, **more):
    return {"kind": "bow", "from": "rear", "towards_frames": deep, **more}


CASES = {
    "walschaerts": Case("ardmoor-pacific-5in", "eccentric_rod", bend=bow(4.0)),
    "conjugated": Case("ardmoor-4-6-0-conjugated", "eccentric_rod", bend=bow(4.0)),
    "southern": Case("ardmoor-2-8-0-southern", "eccentric_rod", bend=bow(4.0)),
    "baker": Case("ardmoor-2-8-2-baker", "eccentric_rod", bend=bow(5.36)),
    "dummy": Case("ardmoor-2-6-0-dummy-gear", "eccentric_rod", bend=bow(0.5), quick=True),
    "slip-eccentric": Case("ardmoor-0-4-0-slip-eccentric", "eccentric_rod", 4.0, quick=True),
    "rocker": Case("ardmoor-0-4-2-rocker", "eccentric_rod", 3.0, quick=True),
    "hackworth": Case("ardmoor-0-4-0-hackworth", "valve_rod", 10.0),
    "joy": Case("ardmoor-0-6-2-joy", "valve_rod", 12.0),
    "allan": Case("ardmoor-2-4-0-allan", "radius_rod", 12.0),
    "gooch": Case("ardmoor-2-4-0-gooch", "radius_rod", 12.0),
    "stephenson": Case(
        "ardmoor-0-6-0-stephenson", "fore_eccentric_rod", 6.0,
        besides={"valve_spindle": {"guide": {"rear": 120.0, "front": 139.5}}},
    ),
    "stephenson-rocker": Case(
        "ardmoor-4-4-0-stephenson-rocker", "valve_rod", 6.0,
        besides={"valve_spindle": {"guide": {"rear": 221.0, "front": 241.5}}},
    ),
}  # fmt: skip
WALKED = [
    pytest.param(name, marks=() if case.quick else pytest.mark.long) for name, case in CASES.items()
]


def test_every_gear_has_its_fault():
    assert set(CASES) == set(ARRANGEMENTS) - NO_GEAR


@pytest.mark.parametrize("name", WALKED)
def test_check_finds_it_and_its_cures_free_it(name):
    case = CASES[name]
    found = examine(case.engine())
    words = case.rod.replace("_", " ")
    assert found.spots
    assert {spot.side for spot in found.spots} == {"left"}
    for _ in range(ROUNDS):
        if found.free:
            break
        advice = next(one for one in search_cures(found) if one.cures)
        found = examine(change(found.sheet, dict(changes_of(advice.cures[0].cure))))
    assert found.free, words


@pytest.mark.parametrize("name", WALKED)
def test_cause_tells_it_from_one_place_that_locks(name):
    case = CASES[name]
    spot = next(s for s in examine(case.engine()).spots if 0.0 < s.end - s.begin < math.tau)
    at = math.degrees((spot.begin + spot.end) / 2) % 360
    line = {"what": "locks", "side": "left", "at": {"value": at, "measured_to": 10.0}}
    seen: list[Any] = []
    for cause in Weighing(case.typed(felt=[line])).causes:
        if cause.fault is not None and cause.second is None and cause.fault not in seen:
            seen.append(cause.fault)
    what = "towards_frames" if case.bend else "centres"
    true = [(one.side, one.table, one.what) for one in seen[:FIRST]]
    assert ("left", case.rod, what) in true
