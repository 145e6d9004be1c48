"""The painter: values of `scene.drawing` put on matplotlib's paper. It knows nothing of parts."""

from __future__ import annotations

import warnings
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from functools import lru_cache
from typing import Any, assert_never

import matplotlib as mpl
import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.collections import PolyCollection
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.lines import Line2D
from matplotlib.patches import FancyArrowPatch
from matplotlib.path import Path
from matplotlib.text import Text
from matplotlib.textpath import TextPath

from linkage.scene.drawing import Arrow, Item, Marks, Paper, Shape, Stroke, Ticks, View, Words
from linkage.scene.style import GREY, SMALL, TEXT, Ground, Letters, Pen, Sign

_FAMILY = "DejaVu Sans"
_LOOK: dict[Any, Any] = {
    "font.family": _FAMILY,
    "font.size": TEXT,
    "axes.linewidth": 0.6,
    "axes.titlesize": TEXT,
    "axes.titleweight": "bold",
    "axes.titlelocation": "left",
    "hatch.linewidth": 0.4,
    "hatch.color": GREY,
    "svg.hashsalt": "tightspot",
    "svg.fonttype": "none",
    "pdf.fonttype": 42,
    "text.usetex": False,
    "text.parse_math": False,  # a title may hold a dollar sign
}
_FORMS = {"disc": "o", "square": "s", "plus": "+", "foot": 6, "cross": "x", "diamond": "D"}
_ACROSS, _UP = ("left", "center", "right"), ("bottom", "center", "top")
_BOTTOM = 2.0  # order of what is painted first; the line about a view is painted last
_LAST = 1e6


@contextmanager
def our_look() -> Iterator[None]:
    """Draw or write in our own look, whatever matplotlib is set to elsewhere; put it back after."""
    with mpl.rc_context(), warnings.catch_warnings():
        warnings.filterwarnings("ignore", "Glyph .* missing")  # a box stands for it
        mpl.rcdefaults()
        mpl.rcParams.update(_LOOK)
        yield


@lru_cache(maxsize=512)
def text_width(text: str, letters: Letters) -> float:
    """Return how wide a line of lettering is [points]."""
    font = FontProperties(family=_FAMILY, weight="bold" if letters.bold else "normal")
    outline = TextPath((0, 0), text, size=letters.size, prop=font)
    # the font's curves begin and end where they reach farthest, so their control points span what
    # they do, to the last bit; `get_extents` solves for every curve, nine times as long
    places = outline.vertices[np.asarray(outline.codes) != Path.CLOSEPOLY, 0]
    return float(np.ptp(places))


def paper(width: float, height: float) -> Paper:
    """Return a box of paper, so wide and high [points], on which words are as wide as here."""
    return Paper(width, height, text_width)


def paint(figure: Figure, place: tuple[float, float, float, float], view: View) -> Axes:
    """Paint a view into a place of a figure: left, bottom, width and height, as shares of it."""
    axis = figure.add_axes(place)
    axis.set_label(view.name)
    axis.set_xlim(view.frame.x)
    axis.set_ylim(view.frame.y)
    axis.set_title(view.title)
    if view.bare:
        axis.set_axis_off()
    if view.ticks is not None:
        _write_ticks(axis, view.ticks)
    else:
        axis.set_xticks([])
        axis.set_yticks([])
    for spine in axis.spines.values():
        spine.set_zorder(_LAST)
    paint_items(axis, view.items)
    for artist in paint_items(axis, view.beside, _LAST):
        artist.set_clip_on(False)
    return axis


def _write_ticks(axis: Axes, ticks: Ticks) -> None:
    axis.set_xticks([at for at, _ in ticks.below], [said for _, said in ticks.below])
    axis.tick_params(labelsize=SMALL, width=0.6)
    axis.set_xlabel(ticks.under, fontsize=SMALL, labelpad=1.5)
    if ticks.left is not None:
        axis.set_yticks([at for at, _ in ticks.left], [said for _, said in ticks.left])
    top = axis.secondary_xaxis("top")
    top.set_xticks([at for at, _ in ticks.above], [said for _, said in ticks.above])
    top.tick_params(labelsize=SMALL, width=0.6, pad=1.0)
    axis.set_title(ticks.over, loc="right", fontsize=SMALL, fontweight="normal")


def paint_items(axis: Axes, items: Iterable[Item], above: float = _BOTTOM) -> list[Artist]:
    """Paint items, each over those before it, the first at an order [1]; return them in order."""
    painted: list[Artist] = []
    for item in items:
        for artist in _artists(item):
            artist.set_zorder(above + len(painted))
            axis.add_artist(artist)
            painted.append(artist)
    return painted


def _artists(item: Item) -> list[Artist]:
    match item:
        case Shape():
            return _shape(item)
        case Stroke():
            line = Line2D(*_columns(item.places), **line_look(item.pen), solid_joinstyle="round")
            line.set_label(item.name)
            return [line]
        case Marks():
            return [Line2D(*_columns(item.places), label=item.name, **sign_look(item.sign))]
        case Arrow():
            return [_arrow(item)]
        case Words():
            return [_words(item)]
        case _:
            assert_never(item)


def _columns(places: Any) -> tuple[Any, Any]:
    x, y = zip(*places, strict=True) if len(places) else ((), ())
    return x, y


def line_look(pen: Pen) -> dict[str, Any]:
    """Return how matplotlib draws a line."""
    style = (0, pen.dashes) if pen.dashes else "-"
    return {"color": pen.grey, "linewidth": pen.width, "linestyle": style,
            "solid_capstyle": pen.cap}  # fmt: skip


def sign_look(sign: Sign) -> dict[str, Any]:
    """Return how matplotlib draws a mark."""
    return {
        "linestyle": "none", "marker": _FORMS[sign.form], "markersize": sign.size,
        "markeredgecolor": sign.pen.grey, "markeredgewidth": sign.pen.width,
        "markerfacecolor": "none" if sign.face is None else sign.face,
    }  # fmt: skip


def _shape(shape: Shape) -> list[Artist]:
    """Return overlapping outlines as one: all their lines, then all their insides, the hatch."""
    outlines, ink = [list(outline) for outline in shape.outlines], shape.ink
    found: list[Artist] = []
    if ink.pen.width:
        times = 1 if ink.face is None else 2  # half of the line is covered by the inside
        found.append(
            PolyCollection(outlines, facecolors="none", edgecolors=ink.pen.grey,
                           linewidths=times * ink.pen.width, joinstyle="round")
        )  # fmt: skip
    if ink.face is not None:
        found.append(PolyCollection(outlines, facecolors=ink.face, edgecolors="none",
                                    linewidths=0.0))  # fmt: skip
    if ink.hatch:
        found.append(PolyCollection(outlines, facecolors="none", edgecolors="none",
                                    linewidths=0.0, hatch=ink.hatch,
                                    hatchcolor=ink.hatch_grey))  # fmt: skip
    for artist in found:
        artist.set_label(shape.name)
    return found


def _arrow(arrow: Arrow) -> Artist:
    return FancyArrowPatch(
        arrow.tail, arrow.tip, arrowstyle="<|-|>" if arrow.both else "-|>", color=arrow.pen.grey,
        linewidth=arrow.pen.width, mutation_scale=arrow.head, shrinkA=0, shrinkB=0,
        connectionstyle=f"arc3,rad={arrow.bow}",
    )  # fmt: skip


def _words(words: Words) -> Artist:
    letters = words.letters
    return Text(
        *words.place, words.text, color=letters.grey, fontsize=letters.size,
        fontweight="bold" if letters.bold else "normal", ha=_ACROSS[words.across + 1],
        va=_UP[words.up + 1], clip_on=False,
        bbox=None if words.ground is None else _ground(words.ground),
    )  # fmt: skip


def _ground(ground: Ground) -> dict[str, Any]:
    line = {"edgecolor": "none"} if ground.pen is None else {
        "edgecolor": ground.pen.grey, "linewidth": ground.pen.width
    }  # fmt: skip
    form = {"boxstyle": f"circle,pad={ground.pad}"} if ground.round else {"pad": ground.pad}
    return {"facecolor": ground.face, "alpha": ground.veil, **line, **form}
