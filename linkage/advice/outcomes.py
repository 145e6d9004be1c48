"""What a cure leads to: on its own side, and at the other places of the reverser."""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from dataclasses import dataclass, replace

from linkage.advice.concern import was_there
from linkage.advice.cure import Loss, Outcome
from linkage.advice.trial import at_place, examined_with, on_branch
from linkage.errors import LinkageError
from linkage.examine import Examination, SideFindings
from linkage.mechanism import Mechanism
from linkage.tightspots import Close, Fouls, TightSpot, rank, thing_of

_HARDLY = 0.005  # a pair that loses less than this is not called worse off [mm]


def outcome_of(
    examination: Examination, spot: TightSpot, before: SideFindings, after: SideFindings
) -> Outcome | None:
    """Return what a cure leads to; None where it does not cure."""
    if not on_branch(examination, spot.side, before.course, after.course):
        return None
    pair = frozenset(spot.parts)
    meets = isinstance(spot, Fouls | Close)
    own = (Fouls, Close) if meets else type(spot)
    if any(isinstance(s, own) and frozenset(s.parts) == pair for s in after.spots):
        return None
    reach = after.survey.reach
    leaves = next((p.least for p in after.survey.pairs if frozenset(p.parts) == pair), reach)
    return Outcome(
        leaves if meets else None,
        rank(spoilt(before, after)),
        gravest(losses_of(before, after, pair)),
    )


@dataclass(frozen=True)
class Others:
    """What a cure leads to at the other places of the reverser."""

    spoils: tuple[TightSpot, ...] = ()
    left: frozenset[Hashable] = frozenset()


def at_other_places(
    examination: Examination, spot: TightSpot, mechanism: Mechanism
) -> Others | None:
    """Return what a cure leads to at the other places; None where it does not cure there."""
    held = examination.everywhere.get(spot.side)
    if held is None:
        return Others()
    new: list[TightSpot] = []
    left: set[Hashable] = set()
    for place, before in held.at.items():
        if place == examination.sides[spot.side].place:
            continue
        try:
            after = examined_with(examination, spot.side, at_place(mechanism, before), place)
        except LinkageError:
            return None
        if spot.place is not None and thing_of(spot) in map(thing_of, after.spots):
            return None
        new += [replace(one, place=place) for one in spoilt(before, after)]
        left |= set(map(thing_of, after.spots))
    once = {(type(one), one.parts): one for one in reversed(rank(new))}
    return Others(rank(once.values()), frozenset(left))


def gone_with_it(spot: TightSpot, before: SideFindings, after: SideFindings) -> int:
    """Return how many other faults of a side, one a pair of parts, a cure does away with."""
    left = {frozenset(one.parts) for one in after.spots}
    return len({frozenset(one.parts) for one in before.spots} - left - {frozenset(spot.parts)})


def spoilt(before: SideFindings, after: SideFindings) -> list[TightSpot]:
    """Return the tight spots of a side that were not there before, one a pair and kind."""
    new = (s for s in reversed(after.spots) if not was_there(s, before.spots, _HARDLY))
    return list({(type(spot), spot.parts): spot for spot in new}.values())


def losses_of(before: SideFindings, after: SideFindings, own: frozenset[str]) -> list[Loss]:
    """Return the pairs of a side, but one, that have less air than before."""
    was = {pair.parts: pair.least for pair in before.survey.pairs}
    return [
        Loss(pair.parts, was.get(pair.parts, before.survey.reach), pair.least)
        for pair in after.survey.pairs
        if pair.least < was.get(pair.parts, before.survey.reach) - _HARDLY
        and frozenset(pair.parts) != own
    ]


def gravest(losses: Iterable[Loss]) -> tuple[Loss, ...]:
    """Return losses, those that leave the least air first."""
    return tuple(sorted(losses, key=lambda loss: loss.after))
