"""What the motion makes doubtful of the sheet: no finding, for nothing binds, but asked about.

A valve goes forward with the crank where b of its first harmonic is above nought (`unlike.py`).
Where both sides are set to run back at the place for full forward gear, by a tenth of their travel
and more, there is nothing to tell the sides apart by: the places, or which way the ports open, or
what drives both valves, is the other way about.

A port is uncovered by what the valve goes from its middle, half of its travel, less its lap. With a
lap of half of the greatest travel of all places and more none ever opens.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from linkage.examine.everywhere import Everywhere
from linkage.examine.side import SideFindings
from linkage.examine.unlike import FORWARD, SET, ByPlace, figures_everywhere
from linkage.valve import Figure


@dataclass(frozen=True)
class RunsBack:
    """In full forward gear every valve is set to run the engine back."""

    sides: tuple[str, ...]


@dataclass(frozen=True)
class NeverOpens:
    """A lap that no travel of its valve uncovers, on one side or on both alike."""

    sides: tuple[str, ...]
    lap: Literal["steam_lap", "exhaust_lap"]
    is_: float  # as the sheet has it [mm]
    travel: float  # the most at any place of the reverser [mm]


Asked = RunsBack | NeverOpens


def asked_of(
    sides: Mapping[str, SideFindings], everywhere: Mapping[str, Everywhere]
) -> tuple[Asked, ...]:
    """Return what is to be asked about the valves of an engine."""
    held = {
        name: figures_everywhere(side, everywhere.get(name))
        for name, side in sides.items()
        if side.mechanism.watched.valve
    }
    shut: dict[NeverOpens, NeverOpens] = {}
    for one in (one for name in held for one in _shut(sides[name], held[name])):
        alike = replace(one, sides=(), travel=round(one.travel, 6))
        before = shut.get(alike)
        shut[alike] = replace(one, sides=(*before.sides, *one.sides)) if before else one
    asked: list[Asked] = [*shut.values()]
    if held and all(_runs_back(sides[name], held[name]) for name in held):
        asked.insert(0, RunsBack(tuple(held)))
    return tuple(asked)


def _runs_back(side: SideFindings, figures: ByPlace) -> bool:
    """Tell whether a valve runs the engine back in full forward gear, as far as that is known."""
    if not side.mechanism.watched.admits or FORWARD not in figures:
        return False
    there = figures[FORWARD]
    return there[Figure.RUNS] < -SET * there[Figure.TRAVEL]


def _shut(side: SideFindings, figures: ByPlace) -> list[NeverOpens]:
    travels = [there[Figure.TRAVEL] for there in figures.values()]
    most = max((one for one in travels if math.isfinite(one)), default=math.inf)
    ports = side.mechanism.watched.ports
    laps: tuple[tuple[Literal["steam_lap", "exhaust_lap"], float | None], ...] = (
        ("steam_lap", ports.steam_lap), ("exhaust_lap", ports.exhaust_lap),
    )  # fmt: skip
    return [
        NeverOpens((side.side,), name, lap, most)
        for name, lap in laps
        if lap is not None and lap >= most / 2
    ]
