"""The closure equations of one group of parts, built from the stated joints and compiled.

For a group, a tree of joints reaches every part from the solved ones. A pin in the tree leaves the
part's angle unknown, a slide its travel, a slot both. Every joint outside the tree closes a loop
and gives two equations (a slide three). With unknowns `q`, places `k` on solved parts and joint
dimensions `d` the group is

    F(q, k, d) = 0,        poses = P(q, k, d)

and with a dot for the derivative by any parameter (crank angle, a dimension)

    F_q q' = -(F_k k' + F_d d'),        poses' = P_q q' + P_k k' + P_d d'
    F_q q'' = -(second-order terms)     and so on.

F, P and all these derivatives are expressions (`algebra.py`) derived from `joints.state_joint`;
they are compiled once for numbers, arrays and intervals alike.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from types import FunctionType
from typing import Any

import numpy as np

from linkage.errors import MechanismError
from linkage.kinematics import intervals
from linkage.kinematics.algebra import Expr, Symbol, compiled, derive, derive_along
from linkage.kinematics.joints import DIMENSIONS, Statement, in_frame, state_joint
from linkage.kinematics.ordering import solved_at_first
from linkage.mechanism import Joint, Mechanism, Pin, Place, Slide, Slot

Compiled = Callable[..., Any]

NUMBERS: dict[str, dict[str, Callable[..., Any]]] = {
    "array": {"sin": np.sin, "cos": np.cos},
    "scalar": {"sin": math.sin, "cos": math.cos},
    "interval": {"sin": intervals.sin, "cos": intervals.cos},
}


@dataclass(frozen=True)
class End:
    """A joint's place on a part solved earlier: an input of the group."""

    joint: int
    side: str
    turns: bool
    """Whether the part's angle matters and is not simply 0."""


@dataclass(frozen=True)
class JointShape:
    """What of a joint decides the form of the equations (not its dimensions)."""

    joint: Joint
    inside_a: bool
    inside_b: bool
    turns: bool
    active: tuple[bool, ...]


@dataclass(frozen=True)
class GroupShape:
    """What decides the form of a group's equations; groups of equal shape share their code."""

    parts: tuple[str, ...]
    joints: tuple[JointShape, ...]


def shape_group(
    mechanism: Mechanism, parts: tuple[str, ...], solved: frozenset[str], active: Sequence[Any]
) -> tuple[GroupShape, tuple[int, ...]]:
    """Describe a group's equations.

    Parameters
    ----------
    active : sequence of tuple of bool
        For each joint of the mechanism, which of its dimensions are not simply 0.

    Returns
    -------
    shape : GroupShape
        Hashable; equal for equal equations.
    indices : tuple of int
        Which joints of the mechanism the shape's joints are, in order.
    """
    still = solved_at_first(mechanism) - {mechanism.crank}
    shapes: list[JointShape] = []
    indices: list[int] = []
    for index, joint in enumerate(mechanism.joints):
        inside_a, inside_b = joint.a.part in parts, joint.b.part in parts
        outer = {joint.a.part, joint.b.part} - set(parts)
        if not (inside_a or inside_b) or not outer <= solved:
            continue
        turns = bool(outer - still)
        shapes.append(
            JointShape(without_numbers(joint), inside_a, inside_b, turns, tuple(active[index]))
        )
        indices.append(index)
    return GroupShape(parts, tuple(shapes)), tuple(indices)


def without_numbers(joint: Joint) -> Joint:
    """Return a joint of the same form, its numbers struck out (a slot's curve kept as 1 or 0).

    Equal for joints that lead to the same equations.
    """
    a, b = Place(joint.a.part, 0.0, 0.0), Place(joint.b.part, 0.0, 0.0)
    if isinstance(joint, Pin):
        return Pin(joint.name, a, b)
    if isinstance(joint, Slide):
        return Slide(joint.name, a, b)
    return Slot(joint.name, a, b, curvature=float(joint.curvature != 0))


class Group:
    """The equations of one group, symbolic, with their compiled forms made when first asked for.

    Parameters
    ----------
    shape : GroupShape
        The group.

    Attributes
    ----------
    unknowns : list of (str, str)
        ("turn", part) or ("travel", joint) for each unknown, in order.
    ends : list of End
        Places on solved parts; each is three inputs: x, y, angle.
    closing : list of str
        For each equation, the joint it closes.
    """

    def __init__(self, shape: GroupShape) -> None:
        self.shape = shape
        self.parts = shape.parts
        self.unknowns: list[tuple[str, str]] = []
        self.ends: list[End] = []
        self._q: list[Symbol] = []
        self._k: list[Symbol] = []
        self._d: list[Symbol] = []
        self.dims: list[tuple[int, int]] = []
        self._poses: dict[str, tuple[Expr, Expr, Expr]] = {}
        self._residuals: list[Expr] = []
        self.closing: list[str] = []
        self._build()

    @property
    def size(self) -> int:
        """Number of unknowns, and of equations."""
        return len(self._q)

    def _unknown(self, kind: str, name: str) -> Symbol:
        symbol = Symbol(f"q{len(self._q)}")
        self._q.append(symbol)
        self.unknowns.append((kind, name))
        return symbol

    def _build(self) -> None:
        order = {Slide: 0, Pin: 1, Slot: 2}
        waiting = sorted(range(len(self.shape.joints)), key=lambda i: order[type(self._joint(i))])
        statements = {index: self._state(index) for index in waiting}
        while len(self._poses) < len(self.parts):
            index = next(i for i in waiting if self._reaches(i))
            waiting.remove(index)
            self._hang(index, statements[index])
        for index in waiting:
            self._close(index, statements[index])
        if len(self._residuals) != len(self._q):
            raise MechanismError(f"{', '.join(self.parts)}: not held as a group")

    def _joint(self, index: int) -> Joint:
        return self.shape.joints[index].joint

    def _state(self, index: int) -> Statement:
        """State the joint; sides on solved parts get their own axes at the joint's place."""
        shape = self.shape.joints[index]
        names = DIMENSIONS[type(shape.joint)]
        dims: list[Expr] = []
        for number, name in enumerate(names):
            outside = (name.startswith("a.") and not shape.inside_a) or (
                name.startswith("b.") and not shape.inside_b
            )
            if outside or not shape.active[number]:
                dims.append(0)
                continue
            symbol = Symbol(f"d{len(self._d)}")
            self._d.append(symbol)
            self.dims.append((index, number))
            dims.append(symbol)
        travel: Expr = 0
        if not isinstance(shape.joint, Pin):
            travel = self._unknown("travel", shape.joint.name)
        for side, inside in (("a", shape.inside_a), ("b", shape.inside_b)):
            if not inside:
                self._add_end(index, side, shape.turns)
        return state_joint(shape.joint, tuple(dims), travel)

    def _add_end(self, index: int, side: str, turns: bool) -> None:
        needs_turn = turns and not isinstance(self._joint(index), Pin)
        base = len(self._k)
        symbols = [Symbol(f"k{base + i}") for i in range(3)]
        self._k += symbols
        self.ends.append(End(index, side, needs_turn))
        turn: Expr = symbols[2] if needs_turn else 0
        self._poses_of_ends[index, side] = (symbols[0], symbols[1], turn)

    @cached_property
    def _poses_of_ends(self) -> dict[tuple[int, str], tuple[Expr, Expr, Expr]]:
        return {}

    def _part(self, index: int, side: str) -> str:
        joint = self._joint(index)
        return joint.a.part if side == "a" else joint.b.part

    def _placed(self, index: int, side: str) -> bool:
        return (index, side) in self._poses_of_ends or self._part(index, side) in self._poses

    def _pose(self, index: int, side: str) -> tuple[Expr, Expr, Expr]:
        """Return the pose of the part on one side of a joint, which is placed."""
        if (index, side) in self._poses_of_ends:
            return self._poses_of_ends[index, side]
        return self._poses[self._part(index, side)]

    def _reaches(self, index: int) -> bool:
        return self._placed(index, "a") != self._placed(index, "b")

    def _hang(self, index: int, said: Statement) -> None:
        """Place one more part by a joint of the tree."""
        new_is_a = not self._placed(index, "a")
        known = self._pose(index, "b" if new_is_a else "a")
        name = self._part(index, "a" if new_is_a else "b")
        turn: Expr
        if said.turned is None:
            turn = self._unknown("turn", name)
        else:
            turn = known[2] + said.turned if new_is_a else known[2] - said.turned
        there = in_frame(known, said.at_b if new_is_a else said.at_a)
        here = in_frame((0, 0, turn), said.at_a if new_is_a else said.at_b)
        self._poses[name] = (there[0] - here[0], there[1] - here[1], turn)

    def _close(self, index: int, said: Statement) -> None:
        """Close one loop by a joint outside the tree."""
        pose_a, pose_b = self._pose(index, "a"), self._pose(index, "b")
        a, b = in_frame(pose_a, said.at_a), in_frame(pose_b, said.at_b)
        self._residuals += [a[0] - b[0], a[1] - b[1]]
        self.closing += [self._joint(index).name] * (2 if said.turned is None else 3)
        if said.turned is not None:
            self._residuals.append(pose_a[2] - pose_b[2] - said.turned)

    # -- compiled forms -------------------------------------------------------------------------

    def compiled(self, what: str, numbers: str = "array") -> Compiled:
        """Return one of the group's functions for one kind of numbers.

        Takes lists of numbers, returns a list.

        Parameters
        ----------
        what : str
            "residual" (q, k, d), "newton" (q, k, d): residual then Jacobian by rows,
            "solved" (q, k, d): residual then poses, "jacobian" (q, k, d),
            "rhs1" (q, k, d, k1, d1): F_k k1 + F_d d1, "poses1" (q, k, d, k1, d1, q1),
            "rhs2" (q, k, d, k1, d1, q1, k2): all of the second derivative of F but F_q q2,
            "poses2" (q, k, d, k1, d1, q1, k2, q2).
        """
        key = (what, numbers)
        if key not in self._cache:
            if what not in self._made:
                self._made[what] = self._make(what)
            base = self._made[what]
            self._cache[key] = FunctionType(base.__code__, {**base.__globals__, **NUMBERS[numbers]})
        return self._cache[key]

    @cached_property
    def _cache(self) -> dict[tuple[str, str], Compiled]:
        return {}

    @cached_property
    def _made(self) -> dict[str, FunctionType]:
        return {}

    @cached_property
    def _pose_list(self) -> list[Expr]:
        return [value for name in self.parts for value in self._poses[name]]

    def _make(self, what: str) -> FunctionType:
        base = [self._q, self._k, self._d]
        q1, k1, d1 = (_dots(symbols, 1) for symbols in base)
        q2, k2, _ = (_dots(symbols, 2) for symbols in base)
        f, poses = self._residuals, self._pose_list
        by_k = [*zip(self._k, k1, strict=True), *zip(self._d, d1, strict=True)]
        once = [*zip(self._q, q1, strict=True), *by_k]
        again = [*once, *zip(k1, k2, strict=True)]
        match what:
            case "residual":
                return compiled(base, f)
            case "solved":
                return compiled(base, f + poses)
            case "jacobian":
                return compiled(base, self._jacobian)
            case "newton":
                return compiled(base, f + self._jacobian)
            case "rhs1":
                return compiled([*base, k1, d1], derive_along(f, by_k))
            case "poses1":
                return compiled([*base, k1, d1, q1], derive_along(poses, once))
            case "rhs2":
                return compiled([*base, k1, d1, q1, k2], derive_along(derive_along(f, once), again))
            case "poses2":
                again += zip(q1, q2, strict=True)
                second = derive_along(derive_along(poses, once), again)
                return compiled([*base, k1, d1, q1, k2, q2], second)
        raise KeyError(what)

    @property
    def _jacobian(self) -> list[Expr]:
        """Derivatives of the residuals by the unknowns, row by row."""
        columns = [[derive(row, symbol, {}) for row in self._residuals] for symbol in self._q]
        return [entry for row in zip(*columns, strict=True) for entry in row]


def _dots(symbols: Sequence[Symbol], order: int) -> list[Symbol]:
    return [Symbol(f"{symbol.text}_{order}") for symbol in symbols]


@lru_cache(maxsize=256)
def group_of(shape: GroupShape) -> Group:
    """Return the group of that shape, made once."""
    return Group(shape)
