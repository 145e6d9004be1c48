"""What is assumed of where the gear's parts lie outward from the wheel, so that none overlaps."""

from __future__ import annotations

from linkage.tables.engine import CONNECTING_ROD_OUT, GAP, GEAR_ABOVE_ROD
from linkage.tables.facts import Beside

_LEAST_OUTERMOST = 0.13
"""Beside the eccentric rod at any scale [mm].

The air wanted at the smallest, and what the rod takes of it where it slants with the wheelset.
"""

# Round those layers that the sheet does give. From the wheel: connecting rod, with crosshead and
# slide bars about its middle; drop arm, valve spindle and lifting link; radius rod and union link;
# expansion link, combination lever and return crank; eccentric rod. The weighshaft's arm lies
# behind the lifting link. All are inner faces [mm], outward from the wheel's face.


def under_radius_rod(near: Beside) -> float:
    """Return where the connecting rod is: under the radius rod [mm]."""
    radius = near.given("radius_rod.out")
    if radius is None:
        return CONNECTING_ROD_OUT * near.factor
    return radius - GEAR_ABOVE_ROD * near.factor - near.size("connecting_rod.thickness")


def outer_layer(near: Beside) -> float:
    """Return where link, lever and return crank are [mm]."""
    rods = ("radius_rod.thickness", "union_link.thickness")
    thickest = max(near.size(key, 0.4 * near.factor) for key in rods)
    return near.size("radius_rod.out") + thickest + GAP * near.factor


def outermost(near: Beside) -> float:
    """Return where the eccentric rod is [mm]."""
    reach = max(
        near.size(f"{table}.out") + near.size(f"{table}.thickness")
        for table in ("expansion_link", "return_crank")
    )
    return reach + max(GAP * near.factor, _LEAST_OUTERMOST)
