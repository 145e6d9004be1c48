"""What a measuring drawing is made of: outlines, centres, and where the calliper goes."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from linkage.mechanism import Point

Polygon = Sequence[Point]


@dataclass(frozen=True)
class Span:
    """A length from one place to another.

    Attributes
    ----------
    key : str
        Of the sheet.
    start, end : (float, float) [mm]
        The two places, in the sketch's axes.
    side : {"below", "above", "left", "right", "here"}
        Where its line is drawn: along x below or above, along y to the left or right, or straight
        from place to place.
    """

    key: str
    start: Point
    end: Point
    side: str = "below"

    @property
    def points(self) -> tuple[Point, ...]:
        """What must be on the paper [mm]."""
        return self.start, self.end


@dataclass(frozen=True)
class Arc:
    """An angle.

    Attributes
    ----------
    key : str
        Of the sheet.
    centre : (float, float) [mm]
        About which it is measured.
    begin, end : float [rad]
        Counter-clockwise from one leg to the other.
    radius : float [mm]
        Of the arc drawn.
    """

    key: str
    centre: Point
    begin: float
    end: float
    radius: float

    @property
    def points(self) -> tuple[Point, ...]:
        """What must be on the paper [mm]."""
        return self.centre, self.at(self.begin), self.at(self.end), self.at(self.middle)

    @property
    def middle(self) -> float:
        """Half-way from leg to leg [rad]."""
        return (self.begin + self.end) / 2

    def at(self, angle: float) -> Point:
        """Return a point of the arc [mm]."""
        x, y = self.centre
        return x + self.radius * math.cos(angle), y + self.radius * math.sin(angle)


@dataclass(frozen=True)
class Curve:
    """A length along a curved line: its points in order [mm]; chords of one circle."""

    key: str
    line: tuple[Point, ...]

    @property
    def points(self) -> tuple[Point, ...]:
        """What must be on the paper [mm]."""
        return self.line


@dataclass(frozen=True)
class Spot:
    """A place given by how far ahead and up it is [mm]."""

    key: str
    spot: Point

    @property
    def points(self) -> tuple[Point, ...]:
        """What must be on the paper [mm]."""
        return (self.spot,)


Mark = Span | Arc | Curve | Spot


@dataclass(frozen=True)
class Outline:
    """Metal of one layer.

    Attributes
    ----------
    shapes : sequence of sequence of (float, float) [mm]
        Drawn as one.
    look : {"part", "about", "dashed", "hole"}
        What is measured, what is only there to find one's way, another place of the same, or
        where there is no metal.
    """

    shapes: Sequence[Polygon]
    look: str = "part"


@dataclass(frozen=True)
class Word:
    """The name of a place [mm], written to one side of it: "left", "right", "above", "below"."""

    text: str
    spot: Point
    side: str = "right"


@dataclass(frozen=True)
class Sketch:
    """One view of one or a few parts.

    Attributes
    ----------
    title : str
        Which view of what.
    outlines : tuple of Outline
        Painted in this order.
    marks : tuple of Mark
        Where the calliper goes.
    centres : tuple of (float, float) [mm]
        Of holes and pins: crosses.
    lines : tuple of ((float, float), (float, float)) [mm]
        Centre lines.
    words : tuple of Word
        Names of places.
    plan : bool
        True where y is outward from the wheel's face, and runs down the paper.
    front : {"right", "left", "up", ""}
        Where the engine's front is; "" for a part that has none as it is drawn.
    height : float [mm]
        The most it may take of the paper.
    """

    title: str
    outlines: tuple[Outline, ...]
    marks: tuple[Mark, ...]
    centres: tuple[Point, ...] = ()
    lines: tuple[tuple[Point, Point], ...] = ()
    words: tuple[Word, ...] = ()
    plan: bool = False
    front: str = "right"
    height: float = 44.0

    @property
    def points(self) -> Iterable[Point]:
        """Everything that must be on the paper [mm]."""
        for outline in self.outlines:
            for shape in outline.shapes:
                yield from shape
        for mark in self.marks:
            yield from mark.points
        for line in self.lines:
            yield from line
        yield from self.centres
        if self.plan:
            xs = [x for outline in self.outlines for shape in outline.shapes for x, _ in shape]
            yield from ((min(xs), 0.0), (max(xs), 0.0))


@dataclass(frozen=True)
class Detail:
    """The sketches of one table of the sheet.

    Attributes
    ----------
    rows : tuple of tuple of Sketch
        Side by side, and below one another.
    aligned : bool
        True where all are of one scale, and x is the same all the way down: a part in side view
        over its plan.
    """

    rows: tuple[tuple[Sketch, ...], ...]
    aligned: bool = False

    @property
    def marks(self) -> list[Mark]:
        """All places of the calliper."""
        return [mark for row in self.rows for sketch in row for mark in sketch.marks]
