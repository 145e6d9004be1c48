"""Trade dimensions to parts and joints: the arrangements, and one mechanism for each side."""

from __future__ import annotations

from linkage.arrangements.arrangement import Arrangement, Removable
from linkage.arrangements.assembly import Assembly, add_play
from linkage.arrangements.coupled_wheels import COUPLED_WHEELS, add_coupled, face_under_nut
from linkage.arrangements.couplings import coupled_wheels
from linkage.arrangements.eccentric_links import ALLAN, GOOCH, STEPHENSON
from linkage.arrangements.own_parts import LINKAGE, add_own_parts
from linkage.arrangements.radial import BAKER, HACKWORTH, JOY, SOUTHERN
from linkage.arrangements.slider_crank import SLIDER_CRANK
from linkage.arrangements.slip_eccentric import SLIP_ECCENTRIC
from linkage.arrangements.walschaerts import WALSCHAERTS
from linkage.errors import Problem, SheetError
from linkage.mechanism import Mechanism, Point
from linkage.tables.model import Sheet
from linkage.tables.sides import CoupledSide

__all__ = [
    "ARRANGEMENTS",
    "Arrangement",
    "Removable",
    "build",
    "coupled_wheels",
    "face_under_nut",
    "points_of",
]

ARRANGEMENTS: dict[str, Arrangement] = {
    held.name: held
    for held in (
        WALSCHAERTS,
        STEPHENSON,
        GOOCH,
        ALLAN,
        JOY,
        HACKWORTH,
        SOUTHERN,
        BAKER,
        SLIP_ECCENTRIC,
        SLIDER_CRANK,
        COUPLED_WHEELS,
        LINKAGE,
    )
}
"""Every arrangement there is, by its name on a sheet."""


def build(sheet: Sheet, only: str | None = None) -> dict[str, Mechanism]:
    """Return the mechanism of each side of a sheet.

    "right" and "left", or the single side "only"; lengths in mm, angles in radians.

    Parameters
    ----------
    only : str, optional
        Name of a side: build that one alone.

    Raises
    ------
    SheetError
        Where joints or outlines name parts or points that are not there.
    """
    return {name: assembly.finish() for name, assembly in _assemblies(sheet, only).items()}


def points_of(sheet: Sheet) -> dict[str, dict[str, dict[str, Point]]]:
    """Return the named points of every part, by which tracing points are found.

    Returns
    -------
    dict of str to dict of str to dict of str to (float, float) [mm]
        Side, part, point: in the part's own axes.

    Raises
    ------
    SheetError
        As `build` does.
    """
    return {name: assembly.points for name, assembly in _assemblies(sheet).items()}


def _assemblies(sheet: Sheet, only: str | None = None) -> dict[str, Assembly]:
    assemblies = {}
    problems: list[Problem] = []
    for name, side in sheet.sides.items():
        if only not in (None, name):
            continue
        assembly = ARRANGEMENTS[sheet.arrangement].build(side, sheet.running)
        if isinstance(side, CoupledSide):
            add_play(assembly, side.joint_play)
            add_coupled(assembly, side)
        problems += [found for found in add_own_parts(assembly, side) if found not in problems]
        if not isinstance(side, CoupledSide):
            add_play(assembly, side.joint_play)
        assemblies[name] = assembly
    if problems:
        raise SheetError(sheet.source, problems)
    return assemblies
