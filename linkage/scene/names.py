"""Names written about a view: in rows along its edges, or in among its lines, each to its spot."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from linkage.arrays import Array
from linkage.mechanism import Point
from linkage.scene import style
from linkage.scene.bodies import Body, bodies_of, covers, side_shape
from linkage.scene.drawing import Arrow, Frame, Item, Polygon, Stroke, Words
from linkage.scene.moment import Moment, placed
from linkage.scene.placing import (
    ROW_GAP,
    Box,
    Ground,
    InRow,
    Rows,
    Want,
    nearest,
    place_in_rows,
    place_near,
)
from linkage.scene.style import Letters

_LEVEL = 8.0  # of a row, from the edge of its view [points]
_ENDS = (0.005, 0.995)  # of a row, as shares of the view's width [1]
_FULL = 1.8  # of two rows: with more names than that some may find no room [rows]
_HEAD = 4.5  # of the arrow at the end of a leader [points]
_LEADER = 3.5  # words nearer to their spot than this have no line to it [points]
_HIDES = 4  # points of lines that words may hide which can be shortened
_LINE = 1.25  # height of a box of words [sizes of their letters]


@dataclass(frozen=True)
class Name:
    """What to write, the part it names, the spot it leads to [mm], whether it matters most."""

    text: str
    part: str
    spot: Point
    heavy: bool = False

    @property
    def letters(self) -> Letters:
        """How it is lettered."""
        return style.BOLD if self.heavy else style.NOTE


@dataclass(frozen=True)
class Note:
    """Words for a spot, in among the lines."""

    text: str  # the words
    spots: Sequence[Point]  # [mm] they stand by the one where there is most room
    within: float = math.inf  # [points] how far from the spot they may stand
    # what stands there instead where there is no room for them so near; empty for nothing
    short: str = ""
    letters: Letters = style.NOTE  # how they are lettered
    away: Point | None = None  # [mm] a spot that they should stand away from


def named(
    moment: Moment,
    frame: Frame,
    everything: bool,
    numbers: Mapping[str, str] | None = None,
    more: Sequence[Name] = (),
) -> Iterator[Item]:
    """Yield the names of parts above and below a side view, each with a line to its part.

    `everything`: true to name all parts, not only what the picture is about. `numbers`: what to
    write before a part's name; where not all have room, one name a number.
    """
    before = numbers or {}
    names = [
        replace(name, text=f"{before.get(name.text, '')} {name.text}".strip())
        for name in (*names_of(moment), *more)
        if everything or name.heavy
    ]
    taken = sum(frame.paper.measure(name.text, name.letters) + ROW_GAP for name in names)
    if before and taken > _FULL * frame.paper.width:
        names = list({n.text.partition(" ")[0]: n for n in reversed(names)}.values())[::-1]
    rows = rows_of(frame, names, None if moment.contact is None else moment.contact.spot[1])
    yield from in_rows(frame, names, rows)


def rows_of(frame: Frame, names: Sequence[Name], level: float | None = None) -> Rows:
    """Share names out between the rows above and below a view.

    `level` [mm]: spots of heavy names at or above it belong to the upper row; None for the same as
    of all others, the middle one of the spots.
    """
    if not names:
        return Rows((), (), ())
    start, length = _row(frame)
    middle = float(np.median([name.spot[1] for name in names]))
    spots = frame.points([name.spot for name in names]) - (start, 0.0)
    levels = frame.points(
        [(0.0, middle if level is None or not name.heavy else level) for name in names]
    )
    boxes = [
        InRow(frame.paper.measure(name.text, name.letters), (x, y - zero), name.heavy)
        for name, (x, y), zero in zip(names, spots.tolist(), levels[:, 1].tolist(), strict=True)
    ]
    return place_in_rows(boxes, 0.0, length)


def _row(frame: Frame) -> tuple[float, float]:
    return _ENDS[0] * frame.paper.width, (_ENDS[1] - _ENDS[0]) * frame.paper.width


def in_rows(frame: Frame, names: Sequence[Name], rows: Rows) -> Iterator[Item]:
    """Yield names in their rows, each with an arrow to its spot."""
    for row, top in ((rows.upper, True), (rows.lower, False)):
        for k, middle in row:
            yield from leading(names[k], *row_place(frame, middle, top))


def row_place(frame: Frame, middle: float, top: bool) -> tuple[Point, Point]:
    """Return where the name so far along a row [points] stands, and where its line begins [mm]."""
    x, way = _row(frame)[0] + middle, -1 if top else 1
    y = frame.paper.height - _LEVEL if top else _LEVEL
    return frame.back(x, y), frame.back(x, y + way * (style.TEXT * 0.6))


def leading(name: Name, at: Point, foot: Point) -> Iterator[Item]:
    """Yield a name with an arrow from its foot to its spot."""
    pen = style.LEADER_HEAVY if name.heavy else style.LEADER
    yield Arrow(foot, name.spot, pen, _HEAD)
    yield Words(name.text, at, name.letters)


def names_of(moment: Moment, every: bool = False) -> list[Name]:
    """Return the name of each part, discs too if asked, at the spot where it is best seen."""
    bodies = bodies_of(moment)
    shapes = [side_shape(body, moment).outlines for body in bodies]
    found: dict[str, Name] = {}
    for index, body in enumerate(bodies):
        disc = all(len(piece.corners) == 1 for piece in body.pieces) and not body.heavy
        if body.name in found or (disc and not every):
            continue
        above = [shape for later in shapes[index + 1 :] for shape in later]
        spot = _best_seen(body, moment, above)
        found[body.name] = Name(body.name, body.part.name, spot, body.heavy)
    for part in moment.mechanism.parts:
        ends = [moment.place(place) for place in moment.places_on(part.name)]
        if not part.pieces and ends:
            if part.name == moment.mechanism.crank:
                ends.append(moment.mechanism.axle)
            x, y = np.mean(ends[:2], axis=0).tolist()
            found.setdefault(
                part.name, Name(part.name, part.name, (x, y), part.name in moment.parts)
            )
    return list(found.values())


def _best_seen(body: Body, moment: Moment, above: Sequence[Polygon]) -> Point:
    """Return a spot of a body: not hidden, near its middle, but aside of the place of contact."""
    spots = np.array(_spots(body, moment))
    size = float(np.ptp(spots, axis=0).max()) or 1.0
    hidden = sum((covers(shape, spots).astype(float) for shape in above), np.zeros(len(spots)))
    cost = 3.0 * hidden + np.hypot(*(spots - spots.mean(axis=0)).T) / size
    if moment.contact is not None:
        away = np.hypot(*(spots - np.array(moment.contact.spot)).T) / size
        cost += np.where(away < 0.15, 1.0, 0.0) - np.minimum(away, 0.6) - 0.01 * spots[:, 1] / size
    x, y = spots[int(np.argmin(cost))].tolist()
    return x, y


def _spots(body: Body, moment: Moment) -> list[Point]:
    """Return places on a body at which its name could point."""
    found = []
    for piece in body.pieces:
        corners = np.array([placed(moment.poses[body.part.name], c) for c in piece.corners])
        if len(corners) == 2:
            found += [tuple(corners[0] + t * (corners[1] - corners[0]))
                      for t in np.linspace(0.1, 0.9, 9)]  # fmt: skip
        else:
            middle = corners.mean(axis=0)
            found += [tuple(0.7 * corner + 0.3 * middle) for corner in corners]
            found.append(tuple(middle))
    return found


def noted(
    frame: Frame, notes: Iterable[Note], lines: Array, taken: Iterable[Box] = ()
) -> Iterator[Item]:
    """Yield words near their spots, none over another, with a line to the spot if it is not near.

    `lines`, shape (N, 2) [mm]: spots along what is drawn, to be hidden as little as can be. `taken`
    [points]: what must be left free.
    """
    ground = Ground((frame.paper.width, frame.paper.height), list(taken), frame.points(lines))
    yield from noted_on(frame, notes, ground)


def noted_on(frame: Frame, notes: Iterable[Note], ground: Ground) -> Iterator[Item]:
    """Yield words as `noted`; what is placed is on the ground afterwards."""
    for note in notes:
        anchors = [tuple(spot) for spot in frame.points(note.spots).tolist()]
        away = None if note.away is None else tuple(frame.points([note.away])[0].tolist())
        texts = [(note.text, note.within, _HIDES if note.short else math.inf)]
        texts += [(note.short, math.inf, math.inf)] if note.short else []
        wants = [
            Want((frame.paper.measure(text, note.letters) + 2, _LINE * note.letters.size),
                 anchors, within, away, hides)
            for text, within, hides in texts
        ]  # fmt: skip
        found = place_near(ground, *wants)
        if found is None:
            continue
        text, place = texts[found[0]][0], found[1]
        foot = nearest(place.box, place.anchor)
        if math.dist(foot, place.anchor) > _LEADER and not text.isdigit():
            yield Stroke([frame.back(*foot), frame.back(*place.anchor)], style.LEADER)
        yield Words(text, frame.back(*place.middle), note.letters, ground=style.VEIL)
