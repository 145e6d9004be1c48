"""Below a moving picture: a small dial of the turn, and a board with words that change."""

from __future__ import annotations

from matplotlib.axes import Axes
from matplotlib.patches import Circle, FancyArrowPatch

from linkage.draw.dial import band, draw_hours, on_dial
from linkage.draw.labels import text_width
from linkage.draw.style import BLACK, SENTENCE, TEXT
from linkage.film.animation import Take
from linkage.film.captions import wrapped
from linkage.report.spots import say_here
from linkage.report.voice import degrees
from linkage.units import clock

_TALL, _BEHIND, _AHEAD = 1.4, 1.35, 2.55  # what the dial's box holds [radii]
_FRONT = 1.95  # where FRONT stands, clear of the 3 or 9 [radii]
_PAD = 5.0  # about the words that flash [points]
NO_POSITION = "locks here: no position"
"""What a frame says at a crank angle at which the loops do not close."""


def draw_small_dial(axis: Axes, take: Take) -> Axes:
    """Draw what stands still of the dial: hours, the tight arcs, FRONT.

    The same, in radii of the dial; x runs to the left for the left side.

    Parameters
    ----------
    axis : Axes
        Where to draw; its box must stand already.
    """
    axis.set_xlim((_AHEAD, -_BEHIND) if take.scenes[0].mirrored else (-_BEHIND, _AHEAD))
    axis.set_ylim(-_TALL, _TALL)
    axis.set_aspect("equal")
    axis.set_axis_off()
    axis.add_patch(Circle((0, 0), 1.0, fill=False, edgecolor=BLACK, linewidth=1.2, zorder=3))
    for scene in take.scenes:
        if scene.spot is not None:
            axis.add_patch(band(scene.spot))
    draw_hours(axis)
    axis.text(_FRONT, 0.1, "FRONT", ha="center", va="bottom", fontsize=TEXT, fontweight="bold")
    axis.add_patch(
        FancyArrowPatch((_FRONT - 0.4, 0.0), (_FRONT + 0.4, 0.0), arrowstyle="-|>", color=BLACK,
                        mutation_scale=9, linewidth=1.0, shrinkA=0, shrinkB=0)
    )  # fmt: skip
    return axis


def point_dial(axis: Axes, take: Take, frame: int) -> Axes:
    """Point to where the crank pin stands; a hollow dot to where it is asked to be, if elsewhere.

    Parameters
    ----------
    axis : Axes
        From `draw_small_dial`.
    frame : int
        Number of the frame.
    """
    angle = float(take.stands[frame])
    axis.add_patch(
        FancyArrowPatch((0, 0), on_dial(angle, 0.8), arrowstyle="-|>", mutation_scale=9,
                        color=BLACK, linewidth=1.6, zorder=6, shrinkA=0, shrinkB=0)
    )  # fmt: skip
    axis.plot(*on_dial(angle, 0.9), marker="o", markersize=6, color=BLACK, markeredgecolor="1.0",
              zorder=7)  # fmt: skip
    if take.held[frame]:
        asked = float(take.crank[frame])
        axis.plot(*on_dial(asked, 0.9), marker="o", markersize=5, color="1.0",
                  markeredgecolor=BLACK, zorder=7)  # fmt: skip
    return axis


def draw_board(axis: Axes, take: Take, frame: int) -> Axes:
    """Write where the crank is, which way and how fast it is turned, and what happens there.

    Parameters
    ----------
    frame : int
        Number of the frame.
    """
    scene = take.scenes[0]
    angle = float(take.stands[frame])
    crank = "crank" if scene.side == "only" else "right-hand crank"
    at = degrees(scene.examination.right_hand(scene.side, angle))
    way = "turned backwards" if take.timing.backwards else "turned forwards"
    pin = "crank pin" if scene.side == "only" else f"{scene.side} crank pin"
    lines = [f"{pin} at {clock(scene.side, angle)}", f"{crank} {at} degrees", way]
    for number, line in enumerate(lines):
        axis.text(8, 8 + 11 * number, line, fontsize=TEXT, va="center", zorder=3)
    if take.timing.slow[frame] and not take.held[frame]:
        after = 8 + text_width(way, TEXT, False) + 6
        axis.text(after, 8 + 22, "slowly", fontsize=TEXT, fontweight="bold", va="center", zorder=3)
    if take.active[frame] >= 0:
        _flash(axis, _words(take, frame), bool(take.lit[frame]))
    return axis


def _words(take: Take, frame: int) -> str:
    spot = take.scenes[int(take.active[frame])].spot
    assert spot is not None
    here = say_here(spot)
    return f"{here}\n{NO_POSITION}" if take.held[frame] else here


def _flash(axis: Axes, text: str, lit: bool) -> None:
    """Write the words of the spot, white on black and black on white in turn."""
    room = axis.get_xlim()[1] - 8 - 2 * _PAD
    lines = [part for line in text.split("\n") for part in wrapped(line, SENTENCE, True, room)]
    axis.text(
        8 + _PAD, 60, "\n".join(lines), fontsize=SENTENCE, fontweight="bold", va="center",
        color="1.0" if lit else BLACK, zorder=4, linespacing=1.15,
        bbox={"facecolor": BLACK if lit else "1.0", "edgecolor": BLACK, "linewidth": 1.2,
              "pad": _PAD},
    )  # fmt: skip
