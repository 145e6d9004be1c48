"""Pictures for the owner, one thing each: the side, the place enlarged, the dial of the turn."""

from __future__ import annotations

import re
from pathlib import Path

import matplotlib as mpl
from matplotlib.figure import Figure
from matplotlib.text import Annotation, Text

from linkage.clearance import find_contact
from linkage.draw.detail import draw_plan_detail, draw_run_off_detail, draw_side_detail
from linkage.draw.dial import draw_dial
from linkage.draw.labels import box_points
from linkage.draw.scene import Scene, poses_at
from linkage.draw.side_view import draw_side_view
from linkage.draw.style import our_look
from linkage.examine import Examination
from linkage.tightspots import RunsOff

WIDE, HALF = (6.85, 2.2), (3.35, 1.85)
"""Width and height of a picture across the page, and of one of two [inch]."""
_ASIDE = 0.045  # from the middle of a scale to the end of its word, of the width [1]
_BOX = (0.006, 0.012, 0.988, 0.885)  # of the drawing in its picture; its title stands above


def font_files() -> tuple[Path, Path]:
    """Return the files of the lettering that the pictures have, plain and bold."""
    folder = Path(mpl.get_data_path(), "fonts", "ttf")
    return folder / "DejaVuSans.ttf", folder / "DejaVuSans-Bold.ttf"


def scene_of_pair(examination: Examination, side: str, parts: tuple[str, ...]) -> Scene | None:
    """Return the scene in which two parts of a side come nearest.

    None where they never come so near that their clearance was followed.
    """
    findings = examination.sides[side]
    for pair in findings.survey.pairs:
        if set(pair.parts) == set(parts):
            contact = find_contact(findings.course, findings.pairs[pair.parts], pair.at)
            poses = poses_at(findings, pair.at)
            return Scene(examination, findings, None, pair, contact, pair.parts, pair.at, poses)
    return None


def draw_whole(scene: Scene) -> Figure:
    """Draw a whole side from outside it, with the names of the parts it is about.

    As wide as the page.
    """
    with our_look():
        figure = Figure(figsize=WIDE)
        draw_side_view(figure.add_axes(_BOX), scene, everything=not scene.parts)
        return _spelled_out(figure)


def draw_enlarged(scene: Scene) -> Figure | None:
    """Draw the place that a scene is about, enlarged, in the view that shows it best.

    Half as wide as the page; None where there is no one place.
    """
    with our_look():
        figure = Figure(figsize=HALF)
        axis = figure.add_axes(_BOX)
        if scene.contact is not None and from_above(scene):
            draw_plan_detail(axis, scene, scene.contact).set_title("Seen from above, enlarged")
        elif scene.contact is not None:
            draw_side_detail(axis, scene, scene.contact).set_title("Seen from the side, enlarged")
        elif isinstance(scene.spot, RunsOff):
            draw_run_off_detail(axis, scene, scene.spot.run_off)
            axis.set_title("Seen from the side, enlarged")
        else:
            return None
        return _spelled_out(figure)


def draw_backwards(scene: Scene) -> Figure:
    """Draw a whole side small, where a loop that cannot close stops it turned backwards.

    Half as wide as the page.

    Parameters
    ----------
    scene : Scene
        From `scene.beyond_the_gap`.
    """
    with our_look():
        figure = Figure(figsize=HALF)
        axis = draw_side_view(figure.add_axes(_BOX), scene, everything=False)
        axis.set_title("Turned backwards, from outside")
        return _spelled_out(figure)


def from_above(scene: Scene) -> bool:
    """Tell whether the place of contact shows best from above."""
    return scene.contact is not None and scene.contact.lateral >= scene.contact.side_view


def draw_clock(scene: Scene) -> Figure:
    """Draw where in the turn it is, as a clock face.

    Half as wide as the page.
    """
    with our_look():
        figure = Figure(figsize=HALF)
        axis = draw_dial(figure.add_axes(_BOX), scene)
        side = f": {scene.side} side" if scene.side != "only" else ""
        axis.set_title(f"Where the crank pin stands{side}")
        for text in axis.texts:  # the clock says it: degrees are for the bench
            text.set_text(re.sub(r"(?s)^.*crank\s+at \d+°\n?", "", text.get_text()))
        return figure


def _spelled_out(figure: Figure) -> Figure:
    """Write millimetre in full in every word of a picture; a scale's, longer now, goes inwards."""
    axis = figure.axes[0]
    aside = _ASIDE * box_points(axis)[0] * (-1 if axis.xaxis_inverted() else 1)
    for text in figure.findobj(Text):
        said = text.get_text()
        text.set_text(re.sub(r"\bmm\b", "millimetre", said))
        if isinstance(text, Annotation) and re.fullmatch(r"[\d.]+ mm", said):
            text.set_horizontalalignment("left" if aside < 0 else "right")
            text.xyann = (aside, text.xyann[1])
            text.set_bbox({"facecolor": "1.0", "edgecolor": "none", "pad": 0.6})
    return figure
