"""What is assumed of where the gear's parts lie, between the frames and behind the wheel.

From the wheel inwards: back eccentric rod; expansion link with the valve spindle about its middle;
fore eccentric rod; lifting link; the weighshaft's arm. All are inner faces [mm], outward from the
wheel's face, so below nought. Eccentric straps lie in their rods' layers.
"""

from __future__ import annotations

from linkage.tables.engine import GAP
from linkage.tables.facts import Beside

LINK_OUT = -5.6
_AIR = 2 * GAP
"""Between link and rods, for these slant with their axle [mm]."""


def nearer_wheel(near: Beside) -> float:
    """Return where the back eccentric rod is [mm]."""
    link = near.size("expansion_link.out") + near.size("expansion_link.thickness")
    return link + _AIR * near.factor


def behind_link(near: Beside) -> float:
    """Return where the fore eccentric rod is [mm]."""
    thickness = near.size("fore_eccentric_rod.thickness")
    return near.size("expansion_link.out") - _AIR * near.factor - thickness


def behind_rod(near: Beside) -> float:
    """Return where the lifting link is: clear of the rod, which slants with its axle [mm]."""
    rod = near.size("fore_eccentric_rod.out")
    return rod - _AIR * near.factor - GAP * near.factor - near.size("lifting_link.thickness")


def about_link(near: Beside) -> float:
    """Return where the valve spindle is, about the middle of the link [mm]."""
    link = near.size("expansion_link.out") + near.size("expansion_link.thickness") / 2
    return link - near.size("valve_spindle.diameter") / 2
