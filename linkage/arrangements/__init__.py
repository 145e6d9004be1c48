"""Trade dimensions to parts and joints: one mechanism for each side of a sheet."""

from __future__ import annotations

from linkage.arrangements.anything import add_anything, free_crank
from linkage.arrangements.assembly import Assembly, add_play
from linkage.arrangements.coupled import add_coupled, coupled_crank
from linkage.arrangements.couplings import coupled_wheels
from linkage.arrangements.engine import slider_crank
from linkage.arrangements.walschaerts import walschaerts
from linkage.errors import Problem, SheetError
from linkage.mechanism import Mechanism, Point
from linkage.sheet import CoupledSide, LinkageSide, Sheet, SliderCrankSide, WalschaertsSide

__all__ = ["build", "coupled_wheels", "points_of"]


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
    return {
        name: assembly.finish(sheet.dimensions[name])
        for name, assembly in _assemblies(sheet, only).items()
    }


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
        assembly = _arranged(sheet, side)
        problems += [problem for problem in add_anything(assembly, side) if problem not in problems]
        if isinstance(side, LinkageSide):
            add_play(assembly, side.joint_play)
        assemblies[name] = assembly
    if problems:
        raise SheetError(sheet.source, problems)
    return assemblies


def _arranged(sheet: Sheet, side: CoupledSide | LinkageSide) -> Assembly:
    if isinstance(side, LinkageSide):
        return free_crank(side)
    if isinstance(side, WalschaertsSide):
        assembly = walschaerts(side, sheet.running)
    elif isinstance(side, SliderCrankSide):
        assembly = slider_crank(side)
    else:
        assembly = coupled_crank(side)
    add_play(assembly, side.joint_play)
    add_coupled(assembly, side)
    return assembly
