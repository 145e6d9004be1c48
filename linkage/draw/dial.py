"""The dial: the crank pin's place as a clock face seen from outside, the tight arc a band on it."""

from __future__ import annotations

import math

from matplotlib.axes import Axes
from matplotlib.patches import Circle, FancyArrowPatch, Wedge

from linkage.draw.curves import right_hand_degrees
from linkage.draw.labels import box_points
from linkage.draw.scene import Scene, other_side
from linkage.draw.style import BLACK, GREY, PLAIN, SMALL, TEXT, THIN
from linkage.mechanism import Point
from linkage.tightspots import TightSpot
from linkage.units import clock

_BAND = (0.80, 1.0)  # from and to, in radii of the dial [1]
_NARROW = 1.5  # half of the band of an arc that is a single place [degrees]


def draw_dial(axis: Axes, scene: Scene) -> Axes:
    """Draw where in the turn of its own crank a side is tight.

    The same, in radii of the dial; x runs to the left for the left side.

    Parameters
    ----------
    axis : Axes
        Where to draw; its box must stand already.
    """
    width, height = box_points(axis)
    tall = 1.45
    wide = tall * width / height
    axis.set_xlim((wide, -wide) if scene.mirrored else (-wide, wide))
    axis.set_ylim(-tall, tall)
    axis.set_xticks([])
    axis.set_yticks([])
    axis.set_axis_off()
    axis.set_title(f"Where the crank pin stands: {scene.seen}")
    axis.add_patch(Circle((0, 0), 1.0, fill=False, edgecolor=BLACK, linewidth=1.2, zorder=3))
    axle = Circle((0, 0), 0.05, facecolor="1.0", edgecolor=BLACK, linewidth=PLAIN, zorder=5)
    axis.add_patch(axle)
    for spot in scene.arcs:
        axis.add_patch(band(spot))
    draw_hours(axis)
    _draw_pointer(axis, scene)
    _draw_front(axis, wide)
    _draw_running(axis)
    return _write_where(axis, scene)


def band(spot: TightSpot) -> Wedge:
    """Return the band of a tight arc on a dial of radius 1.

    Counter-clockwise, in degrees: the crank angle of its own side runs the other way.
    """
    first, last = -math.degrees(spot.end), -math.degrees(spot.begin)
    if last - first < 2 * _NARROW:
        first, last = -math.degrees(spot.worst) - _NARROW, -math.degrees(spot.worst) + _NARROW
    return Wedge((0, 0), _BAND[1], first, last, width=_BAND[1] - _BAND[0], facecolor="0.85",
                 edgecolor=BLACK, hatch="xxxx", linewidth=1.2, zorder=4)  # fmt: skip


def on_dial(angle: float, radius: float) -> Point:
    """Return where a crank angle [rad] stands on the dial, so far from its middle [1]."""
    return radius * math.cos(angle), -radius * math.sin(angle)


def draw_hours(axis: Axes) -> None:
    """Draw the hours as they are seen, whichever way x runs."""
    sign = -1.0 if axis.xaxis_inverted() else 1.0
    for hour in range(1, 13):
        turned = math.radians(90 - 30 * hour)
        x, y = sign * math.cos(turned), math.sin(turned)
        main = hour % 3 == 0
        inner = 1.0 if main else 1.02
        axis.plot([inner * x, 1.07 * x], [inner * y, 1.07 * y], color=BLACK,
                  linewidth=1.2 if main else THIN)  # fmt: skip
        if main:
            axis.text(1.18 * x, 1.18 * y, f"{hour}", ha="center", va="center",
                      fontsize=TEXT, fontweight="bold")  # fmt: skip


def _draw_pointer(axis: Axes, scene: Scene) -> None:
    angle = scene.crank if scene.spot is None else scene.spot.worst
    axis.add_patch(
        FancyArrowPatch((0, 0), on_dial(angle, 0.8), arrowstyle="-|>", mutation_scale=11,
                        color=BLACK, linewidth=1.6, zorder=6, shrinkA=0, shrinkB=0)
    )  # fmt: skip
    x, y = on_dial(angle, 0.9)
    axis.plot(x, y, marker="o", markersize=7, color=BLACK, markeredgecolor="1.0", zorder=7)


def _draw_front(axis: Axes, wide: float) -> None:
    """Write FRONT beside the dial, where the front is."""
    x = min(1.62, wide - 0.25)
    axis.text(x, 0.1, "FRONT", ha="center", va="bottom", fontsize=TEXT, fontweight="bold")
    axis.add_patch(
        FancyArrowPatch((x - 0.2, 0.0), (x + 0.2, 0.0), arrowstyle="-|>", mutation_scale=9,
                        color=BLACK, linewidth=1.0, shrinkA=0, shrinkB=0)
    )  # fmt: skip


def _draw_running(axis: Axes) -> None:
    """Draw an arrow the way the crank turns in forward running."""
    begin, end = math.radians(20), math.radians(68)
    bend = 0.3 if axis.xaxis_inverted() else -0.3
    axis.add_patch(
        FancyArrowPatch(on_dial(begin, 1.2), on_dial(end, 1.2), arrowstyle="-|>", color=GREY,
                        connectionstyle=f"arc3,rad={bend}", mutation_scale=8, linewidth=PLAIN)
    )  # fmt: skip
    x, y = on_dial(math.radians(45), 1.3)
    axis.text(x, y, "forward\nrunning", ha="right" if axis.xaxis_inverted() else "left", va="top",
              fontsize=SMALL, color="0.3")  # fmt: skip


def _write_where(axis: Axes, scene: Scene) -> Axes:
    """Write the place as a clock and in degrees, behind the dial."""
    angle = scene.crank if scene.spot is None else scene.spot.worst
    crank = "crank" if scene.side == "only" else "right-hand\ncrank"
    word = "worst" if scene.spot is not None else "nearest"
    if scene.spot is None and scene.pair is None:
        word = "drawn at"
    at = round(right_hand_degrees(scene, angle)) % 360
    left, right = axis.get_xlim()
    x = -0.97 * max(left, right)
    side = "right" if axis.xaxis_inverted() else "left"
    axis.text(x, 1.3, f"{word}\n{clock(scene.side, angle)}".replace("past ", "past\u00a0"),
              ha=side, va="top", fontsize=TEXT, fontweight="bold")  # fmt: skip
    other = other_side(scene)
    there = ""
    if other is not None:
        turned = angle + other.crank - scene.crank
        there = f"\n{other.side} pin then\n{clock(other.side, turned)}"
    axis.text(x, -1.3, f"{crank}\nat {at}°{there}", ha=side, va="bottom", fontsize=SMALL)
    return axis
