"""What a picture is made of: frozen values, in the order in which they are painted.

Places are in the axes of the view, mm unless the view says otherwise; what is of one size on
paper, whatever the scale, is in points. A view knows its box of paper, so words have places too.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np

from linkage.arrays import Array
from linkage.mechanism import Point
from linkage.scene.style import WORDS, Ground, Ink, Letters, Pen, Sign

Polygon = Sequence[Point]
Measure = Callable[[str, Letters], float]
"""Tells how wide a line of words is [points]; each painter brings its own."""


@dataclass(frozen=True)
class Paper:
    """A box of paper [points], and how wide words are on it."""

    width: float
    height: float
    measure: Measure = field(compare=False, repr=False)


@dataclass(frozen=True)
class Frame:
    """A box of paper and what it shows: x at its left and right edge, y at its lower and upper.

    x falls to the right where a side is seen from outside the left; y falls upwards in a plan.
    """

    paper: Paper
    x: tuple[float, float]
    y: tuple[float, float]

    @property
    def mirrored(self) -> bool:
        """Whether x runs to the left."""
        return self.x[1] < self.x[0]

    def at(self, across: float, up: float, aside: float = 0.0, above: float = 0.0) -> Point:
        """Return the place at a share of the box's width and height, moved on paper.

        `across`, `up` [1]: from the lower left corner. `aside`, `above` [points]: moved to the
        right and upwards.
        """
        across, up = across + aside / self.paper.width, up + above / self.paper.height
        return (
            self.x[0] + across * (self.x[1] - self.x[0]),
            self.y[0] + up * (self.y[1] - self.y[0]),
        )

    def points(self, places: Iterable[Point] | Array) -> Array:
        """Return places [mm], shape (N, 2), as points of paper from the lower left corner."""
        size = np.array([self.paper.width, self.paper.height])
        low = np.array([self.x[0], self.y[0]])
        span = np.array([self.x[1], self.y[1]]) - low
        given = places if isinstance(places, np.ndarray) else np.array(list(places), dtype=float)
        found: Array = (given.reshape(-1, 2) - low) * (size / span)
        return found

    def back(self, x: float, y: float) -> Point:
        """Return the place in the view's axes of a point of paper.

        `x`, `y` [points]: from the lower left corner.
        """
        return self.at(0.0, 0.0, x, y)


@dataclass(frozen=True)
class Shape:
    """Outlines that overlap, inked as one: first all their lines, then all their insides."""

    outlines: tuple[Polygon, ...]
    ink: Ink
    name: str = ""


@dataclass(frozen=True)
class Stroke:
    """A line through places; it breaks off where one is nan."""

    places: Sequence[Point]
    pen: Pen
    name: str = ""


@dataclass(frozen=True)
class Marks:
    """A sign at each of some places."""

    places: Sequence[Point]
    sign: Sign
    name: str = ""


@dataclass(frozen=True)
class Arrow:
    """An arrow: the size of its head [points], bowed by a share of its length, one head or two."""

    tail: Point
    tip: Point
    pen: Pen
    head: float
    bow: float = 0.0
    both: bool = False


@dataclass(frozen=True)
class Words:
    """Words at a place: by their left (-1), middle (0) or right (1) edge, and so upwards."""

    text: str
    place: Point
    letters: Letters = WORDS
    across: int = 0
    up: int = 0
    ground: Ground | None = None


Item = Shape | Stroke | Marks | Arrow | Words


@dataclass(frozen=True)
class Ticks:
    """Figures along the edges of a chart: where they stand, and what is written there."""

    below: Sequence[tuple[float, str]] = ()
    above: Sequence[tuple[float, str]] = ()
    left: Sequence[tuple[float, str]] | None = None  # None for round numbers
    under: str = ""
    over: str = ""


@dataclass(frozen=True)
class View:
    """One picture: its name among those of a page, its title, its frame, and what is in it.

    A chart has ticks; one that is `bare` has no line about it. What is `beside` it is painted last
    and may be outside its frame.
    """

    name: str
    title: str
    frame: Frame
    items: tuple[Item, ...]
    ticks: Ticks | None = None
    bare: bool = False
    beside: tuple[Item, ...] = ()


def circle(centre: Point, radius: float, count: int = 48) -> list[Point]:
    """Return corners of a round outline of a radius, counter-clockwise [mm]."""
    turns = np.arange(count) * 2 * np.pi / count
    ring = np.array(centre) + radius * np.stack((np.cos(turns), np.sin(turns)), axis=-1)
    return [(x, y) for x, y in ring.tolist()]


def wrapped(text: str, letters: Letters, width: float, measure: Measure) -> list[str]:
    """Break a text into lines of no more than a width [points]; a single word may be wider."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and measure(longer, letters) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines
