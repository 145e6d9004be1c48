"""Pictures for the owner, one thing each: the side, the place enlarged, the dial of the turn."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import matplotlib as mpl
from matplotlib.figure import Figure

from linkage.draw.paint import our_look, paint, paper
from linkage.scene.detail import plan_detail, run_off_detail, side_detail
from linkage.scene.dial import dial_view
from linkage.scene.drawing import View
from linkage.scene.moment import Moment
from linkage.scene.side import side_view
from linkage.tightspots import RunsOff

_WIDE, _HALF = (6.85, 2.2), (3.35, 1.85)  # of a picture across the page, of one of two [inch]
_PLACE = (0.006, 0.012, 0.988, 0.885)  # of the drawing in its picture; its title stands above
_PAPERS = {size: paper(_PLACE[2] * size[0] * 72, _PLACE[3] * size[1] * 72)
           for size in (_WIDE, _HALF)}  # fmt: skip


def font_files() -> tuple[Path, Path]:
    """Return the files of the lettering that the pictures have, plain and bold."""
    folder = Path(mpl.get_data_path(), "fonts", "ttf")
    return folder / "DejaVuSans.ttf", folder / "DejaVuSans-Bold.ttf"


def draw_whole(moment: Moment) -> Figure:
    """Draw a whole side from outside it, with the names of the parts it is about: page wide."""
    return _drawn(_WIDE, side_view(moment, _PAPERS[_WIDE], not moment.parts, owner=True))


def draw_enlarged(moment: Moment) -> Figure | None:
    """Draw the place that a moment is about, enlarged, in the view that shows it best.

    Half as wide as the page; None where there is no one place.
    """
    room = _PAPERS[_HALF]
    if moment.contact is not None and from_above(moment):
        view = plan_detail(moment, moment.contact, room, owner=True)
        return _drawn(_HALF, view, "Seen from above, enlarged")
    if moment.contact is not None:
        view = side_detail(moment, moment.contact, room, owner=True)
    elif isinstance(moment.spot, RunsOff):
        view = run_off_detail(moment, moment.spot.run_off, room, owner=True)
    else:
        return None
    return _drawn(_HALF, view, "Seen from the side, enlarged")


def draw_backwards(moment: Moment) -> Figure:
    """Draw a whole side half as wide, where a lock stops it turned backwards (`beyond_the_gap`)."""
    view = side_view(moment, _PAPERS[_HALF], False, owner=True)
    return _drawn(_HALF, view, "Turned backwards, from outside")


def from_above(moment: Moment) -> bool:
    """Tell whether the place of contact shows best from above."""
    return moment.contact is not None and moment.contact.lateral >= moment.contact.side_view


def draw_clock(moment: Moment) -> Figure:
    """Draw where in the turn it is, as a clock face half as wide as the page, without degrees."""
    side = f": {moment.side} side" if moment.side != "only" else ""
    view = dial_view(moment, _PAPERS[_HALF], degrees=False)
    return _drawn(_HALF, view, f"Where the crank pin stands{side}")


def _drawn(size: tuple[float, float], view: View, title: str = "") -> Figure:
    with our_look():
        figure = Figure(figsize=size)
        paint(figure, _PLACE, replace(view, title=title or view.title))
    return figure
