"""Small free engines, one for each family of faults, and a sheet of one with something changed."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from typing import Any

from linkage.sheet import Sheet, sheet_from
from linkage.sheet.ready import ready_sheets

COUPLED = """
arrangement = "coupled-wheels"
scale = "4 mm"
wanted_clearance = 0.10
wheels = { throw = 4.33, right_leads_by = 90, side_play = 0.1 }
crank_pin = { diameter = 1.5, nut = { diameter = 2.4, out = 2.4, thickness = 0.5 } }

[coupling]
pin = 1.50
hole = 1.56
width = 2.0
thickness = 0.8
out = 1.6
box_play = { fore_aft = 0.02, vertical = 0.02 }
side_play = 0.1
head = { diameter = 2.4, thickness = 0.5 }
hub = { diameter = 5.0, out = 0.0, thickness = 0.8 }

[axles.leading]
ahead = 29.0

[coupling_rods.main]
from = "driving"
to = "leading"
centres = 29.0
"""
ENGINE = """
arrangement = "slider-crank"
scale = "4 mm"
wanted_clearance = 0.10
sides = ["only"]
wheels = { throw = 4.33, side_play = 0.08 }
crank_pin = { diameter = 1.5, nut = { diameter = 2.4, out = 4.6, thickness = 0.5 } }
connecting_rod = { centres = 28.5, width = 1.8, thickness = 0.6, out = 3.9 }
slide_bars = { rear = 21.0, front = 37.0, gap = 5.2, depth = 1.0, thickness = 0.8, out = 3.9 }

[cylinder]
rear_cover = 39.9
front_cover = 53.1
piston = { ahead_of_crosshead_pin = 17.5, thickness = 2.0 }

[crosshead]
slipper = { ahead = 2.5, back = 2.5, depth = 5.1 }
thickness = 1.6
out = 3.5

[coupling]
pin = 1.50
hole = 1.60
width = 2.0
thickness = 0.8
out = 1.6
box_play = { fore_aft = 0.04, vertical = 0.04 }
side_play = 0.05
head = { diameter = 2.4, thickness = 0.5 }

[axles.leading]
ahead = 26.0

[coupling_rods.main]
from = "driving"
to = "leading"
centres = 26.0
"""


@cache
def engines() -> Mapping[str, str]:
    """Return the sheets by name, as text."""
    ready = {name: path.read_text(encoding="utf-8") for name, path in ready_sheets().items()}
    gear = ready["ardmoor-2-6-0-straightened"].partition("[right]")[0]
    return {
        "coupled": COUPLED,
        "one piece": ready["ardmoor-0-6-0-middle-hole"].partition("[right.coupling_rods")[0],
        "engine": ENGINE,
        "gear": gear.replace("[wheels]", 'sides = ["only"]\n[wheels]', 1),
        "both gears": gear,
        "slip eccentrics": ready["ardmoor-0-4-0-slip-eccentric"],
        "worked gear": _at_one_place(ready["ardmoor-pacific-5in"]),
    }  # fmt: skip


def _at_one_place(text: str) -> str:
    """Return the Pacific's right-hand side with its reverser fast in full forward gear."""
    one = text.replace("[wheels]", 'sides = ["only"]\n[wheels]', 1)
    arm = "gear       = { full_forward = -18.0, mid = 0.0, full_back = 17.0 }"
    one = one.replace('running          = "full_forward"\n', "").replace(arm, "arm_angle = -18.0")
    assert "arm_angle" in one
    return one


def sheet_with(engine: str, puts: Mapping[str, Any]) -> Sheet:
    """Return an engine's sheet with something put into it.

    `puts`: values as typed, by the steps of their key with strokes between; None takes one out.
    """
    data = tomllib.loads(engines()[engine])
    for key, value in puts.items():
        *above, last = key.split("/")
        here = data
        for step in above:
            here = here.setdefault(step, {})
        if value is None:
            del here[last]
        else:
            here[last] = value
    return sheet_from(data, "engine.toml", ask=False)
