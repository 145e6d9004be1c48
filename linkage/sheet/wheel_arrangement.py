"""The coupled axles that a blank sheet is to have, and which of them is driven."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Self

from linkage.tables.coupled import DRIVING

LARGEST = 5
"""Coupled axles that a blank sheet is written for at most."""
_WHYTE = re.compile(r"(\d+)-(\d+)-(\d+)")
_BETWEEN = ("second", "third", "fourth")
_RODS = {1: ("side",), 2: ("front", "rear"), 3: ("front", "middle", "rear"),
         4: ("front", "second", "third", "rear")}  # fmt: skip


@dataclass(frozen=True)
class WheelArrangement:
    """The coupled axles of an engine.

    Attributes
    ----------
    coupled : int
        How many, from two on.
    driven : int
        Which of them the connecting rod drives, counted from the front.
    """

    coupled: int
    driven: int

    @classmethod
    def of(cls, whyte: str, driven: int | None = None) -> Self:
        """Return it by leading, coupled and trailing wheels, such as "2-6-0".

        `driven`: the second coupled axle from the front where not given.

        Raises
        ------
        ValueError
            Where it is none, or none with two to five coupled axles.
        """
        match = _WHYTE.fullmatch(whyte)
        if match is None or any(int(wheels) % 2 for wheels in match.groups()):
            raise ValueError(f'{whyte} is no wheel arrangement, such as "2-6-0"')
        coupled = int(match[2]) // 2
        if not 2 <= coupled <= LARGEST:
            raise ValueError(f"{whyte} has {coupled} coupled axles; 2 to {LARGEST} can be written")
        which = driven or 2
        if not 1 <= which <= coupled:
            raise ValueError(f"coupled axle {which} is none of {coupled}")
        return cls(coupled, which)

    @classmethod
    def of_axles(cls, others: Iterable[str]) -> Self | None:
        """Return that with these axles beside the driving one; None where they are another's."""
        wanted = {DRIVING, *others}
        several = (cls(n, k) for n in range(2, LARGEST + 1) for k in range(1, n + 1))
        return next((one for one in several if set(one.names) == wanted), None)

    @property
    def names(self) -> tuple[str, ...]:
        """The axles, front to rear."""
        inner = _BETWEEN[: self.coupled - 2]
        names = ["leading", *inner, "trailing"]
        names[self.driven - 1] = DRIVING
        return tuple(names)

    def axles(self, apart: float) -> dict[str, dict[str, Any]]:
        """Return what the table of each axle but the driving one says, so far apart [mm]."""
        return {
            name: {"ahead": (self.driven - 1 - k) * apart}
            if k < self.driven - 1
            else {"back": (k - self.driven + 1) * apart}
            for k, name in enumerate(self.names)
            if name != DRIVING
        }

    def rods(self) -> dict[str, dict[str, Any]]:
        """Return what the table of each coupling rod says: its axles, front rod first."""
        names = self.names
        return {
            rod: {"from": names[k + 1], "to": names[k]}
            for k, rod in enumerate(_RODS[self.coupled - 1])
        }
