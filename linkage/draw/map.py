"""The map of two numbers: which pairs of values are free, and what stops the rest."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.contour import QuadContourSet
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator, ScalarFormatter

from linkage.advice.map import Axis as Number
from linkage.advice.map import SlackMap
from linkage.advice.slack import Stop
from linkage.arrays import Array
from linkage.draw.labels import box_points, text_width
from linkage.draw.map_key import AIR, EDGE, HATCHES, NEAREST, TODAY, Entry, write_key
from linkage.draw.notes import Box, Note, in_points, write_notes
from linkage.draw.page import LEFT, PAPER, RIGHT, TOP, new_page
from linkage.draw.regions import Regions, regions_of
from linkage.draw.style import BLACK, GREY, PLAIN, SENTENCE, SMALL, TEXT, our_look
from linkage.mechanism import Point
from linkage.report.advising import say_reason
from linkage.report.map import say_answer, unit_of
from linkage.report.naming import name_number
from linkage.sheet import Sheet
from linkage.tightspots import Close

_PLACE = (0.085, 0.115, 0.57, TOP - 0.135)  # of the map, as shares of the paper
_TOP = 3  # order of the edge: over all other lines
_LETTER = 11.0  # size of the letters of regions [points]
_NARROW = 6.0  # a region less deep than this has its letter beside it [points]
_FULL = 0.94  # of a line that words may take: at few dots to the inch they are wider
_LINES = 3  # of what the picture says, before its lettering is made smaller


def draw_map(found: SlackMap, sheet: Sheet) -> Figure:
    """Draw which pairs of two numbers leave all free, and what stops the others.

    A4, legible at A5.
    """
    with our_look():
        figure = new_page(sheet, "", "map of two numbers")
        _write_answer(figure, sheet, found)
        axis = figure.add_axes(_PLACE)
        axis.set_label("map")
        _frame(axis, found.axes)
        regions = regions_of(found, len(HATCHES))
        _fill(axis, regions)
        air = _draw_air(axis, found)
        _write_in(axis, found, regions, air)
        write_key(figure, _entries(found, air is not None), (TOP - 0.02, _PLACE[1]))
    return figure


def _write_answer(figure: Figure, sheet: Sheet, found: SlackMap) -> None:
    """Write what the picture shows, and the answer, under the title."""
    first, second = (name_number(number.key) for number in found.axes)
    shown = f"{first[:1].upper() + first[1:]}, and {second}: free together where it is white."
    said = " ".join((shown, *say_answer(sheet, found)))
    for size in (SENTENCE + 1, TEXT):
        lines = [""]
        for word in said.split():
            longer = f"{lines[-1]} {word}".lstrip()
            if text_width(longer, size, False) <= _FULL * (RIGHT - LEFT) * PAPER[0] * 72:
                lines[-1] = longer
            else:
                lines.append(word)
        if len(lines) <= _LINES:
            break
    figure.text(LEFT, 0.937, "\n".join(lines), fontsize=size, va="top", linespacing=1.25)


def _frame(axis: Axes, numbers: tuple[Number, Number]) -> None:
    """Set the limits of the map, and write its numbers along it."""
    for number, way in zip(numbers, (axis.xaxis, axis.yaxis), strict=True):
        name = name_number(number.key)
        way.set_label_text(f"{name[:1].upper() + name[1:]} [{unit_of(number)}]",
                           fontsize=SENTENCE + 1, fontweight="bold")  # fmt: skip
        low, high = number.values[[0, -1]].tolist()
        ticks = MaxNLocator(6).tick_values(low, high)
        way.set_ticks(ticks[(ticks >= low) & (ticks <= high)])
        way.set_major_formatter(ScalarFormatter(useOffset=False))
        way.set_tick_params(labelsize=SENTENCE)
    axis.set_xlim(*numbers[0].values[[0, -1]].tolist())
    axis.set_ylim(*numbers[1].values[[0, -1]].tolist())


def _fill(axis: Axes, regions: Regions) -> None:
    """Hatch what is not free, each stop in its own way, with a heavy line round it all."""
    for number, hatch in enumerate(HATCHES):
        mine = (regions.kinds == number).astype(float)
        if mine.any():
            axis.contourf(regions.x, regions.y, mine, levels=[0.5, 1.5], colors="none",
                          hatches=[hatch])  # fmt: skip
        if mine.any() and not mine.all():
            axis.contour(regions.x, regions.y, mine, levels=[0.5], colors=GREY, linewidths=PLAIN)
    if regions.free.min() < 0 <= regions.free.max():
        axis.contour(regions.x, regions.y, regions.free, levels=[0.0], colors=EDGE["color"],
                     linewidths=EDGE["linewidth"], zorder=_TOP)  # fmt: skip


def _draw_air(axis: Axes, found: SlackMap) -> QuadContourSet | None:
    """Draw lines of equal air where air is what comes nearest to its limit; None where none run."""
    spare = np.array([[s.slack if s.kind is Close and s.slack >= 0 and s.parts else np.nan
                       for s in row] for row in found.stops])  # fmt: skip
    known = spare[np.isfinite(spare)]
    if not len(known):
        return None
    steps = MaxNLocator(4).tick_values(0.0, float(known.max()))
    levels = [level for level in steps if max(float(known.min()), 0.005) < level < known.max()]
    if not levels:
        return None
    first, second = (number.values for number in found.axes)
    drawn = axis.contour(first, second, spare.T, levels=levels, colors=AIR["color"],
                         linewidths=AIR["linewidth"], linestyles=[AIR["linestyle"]],
                         zorder=2)  # fmt: skip
    if any(np.size(path.vertices) for path in drawn.get_paths()):
        return drawn
    drawn.remove()
    return None


def _write_in(axis: Axes, found: SlackMap, regions: Regions, air: QuadContourSet | None) -> None:
    """Write letters, the marks of pairs with their words, and the figures of lines."""
    taken, notes = _write_letters(axis, regions)
    marks = [("TODAY", found.now, TODAY)]
    if not found.here and found.nearest is not None:
        marks.append(("NEAREST FREE", found.nearest, NEAREST))
    for word, pair, look in marks:
        if found.holds(pair):
            axis.plot(*([value] for value in pair), **look, zorder=8.5, clip_on=False)
            notes.insert(0, Note(word, (pair,), bold=True, size=SENTENCE))
            taken.append(_box(axis, pair, (5.0, 5.0)))
    edge = _edge_of(axis)
    taken = write_notes(axis, notes, edge, taken)
    if air is not None:
        _write_figures(axis, air, taken, in_points(axis, edge))


def _edge_of(axis: Axes) -> Array:
    """Return spots along the heavy line, shape (N, 2) [mm or degrees]."""
    lines = [np.zeros((0, 2))]
    for drawn in axis.collections:
        if isinstance(drawn, QuadContourSet) and drawn.get_zorder() == _TOP:
            lines += [np.asarray(path.vertices, dtype=float) for path in drawn.get_paths()]
    return np.concatenate(lines)


def _write_letters(axis: Axes, regions: Regions) -> tuple[list[Box], list[Note]]:
    """Write the letter of each region into it.

    Return where they stand, and the letters that must stand beside a region too narrow for them.
    """
    boxes, beside = list[Box](), list[Note]()
    for number in range(len(HATCHES)):
        letter = chr(65 + number)
        for spot, deep in regions.middles(number):
            if deep * min(box_points(axis)) < _NARROW:
                axis.plot(
                    *([value] for value in spot), marker="o", markersize=4, color=BLACK, zorder=6
                )
                beside.append(Note(letter, (spot,), bold=True, size=_LETTER))
                boxes.append(_box(axis, spot, (2.0, 2.0)))
                continue
            axis.text(*spot, letter, fontsize=_LETTER, fontweight="bold", ha="center",
                      va="center", zorder=6, bbox={"boxstyle": "circle,pad=0.2",
                      "facecolor": "1.0", "edgecolor": BLACK, "linewidth": PLAIN})  # fmt: skip
            boxes.append(_box(axis, spot, (_LETTER, _LETTER)))
    return boxes, beside


def _box(axis: Axes, spot: Point, half: Point) -> Box:
    """Return a box about a spot, half as wide and high as it is to be [points]."""
    x, y = in_points(axis, np.array(spot))[0].tolist()
    return x - half[0], y - half[1], x + half[0], y + half[1]


def _write_figures(axis: Axes, air: QuadContourSet, taken: list[Box], edge: Array) -> None:
    """Write on each line of equal air its figure, where it hides nothing else if it can be."""
    boxes, (wide, high) = list(taken), box_points(axis)
    for level, path in zip(air.levels, air.get_paths(), strict=True):
        half = (text_width(f"{level:g}", SMALL, False) / 2 + 3, SMALL * 0.75)
        spots = np.asarray(path.vertices, dtype=float).reshape(-1, 2)
        best: tuple[int, float, Point, Box] | None = None
        for number, (x, y) in enumerate(spots.tolist()):
            box = _box(axis, (x, y), half)
            if box[0] < 0 or box[1] < 0 or box[2] > wide or box[3] > high:
                continue
            if any(_meet(box, other) for other in boxes):
                continue
            hidden = int(((edge > box[:2]) & (edge < box[2:])).all(axis=1).sum())
            this = (hidden, abs(number - len(spots) / 2), (x, y), box)
            best = this if best is None else min(best, this)
        if best is not None:
            axis.text(*best[2], f"{level:g}", fontsize=SMALL, ha="center", va="center", zorder=2.5,
                      bbox={"facecolor": "1.0", "edgecolor": "none", "pad": 0.8})  # fmt: skip
            boxes.append(best[3])


def _meet(one: Box, other: Box) -> bool:
    return bool(one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3])


def _entries(found: SlackMap, air: bool) -> list[Entry]:
    """Return what the key says."""
    entries = [Entry("free, with the air asked for")]
    if found.stoppers and found.free.any():
        entries.append(Entry("edge of what is free", line=EDGE))
    if air:
        entries.append(Entry("equal air, so many mm beyond what is asked for", line=AIR))
    outside = "" if found.holds(found.now) else "; outside this map"
    entries.append(Entry(f"as the sheet has it{outside}", "TODAY", TODAY))
    if not found.here and found.nearest is not None:
        entries.append(Entry("of the pairs looked at", "NEAREST FREE", NEAREST))
    if found.stoppers:
        entries.append(Entry("", "Not free. What stops it:", hatch=None))
    said = [say_reason(Stop(0.0, *what)) for what in found.stoppers]
    last = len(HATCHES) - 1
    if len(said) > len(HATCHES):
        said = [*said[:last], f"something else, of {len(said) - last} kinds"]
    entries += [Entry(reason, chr(65 + k), hatch=HATCHES[k]) for k, reason in enumerate(said)]
    return entries
