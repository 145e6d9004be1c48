"""The side view: every part in place at one crank angle, as seen from outside that side."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Circle

from linkage.draw.labels import box_points, scale_bar
from linkage.draw.names import write_names
from linkage.draw.scene import Scene, places_on
from linkage.draw.shapes import bodies_of, faint, fill, look_of, side_shapes
from linkage.draw.style import BLACK, GREY, HEAVY, PLAIN, TEXT, THIN
from linkage.mechanism import FRAME, Part, Pin, Place, Point, Slide, Slot
from linkage.tightspots import CannotClose
from linkage.units import clock

_ROW = 19.0  # room for a row of names, above and below [points]
_MARGIN = 5.0  # about the drawing [points]
_FRONT = 50.0  # room for FRONT and its arrow [points]


@dataclass(frozen=True)
class Window:
    """What of the side is shown, x and y from low to high [mm]."""

    x: tuple[float, float]
    y: tuple[float, float]


def draw_side_view(axis: Axes, scene: Scene, everything: bool = True) -> Axes:
    """Draw a side as seen from outside it, at the scene's crank angle.

    Parameters
    ----------
    axis : Axes
        Where to draw; its box must stand already.
    everything : bool
        True to name all parts, not only what the picture is about.
    """
    frame_window(axis, scene, whole_window(axis, scene))
    axis.set_title(side_title(scene))
    if not scene.outlined:
        draw_paths(axis, scene)
    draw_parts(axis, scene)
    draw_wheel(axis, scene)
    if scene.contact is not None:
        ring(axis, scene.contact.spot)
        axis.axvline(scene.contact.spot[0], color=GREY, linewidth=THIN, dashes=(12, 3, 2, 3))
    write_front(axis)
    write_names(axis, scene, everything)
    return scale_bar(axis, (0.94, 0.16), 0.1)


def side_title(scene: Scene) -> str:
    """Return what a side view is called; that of an open loop says where it stands."""
    if not isinstance(scene.spot, CannotClose):
        return f"Side view: {scene.seen}"
    stops = clock(scene.side, scene.crank)
    if scene.crank == scene.spot.begin:
        return f"Side view: {scene.seen}, where it stops when turned forwards: {stops}"
    return f"Where it stops when turned backwards: {stops}"


def frame_window(axis: Axes, scene: Scene, window: Window) -> Axes:
    """Set an axis to a window, x to the left for the left side, without ticks.

    Parameters
    ----------
    window : Window
        What is shown; y may run down.
    """
    axis.set_xlim(window.x[::-1] if scene.mirrored else window.x)
    axis.set_ylim(window.y)
    axis.set_xticks([])
    axis.set_yticks([])
    return axis


def whole_window(axis: Axes, scene: Scene) -> Window:
    """Return the window that holds all of a side at one scale both ways, with room for names.

    For the axis's box.

    Parameters
    ----------
    axis : Axes
        Its box must stand already.
    """
    return window_about(axis, [point for shape in all_shapes(scene) for point in shape])


def window_about(axis: Axes, points: Sequence[Point], aside: float = 0.0) -> Window:
    """Return the window that holds all of some points at one scale, with room for names.

    For the axis's box.

    Parameters
    ----------
    axis : Axes
        Its box must stand already.
    points : sequence of (float, float) [mm]
        What must be seen.
    aside : float [points]
        Room to be left before and behind it for words.
    """
    seen = np.array(points)
    low, high = seen.min(axis=0), seen.max(axis=0)
    width, height = box_points(axis)
    margin = _MARGIN + aside
    free = (width - 2 * margin - _FRONT, height - 2 * _MARGIN - 2 * _ROW)
    scale = max((high[0] - low[0]) / free[0], (high[1] - low[1]) / free[1])
    back = (free[0] - (high[0] - low[0]) / scale) / 2 + margin
    below = (free[1] - (high[1] - low[1]) / scale) / 2 + _MARGIN + _ROW
    x, y = float(low[0] - back * scale), float(low[1] - below * scale)
    return Window((x, float(x + width * scale)), (y, float(y + height * scale)))


def all_shapes(scene: Scene) -> Iterable[Sequence[Point]]:
    """Yield everything that a side view has to hold, as outlines, paths and places [mm]."""
    centre, throw = _wheel(scene)
    for body in bodies_of(scene):
        yield from side_shapes(body, scene)
    yield [(centre[0] + k * throw, centre[1] + m * throw) for k in (-1, 1) for m in (-1, 1)]
    for joint in scene.joints_seen:
        yield [scene.place(joint.a), scene.place(joint.b)]
        if not scene.outlined:
            path = scene.findings.motion.joint(joint.name)
            yield path[np.isfinite(path).all(axis=1)].tolist()
    for part in scene.parts_seen:
        yield from ([scene.place(place)] for place in places_on(scene, part))


def _wheel(scene: Scene) -> tuple[Point, float]:
    """Return the axle, and how far the crank's first pin stands from it."""
    mechanism = scene.findings.mechanism
    own = places_on(scene, mechanism.part(mechanism.crank))
    return mechanism.axle, math.hypot(own[0].x, own[0].y)


def draw_parts(axis: Axes, scene: Scene, only: tuple[str, ...] = ()) -> Axes:
    """Draw the parts in place, nearest the frames first, what the picture is about last.

    Parameters
    ----------
    only : tuple of str
        Parts drawn in full, all others faint; empty for all in full.
    """
    for index, body in enumerate(bodies_of(scene)):
        look = look_of(body, scene)
        if only and body.part.name not in only:
            look = faint(look)
        fill(axis, side_shapes(body, scene), look, 2 + 0.02 * index)
    for part in scene.parts_seen:
        if not part.pieces:
            _draw_links(axis, scene, part)
    return _draw_joints(axis, scene)


def _draw_links(axis: Axes, scene: Scene, part: Part) -> None:
    """Draw a part without an outline as the lines between its joints."""
    spots = [scene.place(place) for place in places_on(scene, part)]
    if part.name == scene.findings.mechanism.crank:
        spots = [scene.findings.mechanism.axle, *spots]
    if len(spots) > 2:
        spots.append(spots[0])
    heavy = part.name in scene.parts
    axis.plot(
        *np.array(spots).T, color=BLACK, linewidth=2 * HEAVY if heavy else HEAVY, zorder=3,
        solid_joinstyle="round", scalex=False, scaley=False,
    )  # fmt: skip


def _draw_joints(axis: Axes, scene: Scene) -> Axes:
    """Draw pins as small circles, those on the frame on a foot, slots as their centre line."""
    mechanism = scene.findings.mechanism
    fixed = {FRAME, *(part.name for part in mechanism.parts if part.fixed)}
    for joint in scene.joints_seen:
        x, y = scene.place(joint.a)
        if isinstance(joint, Pin) and fixed & {joint.a.part, joint.b.part}:
            axis.plot(x, y, marker=6, color=BLACK, markersize=8, zorder=4.9, fillstyle="none")
        if isinstance(joint, Slot):
            line = np.array([scene.place(place) for place in slot_line(scene, joint)])
            axis.plot(*line.T, color=BLACK, linewidth=PLAIN, dashes=(4, 2), zorder=4.9)
        marker = "s" if isinstance(joint, Slide | Slot) else "o"
        axis.plot(x, y, marker=marker, color="1.0", markeredgecolor=BLACK, markersize=3.2,
                  markeredgewidth=0.6, zorder=5)  # fmt: skip
    return axis


def slot_line(scene: Scene, slot: Slot) -> list[Place]:
    """Return points along a slot's centre line, as far as its travel goes.

    On the slotted part; the slot's middle alone where its travel has no ends.
    """
    travels = [t for t in scene.findings.mechanism.travels if t.joint == slot.name]
    ends = [(t.least, t.most) for t in travels if math.isfinite(t.most - t.least)]
    if not ends:
        return [slot.b]
    found = []
    for s in np.linspace(*ends[0], 13).tolist():
        turn, bend = slot.direction, slot.curvature * s
        along = math.sin(bend) / slot.curvature if slot.curvature else s
        aside = (1 - math.cos(bend)) / slot.curvature if slot.curvature else 0.0
        x = slot.b.x + along * math.cos(turn) - aside * math.sin(turn)
        y = slot.b.y + along * math.sin(turn) + aside * math.cos(turn)
        found.append(replace(slot.b, x=x, y=y))
    return found


def draw_paths(axis: Axes, scene: Scene) -> None:
    """Draw dotted where every joint goes in a turn."""
    for joint in scene.joints_seen:
        axis.plot(*scene.findings.motion.joint(joint.name).T, color=GREY, linewidth=PLAIN,
                  linestyle=":", zorder=1.2)  # fmt: skip


def draw_wheel(axis: Axes, scene: Scene) -> Axes:
    """Draw the axle, the circle its crank pin goes round, and the crank between them."""
    (x, y), throw = _wheel(scene)
    axis.add_patch(Circle((x, y), throw, fill=False, edgecolor=GREY, linewidth=PLAIN,
                          linestyle=(0, (9, 3)), zorder=1.5))  # fmt: skip
    mechanism = scene.findings.mechanism
    pin = scene.place(places_on(scene, mechanism.part(mechanism.crank))[0])
    axis.plot([x, pin[0]], [y, pin[1]], color=BLACK, linewidth=HEAVY, zorder=1.6)
    axis.plot(x, y, marker="o", color="1.0", markeredgecolor=BLACK, markersize=6, zorder=1.7)
    axis.plot(x, y, marker="+", color=BLACK, markersize=6, markeredgewidth=0.6, zorder=1.8)
    return axis


def ring(axis: Axes, spot: Point) -> Axes:
    """Ring the place where two parts meet.

    Parameters
    ----------
    spot : (float, float) [mm]
        The place, in the axis's own axes.
    """
    axis.plot(*spot, marker="o", markersize=17, fillstyle="none", color="1.0",
              markeredgewidth=3.6, zorder=8)  # fmt: skip
    axis.plot(*spot, marker="o", markersize=17, fillstyle="none", color=BLACK,
              markeredgewidth=1.4, zorder=8.1)  # fmt: skip
    return axis


def write_front(axis: Axes) -> Axes:
    """Write FRONT at the front edge, with an arrow that way.

    Parameters
    ----------
    axis : Axes
        Where to draw; x must run its way already.
    """
    tip, tail = (0.007, 22) if axis.xaxis_inverted() else (0.993, -22)
    axis.annotate(
        "", (tip, 0.46), (tail, 0), xycoords="axes fraction", textcoords="offset points",
        arrowprops={"arrowstyle": "-|>,head_width=0.3,head_length=0.6", "color": BLACK,
                    "shrinkA": 0, "shrinkB": 0},
    )  # fmt: skip
    axis.text(
        tip, 0.5, "FRONT", transform=axis.transAxes, ha="left" if tip < 0.5 else "right",
        va="bottom", fontsize=TEXT, fontweight="bold", zorder=9,
    )  # fmt: skip
    return axis
