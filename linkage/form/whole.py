"""The whole mechanism in place, each part with the number of its detail."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from matplotlib.axes import Axes

from linkage.draw.labels import Label, scale_bar
from linkage.draw.names import write_names
from linkage.draw.scene import Scene, scene_of
from linkage.draw.side_view import (
    draw_parts,
    draw_wheel,
    frame_window,
    side_title,
    whole_window,
    write_front,
)
from linkage.examine import examine
from linkage.form.model import Model
from linkage.kinematics import solve_at
from linkage.mechanism import Place

_STEPS = 72


def whole_scene(model: Model) -> Scene:
    """Return a mechanism at the crank angle at which its joints are farthest from one another.

    Of its side, nothing in heavy line.
    """
    scene = scene_of(examine(model.sheet), None, model.side)
    cranks = np.arange(_STEPS) * (2 * np.pi / _STEPS)
    motion = solve_at(scene.findings.motion.course, cranks)
    paths = np.stack([motion.joint(joint.name) for joint in scene.joints_seen])
    gaps = np.linalg.norm(paths[:, None] - paths[None], axis=-1)
    same = gaps.max(axis=-1) < 1e-6  # one pin through three parts is two joints
    least = np.where(same[..., None], np.inf, gaps).min(axis=(0, 1))
    best = int(np.nanargmax(np.where(motion.reached, least, -1.0)))
    poses = {name: path[best] for name, path in motion.poses.items()}
    return replace(
        scene, spot=None, pair=None, contact=None, parts=(), crank=float(cranks[best]),
        poses={**scene.poses, **poses}, arcs=(),
    )  # fmt: skip


def draw_whole(
    axis: Axes, scene: Scene, numbers: Mapping[str, str], places: Mapping[str, Place]
) -> Axes:
    """Draw the whole mechanism from outside, named and numbered.

    Parameters
    ----------
    axis : Axes
        Where to draw; its box must stand already.
    scene : Scene
        From `whole_scene`.
    numbers : mapping of str to str
        Number of the detail, by the name of the part or place.
    places : mapping of str to Place
        What else is named, and where it is.
    """
    frame_window(axis, scene, whole_window(axis, scene))
    axis.set_title(side_title(scene))
    draw_parts(axis, scene)
    draw_wheel(axis, scene)
    write_front(axis)
    more = [Label(name, scene.place(place), False) for name, place in places.items()]
    write_names(axis, scene, True, numbers, more)
    return scale_bar(axis, (0.94, 0.16), 0.1)
