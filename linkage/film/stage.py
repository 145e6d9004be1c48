"""Frames of a moving picture: what stands still is drawn once, what moves put on top of it."""

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
from linkage.draw.labels import scale_bar, text_width
from linkage.draw.plan import draw_face, draw_metal, reach, scale_across, write_ways
from linkage.draw.scene import Scene, places_on
from linkage.draw.shapes import bodies_of
from linkage.draw.side_view import (
    Window,
    all_shapes,
    draw_parts,
    draw_paths,
    draw_wheel,
    frame_window,
    window_about,
    write_front,
)
from linkage.draw.style import BLACK, TEXT, our_look
from linkage.film.animation import Take
from linkage.film.board import draw_board, draw_small_dial, point_dial
from linkage.film.captions import headline, wrapped
from linkage.film.marks import Name, lay_names, mark_plan, mark_side, write_moving

Picture = NDArray[np.uint8]
"""Greys of one frame, 0 black to 255 white, shape (height, width)."""

BESIDE = 1000
"""From this width on, before and after stand side by side, else one above the other [pixels]."""

_WIDE = 320.0  # of a panel [points]: 640 pixels then have 2 to the point, and letters of 16
_MARGIN = 4.0
_LINE = 10.5  # from a line of words to the next
_TITLE = 9.0  # letters of the title
_UNDER = 3.0  # below the title and its BEFORE or AFTER; below all words
_VIEWS = (112.0, 80.0)  # height of side view and plan
_DIAL = (118.0, 84.0)  # width and height
_OVER = 15.0  # room for the title of a view


@dataclass(frozen=True)
class Stage:
    """A panel set up: what stands still is painted, the rest is put on top frame by frame."""

    take: Take
    canvas: Any  # FigureCanvasAgg, of which what is used here has no types
    side: Axes
    plan: Axes | None
    dial: Axes
    board: Axes
    names: tuple[tuple[Name, ...], ...]
    still: Any


def draw_frames(takes: Sequence[Take], width: int) -> Iterator[Picture]:
    """Draw one turn.

    Greys, an even number of rows.

    Parameters
    ----------
    takes : sequence of Take
        One, or two to be set beside one another.
    width : int
        Of a frame [pixels]; even.
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
    extents = [_extent(take) for take in takes]
    low, high = np.min([e[0] for e in extents], axis=0), np.max([e[1] for e in extents], axis=0)
    outs = [reach(scene) for take in takes for scene in take.scenes]
    ends = (min(out[0] for out in outs), max(out[1] for out in outs))
    heads = [_head(take) for take in takes]
    lines = max(len(head[0]) for head in heads), max(len(head[1]) for head in heads)
    return [
        _set_stage(take, head, lines, (low, high, ends), width)
        for take, head in zip(takes, heads, strict=True)
    ]


def _head(take: Take) -> tuple[list[str], list[str]]:
    """Return the lines of title and words."""
    scene = take.scenes[0]
    sheet = scene.examination.sheet
    spots = sum(scene.spot is not None for scene in take.scenes)
    room = _WIDE - 2 * _MARGIN
    title = wrapped(sheet.title or Path(sheet.source).stem, _TITLE, True, room - _tag(take))
    return title, wrapped(headline(scene, spots), TEXT, False, room)


def _tag(take: Take) -> float:
    """Return how much room BEFORE or AFTER takes, in front of the title [points]."""
    return text_width(take.label, _TITLE, True) + 10 if take.label else 0.0


def _extent(take: Take) -> tuple[Array, Array]:
    """Return the corners of all that a side view holds in any frame."""
    found = [np.array([p for shape in all_shapes(take.scene(0)) for p in shape])]
    for part in take.scenes[0].parts_seen:
        pose = take.poses[part.name]
        own = [corner for piece in part.pieces for corner in outline_of(piece)]
        own += [(place.x, place.y) for place in places_on(take.scenes[0], part)]
        if own:
            x, y = np.array(own).T[:, :, None]
            cos, sin = np.cos(pose[:, 2]), np.sin(pose[:, 2])
            xs, ys = pose[:, 0] + cos * x - sin * y, pose[:, 1] + sin * x + cos * y
            found.append(np.stack((xs.ravel(), ys.ravel()), axis=1))
    points = np.concatenate(found)
    return points.min(axis=0), points.max(axis=0)


def _set_stage(
    take: Take,
    head: tuple[list[str], list[str]],
    lines: tuple[int, int],
    extent: tuple[Array, Array, tuple[float, float]],
    width: int,
) -> Stage:
    """Lay a panel out from the top down and paint what stands still."""
    top = _MARGIN + (_TITLE + 2.5) * lines[0] + _LINE * lines[1] + 2 * _UNDER
    height = top + 2 * _OVER + sum(_VIEWS) + _DIAL[1] + 2 * _MARGIN
    figure = _figure(width, height)
    canvas: Any = FigureCanvasAgg(figure)
    _write_head(figure, take, head, height)
    wide, scene = _WIDE - 2 * _MARGIN, take.scenes[0]
    tall = _VIEWS[0] if scene.outlined else sum(_VIEWS) + _OVER
    side = _box(figure, height, "side", (_MARGIN, top + _OVER, wide, tall))
    window = window_about(side, [(float(x), float(y)) for x, y in extent[:2]])
    _still_side(side, scene, window)
    plan = None
    if scene.outlined:
        place = (_MARGIN, top + 2 * _OVER + _VIEWS[0], wide, _VIEWS[1])
        plan = _box(figure, height, "plan", place)
        _still_plan(plan, scene, window, extent[2])
    foot, rest = height - _MARGIN - _DIAL[1], wide - _DIAL[0]
    dial = draw_small_dial(_box(figure, height, "dial", (_MARGIN, foot, *_DIAL)), take)
    board = _box(figure, height, "board", (_MARGIN + _DIAL[0], foot, rest, _DIAL[1]))
    board.set_axis_off()
    board.set_xlim(0, rest)
    board.set_ylim(_DIAL[1], 0)
    laid = {each.parts: lay_names(side, each) for each in reversed(take.scenes)}
    names = tuple(laid[each.parts] for each in take.scenes)
    canvas.draw()
    return Stage(take, canvas, side, plan, dial, board, names, canvas.copy_from_bbox(figure.bbox))


def _figure(width: int, height: float) -> Figure:
    """Return a panel of so many pixels across and about so many points down, in even rows."""
    dots = 72 * width / _WIDE
    rows = 2 * round(height * dots / 144)
    return Figure(figsize=((width + 0.01) / dots, (rows + 0.01) / dots), dpi=dots)


def _box(
    figure: Figure, height: float, name: str, place: tuple[float, float, float, float]
) -> Axes:
    """Add an axis: left, down from the top, width, height [points]."""
    left, down, wide, high = place
    axis = figure.add_axes((left / _WIDE, 1 - (down + high) / height, wide / _WIDE, high / height))
    axis.set_label(name)
    return axis


def _write_head(
    figure: Figure, take: Take, head: tuple[list[str], list[str]], height: float
) -> None:
    """Write the title, behind BEFORE or AFTER where there are two, and what is said below it."""
    down = _MARGIN + 1
    if take.label:
        figure.text((_MARGIN + 3) / _WIDE, 1 - (down + 1) / height, take.label, fontsize=_TITLE,
                    fontweight="bold", va="top", color="1.0",
                    bbox={"facecolor": BLACK, "edgecolor": "none", "pad": 2.0})  # fmt: skip
    for text, left, size, step, weight in (
        *((line, _tag(take), _TITLE, _TITLE + 2.5, "bold") for line in head[0]),
        ("", 0.0, TEXT, _UNDER, "normal"),
        *((line, 0.0, TEXT, _LINE, "normal") for line in head[1]),
    ):
        figure.text((_MARGIN + left) / _WIDE, 1 - down / height, text, fontsize=size,
                    fontweight=weight, va="top", color=BLACK)  # fmt: skip
        down += step


def _still_side(axis: Axes, scene: Scene, window: Window) -> None:
    frame_window(axis, scene, window)
    axis.set_title(f"Side view: {scene.seen}")
    if not scene.outlined:
        draw_paths(axis, scene)
    write_front(axis)
    scale_bar(axis, (0.94, 0.16), 0.1)


def _still_plan(axis: Axes, scene: Scene, window: Window, ends: tuple[float, float]) -> None:
    times, across = scale_across(axis, window, ends)
    frame_window(axis, scene, Window(window.x, across))
    drawn = "" if times == 1 else f", drawn {times:g} times as large across"
    axis.set_title(f"Plan: the same from above{drawn}")
    draw_face(axis, across)
    write_front(axis)
    write_ways(axis)


def _shoot(stage: Stage, frame: int) -> Picture:
    """Draw one frame over what stands still, and take it off again."""
    take = stage.take
    scene = take.scene(frame)
    active, lit = int(take.active[frame]), bool(take.lit[frame])
    axes = [axis for axis in (stage.side, stage.plan, stage.dial, stage.board) if axis is not None]
    before = [set(axis.get_children()) for axis in axes]
    draw_wheel(stage.side, scene)
    draw_parts(stage.side, scene)
    write_moving(stage.side, scene, stage.names[max(active, 0)])
    if stage.plan is not None:
        draw_metal(stage.plan, scene, sorted(bodies_of(scene), key=lambda body: body.heavy))
    if active >= 0:
        mark_side(stage.side, scene, lit)
        if stage.plan is not None:
            mark_plan(stage.plan, scene, lit)
    point_dial(stage.dial, take, frame)
    draw_board(stage.board, take, frame)
    stage.canvas.restore_region(stage.still)
    for axis, old in zip(axes, before, strict=True):
        new = [child for child in axis.get_children() if child not in old]
        for artist in sorted(new, key=lambda artist: artist.get_zorder()):
            axis.draw_artist(artist)
            artist.remove()
    greys: Picture = np.asarray(stage.canvas.buffer_rgba())[:, :, 0].copy()
    return greys
