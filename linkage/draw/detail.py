"""The place where two parts meet, enlarged, in side view and in plan, at true proportions."""

from __future__ import annotations

from itertools import combinations

from matplotlib.axes import Axes
from matplotlib.patches import Polygon as Patch

from linkage.clearance import Contact, RunOff
from linkage.draw.labels import box_points, scale_bar
from linkage.draw.plan import faces, meeting
from linkage.draw.scene import Scene
from linkage.draw.shapes import (
    Body,
    Look,
    Polygon,
    bodies_of,
    common,
    fill,
    look_of,
    plan_shape,
    plan_shapes,
    side_shape,
    side_shapes,
)
from linkage.draw.side_view import Window, draw_parts, frame_window
from linkage.draw.style import BLACK, GREY, OVERLAP_HATCH, PLAIN, SMALL, TEXT, THIN
from linkage.mechanism import Piece, Point, Slot
from linkage.tightspots import Close, Fouls


def draw_side_detail(axis: Axes, scene: Scene, contact: Contact) -> Axes:
    """Draw the place of contact seen from the side.

    Parameters
    ----------
    axis : Axes
        Where to draw; its box must stand already.
    """
    axis.set_title("Enlarged: side view")
    tells = contact.side_view > contact.lateral
    half = 2.2 * min(_half_width(piece) for piece in contact.pieces)
    if tells:
        half = max(half, 3 * abs(contact.side_view))
    _frame(axis, scene, contact.spot, half, down=False)
    for index, body in enumerate(_heavy(scene)):
        fill(axis, side_shapes(body, scene), look_of(body, scene), 2 + 0.02 * index)
    first, second = (
        side_shape(piece, scene.poses[name])
        for piece, name in zip(contact.pieces, contact.parts, strict=True)
    )
    if tells and contact.side_view < 0:
        _overlap(axis, common(first, second))
    else:
        axis.plot(*contact.spot, marker="+", color=BLACK, markersize=12, zorder=5)
    shapes = [side_shapes(body, scene) for body in _heavy(scene)]
    cross = any(
        common(a, b) for one, other in combinations(shapes, 2) for a in one for b in other
    )  # elsewhere perhaps than at the spot itself, where a sloping rod is looked at
    gap = min(contact.side_view, 0.0 if cross else contact.side_view)
    _say(axis, _amount(scene) if tells else _passing(gap, "from the side"), tells)
    return scale_bar(axis, (0.86, 0.09), 0.22)


def draw_plan_detail(axis: Axes, scene: Scene, contact: Contact) -> Axes:
    """Draw the place of contact seen from above.

    Parameters
    ----------
    axis : Axes
        Where to draw; its box must stand already.
    """
    axis.set_title("Enlarged: plan, away from the frames is down")
    tells = contact.lateral >= contact.side_view
    size = 2.2 * min(piece.thickness for piece in contact.pieces)
    if tells:
        size = max(size, 3 * abs(contact.lateral))
    _frame(axis, scene, (contact.spot[0], meeting(contact)), size, down=True)
    for index, body in enumerate(_heavy(scene)):
        fill(axis, plan_shapes(body, scene), look_of(body, scene), 2 + 0.02 * index)
    first, second = (
        plan_shape(piece, scene.poses[name])
        for piece, name in zip(contact.pieces, contact.parts, strict=True)
    )
    if tells and contact.lateral < 0:
        _overlap(axis, common(first, second))
    if contact.lateral > 0:
        _span(axis, contact)
    _say(axis, _amount(scene) if tells else _passing(contact.lateral, "from above"), tells)
    return scale_bar(axis, (0.86, 0.09), 0.22)


def draw_run_off_detail(axis: Axes, scene: Scene, run_off: RunOff) -> Axes:
    """Draw what runs off an end, seen from the side.

    Parameters
    ----------
    axis : Axes
        Where to draw; its box must stand already.
    """
    axis.set_title("Enlarged: side view")
    joint = next(j for j in scene.joints_seen if j.name == run_off.travel.joint)
    part = scene.findings.mechanism.part(joint.a.part)
    wide = [_half_width(piece) for piece in part.pieces] or [run_off.beyond]
    _frame(axis, scene, scene.place(joint.a), max(2.2 * max(wide), 3 * run_off.beyond), down=False)
    draw_parts(axis, scene, scene.parts)
    _say(axis, f"{run_off.travel.part} {run_off.beyond:.2f} mm past the end", bold=True)
    if isinstance(joint, Slot):
        _note(axis, "dashed: the slot's middle, as far as it may go")
    elif run_off.travel.part != part.name:
        _note(axis, f"the {run_off.travel.part} moves with the {part.name}; it is not drawn")
    return scale_bar(axis, (0.86, 0.09), 0.22)


def _heavy(scene: Scene) -> list[Body]:
    return [body for body in bodies_of(scene) if body.heavy]


def _half_width(piece: Piece) -> float:
    """Return half of what a piece measures across, seen from the side."""
    if len(piece.corners) < 3:
        return piece.radius
    across = [max(c[k] for c in piece.corners) - min(c[k] for c in piece.corners) for k in (0, 1)]
    return piece.radius + min(across) / 2


def _frame(axis: Axes, scene: Scene, middle: Point, half: float, down: bool) -> None:
    """Show so much above and below a place, and as much to either side as the box holds."""
    width, height = box_points(axis)
    beside = half * width / height
    low, high = middle[1] - half, middle[1] + half
    frame_window(
        axis,
        scene,
        Window((middle[0] - beside, middle[0] + beside), (high, low) if down else (low, high)),
    )


def _note(axis: Axes, text: str) -> None:
    """Write an explanation in the lower rear corner."""
    mirrored = axis.xaxis_inverted()
    axis.text(
        0.98 if mirrored else 0.02, 0.02, text, transform=axis.transAxes, va="bottom",
        ha="right" if mirrored else "left", fontsize=SMALL, zorder=9,
        bbox={"facecolor": "1.0", "edgecolor": "none", "pad": 1.0},
    )  # fmt: skip


def _overlap(axis: Axes, shape: Polygon) -> None:
    """Fill what two parts both claim."""
    if shape:
        fill(axis, [shape], Look(BLACK, THIN, "1.0", None), 5.0)
        axis.add_patch(Patch(shape, fill=False, edgecolor=BLACK, hatch=OVERLAP_HATCH,
                             linewidth=1.0, zorder=5.1))  # fmt: skip


def _span(axis: Axes, contact: Contact) -> None:
    """Draw an arrow across the air between the two faces."""
    inner, outer = faces(contact)
    x = contact.spot[0]
    axis.annotate(
        "", (x, inner), (x, outer), zorder=6,
        arrowprops={"arrowstyle": "<|-|>,head_width=0.15,head_length=0.3", "shrinkA": 0,
                    "shrinkB": 0, "color": BLACK, "linewidth": PLAIN},
    )  # fmt: skip


def _amount(scene: Scene) -> str:
    """Return the amount by which two parts foul, or the air they have."""
    if scene.pair is None:
        return ""
    if isinstance(scene.spot, Fouls):
        return f"overlap {scene.spot.overlap:.2f} mm"
    if isinstance(scene.spot, Close):
        return f"{scene.spot.air:.2f} mm of air, {scene.spot.wanted:.2f} wanted"
    return f"{scene.pair.least:.2f} mm of air, {scene.pair.asked:.2f} wanted"


def _passing(gap: float, seen: str) -> str:
    return f"{gap:.2f} mm apart, seen {seen}" if gap > 0 else f"no air to see {seen}"


def _say(axis: Axes, text: str, bold: bool) -> None:
    """Write what is seen in the rear corner, and FRONT in the front one."""
    mirrored = axis.xaxis_inverted()
    axis.text(
        0.98 if mirrored else 0.02, 0.95, text, transform=axis.transAxes, va="top",
        ha="right" if mirrored else "left", fontsize=TEXT, zorder=9,
        fontweight="bold" if bold else "normal",
        bbox={"facecolor": "1.0", "edgecolor": GREY if bold else "none", "pad": 2.0,
              "linewidth": THIN},
    )  # fmt: skip
    axis.text(
        0.02 if mirrored else 0.98, 0.95, "← FRONT" if mirrored else "FRONT →",
        transform=axis.transAxes, va="top", ha="left" if mirrored else "right", fontsize=TEXT,
        fontweight="bold", zorder=9, bbox={"facecolor": "1.0", "edgecolor": "none", "pad": 2.0},
    )  # fmt: skip
