"""A mechanism's groups in order, each with its numbers and with where its inputs come from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from types import FunctionType
from typing import Any

import numpy as np

from linkage.errors import MechanismError
from linkage.kinematics.algebra import Expr, Symbol, compiled, derive_along
from linkage.kinematics.equations import (
    NUMBERS,
    Compiled,
    Group,
    group_of,
    shape_group,
    without_numbers,
)
from linkage.kinematics.joints import dimension_values, in_frame
from linkage.kinematics.ordering import order_groups, solved_at_first
from linkage.mechanism import Joint, Mechanism, Part

Pose = Sequence[Any]


@lru_cache(maxsize=16)
def place_function(order: int, numbers: str) -> Compiled:
    """Return the compiled place of a point of a part, or its first or second derivative.

    Five, ten or fifteen numbers to the two coordinates [mm].

    Parameters
    ----------
    order : int
        0: (x, y, t, px, py); 1: these, then their derivatives; 2: these, then second derivatives.
    """
    made = _make_place(order)
    return FunctionType(made.__code__, {**made.__globals__, **NUMBERS[numbers]})


@lru_cache(maxsize=3)
def _make_place(order: int) -> FunctionType:
    names = ("x", "y", "t", "px", "py")
    levels = [[Symbol(f"{name}{level}") for name in names] for level in range(order + 1)]
    x, y, turn, *place = levels[0]
    exprs: list[Expr] = list(in_frame((x, y, turn), (place[0], place[1])))
    for depth in range(order):
        pairs = [
            pair
            for low, high in pairwise(levels[: depth + 2])
            for pair in zip(low, high, strict=True)
        ]
        exprs = derive_along(exprs, pairs)
    return compiled([[symbol for level in levels for symbol in level]], exprs)


@dataclass(frozen=True)
class Source:
    """Where three inputs of a group come from: a place on a solved part."""

    part: str
    joint: int
    first: int
    """Index of the place's x among the joint's dimensions; y follows it."""


@dataclass(frozen=True)
class Step:
    """One group with its joints' indices in the mechanism."""

    group: Group
    joints: tuple[int, ...]
    sources: tuple[Source, ...]


Numbers = tuple[tuple[Any, ...], ...]
"""Dimensions of each joint: floats, or arrays of shape (V, 1) for V variants."""


@dataclass(frozen=True)
class Chain:
    """The order of solving a mechanism.

    Attributes
    ----------
    crank : str
        The turned part.
    axle : (float, float) [mm]
        Its axle.
    still : frozenset of str
        Parts that do not move.
    steps : tuple of Step
        The groups in order.
    """

    crank: str
    axle: tuple[float, float]
    still: frozenset[str]
    steps: tuple[Step, ...]

    def first_poses(self, crank: Any) -> dict[str, Pose]:
        """Return the poses known before solving: the crank's (turned clockwise by its angle)."""
        poses: dict[str, Pose] = {name: (0.0, 0.0, 0.0) for name in self.still}
        poses[self.crank] = (self.axle[0], self.axle[1], -crank)
        return poses

    def inputs(
        self, step: Step, poses: Mapping[str, Pose], numbers: Numbers, kind: str = "array"
    ) -> list[Any]:
        """Return a group's inputs: x, y, angle of each place on a solved part."""
        place = place_function(0, kind)
        found: list[Any] = []
        for source in step.sources:
            x, y, turn = poses[source.part]
            px, py = numbers[source.joint][source.first : source.first + 2]
            if source.part in self.still:
                found += [px, py, 0.0]
                continue
            found += [*place([x, y, turn, px, py]), turn]
        return found

    def dims(self, step: Step, numbers: Numbers) -> list[Any]:
        """Return a group's dimensions in its own order."""
        return [numbers[step.joints[joint]][number] for joint, number in step.group.dims]


def numbers_of(mechanisms: Sequence[Mechanism]) -> Numbers:
    """Return the dimensions of the joints of one mechanism, or of several alike, stacked.

    Per joint its dimensions: floats for one mechanism, arrays of shape (V, 1) for several.

    Raises
    ------
    MechanismError
        Where the mechanisms differ in more than dimensions.
    """
    if len(mechanisms) == 1:
        return tuple(dimension_values(joint) for joint in mechanisms[0].joints)
    alike = {tuple(_form(joint) for joint in m.joints) for m in mechanisms}
    if len(alike) > 1:
        raise MechanismError("variants must have the same parts and joints")
    tables = [[dimension_values(joint) for joint in m.joints] for m in mechanisms]
    return tuple(
        tuple(np.array(column)[:, None] for column in zip(*rows, strict=True))
        for rows in zip(*tables, strict=True)
    )


def _form(joint: Joint) -> tuple[Any, ...]:
    curved = getattr(joint, "curvature", 0.0) != 0
    return type(joint), joint.name, joint.a.part, joint.b.part, curved


def chain_of(mechanism: Mechanism, numbers: Numbers | None = None) -> Chain:
    """Order a mechanism's groups.

    The groups, with where their inputs come from.

    Parameters
    ----------
    numbers : tuple of tuple, optional
        Dimensions that may become other than 0; the mechanism's own if not given.

    Raises
    ------
    MechanismError
        Where the joints do not make a mechanism of one freedom.
    """
    numbers = numbers if numbers is not None else numbers_of([mechanism])
    active = tuple(tuple(_is_active(value) for value in values) for values in numbers)
    parts = tuple(Part(part.name, fixed=part.fixed) for part in mechanism.parts)
    joints = tuple(without_numbers(joint) for joint in mechanism.joints)
    steps = _steps(parts, joints, mechanism.crank, active)
    still = solved_at_first(mechanism) - {mechanism.crank}
    return Chain(mechanism.crank, mechanism.axle, still, steps)


def _is_active(value: Any) -> bool:
    """Tell whether a dimension is other than 0, in any of the variants."""
    return bool(value.any()) if isinstance(value, np.ndarray) else value != 0


@lru_cache(maxsize=64)
def _steps(
    parts: tuple[Part, ...],
    joints: tuple[Joint, ...],
    crank: str,
    active: tuple[tuple[bool, ...], ...],
) -> tuple[Step, ...]:
    """Order the groups; the same for all mechanisms that differ in numbers only."""
    mechanism = Mechanism(parts, joints, crank)
    solved = solved_at_first(mechanism)
    steps: list[Step] = []
    for names in order_groups(mechanism):
        shape, chosen = shape_group(mechanism, names, solved, active)
        group = group_of(shape)
        sources = tuple(
            Source(
                getattr(joints[chosen[end.joint]], end.side).part,
                chosen[end.joint],
                0 if end.side == "a" else 2,
            )
            for end in group.ends
        )
        steps.append(Step(group, chosen, sources))
        solved |= set(names)
    return tuple(steps)
