"""Words in among the lines of a drawing, each where there is room for it near its spot."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes

from linkage.arrays import Array, Mask
from linkage.draw.labels import box_points, text_width
from linkage.draw.style import BLACK, GREY, SMALL, THIN
from linkage.mechanism import Point

Box = tuple[float, float, float, float]
"""Left, bottom, right and top, from the axis's own lower left corner [points]."""

_FAR = (5.0, 8.0, 12.0, 17.0, 24.0, 33.0, 45.0, 60.0, 80.0, 105.0, 140.0, 190.0, 260.0)
_WAYS = 24
_AIR = 1.5  # between words [points]
_LEADER = 3.5  # words nearer to their spot than this have no line to it [points]
_GRAIN = 2.0  # spots of lines nearer together than this count once [points]
_HIDDEN = 4  # spots of lines that words may hide which can be shortened
_AWAY = 30.0  # points of way that standing square to where they should is worth
_PER_LINE = 2.5  # points of way that hiding a point of a line is worth


@dataclass(frozen=True)
class Note:
    """Words for a spot.

    Attributes
    ----------
    text : str
        The words.
    spots : tuple of (float, float) [mm]
        In the axis's own axes; they stand by the one where there is most room.
    within : float [points]
        How far from the spot they may stand.
    short : str
        What stands there instead where there is no room for them so near; empty for nothing.
    bold : bool
        True for bold.
    away : (float, float) or None [mm]
        A spot that they should stand away from.
    size : float [points]
        Of the letters.
    """

    text: str
    spots: tuple[Point, ...]
    within: float = math.inf
    short: str = ""
    bold: bool = False
    away: Point | None = None
    size: float = SMALL


def kept_free(axis: Axes) -> list[Box]:
    """Return the boxes that FRONT and the scale bar of a side view take."""
    width, height = box_points(axis)
    low, high = 0.42 * height, 0.5 * height + 14
    front = (0.0, low, 62.0, high) if axis.xaxis_inverted() else (width - 62, low, width, high)
    middle = 0.16 * height
    return [front, (0.87 * width, middle - 6, width, middle + 16)]


def in_points(axis: Axes, points: Array) -> Array:
    """Return spots of the axis's own axes as points of paper from its lower left corner.

    Parameters
    ----------
    axis : Axes
        Its box and limits must stand already.
    points : array, shape (N, 2) [mm]
        The spots.

    Returns
    -------
    array, shape (N, 2) [points]
        On paper.
    """
    (left, right), (low, high) = axis.get_xlim(), axis.get_ylim()
    width, height = box_points(axis)
    scale = np.array([width / (right - left), height / (high - low)])
    found: Array = (np.asarray(points, dtype=float).reshape(-1, 2) - (left, low)) * scale
    return found


def write_notes(
    axis: Axes, notes: Iterable[Note], lines: Array, taken: Sequence[Box] = ()
) -> list[Box]:
    """Write words near their spots, none over another, with a line to the spot if it is not near.

    Parameters
    ----------
    axis : Axes
        Where to draw; its box and limits must stand already.
    lines : array, shape (N, 2) [mm]
        Spots along what is drawn, to be hidden as little as can be.
    taken : sequence of Box [points]
        What must be left free.

    Returns
    -------
    list of Box [points]
        What was to be left free, and the words written.
    """
    boxes = list(taken)
    drawn = in_points(axis, lines[np.isfinite(lines).all(axis=1)])
    drawn = np.unique(np.round(drawn / _GRAIN), axis=0) * _GRAIN
    for note in notes:
        for text, within in ((note.text, note.within), (note.short, math.inf)):
            shun = None if note.away is None else in_points(axis, np.array(note.away))[0]
            ground = _Ground(box_points(axis), tuple(boxes), drawn, shun)
            spots = in_points(axis, np.array(note.spots))
            tried = [_place(ground, note, text, within, spot) for spot in spots if text]
            found = [place for place in tried if place is not None]
            if found:
                _, box, spot = min(found)
                drawn = np.concatenate((drawn, _write(axis, note, text, spot, box)))
                boxes.append(box)
                break
    return boxes


@dataclass(frozen=True)
class _Ground:
    """An axis on paper: its size, boxes not to touch, spots of lines, what to shun [points]."""

    size: tuple[float, float]
    boxes: tuple[Box, ...]
    drawn: Array
    away: Array | None


def _place(
    ground: _Ground, note: Note, text: str, within: float, spot: Array
) -> tuple[float, Box, Point] | None:
    """Return what words cost by a spot, the box where they do least harm, and the spot on paper."""
    far = np.array([d for d in _FAR if d <= within])
    half = np.array([text_width(text, note.size, note.bold) + 2, note.size * 1.25]) / 2
    turned = np.arange(_WAYS) * 2 * math.pi / _WAYS
    ways = np.stack((np.cos(turned), np.sin(turned)), axis=-1)
    middles = (spot + ways * far[:, None, None] + ways * half).reshape(-1, 2)
    low, high = middles - half, middles + half
    good = (low > 2).all(axis=1) & (high < np.array(ground.size) - 2).all(axis=1)
    for box in ground.boxes:
        good &= ~_meets(low - _AIR, high + _AIR, box)
        good &= ~_crosses(spot, middles, box)
    drawn = ground.drawn
    inside = (drawn > low[:, None] - 1).all(-1) & (drawn < high[:, None] + 1).all(-1)
    if note.short and text == note.text:
        good &= inside.sum(axis=1) <= _HIDDEN
    if not good.any():
        return None
    cost = np.repeat(far, _WAYS)
    if ground.away is not None:
        out = spot - ground.away
        out = out / (np.hypot(*out) or 1.0)
        cost = cost + _AWAY * (1 - np.tile(ways @ out, len(far)))
    cost = np.where(good, cost + _PER_LINE * np.minimum(inside.sum(axis=1), 40), np.inf)
    best = int(np.argmin(cost))
    box = (*low[best].tolist(), *high[best].tolist())
    return float(cost[best]), box, tuple(spot.tolist())


def _meets(low: Array, high: Array, box: Box) -> Mask:
    left, bottom, right, top = box
    return np.asarray(
        (low[:, 0] < right) & (high[:, 0] > left) & (low[:, 1] < top) & (high[:, 1] > bottom)
    )


def _crosses(spot: Array, middles: Array, box: Box) -> Mask:
    """Tell which lines from the spot would run through a box that does not hold the spot."""
    share = np.linspace(0.0, 1.0, 12)[:, None, None]
    along = spot + share * (middles - spot)
    inside: Mask = np.all((along > box[:2]) & (along < box[2:]), axis=-1)
    return np.asarray(inside[1:].any(axis=0) & ~inside[0])


def _write(axis: Axes, note: Note, text: str, at: Point, box: Box) -> Array:
    """Write words in their box, and return points along the line to their spot [points]."""
    width, height = box_points(axis)
    left, bottom, right, top = box
    spot = np.array(at)
    near = np.clip(spot, (left, bottom), (right, top))
    if math.dist(near, spot) > _LEADER and not text.isdigit():
        (x, y), (to_x, to_y) = near, spot
        axis.plot([x / width, to_x / width], [y / height, to_y / height], color=GREY,
                  linewidth=THIN, transform=axis.transAxes, zorder=8, scalex=False,
                  scaley=False)  # fmt: skip
    axis.text(
        (left + right) / 2 / width, (bottom + top) / 2 / height, text, transform=axis.transAxes,
        ha="center", va="center", fontsize=note.size,
        fontweight="bold" if note.bold else "normal", color=BLACK, zorder=9.5,
        bbox={"facecolor": "1.0", "edgecolor": "none", "pad": 0.6, "alpha": 0.85},
    )  # fmt: skip
    leader: Array = np.linspace(near, spot, 10)
    return leader
