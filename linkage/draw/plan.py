"""The plan: the same parts at the same crank angle, seen from above."""

from __future__ import annotations

from collections.abc import Sequence

from matplotlib.axes import Axes

from linkage.clearance import Contact, out_at
from linkage.draw.labels import Label, box_points, label_row, scale_bar
from linkage.draw.scene import Scene
from linkage.draw.shapes import Body, bodies_of, faint, fill, look_of, plan_shapes
from linkage.draw.side_view import Window, frame_window, ring, whole_window, write_front
from linkage.draw.style import BLACK, GREY, LIGHT, SMALL, THIN

_TIMES = (20.0, 15.0, 12.0, 10.0, 8.0, 6.0, 5.0, 4.0, 3.0, 2.5, 2.0, 1.5, 1.0, 0.5, 0.25, 0.1)
_STRIP = 9.0  # of dots behind the face of the wheel [points]
_ROOM = 0.16  # of the height, at either edge, for words [1]


def draw_plan(axis: Axes, scene: Scene, above: Axes) -> Axes:
    """Draw a side from above, in line with its side view.

    The same, `out` running down: away from the frames is towards who stands beside.

    Parameters
    ----------
    axis : Axes
        Where to draw; its box must stand already, as wide as that of the side view.
    above : Axes
        The axis of the side view, for its box.
    """
    window = whole_window(above, scene)
    bodies = sorted(bodies_of(scene), key=lambda body: body.heavy)
    times, across = scale_across(axis, window, reach(scene))
    frame_window(axis, scene, Window(window.x, across))
    axis.set_title(
        "Plan: the same, seen from above; "
        + (
            "one scale both ways"
            if times == 1
            else f"across drawn {times:g} times as large as along"
        )
    )
    face = across[0] / (across[0] - across[1])  # how high the face of the wheel stands in the box
    draw_face(axis, across)
    draw_metal(axis, scene, bodies)
    if scene.contact is not None:
        ring(axis, (scene.contact.spot[0], meeting(scene.contact)))
        axis.axvline(scene.contact.spot[0], color=GREY, linewidth=THIN, dashes=(12, 3, 2, 3))
    write_front(axis)
    write_ways(axis)
    label_row(axis, _labels(scene, bodies), False, (0.12, 0.79) if scene.mirrored else (0.21, 0.88))
    return scale_bar(axis, (0.94, 0.16 if face > 0.4 else 0.8), 0.1)


def draw_metal(axis: Axes, scene: Scene, bodies: Sequence[Body]) -> Axes:
    """Draw the parts seen from above, faint what the picture is not about.

    Parameters
    ----------
    bodies : sequence of Body
        Its bodies, in the order in which they are to be painted.
    """
    for index, body in enumerate(bodies):
        look = look_of(body, scene)
        if not body.heavy and scene.parts:
            look = faint(look)
        fill(axis, plan_shapes(body, scene), look, 2 + 0.02 * index)
    return axis


def draw_face(axis: Axes, across: tuple[float, float]) -> None:
    """Draw the face of the wheel as a line, dotted on the wheel's side."""
    _, height = box_points(axis)
    strip = _STRIP / height * (across[0] - across[1])
    axis.axhspan(-strip, 0.0, facecolor="none", edgecolor=LIGHT, hatch="....", linewidth=0.0)
    axis.axhline(0.0, color=BLACK, linewidth=1.0, zorder=1.9)


def reach(scene: Scene) -> tuple[float, float]:
    """Return how far in and out a plan has to reach.

    Returns
    -------
    low, high : float [mm]
        Outward from the wheel face, which is always in it.
    """
    moving = [body for body in bodies_of(scene) if body.heavy or not body.part.fixed]
    outs = [out for body in moving for shape in plan_shapes(body, scene) for _, out in shape]
    return min([0.0, *outs]), max([0.1, *outs])


def scale_across(
    axis: Axes, window: Window, ends: tuple[float, float]
) -> tuple[float, tuple[float, float]]:
    """Return how many times larger across is drawn than along, and the limits of `out`.

    Parameters
    ----------
    axis : Axes
        Its box must stand already.
    ends : (float, float) [mm]
        From `reach`.

    Returns
    -------
    times : float [1]
        A round number.
    across : (float, float) [mm]
        `out` at the lower and upper edge.
    """
    low, high = ends
    width, height = box_points(axis)
    along = (window.x[1] - window.x[0]) / width
    fits = (1 - 2 * _ROOM) * height * along / (high - low)
    times = next((t for t in _TIMES if t <= fits), _TIMES[-1])
    middle, half = (low + high) / 2, height * along / times / 2
    return times, (middle + half, middle - half)


def meeting(contact: Contact) -> float:
    """Return the lateral place half-way between the faces that meet.

    Returns
    -------
    float [mm]
        Outward from the wheel face.
    """
    inner, outer = faces(contact)
    return (inner + outer) / 2


def faces(contact: Contact) -> tuple[float, float]:
    """Return where the two faces that meet lie at the spot.

    Returns
    -------
    inner, outer : float [mm]
        The outer face of the part nearer the frames, the inner face of the other.
    """
    near = 1 - contact.outer
    inner = out_at(contact.pieces[near], contact.on_parts[near])
    outer = out_at(contact.pieces[contact.outer], contact.on_parts[contact.outer])
    return (
        inner + contact.pieces[near].thickness / 2,
        outer - contact.pieces[contact.outer].thickness / 2,
    )


def write_ways(axis: Axes) -> None:
    """Write which way the frames are, and which line is the face of the wheel."""
    words = ((0.94, "↑ towards the frames"), (0.06, "↓ away from the frames"))
    left = not axis.xaxis_inverted()
    for level, text in words:
        axis.text(
            0.008 if left else 0.992, level, text, transform=axis.transAxes, va="center",
            ha="left" if left else "right", fontsize=SMALL, zorder=9,
            bbox={"facecolor": "1.0", "edgecolor": "none", "pad": 1.0},
        )  # fmt: skip
    axis.annotate(
        "face of the wheel", (0.985 if left else 0.015, 0.0), (0, 3),
        xycoords=("axes fraction", "data"), textcoords="offset points", fontsize=SMALL,
        ha="right" if left else "left", va="bottom", zorder=9,
        bbox={"facecolor": "1.0", "edgecolor": "none", "pad": 1.0},
    )  # fmt: skip


def _labels(scene: Scene, bodies: list[Body]) -> list[Label]:
    """Return the names of the heavy bodies, pointing a little aside of where they meet."""
    found = []
    for body in bodies:
        if not body.heavy:
            continue
        shapes = plan_shapes(body, scene)
        xs = [x for shape in shapes for x, _ in shape]
        low, high = min(xs), max(xs)
        aims = [low + share * (high - low) for share in (0.5, 0.3, 0.7)]
        if scene.contact is not None:
            at = scene.contact.spot[0]
            aims.sort(key=lambda x: abs(x - at) < 0.15 * (high - low))
        outs = [
            max(out for _, out in shape)
            for shape in shapes
            if min(x for x, _ in shape) <= aims[0] <= max(x for x, _ in shape)
        ]
        found.append(Label(body.name, (aims[0], max(outs, default=0.0)), True))
    return list({label.name: label for label in found}.values())
