"""Frames of a moving picture: what stands still is painted once, what moves put on top of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from numpy.typing import NDArray

from linkage.arrays import Array
from linkage.clearance import outline_of
from linkage.draw.paint import our_look, paint, paint_items, paper, text_width
from linkage.film.animation import Take
from linkage.film.board import board, moving_dial, small_dial, still_dial
from linkage.film.captions import headline
from linkage.scene import marks, plan, side, style
from linkage.scene.drawing import Frame, Item, Paper, View, Words, wrapped

Picture = NDArray[np.uint8]
"""Greys of one frame, 0 black to 255 white, shape (height, width)."""

BESIDE = 1000
"""From this width on, before and after stand side by side, else one above the other [pixels]."""

_WIDE = 320.0  # of a panel [points]: 640 pixels then have 2 to the point, and letters of 16
_MARGIN = 4.0
_LINE = 10.5  # from a line of words to the next
_TITLE = style.Letters(9.0, bold=True)
_PITCH = 11.5  # from a line of the title to the next
_UNDER = 3.0  # below the title and its BEFORE or AFTER; below all words
_VIEWS = (112.0, 80.0)  # height of side view and plan
_DIAL = (118.0, 84.0)  # width and height
_OVER = 15.0  # room for the title of a view
Place = tuple[float, float, float, float]
"""Left, down from the top, width and height [points]."""


@dataclass(frozen=True)
class Stage:
    """A panel set up: what stands still is painted, the rest is put on top frame by frame."""

    take: Take
    canvas: Any  # FigureCanvasAgg, of which what is used here has no types
    axes: tuple[Axes, ...]
    board: Paper
    names: tuple[tuple[marks.Staying, ...], ...]
    still: Any


@dataclass(frozen=True)
class _Head:
    """The lines of the title and of the words below it, and how far from the left it begins."""

    title: list[str]
    words: list[str]
    left: float


def draw_frames(takes: Sequence[Take], width: int) -> Iterator[Picture]:
    """Draw one turn: greys, an even number of rows.

    `takes`: one, or two to be set beside one another. `width`: of a frame [pixels]; even.
    """
    beside = len(takes) > 1 and width >= BESIDE
    with our_look():
        stages = _set_stages(takes, width // 2 if beside else width)
    for frame in range(len(takes[0].crank)):
        with our_look():
            shots = [_shoot(stage, frame) for stage in stages]
        if len(shots) > 1:  # a line between the two
            shots[1][:, :2] = 0 if beside else shots[1][:, :2]
            shots[1][:2] = shots[1][:2] if beside else 0
        yield np.concatenate(shots, axis=1 if beside else 0)


def _set_stages(takes: Sequence[Take], width: int) -> list[Stage]:
    """Set up the panels at one scale, so that what is alike is drawn alike."""
    corners = np.concatenate([_extent(take) for take in takes])
    outs = np.array([plan.reach(moment) for take in takes for moment in take.moments])
    ends = (float(outs[:, 0].min()), float(outs[:, 1].max()))
    heads = [_head(take) for take in takes]
    lines = max(len(head.title) for head in heads), max(len(head.words) for head in heads)
    top = _MARGIN + _PITCH * lines[0] + _LINE * lines[1] + 2 * _UNDER
    return [
        _set_stage(take, head, top, (corners, ends), width)
        for take, head in zip(takes, heads, strict=True)
    ]


def _head(take: Take) -> _Head:
    moment = take.moments[0]
    sheet = moment.examination.sheet
    spots = sum(each.spot is not None for each in take.moments)
    room = _WIDE - 2 * _MARGIN
    left = text_width(take.label, _TITLE) + 10 if take.label else 0.0
    title = wrapped(sheet.title or Path(sheet.source).stem, _TITLE, room - left, text_width)
    return _Head(title, wrapped(headline(moment, spots), style.WORDS, room, text_width), left)


def _extent(take: Take) -> Array:
    """Return corners of all that a side view holds in any frame, shape (2, 2) [mm]."""
    found = [np.array(list(side.side_points(take.moment(0))))]
    for part in take.moments[0].parts_seen:
        pose = take.poses[part.name]
        own = [corner for piece in part.pieces for corner in outline_of(piece)]
        own += [(place.x, place.y) for place in take.moments[0].places_on(part.name)]
        if own:
            x, y = np.array(own).T[:, :, None]
            cos, sin = np.cos(pose[:, 2]), np.sin(pose[:, 2])
            xs, ys = pose[:, 0] + cos * x - sin * y, pose[:, 1] + sin * x + cos * y
            found.append(np.stack((xs.ravel(), ys.ravel()), axis=1))
    points = np.concatenate(found)
    return np.stack((points.min(axis=0), points.max(axis=0)))


def _set_stage(
    take: Take, head: _Head, top: float, extent: tuple[Array, tuple[float, float]], width: int
) -> Stage:
    """Lay a panel out from the top down and paint what stands still."""
    height = top + 2 * _OVER + sum(_VIEWS) + _DIAL[1] + 2 * _MARGIN
    wide, moment = _WIDE - 2 * _MARGIN, take.moments[0]
    tall = _VIEWS[0] if moment.outlined else sum(_VIEWS) + _OVER
    foot, rest = height - _MARGIN - _DIAL[1], wide - _DIAL[0]
    frame = side.frame_about(moment, paper(wide, tall), map(tuple, extent[0].tolist()))
    dial = small_dial(paper(*_DIAL), moment.mirrored)
    words = Frame(paper(rest, _DIAL[1]), (0.0, rest), (_DIAL[1], 0.0))
    views: list[tuple[Place, View]] = [
        ((_MARGIN, top + _OVER, wide, tall), _still_side(take, frame)),
        ((_MARGIN, foot, *_DIAL),
         View("dial", "", dial, tuple(still_dial(dial, take)), bare=True)),
        ((_MARGIN + _DIAL[0], foot, rest, _DIAL[1]), View("board", "", words, (), bare=True)),
    ]  # fmt: skip
    if moment.outlined:
        place = (_MARGIN, top + 2 * _OVER + _VIEWS[0], wide, _VIEWS[1])
        views.append((place, _still_plan(frame, extent[1])))
    figure = _figure(width, height)
    canvas: Any = FigureCanvasAgg(figure)
    sheet = Frame(paper(_WIDE, height), (0.0, _WIDE), (height, 0.0))
    paint(
        figure, (0.0, 0.0, 1.0, 1.0), View("head", "", sheet, tuple(_words(take, head)), bare=True)
    )
    axes = tuple(
        paint(figure, (x / _WIDE, 1 - (y + high) / height, w / _WIDE, high / height), view)
        for (x, y, w, high), view in views
    )
    laid = {each.parts: marks.staying_names(each, frame) for each in reversed(take.moments)}
    names = tuple(laid[each.parts] for each in take.moments)
    canvas.draw()
    return Stage(take, canvas, axes, words.paper, names, canvas.copy_from_bbox(figure.bbox))


def _figure(width: int, height: float) -> Figure:
    """Return a panel of so many pixels across and about so many points down, in even rows."""
    dots = 72 * width / _WIDE
    rows = 2 * round(height * dots / 144)
    return Figure(figsize=((width + 0.01) / dots, (rows + 0.01) / dots), dpi=dots)


def _words(take: Take, head: _Head) -> Iterator[Words]:
    """Yield the title, behind BEFORE or AFTER where there are two, and what is said below it."""
    down = _MARGIN + 1
    if take.label:
        tag = style.HEAD_WHITE
        yield Words(take.label, (_MARGIN + 3, down + 1), tag, -1, 1, style.TAG)
    for line in head.title:
        yield Words(line, (_MARGIN + head.left, down), _TITLE, -1, 1)
        down += _PITCH
    for line in head.words:
        yield Words(line, (_MARGIN, down + _UNDER), style.WORDS, -1, 1)
        down += _LINE


def _still_side(take: Take, frame: Frame) -> View:
    moment = take.moments[0]
    items = [] if moment.outlined else list(side.paths(moment))
    still: tuple[Item, ...] = (
        *items,
        *side.front(frame),
        *side.scale_bar(frame, side.voice_of(moment)),
    )
    return View("side", f"Side view: {moment.seen}{moment.gear}", frame, still)


def _still_plan(above: Frame, ends: tuple[float, float]) -> View:
    times, frame = plan.frame_across(paper(above.paper.width, _VIEWS[1]), above.x, ends)
    drawn = "" if times == 1 else f", drawn {times:g} times as large across"
    items = (*plan.wheel_face(frame), *side.front(frame), *plan.ways(frame))
    return View("plan", f"Plan: the same from above{drawn}", frame, items)


def _moving(stage: Stage, frame: int) -> Iterator[Iterator[Item]]:
    """Yield what moves in a frame, for each axis of the stage."""
    take = stage.take
    moment, active, lit = take.moment(frame), int(take.active[frame]), bool(take.lit[frame])

    def seen_from_the_side() -> Iterator[Item]:
        yield from side.wheel(moment)
        yield from side.parts(moment)
        if active >= 0:
            yield from marks.side_marks(moment, lit)
        yield from marks.moving_names(moment, stage.names[max(active, 0)])

    def seen_from_above() -> Iterator[Item]:
        yield from plan.metal(moment)
        if active >= 0:
            yield from marks.plan_marks(moment, lit)

    yield seen_from_the_side()
    yield moving_dial(take, frame)
    yield iter(board(stage.board, take, frame))
    if moment.outlined:
        yield seen_from_above()


def _shoot(stage: Stage, frame: int) -> Picture:
    """Paint one frame over what stands still, and take it off again."""
    stage.canvas.restore_region(stage.still)
    for axis, items in zip(stage.axes, _moving(stage, frame), strict=True):
        for artist in paint_items(axis, items):
            axis.draw_artist(artist)
            artist.remove()
    greys: Picture = np.asarray(stage.canvas.buffer_rgba())[:, :, 0].copy()
    return greys
