"""The one pipeline: a sheet in, everything found out about it.

sheet -> mechanism -> motion -> clearances and travel -> tight spots. Nothing is decided in here.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, TypeVar

from linkage.arrangements import build, coupled_wheels
from linkage.clearance import PairClearance, find_curves, hold_over
from linkage.errors import AssemblyError, MechanismError
from linkage.examine.asked import Asked, asked_of
from linkage.examine.evenness import uneven, unlike_wheels
from linkage.examine.everywhere import Everywhere, examine_everywhere
from linkage.examine.side import SideFindings, examine_side, side_alike
from linkage.examine.unlike import (
    ByPlace,
    compared,
    explained_by,
    figures_at_places,
    nearly_unlike,
    slopes_of,
    unlike_valves,
    valves_alike,
)
from linkage.mechanism import Running
from linkage.play import PlayFindings, find_play
from linkage.sheet import Sheet, set_running
from linkage.tightspots import (
    Limps,
    Mistimed,
    PlayUsedUp,
    TightSpot,
    Uneven,
    UnlikeWheels,
    limping,
    play_gone,
    rank,
)
from linkage.valve import figures_of
from linkage.wheels import CoupledWheels

__all__ = [
    "ByPlace",
    "Everywhere",
    "Examination",
    "SideFindings",
    "compared",
    "examine",
    "examine_everywhere",
    "examine_side",
    "explained_by",
    "figures_at_places",
    "side_alike",
    "slopes_of",
    "uneven",
    "valves_alike",
]

T = TypeVar("T")
_WHOLE = PlayUsedUp | Limps | UnlikeWheels | Uneven | Mistimed
"""What is wrong wherever the reverser and the wheelsets are."""


@dataclass(frozen=True)
class Examination:
    """Everything found out about a sheet."""

    sheet: Sheet  # what was examined
    sides: Mapping[str, SideFindings]  # by side
    spots: tuple[TightSpot, ...]  # of all sides, worst first
    # what was found out about the coupled wheels, where the sheet has any
    play: PlayFindings | None = None
    # by side, where a reverser is on the sheet with how far it goes
    everywhere: Mapping[str, Everywhere] = field(default_factory=dict)
    rods_on: str | None = None  # the one side whose coupling rods are on; None for all
    # what was worked out from all this and is not to be worked out again, by its name
    _kept: dict[str, Any] = field(default_factory=dict, init=False, compare=False, repr=False)

    def keep(self, what: str, find: Callable[[], T]) -> T:
        """Return what was worked out before, or work it out."""
        if what not in self._kept:
            self._kept[what] = find()
        found: T = self._kept[what]
        return found

    def where(self, spot: TightSpot) -> SideFindings:
        """Return the side of a tight spot with the reverser where the spot is; KeyError of both."""
        if spot.place is None:
            return self.sides[spot.side]
        # where the gear cannot be put together there is none to show: then where the sheet has it
        held = self.everywhere[spot.side]
        return held.at.get(spot.place) or held.at.get(held.here) or self.sides[spot.side]

    def nearest(self, side: str, parts: tuple[str, str]) -> SideFindings:
        """Return a side with the reverser where two of its parts come nearest."""
        held = self.everywhere.get(side)
        if held is None or parts not in held.nearest:
            return self.sides[side]
        return held.at[held.nearest[parts][1]]

    def nearest_pairs(self, side: str) -> tuple[tuple[PairClearance, SideFindings], ...]:
        """Return the near pairs of a side, each with the side as it is where it is nearest."""
        near = dict.fromkeys(pair.parts for pair in self.sides[side].survey.pairs)
        held = self.everywhere.get(side)
        near |= dict.fromkeys(held.nearest if held is not None else ())
        found = []
        for parts in near:
            there = self.nearest(side, parts)
            found.append((next(p for p in there.survey.pairs if p.parts == parts), there))
        return tuple(sorted(found, key=lambda one: one[0].least))

    def set_to(self, place: Running) -> Examination:
        """Return what was found out with the reverser at a place that was looked at."""
        if place is None or not self.everywhere:
            return self
        return self.keep(f"set to {place}", lambda: self._set_to(place))

    def _set_to(self, place: str | float) -> Examination:
        there = {
            name: self.everywhere[name].at.get(place, side) if name in self.everywhere else side
            for name, side in self.sides.items()
        }
        held = {name: replace(one, here=place) for name, one in self.everywhere.items()}
        spots: list[TightSpot] = [s for s in self.spots if isinstance(s, _WHOLE)]
        spots += [spot for side in there.values() for spot in side.spots]
        sheet = set_running(self.sheet, place)
        return Examination(sheet, there, rank(spots), self.play, held, self.rods_on)

    def pushed(self, over: tuple[tuple[str, str], ...]) -> Examination:
        """Return what is found out with some wheelsets pushed over, at the sheet's own place.

        `over`: axles, and to which side of the engine.
        """
        if not over:
            return self
        return self.keep(f"pushed {over}", lambda: self._pushed(dict(over)))

    def _pushed(self, over: Mapping[str, str]) -> Examination:
        wanted = self.sheet.wanted_clearance
        sides = {
            name: examine_side(name, hold_over(side.mechanism, name, over), wanted, side)
            for name, side in self.sides.items()
        }
        spots: list[TightSpot] = [s for s in self.spots if isinstance(s, _WHOLE)]
        spots += [spot for side in sides.values() for spot in side.spots]
        return Examination(self.sheet, sides, rank(spots), self.play, rods_on=self.rods_on)

    def wheels_of(self, sheet: Sheet) -> CoupledWheels | None:
        """Return the coupled wheels of another sheet, with the rods on that are on here."""
        return _with_rods_on(sheet, self.rods_on)

    @property
    def nearly_unlike(self) -> tuple[TightSpot, ...]:
        """What the valves of the sides are all but told to differ by, where that is not told."""
        if any(isinstance(spot, Mistimed | Uneven) for spot in self.spots):
            return ()
        return tuple(nearly_unlike(self.sheet, self.sides, self.everywhere))

    def places(self, side: str) -> tuple[Running, ...]:
        """Return the places with names of a side's reverser; None alone where it has none."""
        held = self.everywhere.get(side)
        named = () if held is None else tuple(place for place in held.at if isinstance(place, str))
        return named or (None,)

    @property
    def asked(self) -> tuple[Asked, ...]:
        """What the motion makes doubtful of the sheet, and nothing found says."""
        return self.keep("asked", lambda: asked_of(self.sides, self.everywhere))

    @property
    def free(self) -> bool:
        """Whether no tight spot was found."""
        return not self.spots

    def right_hand(self, side: str, angle: float) -> float:
        """Turn a side's own crank angle [rad] into the right-hand crank's, as the sheet does."""
        return self.sheet.right_hand(side, angle)


def examine(
    sheet: Sheet, rods_on: str | None = None, known: Examination | None = None
) -> Examination:
    """Find out everything about a sheet.

    Motion, clearances and tight spots of every side.

    `rods_on`: name of the one side whose coupling rods are on, as in the test of the bench; both if
    not given. `known`: of a sheet that is the same in part, so that it is found out once.

    Raises
    ------
    SheetError, MechanismError, AssemblyError
        Where the sheet's parts do not make a mechanism, or it cannot be put together; the message
        names the sheet and the side.
    """
    try:
        sides, everywhere = _sides_of(sheet, known)
    except AssemblyError as error:
        sheet, sides, everywhere = _set_elsewhere(sheet, known, error)
    spots = [
        spot
        for name, side in sides.items()
        for spot in (everywhere[name].spots if name in everywhere else side.spots)
    ]
    wheels = _with_rods_on(sheet, rods_on)
    try:
        play = _play(wheels, known)
    except AssemblyError as error:
        apart = sheet.lengths.small(error.gap)
        raise AssemblyError(error.parts, error.gap, sheet.source, apart) from error
    if play is not None:
        spots += play_gone(play, sheet.right_leads_by)
        spots += limping(play.wheels)
        spots += unlike_wheels(play.wheels, sheet.sides)
    unlike = unlike_valves(sheet, sides, everywhere)
    opposed = any(isinstance(one, Mistimed) and one.unlike.opposed for one in unlike)
    spots += unlike if opposed else _uneven(sides) or unlike
    return Examination(sheet, sides, rank(spots), play, everywhere, rods_on)


def _with_rods_on(sheet: Sheet, side: str | None) -> CoupledWheels | None:
    return coupled_wheels(sheet, None if side is None else (side,))


_Sides = tuple[dict[str, SideFindings], dict[str, Everywhere]]


def _sides_of(sheet: Sheet, known: Examination | None) -> _Sides:
    """Find out about every side, and about it everywhere in its reverser's way."""
    sides: dict[str, SideFindings] = {}
    everywhere: dict[str, Everywhere] = {}
    for name, mechanism in build(sheet).items():
        known_air = known is not None and known.sheet.wanted_clearance == sheet.wanted_clearance
        before = known.everywhere if known is not None and known_air else {}
        held = (*sides.values(), *(known.sides.values() if known and known_air else ()))
        alike = side_alike(held, name, mechanism)
        where = sheet.source if name == "only" else f"{sheet.source}, {name}-hand side"
        try:
            if alike is None:
                once = known.sides.get(name) if known is not None and known_air else None
                found = examine_side(name, mechanism, sheet.wanted_clearance, once)
                curves = find_curves(found.course, sheet.wanted_clearance, found.survey.pairs)
                alike = replace(found, curves=curves)
            sides[name] = alike
            places = examine_everywhere(sheet, alike, (*everywhere.values(), *before.values()))
            if places is not None:
                everywhere[name] = places
        except AssemblyError as error:
            apart = sheet.lengths.small(error.gap)
            raise AssemblyError(error.parts, error.gap, where, apart) from error
        except MechanismError as error:
            raise MechanismError(f"{where}: {error}") from error
    return sides, everywhere


def _set_elsewhere(
    sheet: Sheet, known: Examination | None, error: AssemblyError
) -> tuple[Sheet, dict[str, SideFindings], dict[str, Everywhere]]:
    """Find out about a gear that cannot be put together where the sheet has its reverser.

    At the first other place with a name where it can be, whence the sheet's own is looked at as one
    of the others, and has its finding. Raises the error where there is none.
    """
    mechanisms = build(sheet).values()
    named = {name for m in mechanisms if m.reverser for name, _ in m.reverser.named}
    if sheet.running not in named:
        raise error
    first = next(m.reverser for m in mechanisms if m.reverser is not None)
    for place in (name for name, _ in first.named if name != sheet.running):
        there = set_running(sheet, place)
        try:
            return there, *_sides_of(there, known)
        except AssemblyError:
            continue
    raise error


def _uneven(sides: Mapping[str, SideFindings]) -> list[TightSpot]:
    """Say which side's link swings unevenly, as far as the arrangement has one."""
    links = {name: found.mechanism.watched.link for name, found in sides.items()}
    if not all(links.values()):
        return []
    figures = {
        name: {figure: float(value) for figure, value in figures_of(found.motion).items()}
        for name, found in sides.items()
    }
    return uneven(figures, links)


def _play(wheels: CoupledWheels | None, known: Examination | None) -> PlayFindings | None:
    """Return what is found out about coupled wheels, where there are any."""
    if wheels is None:
        return None
    held = known.play if known is not None else None
    return held if held is not None and held.wheels == wheels else find_play(wheels)
