"""Trade dimensions to parts and joints: the arrangements, and one mechanism for each side."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from importlib import import_module

from linkage.arrangements.along import add_along
from linkage.arrangements.arrangement import BOTH_SIDES, Arrangement, Inside, Removable
from linkage.arrangements.askew import add_askew
from linkage.arrangements.assembly import Assembly, add_play
from linkage.arrangements.coupled_wheels import add_coupled, face_under_nut
from linkage.arrangements.couplings import coupled_wheels, wheels_untouched
from linkage.arrangements.own_parts import add_own_parts
from linkage.errors import Problem, SheetError
from linkage.mechanism import Mechanism, Point
from linkage.tables.model import Sheet
from linkage.tables.sides import CoupledSide

__all__ = [
    "ARRANGEMENTS",
    "BOTH_SIDES",
    "HOMES",
    "Arrangement",
    "Inside",
    "Removable",
    "build",
    "coupled_wheels",
    "face_under_nut",
    "points_of",
    "wheels_untouched",
]

HOMES = {
    "walschaerts": ("linkage.arrangements.walschaerts", "WALSCHAERTS"),
    "stephenson": ("linkage.arrangements.eccentric_links", "STEPHENSON"),
    "gooch": ("linkage.arrangements.eccentric_links", "GOOCH"),
    "allan": ("linkage.arrangements.eccentric_links", "ALLAN"),
    "joy": ("linkage.arrangements.radial.joy", "JOY"),
    "hackworth": ("linkage.arrangements.radial.hackworth", "HACKWORTH"),
    "southern": ("linkage.arrangements.radial.southern", "SOUTHERN"),
    "baker": ("linkage.arrangements.radial.baker", "BAKER"),
    "slip-eccentric": ("linkage.arrangements.slip_eccentric", "SLIP_ECCENTRIC"),
    "rocker": ("linkage.arrangements.rocker", "ROCKER_GEAR"),
    "stephenson-rocker": ("linkage.arrangements.eccentric_links", "STEPHENSON_ROCKER"),
    "conjugated": ("linkage.arrangements.walschaerts.conjugated", "CONJUGATED"),
    "dummy": ("linkage.arrangements.walschaerts.dummy", "DUMMY"),
    "slider-crank": ("linkage.arrangements.slider_crank", "SLIDER_CRANK"),
    "coupled-wheels": ("linkage.arrangements.coupled_wheels", "COUPLED_WHEELS"),
    "linkage": ("linkage.arrangements.own_parts", "LINKAGE"),
}
"""By the name of each arrangement, the module it stands in, and what it is called there."""


class _Arrangements(Mapping[str, Arrangement]):
    """The arrangements by name, each read when it is first asked for.

    A sheet has one, and to read the tables of all the others takes a quarter of a second.
    """

    def __getitem__(self, name: str) -> Arrangement:
        return _arrangement(*HOMES[name])

    def __iter__(self) -> Iterator[str]:
        return iter(HOMES)

    def __len__(self) -> int:
        return len(HOMES)


@cache
def _arrangement(module: str, called: str) -> Arrangement:
    held = getattr(import_module(module), called)
    assert isinstance(held, Arrangement)
    return held


ARRANGEMENTS: Mapping[str, Arrangement] = _Arrangements()
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
        gear = [joint.name for joint in assembly.joints]
        if isinstance(side, CoupledSide):
            add_play(assembly, side.joint_play)
            add_coupled(assembly, side)
            add_askew(assembly, side)
        problems += [found for found in add_own_parts(assembly, side) if found not in problems]
        if not isinstance(side, CoupledSide):
            add_play(assembly, side.joint_play)
            gear = [joint.name for joint in assembly.joints]
        add_along(assembly, side.pins, gear)
        assemblies[name] = assembly
    if problems:
        raise SheetError(sheet.source, problems)
    return assemblies
