"""The whole mechanism in place, each part with the number of its detail."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from matplotlib.figure import Figure

from linkage.draw.paint import paint, paper
from linkage.examine import examine
from linkage.form.model import Model
from linkage.mechanism import Place
from linkage.scene import side
from linkage.scene.drawing import View
from linkage.scene.moment import Moment, moment_of
from linkage.scene.motion import TURN, motion_at
from linkage.scene.names import Name, named

_STEPS = 72


def whole_moment(model: Model) -> Moment:
    """Return a mechanism at the crank angle at which its joints are farthest from one another.

    Of its side, nothing in heavy line.
    """
    moment = moment_of(examine(model.sheet), None, model.side)
    cranks = np.arange(_STEPS) * (TURN / _STEPS)
    motion = motion_at(moment.findings, cranks)
    paths = np.stack([motion.joint(joint.name) for joint in moment.joints_seen])
    gaps = np.linalg.norm(paths[:, None] - paths[None], axis=-1)
    same = gaps.max(axis=-1) < 1e-6  # one pin through three parts is two joints
    least = np.where(same[..., None], np.inf, gaps).min(axis=(0, 1))
    best = int(np.nanargmax(np.where(motion.reached, least, -1.0)))
    poses = {name: path[best] for name, path in motion.poses.items()}
    poses = {**moment.poses, **poses}
    return Moment(moment.examination, moment.findings, float(cranks[best]), poses)


def draw_whole(
    figure: Figure,
    place: tuple[float, float, float, float],
    moment: Moment,
    numbers: Mapping[str, str],
    places: Mapping[str, Place],
) -> None:
    """Draw the whole mechanism from outside, named and numbered.

    `place` [1]: left, bottom, width and height, as shares of the figure. `moment`: from
    `whole_moment`. `numbers`: number of the detail, by the name of the part or place. `places`:
    what else is named, and where it is.
    """
    wide, high = figure.get_size_inches() * 72
    room = paper(place[2] * wide, place[3] * high)
    frame = side.frame_about(moment, room, side.side_points(moment))
    more = [Name(name, spot.part, moment.place(spot)) for name, spot in places.items()]
    items = (*side.wheel(moment), *side.parts(moment), *side.front(frame),
             *named(moment, frame, True, numbers, more),
             *side.scale_bar(frame, side.voice_of(moment)))  # fmt: skip
    paint(figure, place, View("whole", side.side_title(moment), frame, items))
