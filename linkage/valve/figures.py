"""The figures by which a repairer tells one motion from another.

Of a slide with the travel s(t) round the turn::

    travel = max s - min s            mid-position = (max s + min s) / 2

and of the link, with the angle a(t) it is turned from upright, likewise its swing and the middle of
it. The dead centres are where the crosshead's own travel is greatest (front) and least (back), for
inclined or offset cylinders too. A valve's lead is how far its port is open there. Ports and laps
stand on no sheet, but they stay where they are when a part is changed, so that the lead at an end
changes by as much as the valve's place at that dead centre does, counted the way that opens the
port; and half of what lies between its places at the two is lap and lead together.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

import numpy as np

from linkage.arrays import Array, Index
from linkage.kinematics import Motion
from linkage.mechanism import Watched


class Figure(Enum):
    """What is told of a motion, as data for other programs names it, without the unit."""

    SWING = "link_swing"
    """Of the link, from one end of it to the other [rad]."""
    SWING_MIDDLE = "link_swing_middle"
    """How far from upright the middle of the swing is, foot ahead [rad]."""
    TRAVEL = "valve_travel"
    MIDDLE = "valve_middle"
    """Mid-position of the valve, ahead of the axle along its spindle."""
    SETTING = "valve_setting"
    """How far ahead the middle of its travel is of where the valve stands in its middle over the
    ports, where the sheet says that: by what it is set in its nuts. Told of two sides alone."""
    RUNS = "valve_runs"
    """How far its first harmonic goes with the crank, a quarter of a turn from the piston's: above
    nought where the valve is set to run forward, below it where it is set to run back, as far as
    the sheet says which way the ports open. Told of two sides alone."""
    LAP_AND_LEAD = "lap_and_lead"
    """Half of how far the valve goes from one dead centre to the other."""
    LEAD_FRONT = "lead_front"
    """How far the valve stands at the front dead centre the way that opens the front port, from
    where it does not matter: only what it changes by is the lead's."""
    LEAD_BACK = "lead_back"
    AT_FRONT = "valve_at_front_dead_centre"
    """Where the valve stands at the front dead centre, ahead of the axle along its spindle: told in
    place of lead where the sheet does not say which way the ports open."""
    AT_BACK = "valve_at_back_dead_centre"
    STROKE = "stroke"
    FRONT = "crosshead_at_front_dead_centre"
    """Where the crosshead's pin stands at the front dead centre, ahead of the axle."""
    BACK = "crosshead_at_back_dead_centre"


@dataclass(frozen=True)
class Measure:
    """How a figure is measured."""

    degrees: bool = False  # whether it is an angle, else a length [mm]
    change: bool = False  # whether it is counted from anywhere, so that only its change tells


FIGURES: Mapping[Figure, Measure] = {
    Figure.SWING: Measure(degrees=True),
    Figure.SWING_MIDDLE: Measure(degrees=True),
    Figure.TRAVEL: Measure(),
    Figure.MIDDLE: Measure(),
    Figure.LAP_AND_LEAD: Measure(),
    Figure.LEAD_FRONT: Measure(change=True),
    Figure.LEAD_BACK: Measure(change=True),
    Figure.AT_FRONT: Measure(),
    Figure.AT_BACK: Measure(),
    Figure.STROKE: Measure(),
    Figure.FRONT: Measure(),
    Figure.BACK: Measure(),
}
"""All figures that are told of one motion, in the order in which they are."""


def figures_told(watched: Watched) -> tuple[Figure, ...]:
    """Return which figures there are of a mechanism, by what its motion is told by."""
    link = (Figure.SWING, Figure.SWING_MIDDLE) if watched.link else ()
    valve = (Figure.TRAVEL, Figure.MIDDLE) if watched.valve else ()
    leads = (Figure.LAP_AND_LEAD, Figure.LEAD_FRONT, Figure.LEAD_BACK)
    places = leads if watched.admits else (Figure.AT_FRONT, Figure.AT_BACK)
    ends = places if watched.valve and watched.crosshead else ()
    stroke = (Figure.STROKE, Figure.FRONT, Figure.BACK) if watched.crosshead else ()
    return (*link, *valve, *ends, *stroke)


def figures_of(motion: Motion) -> dict[Figure, Array]:
    """Return the figures of a motion, as far as its mechanism says what to watch.

    Parameters
    ----------
    motion : Motion
        Once round the whole turn at even crank angles from 0, one mechanism or V variants.

    Returns
    -------
    dict of Figure to array, shape () or (V,) [mm or rad]
        Nan where it does not go all the way round.

    Notes
    -----
    An extreme is that of the parabola through the highest sample and its neighbours. With 720
    samples it is within 1e-8 of a sine's height and its place within 1e-6 rad.
    """
    watched = motion.course.mechanism.watched
    found: dict[Figure, Array] = {}
    if watched.link:
        angle = np.unwrap(np.nan_to_num(motion.poses[watched.link][..., 2]), axis=-1)
        angle -= 2 * np.pi * np.round(angle.mean(axis=-1, keepdims=True) / (2 * np.pi))
        found[Figure.SWING], found[Figure.SWING_MIDDLE] = _span(angle)
    if watched.valve:
        found[Figure.TRAVEL], found[Figure.MIDDLE] = _span(motion.travel(watched.valve))
    if watched.crosshead:
        place = motion.travel(watched.crosshead)
        front, back = (_vertex(way * place) for way in (1.0, -1.0))
        if watched.valve:
            valve, way = motion.travel(watched.valve), watched.admits
            at_front, at_back = (_at(valve, end) for end in (front, back))
            found[Figure.AT_FRONT], found[Figure.AT_BACK] = at_front, at_back
            found[Figure.LEAD_FRONT], found[Figure.LEAD_BACK] = way * at_front, -way * at_back
            found[Figure.LAP_AND_LEAD] = way * (at_front - at_back) / 2
        found[Figure.STROKE] = front.value + back.value
        found[Figure.FRONT], found[Figure.BACK] = front.value, -back.value
    whole = motion.reached.all(axis=-1)
    return {name: np.where(whole, found[name], np.nan) for name in figures_told(watched)}


@dataclass(frozen=True)
class _Vertex:
    """The greatest value of a curve, and where: nearest sample and steps beyond it."""

    value: Array
    sample: Index
    beyond: Array


def _near(curve: Array, sample: Index) -> tuple[Array, Array, Array]:
    """Return a curve's values at a sample and at its neighbours, round the turn."""
    count = curve.shape[-1]
    before, here, after = (
        np.take_along_axis(curve, (sample[..., None] + by) % count, axis=-1)[..., 0]
        for by in (-1, 0, 1)
    )
    return before, here, after


def _vertex(curve: Array) -> _Vertex:
    """Return the greatest value of a curve, by the parabola through three samples."""
    sample = np.argmax(curve, axis=-1)
    before, here, after = _near(curve, sample)
    bent = before - 2 * here + after
    with np.errstate(invalid="ignore", divide="ignore"):
        beyond = np.where(bent < 0, (before - after) / (2 * bent), 0.0)
    return _Vertex(here - (before - after) * beyond / 4, np.asarray(sample), beyond)


def _at(curve: Array, vertex: _Vertex) -> Array:
    """Return a curve's value at the place of another's greatest."""
    before, here, after = _near(curve, vertex.sample)
    u = vertex.beyond
    return here + u * (after - before) / 2 + u**2 * (before - 2 * here + after) / 2


def _span(curve: Array) -> tuple[Array, Array]:
    """Return how far a curve goes from end to end, and the middle of that."""
    most, least = _vertex(curve).value, -_vertex(-curve).value
    return most - least, (most + least) / 2
