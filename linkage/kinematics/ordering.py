"""The order of solving: the smallest sets of parts that their joints to solved parts hold exactly.

A part in the plane has three freedoms; a pin or slide takes two, a slot one. A set of unsolved
parts can be solved by itself as soon as the joints among them and to solved parts take exactly
three times as many freedoms as there are parts. Taking the smallest such set each time gives the
Assur groups of the mechanism: two parts for every ordinary pair of links, more only where the
mechanism really is that much entangled.

References
----------
L. V. Assur's structural groups, as in I. I. Artobolevsky, *Mechanisms in Modern Engineering
Design*, vol. 1 (cited from memory).
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from linkage.errors import MechanismError
from linkage.mechanism import FRAME, Joint, Mechanism, Slot


def solved_at_first(mechanism: Mechanism) -> frozenset[str]:
    """Return the parts whose pose needs no solving: the frame, all fixed parts, the crank."""
    fixed = {part.name for part in mechanism.parts if part.fixed}
    return frozenset(fixed | {FRAME, mechanism.crank})


def freedoms_taken(joint: Joint) -> int:
    """Return how many freedoms a joint takes: 1 for a slot, else 2."""
    return 1 if isinstance(joint, Slot) else 2


def order_groups(mechanism: Mechanism) -> tuple[tuple[str, ...], ...]:
    """Return the parts in groups, each solvable once all groups before it are solved.

    Names of the parts, group by group.

    Raises
    ------
    MechanismError
        Where the joints name unknown parts, leave a part loose, or hold a part too many times.
    """
    _check_names(mechanism)
    solved = solved_at_first(mechanism)
    left = [part.name for part in mechanism.parts if part.name not in solved]
    groups: list[tuple[str, ...]] = []
    while left:
        group = _smallest_group(mechanism.joints, solved, left)
        if group is None:
            raise MechanismError(_why_not(mechanism.joints, solved, left))
        groups.append(group)
        solved |= set(group)
        left = [name for name in left if name not in group]
    _check_no_joint_over(mechanism)
    return tuple(groups)


def _check_names(mechanism: Mechanism) -> None:
    names = [part.name for part in mechanism.parts]
    known = {*names, FRAME}
    if len(known) <= len(names):
        twice = next(name for name in names if names.count(name) > 1 or name == FRAME)
        raise MechanismError(f"two parts are called {twice!r}")
    if mechanism.crank not in known:
        raise MechanismError(f"there is no part {mechanism.crank!r} to turn")
    for joint in mechanism.joints:
        for place in (joint.a, joint.b):
            if place.part not in known:
                raise MechanismError(f"{joint.name} joins a part {place.part!r} that is not there")
        if joint.a.part == joint.b.part:
            raise MechanismError(f"{joint.name} joins {joint.a.part} to itself")
    for first, second in pairwise(sorted(joint.name for joint in mechanism.joints)):
        if first == second:
            raise MechanismError(f"two joints are called {first!r}")


def _smallest_group(
    joints: tuple[Joint, ...], solved: frozenset[str], left: list[str]
) -> tuple[str, ...] | None:
    for size in range(1, len(left) + 1):
        for parts in _connected_sets(joints, left, size):
            names = tuple(name for name in left if name in parts)
            taken, among = _taken(joints, solved, parts), _taken(joints, frozenset(), parts)
            if taken > 3 * size:
                raise MechanismError(_too_much(names, "", taken - 3 * size))
            if among > 3 * (size - 1):  # what is joined to each other only must still move
                raise MechanismError(_too_much(names, " to each other", among - 3 * (size - 1)))
            if taken == 3 * size:
                return names
    return None


def _taken(joints: tuple[Joint, ...], solved: frozenset[str], parts: frozenset[str]) -> int:
    """Return the freedoms that joints among some parts, and of them to solved ones, take."""
    return sum(
        freedoms_taken(joint)
        for joint in joints
        if {joint.a.part, joint.b.part} <= solved | parts and {joint.a.part, joint.b.part} & parts
    )


def _too_much(names: tuple[str, ...], to: str, over: int) -> str:
    return f"{', '.join(names)}: held{to} by {over} more than they can have; a joint is too many"


def _connected_sets(
    joints: tuple[Joint, ...], left: list[str], size: int
) -> Iterator[frozenset[str]]:
    """Yield every set of `size` parts out of `left` that hangs together, each once."""
    touching: dict[str, set[str]] = {name: set() for name in left}
    for joint in joints:
        if joint.a.part in touching and joint.b.part in touching:
            touching[joint.a.part].add(joint.b.part)
            touching[joint.b.part].add(joint.a.part)
    sets = {frozenset([name]) for name in left}
    for _ in range(size - 1):
        sets = {parts | {more} for parts in sets for one in parts for more in touching[one] - parts}
    place = {name: index for index, name in enumerate(left)}
    yield from sorted(sets, key=lambda parts: sorted(place[name] for name in parts))


def _why_not(joints: tuple[Joint, ...], solved: frozenset[str], left: list[str]) -> str:
    spare = 3 * len(left) - _taken(joints, solved, frozenset(left))
    return (
        f"{', '.join(left)}: the joints leave {spare} way(s) of moving free when the crank is "
        "held; a pin, slide or slot is missing"
    )


def _check_no_joint_over(mechanism: Mechanism) -> None:
    """Refuse a joint between two parts that were already held without it."""
    solved = solved_at_first(mechanism)
    for joint in mechanism.joints:
        if joint.a.part in solved and joint.b.part in solved:
            raise MechanismError(f"{joint.name} joins two parts that are both held already")
