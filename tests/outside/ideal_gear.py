"""A Walschaerts gear without errors of layout, in round figures, for the rules of the trade.

Everything that a layout can only do nearly is made exact at the dead centres: the union link lies
level there, the lever leans alike to either side, the link stands upright, and the lever's pin
stands at the centre of the slot's arc. Lengths may be taken for inches or mm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from linkage.arrangements import build
from linkage.kinematics import Course, follow
from linkage.mechanism import Mechanism
from linkage.sheet import sheet_from

CONNECTING_ROD, UNION_LINK, DROP_ARM_AHEAD = 500.0, 150.0, 50.0
LEVER, RADIUS_ROD, PIN_CIRCLE, FOOT = 80.0, 400.0, 7.0, 16.0
LEVER_AHEAD = CONNECTING_ROD + DROP_ARM_AHEAD + UNION_LINK
TRUNNION = (LEVER_AHEAD - RADIUS_ROD, 20.0)
FOOT_PIN = (TRUNNION[0], TRUNNION[1] - FOOT)
SQUARE = 90 - math.degrees(math.atan2(FOOT_PIN[1], FOOT_PIN[0]))
"""Degrees by which a return crank leads that stands square to the line axle - foot pin."""


@dataclass(frozen=True)
class IdealGear:
    """The gear for one lap and lead.

    Attributes
    ----------
    ratio : float [1]
        Of the lever: short arm to the length from radius-rod pin to union pin.
    half_stroke : float [mm]
        The throw.
    admission : {"inside", "outside"}
        Which of the lever's two upper pins is on top.
    raised : float [mm]
        By how much the lever's pin stands off the arc's centre, upward; 0 is ideal.
    """

    ratio: float
    half_stroke: float = 14.0
    admission: str = "inside"
    raised: float = 0.0

    @property
    def lean(self) -> float:
        """How far the lever leans at a dead centre [rad]."""
        return math.asin(self.half_stroke / LEVER)

    def sheet_data(self, die: float = 0.0, **more: Any) -> dict[str, Any]:
        """Return the sheet's data with the die so far above the trunnion [mm]."""
        short = self.ratio * LEVER
        rise = short * math.cos(self.lean) * (-1 if self.admission == "inside" else 1)
        level = TRUNNION[1] + self.raised
        return {
            "arrangement": "walschaerts",
            "sides": ["right"],
            "wheels": {"throw": self.half_stroke},
            "connecting_rod": {"centres": CONNECTING_ROD},
            "crosshead": {
                "drop_arm_pin": {
                    "ahead": DROP_ARM_AHEAD,
                    "below": LEVER * math.cos(self.lean) - level,
                }
            },
            "return_crank": {"pin_circle": PIN_CIRCLE, "leads": SQUARE},
            "eccentric_rod": {"centres": math.hypot(*FOOT_PIN, PIN_CIRCLE)},
            "expansion_link": {
                "trunnion": {"ahead": TRUNNION[0], "up": TRUNNION[1]},
                "foot_pin": {"below": FOOT},
                "slot_half_length": 14.0,
            },
            "radius_rod": {"centres": RADIUS_ROD, "die_above_trunnion": die},
            "combination_lever": {
                "radius_rod_pin_to_valve_pin": short,
                "radius_rod_pin_to_union_pin": LEVER,
                "admission": self.admission,
            },
            "union_link": {"centres": UNION_LINK},
            "valve_spindle": {"height": level + rise},
            **more,
        }

    def mechanism(self, die: float = 0.0, **more: Any) -> Mechanism:
        """Return the right-hand side, with tables of the sheet replaced."""
        return build(sheet_from(self.sheet_data(die, **more), ask=False))["right"]

    def course(self, die: float = 0.0, **more: Any) -> Course:
        """Return the motion of the right-hand side."""
        return follow(self.mechanism(die, **more))
