"""Outlines for a page: as `draw` has them, in the parts' own axes, for the page to put in place."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from linkage.arrays import Array
from linkage.clearance import outline_of, shift
from linkage.clearance.outlines import slopes
from linkage.clearance.sideways import State
from linkage.draw.scene import Scene, places_on
from linkage.draw.shapes import bodies_of
from linkage.draw.side_view import slot_line
from linkage.examine import Examination, SideFindings
from linkage.kinematics import Motion
from linkage.mechanism import FRAME, Joint, Part, Piece, Pin, Point, Slot
from linkage.report.glossary import look_up, say_names

_OWN = "A part by the name that the sheet gives it."
_CLOSE = 1e-6  # ends of bars nearer than this are one [mm]


def bodies_data(examination: Examination, side: str, state: State) -> list[dict[str, Any]]:
    """Return what is drawn of a side, nearest the frames first.

    ``part``, ``name``, ``fixed``; ``side``: an SVG path in the part's own axes [mm]; ``plan``:
    pieces seen from above as [corners, out at each, radius, half the thickness] [mm]; ``at``: a
    point to hang the name on. A part without an outline has its joints' lines for a path.

    Parameters
    ----------
    state : tuple of (str, float) [mm]
        How far wheelsets are over.
    """
    scene = plain_scene(examination, side, state)
    mechanism = scene.findings.mechanism
    found = [
        {
            "part": body.part.name,
            "name": body.name,
            "fixed": body.part.fixed,
            "side": "".join(_path(outline_of(piece)) for piece in body.pieces),
            "plan": [_above(piece) for piece in plan_pieces(body.pieces)],
            "at": _handle(body.pieces),
        }
        for body in bodies_of(scene)
    ]
    for part in scene.parts_seen:
        if not part.pieces:
            line = _links(scene, part, part.name == mechanism.crank)
            found.append({"part": part.name, "name": part.name, "fixed": part.fixed, "line": True,
                          "side": _path(line, closed=len(line) > 2), "plan": [],
                          "at": _rounded(np.mean(line[:2], axis=0))})  # fmt: skip
    return found


def plain_scene(examination: Examination, side: str, state: State = ()) -> Scene:
    """Return a side with nothing picked out, its wheelsets over.

    Without poses: outlines are in the parts' own axes.

    Parameters
    ----------
    state : tuple of (str, float) [mm]
        How far wheelsets are over.
    """
    findings = examination.sides[side]
    parts = tuple(shift(part, state) for part in findings.mechanism.parts)
    moved = replace(findings, mechanism=replace(findings.mechanism, parts=parts))
    return Scene(examination, moved, None, None, None, (), 0.0, {})


def plan_pieces(pieces: Sequence[Piece]) -> list[Piece]:
    """Return the pieces of a body as they are seen from above: bars with discs at their free ends.

    As `draw.shapes.plan_shapes` has them; a disc stands for a bar's round end.
    """
    ends = [corner for piece in pieces if len(piece.corners) == 2 for corner in piece.corners]
    found = []
    for piece in pieces:
        found.append(piece)
        if len(piece.corners) == 2 and not slopes(piece):
            found += [
                replace(piece, corners=(corner,), out=(out,))
                for corner, out in zip(piece.corners, piece.out, strict=True)
                if sum(math.dist(end, corner) < _CLOSE for end in ends) == 1
            ]
    return found


def _above(piece: Piece) -> list[Any]:
    corners = [_rounded(corner) for corner in piece.corners]
    return [corners, _rounded(piece.out), *_rounded((piece.radius, piece.thickness / 2))]


def _handle(pieces: Sequence[Piece]) -> list[float]:
    """Return the middle of the longest piece."""
    corners = [np.array(piece.corners) for piece in pieces]
    longest = max(corners, key=lambda c: float(np.ptp(c, axis=0).max()))
    return _rounded(longest.mean(axis=0))


def _links(scene: Scene, part: Part, crank: bool) -> list[Point]:
    """Return the places that the lines of a part without an outline run between."""
    places = [(place.x, place.y) for place in places_on(scene, part)]
    return [(0.0, 0.0), *places] if crank else places


def joints_data(examination: Examination, side: str) -> list[dict[str, Any]]:
    """Return the joints of a side.

    ``part``: what it is a place of, the frame's own name for the frame; ``at`` [mm];
    ``square``: what slides; ``ground``: a pin on something fixed; of a slot ``slot``, its
    centre line as far as it may be used, in the axes of the part ``on`` [mm].
    """
    scene = plain_scene(examination, side)
    mechanism = scene.findings.mechanism
    fixed = {FRAME, *(part.name for part in mechanism.parts if part.fixed)}
    return [
        {
            "part": joint.a.part,
            "at": _rounded((joint.a.x, joint.a.y)),
            "square": not isinstance(joint, Pin),
            **_slot(scene, joint),
            "ground": isinstance(joint, Pin) and bool(fixed & {joint.a.part, joint.b.part}),
        }
        for joint in scene.joints_seen
    ]


def _slot(scene: Scene, joint: Joint) -> dict[str, str]:
    line = slot_line(scene, joint) if isinstance(joint, Slot) else []
    if len(line) < 2:
        return {}
    return {"slot": _path([(place.x, place.y) for place in line], closed=False),
            "on": line[0].part}  # fmt: skip


def crank_data(examination: Examination, side: str) -> dict[str, Any]:
    """Return the axle of a side's crank, and its pin.

    ``part``, ``axle`` in the frame's axes and ``pin`` in the crank's [mm].
    """
    scene = plain_scene(examination, side)
    mechanism = scene.findings.mechanism
    pin = places_on(scene, mechanism.part(mechanism.crank))[0]
    return {"part": mechanism.crank, "axle": _rounded(mechanism.axle),
            "pin": _rounded((pin.x, pin.y))}  # fmt: skip


def parts_data(names: Sequence[str]) -> list[dict[str, str]]:
    """Return what there is to say of parts, in plain words.

    ``name``, ``says``: the name in both countries, ``does``: what it is for.
    """
    found = []
    for name in dict.fromkeys(names):
        entry = look_up(name)
        found.append({"name": name, "says": say_names(name), "does": entry.does if entry else _OWN})
    return found


def window_of(examination: Examination, side: str, motion: Motion) -> dict[str, list[float]]:
    """Return how far anything of a side reaches in a whole turn.

    ``x``, ``y``: from and to, in the frame's axes; ``out``: the same, outward from the wheel
    face, of what moves; empty where nothing has an outline [mm].
    """
    scene = plain_scene(examination, side)
    crank = crank_data(examination, side)
    throw, (x, y) = math.hypot(*crank["pin"]), crank["axle"]
    spots = [np.array([[x - throw, y - throw], [x + throw, y + throw]])]
    outs = []
    for body in bodies_of(scene):
        outline = np.array([point for piece in body.pieces for point in outline_of(piece)])
        spots.append(_everywhere(motion, body.part.name, outline))
        if not body.part.fixed:
            outs += [out + k * piece.thickness / 2
                     for piece in body.pieces for out in piece.out for k in (-1, 1)]  # fmt: skip
    places = [joint.a for joint in scene.joints_seen]
    spots += [_everywhere(motion, p.part, np.array([[p.x, p.y]])) for p in places]
    every = np.concatenate(spots)
    low, high = np.nanmin(every, axis=0), np.nanmax(every, axis=0)
    out = _rounded((min(0.0, *outs), max(0.0, *outs))) if outs else []
    return {"x": _rounded((low[0], high[0])), "y": _rounded((low[1], high[1])), "out": out}


def _everywhere(motion: Motion, part: str, points: Array) -> Array:
    """Return points of a part in the frame's axes at all angles, shape (N, 2)."""
    if part == FRAME:
        return points
    moved = [motion.point(part, float(x), float(y)) for x, y in points]
    return np.concatenate(moved).reshape(-1, 2)


def joined(windows: Sequence[dict[str, list[float]]]) -> dict[str, list[float]]:
    """Return the window that holds several.

    Parameters
    ----------
    windows : sequence of dict
        From `window_of`.
    """
    every = {key: [w[key] for w in windows if w[key]] for key in ("x", "y", "out")}
    return {
        key: [min(low for low, _ in held), max(high for _, high in held)] if held else []
        for key, held in every.items()
    }


def _path(points: Sequence[Point], closed: bool = True) -> str:
    spots = [f"{round(x, 3):g} {round(y, 3):g}" for x, y in points]
    return f"M{'L'.join(spots)}{'Z' if closed else ''}"


def _rounded(values: Sequence[float] | Array) -> list[float]:
    return [round(float(value), 4) for value in values]


def side_of(findings: SideFindings) -> tuple[str, ...]:
    """Return the parts of a side that the page moves: what is metal and not of the frame."""
    return tuple(p.name for p in findings.mechanism.parts if not p.fixed and not p.unseen)
