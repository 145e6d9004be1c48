"""What is assumed of where the gear's parts lie, between the frames and behind the wheel.

From the wheel inwards: back eccentric rod; expansion link with the valve spindle about its middle;
fore eccentric rod; lifting link; the weighshaft's arm. A radius rod lies in the link's layer, its
eye about the link; what it and the link hang by lie where a lifting link lies. All are inner faces
[mm], outward from the wheel's face, so below nought. Eccentric straps lie in their rods' layers.
"""

from __future__ import annotations

from collections.abc import Callable

from linkage.tables.engine import GAP
from linkage.tables.facts import Beside

LINK_OUT = -5.6
_AIR = 2 * GAP
"""Between link and rods, for these slant with their axle [mm]."""


def nearer_wheel(near: Beside) -> float:
    """Return where the back eccentric rod is [mm]."""
    link = near.size("expansion_link.out") + near.size("expansion_link.thickness")
    return link + _AIR * near.factor


def beyond_back_rod(near: Beside) -> float:
    """Return where a rocker's lower arm is: between the back eccentric rod and the wheel [mm]."""
    rod = near.size("back_eccentric_rod.out") + near.size("back_eccentric_rod.thickness")
    return rod + GAP * near.factor


def behind_link(near: Beside) -> float:
    """Return where the fore eccentric rod is [mm]."""
    thickness = near.size("fore_eccentric_rod.thickness")
    return near.size("expansion_link.out") - _AIR * near.factor - thickness


def behind_rod_of(table: str, other: str = "") -> Callable[[Beside], float]:
    """Return the rule that lays a table's part where a lifting link is, or another's behind it."""

    def rule(near: Beside) -> float:
        rod = near.size("fore_eccentric_rod.out")
        out = rod - (_AIR + GAP) * near.factor - near.size(f"{table}.thickness")
        if not other:
            return out
        return near.size(f"{table}.out", out) - GAP * near.factor - near.size(f"{other}.thickness")

    return rule


def beside_link(near: Beside) -> float:
    """Return where a radius rod is: in the middle of the link [mm]."""
    link = near.size("expansion_link.out") + near.size("expansion_link.thickness") / 2
    return link - near.size("radius_rod.thickness") / 2


def about_radius_rod(near: Beside) -> float:
    """Return where the valve spindle is, about the middle of the radius rod [mm]."""
    rod = near.size("radius_rod.out") + near.size("radius_rod.thickness") / 2
    return rod - near.size("valve_spindle.diameter") / 2


def about_link(near: Beside) -> float:
    """Return where the valve spindle is, about the middle of the link [mm]."""
    link = near.size("expansion_link.out") + near.size("expansion_link.thickness") / 2
    return link - near.size("valve_spindle.diameter") / 2
