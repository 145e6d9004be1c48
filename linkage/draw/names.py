"""The names of parts about a side view, each pointing where its part is best seen."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from matplotlib.axes import Axes
from matplotlib.path import Path

from linkage.draw.labels import Label, box_points, fitting, label_row, row_width
from linkage.draw.scene import Scene, placed, places_on
from linkage.draw.shapes import Body, bodies_of, side_shapes
from linkage.mechanism import Point

_FULL = 1.8  # of two rows: with more names than that some may find no room [rows]


def write_names(
    axis: Axes,
    scene: Scene,
    everything: bool,
    numbers: Mapping[str, str] | None = None,
    more: Sequence[Label] = (),
) -> Axes:
    """Write the names of parts above and below a side view, each with a line to its part.

    Parameters
    ----------
    axis : Axes
        Where to draw; its limits must stand already.
    everything : bool
        True to name all parts, not only what the picture is about.
    numbers : mapping of str to str or None
        What to write before a part's name.
    """
    before = numbers or {}
    labels = [
        replace(label, name=f"{before.get(label.name, '')} {label.name}".strip())
        for label in (*labels_of(scene), *more)
        if everything or label.heavy
    ]
    room = 0.99 * box_points(axis)[0]
    if sum(map(row_width, labels)) > _FULL * room:  # one name a number, then
        first = {label.name.partition(" ")[0]: label for label in reversed(labels)}
        labels = [label for label in labels if label in first.values() or not before]
    middle = float(np.median([label.spot[1] for label in labels])) if labels else 0.0
    contact = scene.contact
    upper: list[Label] = []
    lower: list[Label] = []
    for label in labels:
        level = contact.spot[1] if contact is not None and label.heavy else middle
        (upper if label.spot[1] >= level else lower).append(label)
    _share_out(upper, lower, room)
    label_row(axis, upper, True, (0.005, 0.995))
    return label_row(axis, lower, False, (0.005, 0.995))


def rows_of(axis: Axes, scene: Scene) -> tuple[list[Label], list[Label], list[Label]]:
    """Share out the names of all parts of a side between the rows above and below it.

    Parameters
    ----------
    axis : Axes
        Where they are to be written; its box must stand already.

    Returns
    -------
    upper, lower, left : list of Label
        The two rows, and the names that neither has room for.
    """
    labels = sorted(labels_of(scene, every=True), key=lambda label: -label.spot[1])
    room = 0.97 * box_points(axis)[0]
    widths = [row_width(label) for label in labels]
    half = max(sum(widths) / 2, sum(widths) - room)
    upper: list[Label] = []
    lower: list[Label] = []
    left: list[Label] = []
    taken = 0.0
    for label, width in zip(labels, widths, strict=True):
        if taken + width <= min(half + width / 2, room) and not lower:
            upper.append(label)
        elif sum(map(row_width, lower)) + width <= room:
            lower.append(label)
        else:
            left.append(label)
        taken += width
    return upper, lower, left


def _share_out(upper: list[Label], lower: list[Label], room: float) -> None:
    """Move names that a row has no room for to the other, as long as that has room."""
    for row, other, way in ((upper, lower, 1.0), (lower, upper, -1.0)):
        row.sort(key=lambda label: way * label.spot[1])
        while len(fitting(row, room)) < len(row):
            if len(fitting([*other, row[0]], room)) <= len(other):
                return
            other.append(row.pop(0))


def labels_of(scene: Scene, every: bool = False) -> list[Label]:
    """Return the name of each part, pointing where that part is best seen.

    Spots in the frame's axes.

    Parameters
    ----------
    every : bool
        Whether what is only a disc is named too.
    """
    bodies = bodies_of(scene)
    shapes = [side_shapes(body, scene) for body in bodies]
    found: dict[str, Label] = {}
    for index, body in enumerate(bodies):
        disc = all(len(piece.corners) == 1 for piece in body.pieces) and not body.heavy
        if disc and not (every and body.name not in found):
            continue
        above = [Path(shape) for later in shapes[index + 1 :] for shape in later]
        spots = _spots(body, scene)
        spot = min(spots, key=lambda s: _cost(s, above, scene, spots))
        found.setdefault(body.name, Label(body.name, spot, body.heavy))
    for part in scene.findings.mechanism.parts:
        ends = [scene.place(place) for place in places_on(scene, part)]
        if not part.pieces and ends:
            if part.name == scene.findings.mechanism.crank:
                ends.append(scene.findings.mechanism.axle)
            x, y = np.mean(ends[:2], axis=0).tolist()
            found.setdefault(part.name, Label(part.name, (x, y), part.name in scene.parts))
    return list(found.values())


def _spots(body: Body, scene: Scene) -> list[Point]:
    """Return places on a body at which its name could point."""
    found = []
    for piece in body.pieces:
        corners = [placed(scene.poses[body.part.name], corner) for corner in piece.corners]
        if len(corners) == 2:
            (ax, ay), (bx, by) = corners
            steps = np.linspace(0.1, 0.9, 9).tolist()
            found += [(ax + t * (bx - ax), ay + t * (by - ay)) for t in steps]
        else:
            middle = np.mean(corners, axis=0)
            found += [tuple((0.7 * np.array(c) + 0.3 * middle).tolist()) for c in corners]
            found.append(tuple(middle.tolist()))
    return found


def _cost(spot: Point, above: list[Path], scene: Scene, spots: list[Point]) -> float:
    """Return how badly a name points there: at what hides the body, or near the ring."""
    hidden = sum(path.contains_point(spot) for path in above)
    middle = np.mean(spots, axis=0)
    size = float(np.ptp(np.array(spots), axis=0).max()) or 1.0
    cost = 3.0 * hidden + math.dist(spot, middle.tolist()) / size
    if scene.contact is not None:
        away = math.dist(spot, scene.contact.spot) / size
        cost += (1.0 if away < 0.15 else 0.0) - min(away, 0.6) - 0.01 * spot[1] / size
    return cost
