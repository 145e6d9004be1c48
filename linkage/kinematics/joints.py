"""Each joint stated once, in symbols; everything else is derived from these statements.

A part's pose is the place (x, y) of its origin and its angle t in the frame. A joint says that a
place of part *a* and a place of part *b* are the same point::

    p_a + R(t_a) place_a  =  p_b + R(t_b) place_b(u)

For a pin, `place_b` is fixed. For a slide and a slot it runs along a line by the travel `u`; the
slide also holds ``t_a = t_b + turned``. That is all the solver, its derivatives and its proofs
ever learn about a joint.

References
----------
E. J. Haug, *Computer Aided Kinematics and Dynamics of Mechanical Systems*, vol. 1 (1989), ch. 3
(constraint equations of planar joints; cited from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

from linkage.kinematics.algebra import Expr, cos, multiply, sin
from linkage.mechanism import Joint, Pin, Slide, Slot

Pose = tuple[Expr, Expr, Expr]

DIMENSIONS = {
    Pin: ("a.x", "a.y", "b.x", "b.y"),
    Slide: ("a.x", "a.y", "b.x", "b.y", "direction", "turned"),
    Slot: ("a.x", "a.y", "b.x", "b.y", "direction", "curvature"),
}
"""The numbers of each kind of joint, in the order in which they are passed about."""


def dimension_values(joint: Joint) -> tuple[float, ...]:
    """Return the joint's numbers in the order of `DIMENSIONS` [mm, rad, 1/mm]."""
    values = [joint.a.x, joint.a.y, joint.b.x, joint.b.y]
    if isinstance(joint, Slide):
        values += [joint.direction, joint.turned]
    elif isinstance(joint, Slot):
        values += [joint.direction, joint.curvature]
    return tuple(float(value) for value in values)


@dataclass(frozen=True)
class Statement:
    """A joint as equations between two places.

    Attributes
    ----------
    at_a : (expr, expr)
        The place in part *a*, in its own axes.
    at_b : (expr, expr)
        The place in part *b*, in its own axes, moved along by the travel.
    turned : expr or None
        Angle of *a* against *b* where the joint holds it.
    """

    at_a: tuple[Expr, Expr]
    at_b: tuple[Expr, Expr]
    turned: Expr | None = None


def state_joint(joint: Joint, dims: tuple[Expr, ...], travel: Expr) -> Statement:
    """State one joint.

    The joint in symbols.

    Parameters
    ----------
    joint : Pin, Slide or Slot
        Only its kind matters, and whether a slot is straight.
    dims : tuple of expr
        Symbols or numbers for its dimensions, in the order of `DIMENSIONS`.
    travel : expr
        The travel along a slide or slot; unused by a pin.
    """
    at_a = (dims[0], dims[1])
    if isinstance(joint, Pin):
        return Statement(at_a, (dims[2], dims[3]))
    direction = dims[4]
    along: Expr = travel
    across: Expr = 0
    if isinstance(joint, Slot) and joint.curvature != 0:
        # an arc through the middle of the slot, by its length from there
        along = multiply([(sin(dims[5] * travel), 1), (dims[5], -1)])
        across = multiply([(1 - cos(dims[5] * travel), 1), (dims[5], -1)])
    ahead, up = cos(direction), sin(direction)
    at_b = (dims[2] + ahead * along - up * across, dims[3] + up * along + ahead * across)
    return Statement(at_a, at_b, dims[5] if isinstance(joint, Slide) else None)


def in_frame(pose: Pose, place: tuple[Expr, Expr]) -> tuple[Expr, Expr]:
    """Return a part's place in the frame's axes, from the part's pose."""
    x, y, turn = pose
    ahead, up = cos(turn), sin(turn)
    return x + ahead * place[0] - up * place[1], y + up * place[0] + ahead * place[1]
