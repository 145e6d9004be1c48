"""One number's picture of the measuring form by itself: where the calliper goes."""

from __future__ import annotations

from matplotlib.figure import Figure

from linkage.draw.paint import our_look
from linkage.form.letters import sections_of
from linkage.form.model import models_of
from linkage.form.sketching import arrange, draw_cell
from linkage.sheet.wheel_arrangement import WheelArrangement

_WIDTH = 120.0  # of the picture [mm]
_MARGIN = 2.0  # about it [mm]
_ABOVE = 4.0  # its title [mm]
_PER_INCH = 25.4


def draw_calliper(
    arrangement: str, scale: str | None, wheels: WheelArrangement | None, unit: str, key: str
) -> Figure | None:
    """Draw the view on which a number is measured, all its places lettered as on the form.

    One unit of its axis is one mm of paper; None where the form has no place for the number.

    `scale`, `wheels`, `unit`: as `draw_measuring`. `key`: of the number, without a side.
    """
    for section in sections_of(models_of(arrangement, scale, wheels, unit)):
        if section.detail is None or key not in section.letters:
            continue
        cells, _ = arrange(section.detail, _WIDTH)
        cell = next(c for c in cells if key in {mark.key for mark in c.sketch.marks})
        low = cell.origin[1] + cell.layout.low[1] - _MARGIN
        high = cell.title[1] + _ABOVE
        wide = _WIDTH + 2 * _MARGIN
        with our_look():
            figure = Figure(figsize=(wide / _PER_INCH, (high - low) / _PER_INCH))
            axis = figure.add_axes((0.0, 0.0, 1.0, 1.0))
            left = cell.title[0] + (cell.width - wide) / 2
            axis.set_xlim(left, left + wide)
            axis.set_ylim(low, high)
            axis.set_axis_off()
            draw_cell(axis, cell, (0.0, 0.0), section.letters)
        return figure
    return None
