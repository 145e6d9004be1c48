"""One sheet of paper for one tight spot."""

from __future__ import annotations

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from linkage.draw.curves import draw_curve
from linkage.draw.detail import draw_plan_detail, draw_run_off_detail, draw_side_detail
from linkage.draw.dial import draw_dial
from linkage.draw.page import new_page
from linkage.draw.plan import draw_plan
from linkage.draw.scene import Scene, beyond_the_gap, other_side, scene_of
from linkage.draw.side_view import draw_side_view, side_title
from linkage.draw.style import our_look
from linkage.examine import Examination
from linkage.report.spots import say_spot
from linkage.report.words import say_free
from linkage.tightspots import CannotClose, PlayUsedUp, RunsOff, TightSpot

_BOXES = {
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
"""Left, bottom, width and height of each picture, as shares of the paper."""


def draw_figure(
    examination: Examination, spot: TightSpot | None = None, side: str | None = None
) -> Figure:
    """Draw one tight spot: side view, plan, enlargements, the turn and the dial.

    A4, to be written by `picture_bytes`.

    Parameters
    ----------
    spot : TightSpot or None
        One of its tight spots; None for the nearest pair of a side that is free.
    side : str or None
        The side whose nearest pair is meant, where no spot is given; None for the nearer.
    """
    with our_look():
        scene = scene_of(examination, spot, side)
        figure = new_page(scene.examination.sheet, sentence(scene), _number(scene))
        other = other_side(scene) if isinstance(spot, PlayUsedUp) else None
        if other is not None:
            draw_side_view(_box(figure, "side"), scene)
            draw_side_view(_box(figure, "plan"), other)
            draw_dial(_box(figure, "middle"), other)
        elif scene.outlined:
            above = draw_side_view(_box(figure, "side"), scene)
            draw_plan(_box(figure, "plan"), scene, above)
        else:
            axis = draw_side_view(_box(figure, "side and plan"), scene)
            axis.set_title(f"{side_title(scene)}; dotted: where the joints go in a turn")
        draw_curve(_box(figure, "curve"), scene)
        draw_dial(_box(figure, "dial"), scene)
        _draw_details(figure, scene)
    return figure


def _box(figure: Figure, name: str) -> Axes:
    axis = figure.add_axes(_BOXES[name])
    axis.set_label(name)
    return axis


def _draw_details(figure: Figure, scene: Scene) -> None:
    """Draw the place of contact enlarged; of an open loop, where it stops turning backwards."""
    if scene.contact is not None:
        draw_side_detail(_box(figure, "upper"), scene, scene.contact)
        draw_plan_detail(_box(figure, "lower"), scene, scene.contact)
    elif isinstance(scene.spot, RunsOff):
        draw_run_off_detail(_box(figure, "both"), scene, scene.spot.run_off)
    elif isinstance(scene.spot, CannotClose):
        draw_side_view(_box(figure, "middle"), beyond_the_gap(scene), everything=False)


def sentence(scene: Scene) -> str:
    """Return what the picture says, in one sentence.

    What fouls what, where, by how much.
    """
    if scene.spot is not None:
        return say_spot(scene.examination, scene.spot)
    if scene.examination.free:
        return say_free(scene.examination)
    if scene.pair is None:
        return f"The {scene.side} side is free all round the turn."
    names = " and ".join(scene.pair.parts)
    return (
        f"The {scene.side} side is free all round the turn. The least air is "
        f"{scene.pair.least:.2f} mm, between {names}."
    )


def _number(scene: Scene) -> str:
    spots = scene.examination.spots
    if scene.spot is None:
        return "free"
    return f"tight spot {spots.index(scene.spot) + 1} of {len(spots)}"
