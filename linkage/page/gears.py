"""The sides of a page with the reverser where tight spots are worst."""

from __future__ import annotations

from collections.abc import Mapping

from linkage.examine import Examination
from linkage.kinematics import Motion
from linkage.page.poses import Stops, motion_of
from linkage.tightspots import TightSpot


class Gears:
    """The motion at the stops with the reverser where tight spots are worst."""

    def __init__(
        self, examination: Examination, stops: Stops, motions: Mapping[str, Motion]
    ) -> None:
        here = {held.here for held in examination.everywhere.values()}
        places = dict.fromkeys(spot.place for spot in examination.spots if spot.place is not None)
        self._motions = motions
        self.places: list[str | float] = []
        self.others: list[tuple[Examination, Mapping[str, Motion]]] = []
        for place in places:
            there = examination.set_to(place)
            moved = {side: motion_of(there, side, stops) for side in there.sides}
            # where a loop opens there alone, the page stops as the sheet has it
            if place not in here and all(motion.reached.all() for motion in moved.values()):
                self.places.append(place)
                self.others.append((there, moved))

    def number(self, spot: TightSpot) -> int | None:
        """Return which of the others a spot is at; None for where the sheet has the reverser."""
        return self.places.index(spot.place) if spot.place in self.places else None

    def of(self, spot: TightSpot) -> Mapping[str, Motion]:
        """Return the motion of each side at the place of a spot."""
        number = self.number(spot)
        return self._motions if number is None else self.others[number][1]
