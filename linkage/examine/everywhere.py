"""One side at every place of its reverser: what is worst, and where.

The places that have names are examined like any other, as far as parts move otherwise there.
Between them `clearance.survey_places` has bounds; where something is worse than at all of them
that place is examined too. A loose eccentric stands at either stop and nowhere between. Of each
thing that can be wrong the place is told where it is worst.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import cast

import numpy as np

from linkage.arrangements import build
from linkage.clearance import Least, PlacesSurvey, survey_crank, survey_places
from linkage.errors import AssemblyError
from linkage.examine.side import SideFindings, examine_side
from linkage.kinematics import follow, solve_at, swing_of
from linkage.mechanism import SAME_PLACE, Reverser
from linkage.sheet import Sheet, set_running
from linkage.tightspots import (
    CannotClose,
    RunsOff,
    TightSpot,
    gravity,
    rank,
    thing_of,
)

_WORSE = 0.01  # what is worse by no more than this between the named places is not looked at [mm]
_STILL = 1e-9  # what stands elsewhere by no more stands where it did [mm, rad]
_MOST = 4  # places between those named that are examined


@dataclass(frozen=True)
class Everywhere:
    """What was found out about one side at every place of its reverser."""

    # by place, that where the sheet has it too; those named, and where else something is worst
    at: Mapping[str | float, SideFindings]
    here: str | float  # the place where the sheet has it
    survey: PlacesSurvey  # what is least between them
    spots: tuple[TightSpot, ...]  # each at the place where it is worst, worst first
    # at which places with names the gear cannot be put together at all; not among `at`
    shut: tuple[CannotClose, ...] = ()

    def of(self, side: str) -> Everywhere:
        """Return it as that of another side that is the same."""
        at = {place: one.of(side) for place, one in self.at.items()}
        spots, shut = (tuple(replace(s, side=side) for s in ss) for ss in (self.spots, self.shut))
        return replace(self, at=at, spots=spots, shut=cast(tuple[CannotClose, ...], shut))

    def also(self, spot: TightSpot) -> tuple[str, ...]:
        """Return the other places with names at which the same thing is wrong."""
        thing = thing_of(spot)
        return tuple(
            place
            for place, side in self.at.items()
            if isinstance(place, str) and place != spot.place
            if any(thing_of(other) == thing for other in side.spots)
        )

    @property
    def nearest(self) -> Mapping[tuple[str, str], tuple[float, str | float]]:
        """Of the pairs that move with the reverser the least clearance [mm], and at which place."""
        found: dict[tuple[str, str], tuple[float, str | float]] = {}
        for place, side in self.at.items():
            for pair in side.survey.pairs:
                if self.survey.moved & set(pair.parts):
                    held = found.get(pair.parts, (float("inf"), place))
                    # equally near at several: where the sheet has it
                    if pair.least < held[0] - SAME or (
                        place == self.here and pair.least < held[0] + SAME
                    ):
                        found[pair.parts] = pair.least, place
        return found


SAME = 1e-6
"""Clearances that differ by less are the same [mm]."""


def examine_everywhere(
    sheet: Sheet, here: SideFindings, held: Iterable[Everywhere] = ()
) -> Everywhere | None:
    """Find out what is worst of a side at any place of its reverser; None where it has none.

    `held`: what was found out about sides of which one may be the same.
    """
    reverser = here.mechanism.reverser
    if reverser is None:
        return None
    called = reverser.called(reverser.stands)
    for one in held:
        if one.here == called and one.at[called].mechanism == here.mechanism:
            return one.of(here.side)
    swing = swing_of(here.course)
    if swing is not None:
        survey = survey_places(swing, sheet.wanted_clearance)
    elif reverser.pin:
        survey = _survey_stops(sheet, here, reverser)
    else:
        return None
    at, shut = {called: _labelled(here, survey, called)}, list[CannotClose]()
    for name, _ in reverser.named:
        if name in at:
            continue
        try:
            at[name] = _at(sheet, here, survey, name)
        except AssemblyError as error:
            shut.append(_cannot_close(here.side, error, name))
    for angle in _worse_between(reverser, survey, tuple(at.values())):
        at[angle] = _at(sheet, here, survey, angle)
    return Everywhere(at, called, survey, rank((*_worst(at, called), *shut)), tuple(shut))


def _survey_stops(sheet: Sheet, here: SideFindings, reverser: Reverser) -> PlacesSurvey:
    """Return what moves otherwise at another stop: there is nothing between them to be looked at.

    A stop at which it cannot be put together tells nothing.
    """
    moved: set[str] = set()
    for name, _ in reverser.named:
        try:
            there = follow(build(set_running(sheet, name), here.side)[here.side])
        except AssemblyError:
            continue
        motion = solve_at(there, survey_crank())
        moved |= {part for part, pose in motion.poses.items()
                  if not np.allclose(pose, here.motion.poses[part], rtol=0, atol=_STILL,
                                     equal_nan=True)}  # fmt: skip
    joints = {joint.name: {joint.a.part, joint.b.part} for joint in here.mechanism.joints}
    nowhere = Least(math.inf, 0.0, 0.0)
    rooms = {
        (travel.joint, forward): nowhere
        for travel in here.mechanism.travels
        for forward in (True, False)
        if joints[travel.joint] & moved
    }
    return PlacesSurvey(frozenset(moved), {}, rooms, "proven")


def _cannot_close(side: str, error: AssemblyError, place: str) -> CannotClose:
    """Return the finding that a gear cannot be put together at a place, whatever the crank does."""
    return CannotClose(side, error.parts, 0.0, 0.0, 2 * math.pi, gap=error.gap, place=place)


def _at(sheet: Sheet, here: SideFindings, survey: PlacesSurvey, place: str | float) -> SideFindings:
    """Find out about a side at a place; of what is the same there, as it was found."""
    mechanism = build(set_running(sheet, place), here.side)[here.side]
    found = examine_side(here.side, mechanism, sheet.wanted_clearance, here, survey.moved)
    return _labelled(replace(found, curves=here.curves), survey, place)


def _labelled(found: SideFindings, survey: PlacesSurvey, place: str | float) -> SideFindings:
    """Note on the tight spots that change with the reverser where it stands."""
    spots = tuple(
        replace(spot, place=place) if _changes(spot, survey) else replace(spot, place=None)
        for spot in found.spots
    )
    return replace(found, spots=spots, place=place)


def _changes(spot: TightSpot, survey: PlacesSurvey) -> bool:
    """Tell whether a tight spot is another at another place of the reverser."""
    if isinstance(spot, RunsOff):
        return (spot.run_off.travel.joint, spot.run_off.forward) in survey.rooms
    return bool(survey.moved & set(spot.parts))


def _worse_between(
    reverser: Reverser, survey: PlacesSurvey, named: tuple[SideFindings, ...]
) -> Iterator[float]:
    """Yield the places, none of those with names, at which something too near is nearest."""
    pairs: dict[tuple[str, str], float] = {}
    for side in named:
        for pair in side.survey.pairs:
            pairs[pair.parts] = min(pairs.get(pair.parts, float("inf")), pair.least)
    asked = {pair.parts: pair.asked for pair in named[0].survey.compared}
    worse = [
        least
        for parts, least in survey.pairs.items()
        if least.least < min(asked.get(parts, 0.0), pairs.get(parts, float("inf")) - _WORSE)
    ]
    beyond: dict[tuple[str, bool], float] = {}
    for side in named:
        for spot in side.spots:
            if isinstance(spot, RunsOff):
                key = spot.run_off.travel.joint, spot.run_off.forward
                beyond[key] = min(beyond.get(key, 0.0), -spot.run_off.beyond)
    worse += [
        least for end, least in survey.rooms.items() if least.least < beyond.get(end, 0.0) - _WORSE
    ]
    found: list[float] = []
    for least in sorted(worse, key=lambda one: one.least):
        angle = reverser.stands + reverser.sense * least.turned
        if all(abs(angle - other) > SAME_PLACE for other in found) and len(found) < _MOST:
            found.append(angle)
    yield from found


def _worst(at: Mapping[str | float, SideFindings], here: str | float) -> Iterator[TightSpot]:
    """Yield of each thing that is wrong what is found at the place at which it is worst."""
    yield from (spot for spot in at[here].spots if spot.place is None)
    found: dict[object, dict[object, list[TightSpot]]] = {}
    for place, side in at.items():
        for spot in side.spots:
            if spot.place is not None:
                found.setdefault(thing_of(spot), {}).setdefault(place, []).append(spot)
    for places in found.values():
        yield from min(places.values(), key=lambda spots: min(map(gravity, spots)))
