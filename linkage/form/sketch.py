"""What a measuring drawing is made of: outlines, centres, and where the calliper goes."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from linkage.mechanism import Point

Polygon = Sequence[Point]


@dataclass(frozen=True)
class Span:
    """A length from one place to another."""

    key: str  # of the sheet
    start: Point  # [mm] the two places, in the sketch's axes
    end: Point
    # where its line is drawn: along x "below" or "above", along y to the "left" or "right", or
    # "here", straight from place to place
    side: str = "below"

    @property
    def points(self) -> tuple[Point, ...]:
        """What must be on the paper [mm]."""
        return self.start, self.end


@dataclass(frozen=True)
class Arc:
    """An angle."""

    key: str  # of the sheet
    centre: Point  # [mm] about which it is measured
    begin: float  # [rad] counter-clockwise from one leg to the other
    end: float
    radius: float  # [mm] of the arc drawn

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
    """Metal of one layer."""

    shapes: Sequence[Polygon]  # [mm] drawn as one
    # "part": what is measured; "about": what is only there to find one's way; "dashed": another
    # place of the same; "hole": where there is no metal
    look: str = "part"


@dataclass(frozen=True)
class Word:
    """The name of a place [mm], written to one side of it: "left", "right", "above", "below"."""

    text: str
    spot: Point
    side: str = "right"


@dataclass(frozen=True)
class Sketch:
    """One view of one or a few parts."""

    title: str  # which view of what
    outlines: tuple[Outline, ...]  # painted in this order
    marks: tuple[Mark, ...]  # where the calliper goes
    centres: tuple[Point, ...] = ()  # [mm] of holes and pins: crosses
    lines: tuple[tuple[Point, Point], ...] = ()  # [mm] centre lines
    words: tuple[Word, ...] = ()  # names of places
    plan: bool = False  # true where y is outward from the wheel's face, and runs down the paper
    front: str = "right"  # where the engine's front is: or "left", "up"; "" where it has none
    height: float = 44.0  # [mm] the most it may take of the paper

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
    """The sketches of one table of the sheet."""

    rows: tuple[tuple[Sketch, ...], ...]  # side by side, and below one another
    # true where all are of one scale, and x is the same all the way down: a part in side view over
    # its plan
    aligned: bool = False

    @property
    def marks(self) -> list[Mark]:
        """All places of the calliper."""
        return [mark for row in self.rows for sketch in row for mark in sketch.marks]
