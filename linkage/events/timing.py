"""The events of one side at many places of its reverser, by closing in on its true motion.

With the valve's travel s, counted from its middle the way that opens the front port, and its laps,
a port is open to steam or to exhaust where these are above nought::

    front   steam   s - steam lap        exhaust   -s - exhaust lap
    back    steam  -s - steam lap        exhaust    s - exhaust lap

They cross nought at admission (steam opens), cut-off (it closes), release (exhaust opens) and
compression (it closes). Time runs with the crank in forward running and against it in backward
running; which of the two a place is set for the valve tells: it goes on opening as the piston
leaves its dead centre. So of the valve's first harmonic, ``s = a cos t + b sin t``, b is above
nought in fore gear and below it in back gear.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import Enum
from functools import cached_property
from typing import Literal

import numpy as np

from linkage.arrays import Array, Index, Mask
from linkage.events.places import DIE, LINK, PISTON, VALVE, Place, Standing
from linkage.mechanism import Ports
from linkage.search import find_crossings, find_minima

End = Literal["front", "back"]
ENDS: tuple[End, End] = ("front", "back")
STEPS = 240
"""Crank angles at which crossings and extremes are looked for, before they are closed in on."""

_TURN = 2 * np.pi
_WITHIN = 1e-6  # events are found this closely [rad]
_FLAT = 1e-3  # extremes: the value is then within 1e-7 of the valve's amplitude [rad]
_BY = 1e-4  # a slope is taken over twice this [rad]
_MID = 0.03  # share of the valve's harmonic that goes with the crank, below which it is mid-gear


class Missing(Enum):
    """What a sheet does not give, by its key, without which some events cannot be told."""

    ADMISSION = "valve.admission"
    STEAM_LAP = "valve.steam_lap"
    EXHAUST_LAP = "valve.exhaust_lap"
    PORT = "valve.port"


@dataclass(frozen=True)
class Event:
    """A port's edge passing the valve's."""

    crank: float  # [rad] that side's own crank angle, within a turn
    # [rad] turned since the dead centre of this end, the way it runs; admission below nought before
    turned: float
    stroke: float  # [1] share of the stroke the piston has gone from this end


@dataclass(frozen=True)
class EndEvents:
    """The events of one end of the cylinder; None for what cannot be told or does not happen."""

    end: End
    lead: float | None  # [mm] how far the port is open to steam at the dead centre
    admission: Event | None
    cut_off: Event | None
    release: Event | None
    compression: Event | None
    opening: float | None  # [mm] the most that the port is open to steam; no more than its width


@dataclass(frozen=True)
class PlaceEvents:
    """What the valve does at one place of the reverser."""

    place: Place
    whole: bool  # whether the gear goes all the way round there; else nothing is told
    ahead: int  # 1 set for forward running, -1 for backward running, 0 for neither
    travel: float  # [mm] of the valve, from end to end
    swing: float | None  # [rad] of the link, from end to end
    slip: float | None  # [mm] of the die in its slot, in all
    lap_and_lead: float | None  # [mm] half of what lies between its places at the dead centres
    # [rad] how much farther ahead the link's foot is at the front dead centre than at the back one
    link_turns: float | None
    ends: tuple[EndEvents, ...]
    # (STEPS,) that side's own crank angle [rad], the share of the stroke the piston is from the
    # front [1], and how far the valve is from its middle the way that opens the front port [mm]
    crank: Array = field(compare=False, repr=False)
    piston: Array = field(compare=False, repr=False)
    valve: Array = field(compare=False, repr=False)

    @property
    def forward(self) -> bool:
        """Whether its events are told for forward running."""
        return self.ahead >= 0

    def end(self, end: End) -> EndEvents:
        """Return the events of one end."""
        return self.ends[ENDS.index(end)]


@dataclass(frozen=True)
class Timing:
    """The events of one side at all places, on their way."""

    standing: Standing
    ports: Ports
    way: int  # which way the valve goes to let steam in at the front: 1 ahead, -1 back
    crank: Array  # (STEPS,) [rad]
    samples: Array  # (4, P, STEPS), as `Standing.read`

    @cached_property
    def whole(self) -> Mask:
        """Where the gear goes all the way round, shape (P,)."""
        return np.asarray(np.isfinite(self.samples[:2]).all(axis=(0, 2)))

    def read(self, crank: Array, place: Index) -> Array:
        """Return what is read at crank angles, shape (E, K) [rad], of a place for each row."""
        rows = np.repeat(place, crank.shape[1])
        return self.standing.read(crank.ravel(), rows).reshape(4, *crank.shape)

    def extremes(self, what: int, sign: float) -> tuple[Array, Array]:
        """Return where something is greatest (`sign` 1) or least (-1) at each place, and how much.

        Shape (P,) each; nan where the gear does not go all the way round.
        """
        at, value = np.full(len(self.whole), np.nan), np.full(len(self.whole), np.nan)
        place = np.flatnonzero(self.whole & np.isfinite(self.samples[what]).all(axis=-1))
        near = np.argmax(sign * self.samples[what, place], axis=-1)
        step = _TURN / STEPS

        def curve(crank: Array) -> Array:
            found: Array = -sign * self.read(crank, place)[what]
            return found

        middle = self.crank[near]
        at[place], least = find_minima(curve, middle - step, middle + step, _FLAT / 8)
        value[place] = -sign * least
        return at, value

    def span(self, what: int) -> Array:
        """Return how far something goes from end to end at each place, shape (P,)."""
        found: Array = self.extremes(what, 1.0)[1] - self.extremes(what, -1.0)[1]
        return found

    @cached_property
    def dead(self) -> Array:
        """The crank angles of the front and the back dead centre, the same everywhere [rad]."""
        place = int(np.argmax(self.whole))
        found = []
        for sign in (1.0, -1.0):
            near = self.crank[np.argmax(sign * self.samples[PISTON, place])]
            low, high = (np.array([near + by * _TURN / STEPS]) for by in (-1.0, 1.0))

            # the top is flat: by its slope, to be as close as all else
            def slope(crank: Array) -> Array:
                rows = [self.read(crank + by, np.array([place]))[PISTON] for by in (_BY, -_BY)]
                found: Array = rows[0] - rows[1]
                return found

            found.append(find_crossings(slope, low, high, _WITHIN)[0])
        return np.array(found)

    @cached_property
    def at_dead(self) -> Array:
        """What is read at either dead centre at each place, shape (4, P, 2)."""
        place = np.arange(len(self.whole))
        return self.read(np.tile(self.dead, (len(place), 1)), place)

    @cached_property
    def middle(self) -> float:
        """The valve's travel in its middle over the ports [mm].

        As the sheet has it; else as it is set for equal leads at the first place that goes round.
        """
        if self.ports.middle is not None:
            return self.ports.middle
        return float(self.at_dead[VALVE, int(np.argmax(self.whole))].mean())

    @cached_property
    def stroke(self) -> tuple[float, float]:
        """The crosshead's travel at the front and at the back dead centre [mm]."""
        front, back = self.at_dead[PISTON, int(np.argmax(self.whole))]
        return float(front), float(back)

    def from_front(self, travel: Array) -> Array:
        """Return a crosshead's travel [mm] as the share of the stroke from the front [1]."""
        front, back = self.stroke
        return (front - travel) / (front - back)

    @cached_property
    def ahead(self) -> Index:
        """Which way each place is set to run: 1 forward, -1 backward, 0 neither, shape (P,).

        Neither too where the sheet does not say which way the ports open.
        """
        if not self.standing.mechanism.watched.admits:
            return np.zeros(len(self.whole), dtype=int)
        valve = self.way * (np.nan_to_num(self.samples[VALVE], nan=self.middle) - self.middle)
        with_, across = (valve * np.sin(self.crank)).sum(-1), (valve * np.cos(self.crank)).sum(-1)
        mid = np.abs(with_) < _MID * np.hypot(with_, across)
        return np.where(mid, 0, np.sign(with_)).astype(int)


def time_side(standing: Standing) -> Timing:
    """Return one side read round the turn at all its places."""
    crank: Array = np.asarray(np.arange(STEPS) * (_TURN / STEPS))
    count = len(standing.places)
    place = np.repeat(np.arange(count), STEPS)
    samples = standing.read(np.tile(crank, count), place).reshape(4, count, STEPS)
    watched = standing.mechanism.watched
    return Timing(standing, watched.ports, watched.admits or 1, crank, samples)


@dataclass(frozen=True)
class _Crossing:
    """A port's edge passed by the valve's: at which place, at which end, which edge, which way."""

    place: int
    end: End
    steam: bool
    opens: bool  # as the crank angle grows
    crank: float  # [rad]
    stroke: float  # [1] from the front


def _crossings(timing: Timing, told: Sequence[tuple[End, bool, float]]) -> list[_Crossing]:
    """Return where ports open and close, all places together.

    `told`: end, whether it is the steam edge, and the lap there [mm].
    """
    rows = []
    for number, (end, steam, lap) in enumerate(told):
        sign = timing.way * (1.0 if (end == "front") == steam else -1.0)
        values = sign * (timing.samples[VALVE] - timing.middle) - lap
        above = values > 0
        change = (above != np.roll(above, -1, axis=-1)) & timing.whole[:, None]
        rows += [(number, sign, lap, p, k, not above[p, k]) for p, k in np.argwhere(change)]
    if not rows:
        return []
    _, signs, laps, places, steps, _ = map(np.array, zip(*rows, strict=True))
    low = timing.crank[steps]

    def curve(crank: Array) -> Array:
        valve = timing.read(crank, places)[VALVE]
        found: Array = signs[:, None] * (valve - timing.middle) - laps[:, None]
        return found

    roots = find_crossings(curve, low, low + _TURN / STEPS, _WITHIN)
    stroke = timing.from_front(timing.read(roots[:, None], places)[PISTON, :, 0])
    return [
        _Crossing(int(p), told[n][0], told[n][1], bool(up), float(at) % _TURN, float(share))
        for (n, _, _, p, _, up), at, share in zip(rows, roots, stroke, strict=True)
    ]


def events_of(timing: Timing, told: bool) -> tuple[PlaceEvents, ...]:
    """Return what the valve does at every place.

    `told`: whether the sheet says which way the ports open; else no port is told of.
    """
    ports = timing.ports
    edges: list[tuple[End, bool, float]] = []
    for end in ENDS if told else ():
        if ports.steam_lap is not None:
            edges.append((end, True, ports.steam_lap))
        if ports.exhaust_lap is not None:
            edges.append((end, False, ports.exhaust_lap))
    crossings = _crossings(timing, edges)
    most = [timing.extremes(VALVE, sign)[1] for sign in (timing.way, -timing.way)]
    travel, swing, slip = timing.span(VALVE), timing.span(LINK), timing.span(DIE)
    found = []
    for number, place in enumerate(timing.standing.places):
        mine = [one for one in crossings if one.place == number]
        at = timing.way * (timing.at_dead[VALVE, number] - timing.middle)
        reach = [sign * timing.way * (most[k][number] - timing.middle)
                 for k, sign in enumerate((1.0, -1.0))]  # fmt: skip
        ahead = int(timing.ahead[number])
        ends = tuple(
            _end(timing, end, mine, ahead, (sign * at[k], reach[k]) if told else None)
            for k, (end, sign) in enumerate(zip(ENDS, (1.0, -1.0), strict=True))
        )
        whole = bool(timing.whole[number])
        found.append(
            PlaceEvents(
                place, whole, ahead, float(travel[number]), _known(swing[number]),
                _known(slip[number]), _known((at[0] - at[1]) / 2 if told else np.nan),
                _known(timing.at_dead[LINK, number, 0] - timing.at_dead[LINK, number, 1]), ends,
                timing.crank, timing.from_front(timing.samples[PISTON, number]),
                timing.way * (timing.samples[VALVE, number] - timing.middle),
            )
        )  # fmt: skip
    return tuple(found)


def _known(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None


def _end(
    timing: Timing,
    end: End,
    crossings: Sequence[_Crossing],
    ahead: int,
    stands: tuple[float, float] | None,
) -> EndEvents:
    """Return the events of one end at one place.

    `stands` [mm]: how far the valve is the way that opens this end's port, at its dead centre and
    at most; None where the sheet does not say which way that is.
    """
    time = -1.0 if ahead < 0 else 1.0
    dead = float(timing.dead[ENDS.index(end)])
    ports = timing.ports
    lead = opening = None
    if stands is not None and ports.steam_lap is not None:
        lead, opening = stands[0] - ports.steam_lap, max(stands[1] - ports.steam_lap, 0.0)
        opening = opening if ports.width is None else min(opening, ports.width)
    mine = [one for one in crossings if one.end == end]
    steam = _passed([one for one in mine if one.steam], time, dead, 0.0)
    exhaust = _passed([one for one in mine if not one.steam], time, dead, np.pi)
    return EndEvents(end, lead, *steam, *exhaust, opening)


def _passed(
    crossings: Sequence[_Crossing], time: float, dead: float, near: float
) -> tuple[Event | None, Event | None]:
    """Return where an edge opens, nearest to so far past the dead centre [rad], and closes next."""

    def turned(one: _Crossing, since: float) -> float:
        return float(since + (time * (one.crank - dead) - since) % _TURN)

    opens = [one for one in crossings if one.opens == (time > 0)]
    closes = [one for one in crossings if one.opens != (time > 0)]
    if not opens or not closes:
        return None, None
    first = min(opens, key=lambda one: abs(turned(one, near - np.pi) - near))
    begin = turned(first, near - np.pi)
    last = min(closes, key=lambda one: turned(one, begin))
    return _event(first, begin), _event(last, turned(last, begin))


def _event(one: _Crossing, turned: float) -> Event:
    share = one.stroke if one.end == "front" else 1.0 - one.stroke
    return Event(one.crank, turned, share)
