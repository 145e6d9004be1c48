"""A first position of a mechanism, from about where its joints stand with the crank at 0.

Each part is laid with its first joint where that was seen, or where a part already laid has it,
turned by its two joints farthest apart, whose direction errs least. That guess decides the branch.
Newton's method closes it; where it does not, least squares brings the loops as near as they will
come, for a message that says by how much they miss.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from linkage.kinematics.chain import Chain, Numbers, Step
from linkage.kinematics.newton import CLOSED, solve_scalar
from linkage.mechanism import Joint, Mechanism, Pin, Place, Point, Slide

Guess = tuple[float, float, float]

_SINGULAR = 1e7  # condition of a Jacobian in mm and radians taken for a dead point [1]
SLACK = 1e-4
"""How closely a gap is looked at where only its being one matters [1]."""
_NEAR = 0.1  # no farther off Newton's method finds the branch that least squares does [rad, mm]


def guess_unknowns(mechanism: Mechanism, chain: Chain) -> list[list[float]]:
    """Guess every group's unknowns from the joints' `near`.

    Parameters
    ----------
    mechanism : Mechanism
        Joints with about where they stand, crank angle 0.

    Returns
    -------
    list of list of float [rad, mm]
        Per group, in the order of its unknowns.
    """
    poses = _guess_poses(mechanism, chain)
    joints = {joint.name: joint for joint in mechanism.joints}
    guesses: list[list[float]] = []
    for step in chain.steps:
        row = [
            poses[name][2] if kind == "turn" else _guess_travel(joints[name], poses)
            for kind, name in step.group.unknowns
        ]
        guesses.append(row)
    return guesses


def _guess_poses(mechanism: Mechanism, chain: Chain) -> dict[str, Guess]:
    poses: dict[str, Guess] = {name: (0.0, 0.0, 0.0) for name in chain.still}
    poses[chain.crank] = (*chain.axle, 0.0)
    for step in chain.steps:
        # what slides on a placed part has its turn from that, and gives the next its pins
        for name in sorted(step.group.parts, key=lambda part: _held(mechanism, part, poses)):
            poses[name] = _guess_pose(mechanism, name, poses)
    return poses


def _held(mechanism: Mechanism, part: str, poses: Mapping[str, Guess]) -> int:
    """Return 0 for a part that slides on a placed one, else 1: such parts are placed first."""
    return int(
        not any(
            isinstance(joint, Slide) and joint.a.part == part and joint.b.part in poses
            for joint in mechanism.joints
        )
    )


def _guess_pose(mechanism: Mechanism, name: str, poses: Mapping[str, Guess]) -> Guess:
    seen: list[tuple[Place, Point]] = []
    turn = None
    for joint in mechanism.joints:
        if name not in (joint.a.part, joint.b.part):
            continue
        mine, other = (joint.a, joint.b) if joint.a.part == name else (joint.b, joint.a)
        if isinstance(joint, Slide) and joint.a.part == name and joint.b.part in poses:
            turn = poses[joint.b.part][2] + joint.turned
        if joint.near is not None:
            seen.append((mine, joint.near))
        elif isinstance(joint, Pin) and other.part in poses:
            seen.append((mine, _in_frame(poses[other.part], other)))
    if not seen:
        return (0.0, 0.0, turn or 0.0)
    if turn is None:
        turn = _turn_of(seen)
    place, at = seen[0]
    cos, sin = math.cos(turn), math.sin(turn)
    return (
        at[0] - cos * place.x + sin * place.y,
        at[1] - sin * place.x - cos * place.y,
        turn,
    )


def _turn_of(seen: Sequence[tuple[Place, Point]]) -> float:
    """Return the angle that lays the two places farthest apart on where they were seen."""
    best, turn = 0.0, 0.0
    for index, (p, at) in enumerate(seen):
        for r, to in seen[index + 1 :]:
            apart = math.hypot(r.x - p.x, r.y - p.y)
            if apart > best and (to[0] != at[0] or to[1] != at[1]):
                best = apart
                turn = math.atan2(to[1] - at[1], to[0] - at[0]) - math.atan2(r.y - p.y, r.x - p.x)
    return math.remainder(turn, 2 * math.pi)


def _guess_travel(joint: Joint, poses: Mapping[str, Guess]) -> float:
    a, b = poses[joint.a.part], poses[joint.b.part]
    at_a = joint.near if joint.near is not None else _in_frame(a, joint.a)
    at_b = _in_frame(b, joint.b)
    angle = b[2] + getattr(joint, "direction", 0.0)
    return (at_a[0] - at_b[0]) * math.cos(angle) + (at_a[1] - at_b[1]) * math.sin(angle)


def _in_frame(pose: Guess, place: Place) -> Point:
    cos, sin = math.cos(pose[2]), math.sin(pose[2])
    return (
        pose[0] + cos * place.x - sin * place.y,
        pose[1] + sin * place.x + cos * place.y,
    )


def close_at(
    chain: Chain,
    numbers: Numbers,
    crank: float,
    guess: Sequence[Sequence[float]],
    close_enough: float = 1e-9,
) -> tuple[list[list[float]], int]:
    """Close all groups at one crank angle, from a guess.

    Parameters
    ----------
    crank : float [rad]
        Crank angle.
    close_enough : float [rad, mm]
        Newton's last step.

    Returns
    -------
    found : list of list of float
        Unknowns of the groups closed, in order.
    closed : int
        How many groups closed; all of them where it equals ``len(chain.steps)``.
    """
    poses = chain.first_poses(crank)
    found: list[list[float]] = []
    for index, step in enumerate(chain.steps):
        inputs, dims = chain.inputs(step, poses, numbers, "scalar"), chain.dims(step, numbers)
        q = solve_scalar(step.group, guess[index], inputs, dims, close_enough)
        if q is None:
            return found, index
        found.append(q)
        if index + 1 < len(chain.steps):
            _add_poses(poses, step, q, inputs, dims)
    return found, len(found)


def well_posed(
    chain: Chain, numbers: Numbers, crank: float, found: Sequence[Sequence[float]]
) -> bool:
    """Tell whether a solved position is clear of dead points, so that its branch is decided.

    False where the Jacobian of some group is all but singular.

    Parameters
    ----------
    chain, numbers, crank
        As for `close_at`.
    found : sequence of sequence of float [rad, mm]
        Solved unknowns of every group.
    """
    poses = chain.first_poses(crank)
    for step, q in zip(chain.steps, found, strict=True):
        inputs, dims = chain.inputs(step, poses, numbers, "scalar"), chain.dims(step, numbers)
        n = step.group.size
        values = step.group.compiled("jacobian", "scalar")(q, inputs, dims)
        if not np.linalg.cond(np.reshape(np.array(values, dtype=float), (n, n))) < _SINGULAR:
            return False
        _add_poses(poses, step, q, inputs, dims)
    return True


def _add_poses(
    poses: dict[str, Any], step: Step, q: Sequence[float], inputs: Any, dims: Any
) -> None:
    values = step.group.compiled("solved", "scalar")(q, inputs, dims)[step.group.size :]
    for number, name in enumerate(step.group.parts):
        poses[name] = values[3 * number : 3 * number + 3]


def come_nearest(
    chain: Chain,
    numbers: Numbers,
    crank: float,
    guess: Sequence[Sequence[float]],
    closely: float = 1e-12,
) -> tuple[list[list[float]], float, int, str]:
    """Bring the loops together as far as they will go, by least squares group by group.

    Parameters
    ----------
    chain, numbers, crank, guess
        As for `close_at`.
    closely : float [1]
        Where loops do not close, by what share of its square the gap may still become less. It
        goes there slowly, where loops close quickly: `SLACK` will do to tell whether they do.

    Returns
    -------
    found : list of list of float
        Unknowns per group; the groups after the first that does not close keep their guess.
    gap : float [mm]
        What the loops of the first group that does not close are apart; 0 where all close.
    group : int
        Index of that group; -1 where all close.
    joint : str
        The joint at which they are farthest apart; empty where all close.
    """
    from scipy.optimize import leastsq

    poses = chain.first_poses(crank)
    found = [list(row) for row in guess]
    for index, step in enumerate(chain.steps):
        inputs, dims = chain.inputs(step, poses, numbers, "scalar"), chain.dims(step, numbers)
        group, n = step.group, step.group.size
        residual, newton = group.compiled("residual", "scalar"), group.compiled("newton", "scalar")

        def jacobian(
            q: Any, newton: Any = newton, n: int = n, inputs: Any = inputs, dims: Any = dims
        ) -> Any:
            return np.reshape(newton(q.tolist(), inputs, dims)[n:], (n, n)).astype(float)

        def gaps(q: Any, residual: Any = residual, inputs: Any = inputs, dims: Any = dims) -> Any:
            return np.array(residual(q.tolist(), inputs, dims), dtype=float)

        closed = solve_scalar(group, found[index], inputs, dims)
        if closed is not None and math.dist(closed, found[index]) < _NEAR:
            found[index] = closed
            _add_poses(poses, step, closed, inputs, dims)
            continue
        # least squares goes on where Newton's method runs away; its last digits are Newton's
        near, _, told, _, _ = leastsq(
            gaps, found[index], Dfun=jacobian, full_output=True,
            xtol=1e-9, ftol=closely, gtol=1e-12, diag=np.ones(n),  # 1e-12: gaps to 1e-10 mm
        )  # fmt: skip
        gap = float(np.linalg.norm(told["fvec"]))
        found[index] = near.tolist()
        polished = solve_scalar(group, found[index], inputs, dims) if gap < 1e-4 else None
        if polished is not None:
            found[index], gap = polished, 0.0
        if gap > CLOSED:
            worst = group.closing[int(np.argmax(np.abs(told["fvec"])))]
            return found, gap, index, worst
        _add_poses(poses, step, found[index], inputs, dims)
    return found, 0.0, -1, ""
