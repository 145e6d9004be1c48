"""One sheet of paper for one tight spot."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from matplotlib.figure import Figure

from linkage.draw.page import box, new_page
from linkage.draw.paint import our_look, paint
from linkage.draw.said import sentence
from linkage.examine import Examination
from linkage.scene.curves import curve_view
from linkage.scene.detail import plan_detail, run_off_detail, side_detail
from linkage.scene.dial import dial_view
from linkage.scene.drawing import View
from linkage.scene.moment import Moment, beyond_the_gap, moment_of, other_side
from linkage.scene.plan import plan_view
from linkage.scene.side import side_view
from linkage.tightspots import CannotClose, PlayUsedUp, RunsOff, TightSpot

_PLACES = {
    "side": (0.025, 0.585, 0.605, 0.275),
    "plan": (0.025, 0.315, 0.605, 0.235),
    "curve": (0.055, 0.085, 0.50, 0.17),
    "dial": (0.66, 0.585, 0.32, 0.275),
    "upper": (0.66, 0.335, 0.32, 0.21),
    "lower": (0.66, 0.07, 0.32, 0.225),
    "middle": (0.66, 0.255, 0.32, 0.29),
    "both": (0.66, 0.07, 0.32, 0.475),
    "side and plan": (0.025, 0.315, 0.605, 0.545),
}
_PAPERS = {name: box(place) for name, place in _PLACES.items()}


def draw_figure(
    examination: Examination, spot: TightSpot | None = None, side: str | None = None
) -> Figure:
    """Draw one tight spot: side view, plan, enlargements, the turn and the dial.

    A4, to be written by `picture_bytes`.

    `spot`: one of its tight spots; None for the nearest pair of a side that is free. `side`: the
    side whose nearest pair is meant, where no spot is given; None for the nearer.
    """
    moment = moment_of(examination, spot, side)
    with our_look():
        figure = new_page(examination.sheet, sentence(moment), _number(moment))
        for view in spot_views(moment):
            paint(figure, _PLACES[view.name], view)
    return figure


def spot_views(moment: Moment) -> Iterator[View]:
    """Yield the views of a tight spot's page, each by the name of its place."""
    other = other_side(moment) if isinstance(moment.spot, PlayUsedUp) else None
    if other is not None:
        yield side_view(moment, _PAPERS["side"])
        yield side_view(other, _PAPERS["plan"], name="plan")
        yield dial_view(other, _PAPERS["middle"], name="middle")
    elif moment.outlined:
        above = side_view(moment, _PAPERS["side"])
        yield from (above, plan_view(moment, _PAPERS["plan"], above.frame))
    else:
        view = side_view(moment, _PAPERS["side and plan"], name="side and plan")
        yield replace(view, title=f"{view.title}; dotted: where the joints go in a turn")
    yield curve_view(moment, _PAPERS["curve"])
    yield dial_view(moment, _PAPERS["dial"])
    if moment.contact is not None:
        yield side_detail(moment, moment.contact, _PAPERS["upper"])
        yield plan_detail(moment, moment.contact, _PAPERS["lower"])
    elif isinstance(moment.spot, RunsOff):
        yield run_off_detail(moment, moment.spot.run_off, _PAPERS["both"])
    elif isinstance(moment.spot, CannotClose):
        yield side_view(
            beyond_the_gap(moment, moment.spot), _PAPERS["middle"], False, name="middle"
        )


def _number(moment: Moment) -> str:
    spots = moment.examination.spots
    if moment.spot is None:
        return "free"
    return f"tight spot {spots.index(moment.spot) + 1} of {len(spots)}"
