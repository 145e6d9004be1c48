"""Outlines for a page: those of `scene`, in the parts' own axes, for the page to put in place."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Any

import numpy as np

from linkage.arrays import Array
from linkage.clearance import outline_of
from linkage.clearance.outlines import slopes
from linkage.clearance.sideways import State
from linkage.examine import Examination, SideFindings
from linkage.kinematics import Motion
from linkage.mechanism import FRAME, Joint, Piece, Pin, Place, Point, Slot
from linkage.report.glossary import look_up, say_names
from linkage.scene.bodies import Body, bodies_of, plan_pieces
from linkage.scene.moment import Moment, plain_moment, slot_line
from linkage.scene.skeleton import path_of

_OWN = "A part by the name that the sheet gives it."


def bodies_data(examination: Examination, side: str, state: State) -> list[dict[str, Any]]:
    """Return what is drawn of a side, nearest the frames first.

    ``part``, ``name``, ``fixed``; ``side``: an SVG path in the part's own axes [mm]; ``plan``:
    pieces seen from above as [corners, out at each, radius, half the thickness] [mm]; ``at``: a
    point to hang the name on. A part without an outline has its joints' lines for a path.

    `state` [mm]: how far wheelsets are over.
    """
    moment = plain_moment(examination, side, state)
    found = [
        {
            "part": body.part.name,
            "name": body.name,
            "fixed": body.part.fixed,
            **_outline(body.pieces),
        }
        for body in bodies_of(moment)
    ]
    for part in moment.parts_seen:
        if not part.pieces:
            line = _places(moment.links(part.name))
            found.append({"part": part.name, "name": part.name, "fixed": part.fixed, "line": True,
                          "side": _path(line, closed=len(line) > 2), "plan": [],
                          "at": _rounded(np.mean(line[:2], axis=0))})  # fmt: skip
    return found


@lru_cache(maxsize=512)  # most bodies of a sheet are those of the sheet before
def _outline(pieces: tuple[Piece, ...]) -> dict[str, Any]:
    return {
        "side": "".join(_path(outline_of(piece)) for piece in pieces),
        "plan": [_above(piece) for piece in plan_pieces(pieces)],
        "at": _handle(pieces),
    }


def _above(piece: Piece) -> list[Any]:
    corners = [_rounded(corner) for corner in piece.corners]
    return [corners, _rounded(piece.out), *_rounded((piece.radius, piece.thickness / 2))]


def _handle(pieces: Sequence[Piece]) -> list[float]:
    """Return the middle of the longest piece."""
    corners = [np.array(piece.corners) for piece in pieces]
    longest = max(corners, key=lambda c: float(np.ptp(c, axis=0).max()))
    return _rounded(longest.mean(axis=0))


def joints_data(examination: Examination, side: str) -> list[dict[str, Any]]:
    """Return the joints of a side.

    ``part``: what it is a place of, the frame's own name for the frame; ``at`` [mm];
    ``square``: what slides; ``ground``: a pin on something fixed; of a slot ``slot``, its
    centre line as far as it may be used, in the axes of the part ``on`` [mm].
    """
    moment = plain_moment(examination, side)
    fixed = {FRAME, *(part.name for part in moment.mechanism.parts if part.fixed)}
    return [
        {
            "part": joint.a.part,
            "at": _rounded((joint.a.x, joint.a.y)),
            "square": not isinstance(joint, Pin),
            **_slot(moment, joint),
            "ground": isinstance(joint, Pin) and bool(fixed & {joint.a.part, joint.b.part}),
        }
        for joint in moment.joints_seen
    ]


def _slot(moment: Moment, joint: Joint) -> dict[str, str]:
    line = slot_line(moment, joint) if isinstance(joint, Slot) else []
    if len(line) < 2:
        return {}
    return {"slot": _path(_places(line), closed=False), "on": line[0].part}


def crank_data(examination: Examination, side: str) -> dict[str, Any]:
    """Return the axle of a side's crank, and its pin.

    ``part``, ``axle`` in the frame's axes and ``pin`` in the crank's [mm].
    """
    moment = plain_moment(examination, side)
    mechanism, pin = moment.mechanism, moment.crank_pin
    return {"part": mechanism.crank, "axle": _rounded(mechanism.axle),
            "pin": _rounded((pin.x, pin.y))}  # fmt: skip


def parts_data(names: Sequence[str], arrangement: str) -> list[dict[str, str]]:
    """Return what there is to say of parts, in plain words.

    ``name``, ``says``: the name in both countries, ``does``: what it is for.

    `arrangement`: that they are of.
    """
    found = []
    for name in dict.fromkeys(names):
        entry = look_up(name, arrangement)
        found.append(
            {
                "name": name,
                "says": say_names(name, arrangement),
                "does": entry.does if entry else _OWN,
            }
        )
    return found


def window_of(examination: Examination, side: str, motion: Motion) -> dict[str, list[float]]:
    """Return how far anything of a side reaches in a whole turn.

    ``x``, ``y``: from and to, in the frame's axes; ``out``: the same, outward from the wheel
    face, of what moves; empty where nothing has an outline [mm].
    """
    moment = plain_moment(examination, side)
    (x, y), throw = moment.mechanism.axle, moment.throw
    spots = [np.array([[x - throw, y - throw], [x + throw, y + throw]])]
    outs = []
    for body in bodies_of(moment):
        spots.append(_reached(motion, body))
        if not body.part.fixed:
            outs += [out + k * piece.thickness / 2
                     for piece in body.pieces for out in piece.out for k in (-1, 1)]  # fmt: skip
    spots += [path_of(motion, joint.a) for joint in moment.joints_seen]
    every = np.concatenate(spots)
    every = every[np.isfinite(every).all(axis=1)]
    low, high = every.min(axis=0), every.max(axis=0)
    out = _rounded((min(0.0, *outs), max(0.0, *outs))) if outs else []
    return {"x": _rounded((low[0], high[0])), "y": _rounded((low[1], high[1])), "out": out}


def _reached(motion: Motion, body: Body) -> Array:
    """Return the corners of boxes that hold a body at all angles, shape (K, 2) [mm]."""
    held = [(point, piece.radius if not slopes(piece) else 0.0) for piece in body.pieces
            for point in (outline_of(piece) if slopes(piece) else piece.corners)]  # fmt: skip
    points, round_ = np.array([point for point, _ in held]), np.array([r for _, r in held])
    poses = motion.poses[body.part.name]
    poses = poses[:1] if body.part.fixed else poses
    cos, sin = np.cos(poses[:, 2:]), np.sin(poses[:, 2:])
    x = poses[:, :1] + cos * points[:, 0] - sin * points[:, 1]
    y = poses[:, 1:2] + sin * points[:, 0] + cos * points[:, 1]
    there = np.isfinite(x).all(axis=1)
    if not there.any():
        return np.zeros((0, 2))
    x, y = x[there], y[there]
    low, high = (x - round_, y - round_), (x + round_, y + round_)
    return np.array([[one.min() for one in low], [one.max() for one in high]])


def joined(windows: Sequence[dict[str, list[float]]]) -> dict[str, list[float]]:
    """Return the window that holds several, each from `window_of`."""
    every = {key: [w[key] for w in windows if w[key]] for key in ("x", "y", "out")}
    return {
        key: [min(low for low, _ in held), max(high for _, high in held)] if held else []
        for key, held in every.items()
    }


def _places(places: Sequence[Place]) -> list[Point]:
    return [(place.x, place.y) for place in places]


def _path(points: Sequence[Point], closed: bool = True) -> str:
    spots = [f"{round(x, 3):g} {round(y, 3):g}" for x, y in points]
    return f"M{'L'.join(spots)}{'Z' if closed else ''}"


def _rounded(values: Sequence[float] | Array) -> list[float]:
    return [round(float(value), 4) for value in values]


def side_of(findings: SideFindings) -> tuple[str, ...]:
    """Return the parts of a side that the page moves: what is metal and not of the frame."""
    return tuple(p.name for p in findings.mechanism.parts if not p.fixed and not p.unseen)
