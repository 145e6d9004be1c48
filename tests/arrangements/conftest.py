"""An invented engine in round numbers."""

from __future__ import annotations

import copy
from collections.abc import Callable
from typing import Any

import pytest

from linkage.sheet import Sheet, sheet_from

DATA: dict[str, Any] = {
    "arrangement": "walschaerts",
    "measured_to": 0.05,
    "wheels": {"throw": 3.0},
    "connecting_rod": {"centres": 30.0, "width": 1.5, "thickness": 0.8, "out": 2.6},
    "return_crank": {"pin_circle": 1.4, "leads": 90},
    "eccentric_rod": {"centres": 20.0},
    "expansion_link": {
        "trunnion": {"ahead": 20.0, "up": 6.0},
        "foot_pin": {"below": 6.0},
        "slot_half_length": 3.0,
    },
    "radius_rod": {"centres": 15.0, "die_above_trunnion": 2.0},
    "combination_lever": {
        "radius_rod_pin_to_valve_pin": 1.2,
        "radius_rod_pin_to_union_pin": 8.0,
    },
    "union_link": {"centres": 4.0},
    "crosshead": {"drop_arm_pin": {"ahead": 1.0, "below": 2.5}},
    "valve_spindle": {"height": 6.0},
}


@pytest.fixture
def sheet_with() -> Callable[..., Sheet]:
    """Return the sheet with values put in by dotted key; None takes the key out."""

    def maker(changes: dict[str, Any] | None = None) -> Sheet:
        data = copy.deepcopy(DATA)
        for key, value in (changes or {}).items():
            *above, last = key.split(".")
            here = data
            for step in above:
                here = here.setdefault(step, {})
            if value is None:
                here.pop(last)
            else:
                here[last] = value
        return sheet_from(data, ask=False)

    return maker
