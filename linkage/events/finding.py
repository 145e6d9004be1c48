"""The events of a sheet, both sides."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

from linkage.arrangements import ARRANGEMENTS, BOTH_SIDES, Inside, build
from linkage.errors import AssemblyError, MechanismError, Problem, SheetError
from linkage.events.inside import lever_swings, standing_inside
from linkage.events.places import VALVE, standing_at
from linkage.events.timing import Missing, PlaceEvents, Timing, events_of, time_side
from linkage.mechanism import Mechanism
from linkage.sheet import Sheet

INSIDE = "inside"
"""What a third cylinder is called beside the two sides."""
PLACES = 7
"""How many places of the reverser are looked at where nobody says."""


@dataclass(frozen=True)
class SideEvents:
    """The events of one side."""

    side: str  # "right", "left" or "only"; "inside" for a third cylinder
    mechanism: Mechanism
    places: tuple[PlaceEvents, ...]  # from full forward to full back
    middle: float  # [mm] the valve spindle's travel with the valve in its middle
    equal_leads: bool  # whether that is taken from equal leads, for the sheet does not say it
    missing: tuple[Missing, ...]  # what the sheet does not give
    like: str = ""  # name of a side that is the same and comes before it
    # [rad] of a third cylinder, how far each lever that works its valve swings at the most, by the
    # lever's table
    levers: Mapping[str, float] = field(default_factory=dict)

    def at(self, named: str | None) -> PlaceEvents:
        """Return a place by its name; the first that goes round where none is given or known."""
        whole = [one for one in self.places if one.whole]
        return next((one for one in whole if one.place.at == named), whole[0])


@dataclass(frozen=True)
class Events:
    """The events of a sheet."""

    sheet: Sheet
    sides: Mapping[str, SideEvents]


def find_events(sheet: Sheet, count: int = PLACES) -> Events:
    """Find the valve events of a sheet at its reverser's places.

    Crank angles within 1e-6 rad, lengths within 1e-6 mm.

    `count`: how many places, those with names among them; at least 2.

    Raises
    ------
    SheetError
        Where the sheet has no valve, its laps leave no port to open, or its gear goes all the way
        round at no place of the reverser.
    MechanismError, AssemblyError
        Where it cannot be put together; the message names the sheet and the side.
    """
    found: dict[str, SideEvents] = {}
    timings: dict[str, Timing] = {}
    for side, mechanism in build(sheet).items():
        where = sheet.source if side == "only" else f"{sheet.source}, {side}-hand side"
        like = next((one for one in found.values() if one.mechanism == mechanism), None)
        try:
            if like is None:
                timings[side] = _timed(sheet, side, mechanism, count)
                found[side] = _of_side(side, timings[side])
            else:
                timings[side] = timings[like.side]
                found[side] = replace(like, side=side, like=like.like or like.side)
        except AssemblyError as error:
            raise AssemblyError(error.parts, error.gap, where) from error
        except MechanismError as error:
            raise MechanismError(f"{where}: {error}") from error
    inside = ARRANGEMENTS[sheet.arrangement].inside
    if inside is not None and set(BOTH_SIDES) <= set(timings):
        found[INSIDE] = _of_inside(sheet, inside(sheet.sides[BOTH_SIDES[0]]), timings)
    return Events(sheet, found)


def _timed(sheet: Sheet, side: str, mechanism: Mechanism, count: int) -> Timing:
    watched = mechanism.watched
    if not watched.valve or not watched.crosshead:
        wrong = f'a sheet of "{sheet.arrangement}" has no valve, so there are no events to find'
        raise SheetError(sheet.source, [Problem("arrangement", wrong)])
    timing = time_side(standing_at(sheet, side, mechanism, count))
    if not timing.whole.any():
        raise SheetError(sheet.source, list(_locked(timing, side)))
    _refuse_laps(sheet, side, timing)
    return timing


def _of_inside(sheet: Sheet, inside: Inside, outside: Mapping[str, Timing]) -> SideEvents:
    swings = lever_swings(inside, sheet, outside)
    timing = time_side(standing_inside(inside, sheet, outside))
    return replace(_of_side(INSIDE, timing), levers=swings)


def _of_side(side: str, timing: Timing) -> SideEvents:
    mechanism = timing.standing.mechanism
    admits = bool(mechanism.watched.admits)
    places = events_of(timing, admits)
    equal = timing.ports.middle is None
    missing = tuple(_missing(timing, admits))
    return SideEvents(side, mechanism, places, timing.middle, equal, missing)


def _locked(timing: Timing, side: str) -> Iterator[Problem]:
    """Yield the places at which the gear does not go all the way round, each as a problem."""
    reverser = timing.standing.mechanism.reverser
    whose = "" if side == "only" else f"{side}-hand side: "
    for place in timing.standing.places:
        key = f"{reverser.key}.{place.at}" if reverser and isinstance(place.at, str) else ""
        if key or reverser is None or not reverser.named:
            yield Problem(
                key,
                f"{whose}the gear does not go all the way round here, so it has no events; "
                "tightspot check says where it locks",
            )


def _refuse_laps(sheet: Sheet, side: str, timing: Timing) -> None:
    """Refuse laps that no place of the reverser ever uncovers.

    Raises
    ------
    SheetError
        Where there is one.
    """
    travel = max(value for value in timing.span(VALVE).tolist() if math.isfinite(value))
    laps = {"steam_lap": timing.ports.steam_lap, "exhaust_lap": timing.ports.exhaust_lap}
    problems = []
    for name, lap in laps.items():
        if lap is not None and lap >= travel / 2:
            own, lengths = f"{side}.valve.{name}" in sheet.dimensions[side], sheet.lengths
            problems.append(
                Problem(
                    f"{side}.valve.{name}" if own else f"valve.{name}",
                    "should be less than half of the valve's travel, "
                    f"{lengths.number(travel)} at the most, or no port ever opens",
                    lengths.plainly(lap),
                )
            )
    if problems:
        raise SheetError(sheet.source, problems)


def _missing(timing: Timing, admits: bool) -> Iterator[Missing]:
    """Yield what the sheet does not give."""
    ports = timing.ports
    if not admits:
        yield Missing.ADMISSION
    for value, what in (
        (ports.steam_lap, Missing.STEAM_LAP),
        (ports.exhaust_lap, Missing.EXHAUST_LAP),
        (ports.width, Missing.PORT),
    ):
        if value is None:
            yield what
