"""The map of two numbers: which pairs of values are free, and what stops the rest."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from matplotlib.axes import Axes
from matplotlib.contour import QuadContourSet
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from linkage.advice.map import Axis as Number
from linkage.advice.map import SlackMap
from linkage.advice.slack import Stop
from linkage.arrays import Array
from linkage.draw.map_key import Entry, write_key
from linkage.draw.page import TOP, box, new_page
from linkage.draw.paint import our_look, paint_items
from linkage.draw.regions import Regions, regions_of
from linkage.lengths import Lengths
from linkage.mechanism import Point
from linkage.report.advising import say_reason
from linkage.report.map import say_answer, unit_of
from linkage.report.naming import name_number
from linkage.scene import style
from linkage.scene.drawing import Frame, Item, Marks, Words
from linkage.scene.names import Note, noted_on
from linkage.scene.placing import Box, Ground, Want, place_near
from linkage.sheet import Sheet
from linkage.tightspots import Close

_PLACE = (0.085, 0.115, 0.57, TOP - 0.135)  # of the map, as shares of the paper
_LETTER = style.Letters(11.0, bold=True)  # of regions
_NARROW = 6.0  # a region less deep than this has its letter beside it [points]
_LINES = 3  # of what the picture says, before its lettering is made smaller


def draw_map(found: SlackMap, sheet: Sheet) -> Figure:
    """Draw which pairs of two numbers leave all free, and what stops the others.

    A4, legible at A5.
    """
    first, second = (name_number(number.key) for number in found.axes)
    shown = f"{first[:1].upper() + first[1:]}, and {second}: free together where it is white."
    said = " ".join((shown, *say_answer(sheet, found)))
    with our_look():
        figure = new_page(
            sheet, said, "map of two numbers", (style.SENTENCE + 1, style.TEXT), _LINES
        )
        axis = figure.add_axes(_PLACE)
        axis.set_label("map")
        _frame(axis, sheet, found.axes)
        regions = regions_of(found, len(style.HATCHES))
        edge = _fill(axis, regions)
        air = _draw_air(axis, found, sheet.lengths)
        for artist in paint_items(axis, _written(found, regions, (air, sheet.lengths), edge), 10.0):
            artist.set_clip_on(False)
        write_key(figure, _entries(found, air is not None, sheet.lengths), (TOP - 0.02, _PLACE[1]))
    return figure


def _frame(axis: Axes, sheet: Sheet, numbers: tuple[Number, Number]) -> None:
    """Set the limits of the map, and write its numbers along it."""
    for number, way in zip(numbers, (axis.xaxis, axis.yaxis), strict=True):
        name = name_number(number.key)
        way.set_label_text(f"{name[:1].upper() + name[1:]} [{unit_of(sheet, number)}]",
                           fontsize=style.SENTENCE + 1, fontweight="bold")  # fmt: skip
        low, high = number.values[[0, -1]].tolist()
        one = 1.0 if number.degrees else sheet.lengths.scale
        ticks = MaxNLocator(6).tick_values(low / one, high / one)
        ticks = ticks[(ticks >= low / one) & (ticks <= high / one)]
        way.set_ticks(ticks * one, [f"{tick:.6g}" for tick in ticks])
        way.set_tick_params(labelsize=style.SENTENCE)
    axis.set_xlim(*numbers[0].values[[0, -1]].tolist())
    axis.set_ylim(*numbers[1].values[[0, -1]].tolist())


def _fill(axis: Axes, regions: Regions) -> Array:
    """Hatch what is not free, each stop in its own way, with a heavy line round it all.

    Return spots along that line, shape (N, 2) [mm or degrees].
    """
    for number, hatch in enumerate(style.HATCHES):
        mine = (regions.kinds == number).astype(float)
        if mine.any():
            axis.contourf(regions.x, regions.y, mine, levels=[0.5, 1.5], colors="none",
                          hatches=[hatch])  # fmt: skip
        if mine.any() and not mine.all():
            axis.contour(
                regions.x, regions.y, mine, levels=[0.5], colors=style.GREY, linewidths=style.PLAIN
            )
    if not regions.free.min() < 0 <= regions.free.max():
        return np.zeros((0, 2))
    drawn = axis.contour(regions.x, regions.y, regions.free, levels=[0.0], colors=style.EDGE.grey,
                         linewidths=style.EDGE.width, zorder=3)  # fmt: skip
    return _spots(drawn)


def _spots(drawn: QuadContourSet) -> Array:
    paths = [np.asarray(path.vertices, dtype=float) for path in drawn.get_paths()]
    return np.concatenate([np.zeros((0, 2)), *paths])


def _draw_air(axis: Axes, found: SlackMap, lengths: Lengths) -> QuadContourSet | None:
    """Draw lines of equal air where air is what comes nearest to its limit; None where none run."""
    spare = np.array([[s.slack if s.kind is Close and s.slack >= 0 and s.parts else np.nan
                       for s in row] for row in found.stops])  # fmt: skip
    known = spare[np.isfinite(spare)]
    if not len(known):
        return None
    steps = MaxNLocator(4).tick_values(0.0, float(known.max()) / lengths.small_scale)
    levels = [level for level in np.asarray(steps) * lengths.small_scale
              if max(float(known.min()), 0.005) < level < known.max()]  # fmt: skip
    if not levels:
        return None
    first, second = (number.values for number in found.axes)
    drawn = axis.contour(first, second, spare.T, levels=levels, colors=style.AIR.grey,
                         linewidths=style.AIR.width, linestyles=[(0, style.AIR.dashes)],
                         zorder=2)  # fmt: skip
    if len(_spots(drawn)):
        return drawn
    drawn.remove()
    return None


def _written(
    found: SlackMap, regions: Regions, air: tuple[QuadContourSet | None, Lengths], edge: Array
) -> Iterator[Item]:
    """Yield letters, the marks of pairs with their words, and the figures of lines.

    `air`: the lines of equal air, and how lengths are said.
    """
    first, second = (tuple(number.values[[0, -1]].tolist()) for number in found.axes)
    frame = Frame(box(_PLACE), first, second)
    ground = Ground((frame.paper.width, frame.paper.height), [], frame.points(edge))
    notes: list[Note] = []
    marks = [("TODAY", found.now, style.TODAY_SIGN)]
    if not found.here and found.nearest is not None:
        marks.append(("NEAREST FREE", found.nearest, style.NEAREST_SIGN))
    for word, pair, sign in marks:
        if found.holds(pair):
            yield Marks([pair], sign)
            notes.insert(0, Note(word, [pair], letters=style.HEADING))
            ground.boxes.append(_about(frame, pair, 5.0))
    for number in range(len(style.HATCHES)):
        letter = chr(65 + number)
        for spot, deep in regions.middles(number):
            narrow = deep * min(ground.size) < _NARROW
            ground.boxes.append(_about(frame, spot, 2.0 if narrow else _LETTER.size))
            if narrow:
                yield Marks([spot], style.REGION_SIGN)
                notes.append(Note(letter, [spot], letters=_LETTER))
            else:
                yield Words(letter, spot, _LETTER, ground=style.CIRCLED)
    yield from noted_on(frame, notes, ground)
    lines, lengths = air
    if lines is not None:
        yield from _figures(frame, lines, lengths, ground)


def _about(frame: Frame, spot: Point, half: float) -> Box:
    """Return a box about a spot, half as wide and high as it is to be [points]."""
    x, y = frame.points([spot])[0].tolist()
    return x - half, y - half, x + half, y + half


def _figures(frame: Frame, air: QuadContourSet, lengths: Lengths, ground: Ground) -> Iterator[Item]:
    """Yield the figure of each line of equal air, upon it, near its middle if it can be."""
    for level, path in zip(air.levels, air.get_paths(), strict=True):
        said = f"{level / lengths.small_scale:.4g}"
        spots = frame.points(np.asarray(path.vertices, dtype=float)).tolist()
        order = sorted(range(len(spots)), key=lambda k: abs(k - len(spots) / 2))
        size = (frame.paper.measure(said, style.NOTE) + 6, 1.5 * style.SMALL)
        found = place_near(ground, Want(size, [tuple(spots[k]) for k in order], within=0.0))
        if found is not None:
            yield Words(said, frame.back(*found[1].middle), style.NOTE, ground=style.CLEAR)


def _entries(found: SlackMap, air: bool, lengths: Lengths) -> list[Entry]:
    """Return what the key says."""
    entries = [Entry("free, with the air asked for")]
    if found.stoppers and found.free.any():
        entries.append(Entry("edge of what is free", sign=style.EDGE))
    if air:
        entries.append(
            Entry(
                f"equal air, so many {lengths.small_unit} beyond what is asked for", sign=style.AIR
            )
        )
    outside = "" if found.holds(found.now) else "; outside this map"
    entries.append(Entry(f"as the sheet has it{outside}", "TODAY", style.TODAY_SIGN))
    if not found.here and found.nearest is not None:
        entries.append(Entry("of the pairs looked at", "NEAREST FREE", style.NEAREST_SIGN))
    if found.stoppers:
        entries.append(Entry("", "Not free. What stops it:", sign=None))
    said = [say_reason(Stop(0.0, *what)) for what in found.stoppers]
    last = len(style.HATCHES) - 1
    if len(said) > len(style.HATCHES):
        said = [*said[:last], f"something else, of {len(said) - last} kinds"]
    entries += [Entry(reason, chr(65 + k), sign=style.HATCHES[k]) for k, reason in enumerate(said)]
    return entries
