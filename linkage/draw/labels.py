"""Lettering that does not run into itself: rows of names with leader lines, scale bars."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from matplotlib.axes import Axes
from matplotlib.font_manager import FontProperties
from matplotlib.patches import Rectangle
from matplotlib.textpath import TextPath

from linkage.draw.style import BLACK, GREY, SMALL, TEXT, THIN
from linkage.mechanism import Point

_GAP = 5.0  # between names of a row [points]


@dataclass(frozen=True)
class Label:
    """A name, the spot it belongs to [mm, in the axis's own axes], and whether it matters most."""

    name: str
    spot: Point
    heavy: bool


@lru_cache(maxsize=512)
def text_width(text: str, size: float, bold: bool) -> float:
    """Return how wide a line of lettering is.

    Parameters
    ----------
    size : float [points]
        Of the letters.
    bold : bool
        True for bold.

    Returns
    -------
    float [points]
        Its width.
    """
    font = FontProperties(family="DejaVu Sans", weight="bold" if bold else "normal")
    return float(TextPath((0, 0), text, size=size, prop=font).get_extents().width)


def box_points(axis: Axes) -> tuple[float, float]:
    """Return how wide and high an axis's box is [points]."""
    figure = axis.get_figure(root=True)
    assert figure is not None
    width, height = figure.get_size_inches()
    place = axis.get_position()
    return float(place.width * width * 72), float(place.height * height * 72)


def spread(centres: Sequence[float], widths: Sequence[float], end: float) -> list[float]:
    """Move names of a row apart until none touches the next.

    Parameters
    ----------
    centres : sequence of float [points]
        Where they would best stand, rising.
    widths : sequence of float [points]
        How wide they are.
    end : float [points]
        Where the row ends; it starts at 0.

    Returns
    -------
    list of float [points]
        Their centres, in the same order.
    """
    at = list(centres)
    edge = 0.0
    for i, width in enumerate(widths):
        at[i] = max(at[i], edge + width / 2)
        edge = at[i] + width / 2 + _GAP
    edge = end
    for i in reversed(range(len(at))):
        at[i] = min(at[i], edge - widths[i] / 2)
        edge = at[i] - widths[i] / 2 - _GAP
    return at


def fitting(labels: Sequence[Label], room: float) -> list[Label]:
    """Leave out light names until a row of them has room.

    Parameters
    ----------
    room : float [points]
        Length of the row.
    """
    kept = sorted(labels, key=lambda label: (not label.heavy, _width(label)))
    while kept and sum(row_width(label) for label in kept) > room:
        kept.pop()
    return kept


def _width(label: Label) -> float:
    return text_width(label.name, TEXT if label.heavy else SMALL, label.heavy)


def row_width(label: Label) -> float:
    """Return how much of a row a name takes [points]."""
    return _width(label) + _GAP


def label_row(axis: Axes, labels: Sequence[Label], top: bool, ends: tuple[float, float]) -> Axes:
    """Write a row of names along the upper or lower edge, each with a line to its spot.

    Parameters
    ----------
    axis : Axes
        Where to draw; its limits must stand already.
    top : bool
        True for the upper edge.
    ends : (float, float) [1]
        Where the row starts and ends, as shares of the box's width.
    """
    width, height = box_points(axis)
    room = (ends[1] - ends[0]) * width
    kept = fitting(labels, room)
    (left, right) = axis.get_xlim()

    def across(label: Label) -> float:
        return (label.spot[0] - left) / (right - left) * width - ends[0] * width

    kept.sort(key=across)
    places = spread([across(label) for label in kept], [_width(label) for label in kept], room)
    for label, place in zip(kept, places, strict=True):
        share = place / width + ends[0]
        level = 1 - 8 / height if top else 8 / height
        size = TEXT if label.heavy else SMALL
        axis.annotate(
            label.name,
            label.spot,
            (share, level),
            textcoords="axes fraction",
            ha="center",
            va="center",
            fontsize=size,
            fontweight="bold" if label.heavy else "normal",
            zorder=9,
            arrowprops={
                "arrowstyle": "-|>,head_width=0.12,head_length=0.25",
                "linewidth": 0.9 if label.heavy else THIN,
                "color": BLACK if label.heavy else GREY,
                "shrinkA": 1.0,
                "shrinkB": 0.0,
                "relpos": (0.5, 0.0 if top else 1.0),
            },
        )
    return axis


def round_length(most: float) -> float:
    """Return the greatest of 1, 2, 5, 10, ... that is not above a length.

    Parameters
    ----------
    most : float [mm]
        The length.

    Returns
    -------
    float [mm]
        A round one.

    Examples
    --------
    >>> round_length(13.0), round_length(0.7)
    (10.0, 0.5)
    """
    power = 10.0 ** math.floor(math.log10(most))
    return max(step * power for step in (1.0, 2.0, 5.0) if step * power <= most * (1 + 1e-9))


def scale_bar(axis: Axes, corner: Point, share: float) -> Axes:
    """Draw a bar of a round length along x, with the length written on it.

    Parameters
    ----------
    axis : Axes
        Where to draw; its limits must stand already.
    corner : (float, float) [1]
        Where its middle stands, as shares of the box, where x runs to the right.
    share : float [1]
        The most of the box's width it may take.
    """
    left, right = axis.get_xlim()
    span = abs(right - left)
    length = round_length(span * share)
    half = length / span / 2
    x, y = corner
    x = 1 - x if axis.xaxis_inverted() else x
    _, height = box_points(axis)
    axis.add_patch(
        Rectangle((x - half - 0.008, y - 4 / height), 2 * half + 0.016, 16 / height,
                  transform=axis.transAxes, facecolor="1.0", edgecolor="none", zorder=8.9)
    )  # fmt: skip
    axis.plot(
        [x - half, x + half], [y, y], color=BLACK, linewidth=2.2, transform=axis.transAxes,
        zorder=9, solid_capstyle="butt", scalex=False, scaley=False,
    )  # fmt: skip
    axis.annotate(
        f"{length:g} mm", (x, y), (0, 2.5), xycoords="axes fraction", textcoords="offset points",
        ha="center", va="bottom", fontsize=SMALL, zorder=9,
    )  # fmt: skip
    return axis
