"""Wheelsets that go sideways, and what of the clearances that takes.

Each wheelset is some way over from its middle, at most by its side play. What rides on it goes
with it; a rod between two of them slants. The clearance of two pieces at any such state is that of
the same pieces at other lateral places, and the lateral gap between two places of them is, as long
as the pieces stay on their own sides of one another, a linear function of how far the wheelsets
are over. So it is least at a corner of the set of states, and only those corners are kept for a
pair of pieces that bring them nearer somewhere than every other corner. Where a corner would carry
one piece past the other, the state in which they are level is kept besides.

What a part can be moved along a pin it goes over by itself, against the part that carries it there,
whatever else goes over: one more side of the box. Of all that a pair rides on in this way only the
end that is nearest is looked at, where that is the same end for all of both pieces. Between two
parts that a pin joins none of it is counted: their own faces there keep them from one another.

The set of states is a box, every wheelset for itself; or, on a curve, what the rails allow. With
the axles at x, curvature k, and the frames anywhere along and across the track, the wheelsets are

    k x^2 / 2 - a - b x     with |k| <= 1 / radius, any a and b, each within its side play

over, where the parabola stands for the circle; its error is a share of (x / radius)^2 / 4. Play
between flanges and rails is not counted. Slanting shortens no rod: by 0.001 mm at the most where
the ends of a 29 mm rod are 0.2 mm apart.

References
----------
With the end axles in their middle, distances a and b from one between them, that one is
``a b / (2 radius)`` over: common practice, no source; it follows from the parabola.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import combinations, product
from typing import Any, TypeVar

import numpy as np

from linkage.arrays import Array
from linkage.clearance.outlines import PiecePair, slopes
from linkage.mechanism import Mechanism, Part, Piece, Wheelset
from linkage.riding import OnPin, Over, weights_at

_SAME = 1e-9  # states nearer than this are the same [mm]

T = TypeVar("T")
State = tuple[tuple[Over, float], ...]
"""How far wheelsets, and parts on their pins, are over, away from the frames on the side looked at:
(axle or part on its pin, [mm])."""


@dataclass(frozen=True)
class Sideways:
    """All states that the wheelsets of one side, and parts on their pins, can be in.

    Attributes
    ----------
    axles : tuple of str
        Names of the wheelsets' axles.
    corners : array, shape (S, axles) [mm]
        Corners of the set of states of these.
    along : tuple of (OnPin, float) [mm]
        How far over, either way, parts can be on their pins.
    """

    axles: tuple[str, ...]
    corners: Array
    along: tuple[tuple[OnPin, float], ...] = ()

    @cached_property
    def any(self) -> bool:
        """Whether anything can be over at all."""
        return bool(self.corners.any()) or bool(self.along)

    @cached_property
    def farthest_over(self) -> Mapping[Over, float]:
        """How far each wheelset and part on its pin can be over at the most [mm]."""
        wheels = zip(self.axles, np.abs(self.corners).max(axis=0).tolist(), strict=True)
        return {**dict(wheels), **dict(self.along)}

    def of(self, axles: tuple[Over, ...]) -> Array:
        """Return the corners as far as some axles go, shape (S, len(axles)) [mm]."""

        def corners() -> Array:
            columns = [self.axles.index(axle) for axle in axles if isinstance(axle, str)]
            return np.unique(np.round(self.corners[:, columns], 9), axis=0)

        return self.kept(axles, corners)

    @cached_property
    def of_wheelsets(self) -> Sideways:
        """The states of the wheelsets, with every part in the middle of its pins."""
        return replace(self, along=()) if self.along else self

    def farthest(self, part: Part) -> float:
        """Return how far sideways any corner of a part can go from its middle place [mm]."""

        def farthest() -> float:
            over = self.farthest_over
            return max(
                (
                    sum(
                        abs(weight) * over.get(axle, 0.0)
                        for axle, weight in weights_at(part.rides, corner).items()
                    )
                    for piece in part.pieces
                    for corner in piece.corners
                ),
                default=0.0,
            )

        return self.kept(part, farthest) if self.any else 0.0

    def kept(self, what: Hashable, find: Callable[[], T]) -> T:
        """Return what was found before of something, or find it: variants ask again and again."""
        if what not in self._kept:
            self._kept[what] = find()
        found: T = self._kept[what]
        return found

    @cached_property
    def _kept(self) -> dict[Hashable, Any]:
        return {}


def states_of(mechanism: Mechanism) -> Sideways:
    """Return how far over the wheelsets of a mechanism, and its parts on their pins, can be.

    The corners of the set of states.

    Parameters
    ----------
    mechanism : Mechanism
        With its wheelsets, and the curve they stand on where one is given.
    """
    wheelsets = mechanism.wheelsets
    names = tuple(wheelset.axle for wheelset in wheelsets)
    held = any(wheelset.held is not None for wheelset in wheelsets)
    if mechanism.curve and len(wheelsets) > 2 and not held:
        on_curve = _over(wheelsets, _on_curve(wheelsets, 1 / mechanism.curve))
        return Sideways(names, on_curve, mechanism.along)
    corners = np.array(list(product(*map(_ends, wheelsets))), dtype=float)
    return Sideways(names, corners, mechanism.along)


def _ends(wheelset: Wheelset) -> tuple[float, ...]:
    """Return how far over a wheelset can be at the most, either way [mm]."""
    if wheelset.held is not None:
        return (wheelset.held * wheelset.side_play,)
    return (-wheelset.side_play, wheelset.side_play) if wheelset.side_play else (0.0,)


def hold_over(mechanism: Mechanism, side: str, pushed: Mapping[str, str]) -> Mechanism:
    """Return one side's mechanism with wheelsets pushed right over, off any curve.

    `pushed`: by axle, to which side of the engine.
    """
    wheelsets = tuple(
        replace(w, held=1.0 if pushed[w.axle] == side else -1.0) if w.axle in pushed else w
        for w in mechanism.wheelsets
    )
    return replace(mechanism, wheelsets=wheelsets)


def sharpest_curve(wheelsets: Sequence[Wheelset]) -> float:
    """Return the radius of the sharpest curve that the wheelsets' side play lets them stand on.

    Returns
    -------
    float [mm]
        0 for one or two, which stand on any; infinite where they can stand on none.
    """
    if len(wheelsets) < 3:
        return 0.0
    most = float(_on_curve(wheelsets, np.inf)[:, 0].max())
    return 1 / most if most > 1e-12 else np.inf


def _on_curve(wheelsets: Sequence[Wheelset], bend: float) -> Array:
    """Return the corners of all (curvature, a, b), curvature within `bend`, shape (S, 3)."""
    x = np.array([w.ahead for w in wheelsets])
    play = np.array([w.side_play for w in wheelsets])
    rows = np.stack((x**2 / 2, -np.ones_like(x), -x), axis=1)
    normals, limits = np.concatenate((rows, -rows)), np.concatenate((play, play))
    if np.isfinite(bend):
        ends = np.array([[1.0, 0, 0], [-1.0, 0, 0]])
        normals, limits = np.concatenate((normals, ends)), np.append(limits, [bend, bend])
    scale = np.abs(normals).max(axis=0)
    threes = np.array(list(combinations(range(len(limits)), 3)))
    matrix = normals[threes] / scale
    whole = np.abs(np.linalg.det(matrix)) > 1e-9
    found = np.linalg.solve(matrix[whole], limits[threes][whole][..., None])[..., 0] / scale
    within = (found @ normals.T <= limits + _SAME * (1 + np.abs(limits))).all(axis=1)
    return np.asarray(found[within])


def _over(wheelsets: Sequence[Wheelset], corners: Array) -> Array:
    """Return how far over each wheelset is, of curvature, a and b, shape (S, axles)."""
    x = np.array([w.ahead for w in wheelsets])
    return np.asarray(corners @ np.stack((x**2 / 2, -np.ones_like(x), -x)))


def shift(part: Part, state: State) -> Part:
    """Return a part as it lies when the wheelsets are over.

    The same with other lateral places; bars that now slant have discs for their round ends.

    Parameters
    ----------
    state : tuple of (str or OnPin, float) [mm]
        How far what it rides on is over, away from the frames; what is not named is in its middle.
    """
    if not part.rides or not state:
        return part
    over = dict(state)

    def at(corner: tuple[float, float]) -> float:
        weights = weights_at(part.rides, corner)
        return sum(over.get(axle, 0.0) * weight for axle, weight in weights.items())

    pieces = [
        moved
        for piece in part.pieces
        for moved in _moved(piece, [at(corner) for corner in piece.corners])
    ]
    return replace(part, pieces=tuple(pieces))


def _moved(piece: Piece, by: Sequence[float]) -> Iterator[Piece]:
    """Yield a piece with its corners moved outward; a plate stays parallel to the wheel."""
    if len(by) > 2:
        by = [sum(by) / len(by)] * len(by)
    there = replace(piece, out=tuple(out + d for out, d in zip(piece.out, by, strict=True)))
    yield there
    if slopes(there) and not slopes(piece):
        for corner, out in zip(there.corners, there.out, strict=True):
            yield replace(there, corners=(corner,), out=(out,))


def states_that_matter(
    parts: tuple[Part, Part], pair: PiecePair, sideways: Sideways
) -> tuple[State, ...]:
    """Return the states in which two pieces come nearest somewhere.

    Parameters
    ----------
    parts : (Part, Part)
        Those the pieces belong to, in the order of the pair's pieces.

    Returns
    -------
    tuple of tuple of (str, float) [mm]
        At least one; empty states where no wheelset moves either piece.
    """
    if not sideways.any or not any(part.rides for part in parts):
        return ((),)
    what = tuple(
        # of a part that goes sideways all as one, where its corners are does not matter
        (part.rides, piece.corners if len(part.rides) > 1 else len(piece.corners), piece.out)
        for part, piece in zip(parts, pair.pieces, strict=True)
    )
    return sideways.kept(what, lambda: _states_that_matter(parts, pair, sideways))


def _states_that_matter(
    parts: tuple[Part, Part], pair: PiecePair, sideways: Sideways
) -> tuple[State, ...]:
    weights = [
        [weights_at(part.rides, corner) for corner in piece.corners]
        for part, piece in zip(parts, pair.pieces, strict=True)
    ]
    known = sideways.farthest_over
    every = {axle for side in weights for corner in side for axle in corner if axle in known}
    axles = tuple(sorted(every, key=lambda axle: (isinstance(axle, OnPin), str(axle))))
    if not axles:
        return ((),)
    by = [np.array([[c.get(a, 0.0) for a in axles] for c in side]) for side in weights]
    outs = [np.array(piece.out) for piece in pair.pieces]
    apart = (outs[0][:, None] - outs[1]).ravel()  # between every two corners
    turned = (by[0][:, None] - by[1]).reshape(-1, len(axles))
    if not turned.any():  # they go together
        return ((),)
    sign = 1.0 if apart.mean() >= 0 else -1.0
    states = _with_pins(sideways.of(axles), axles, known, sign * turned)
    gaps = sign * (apart + states @ turned.T)
    kept = _not_beaten(gaps)
    passing = gaps[kept].mean(axis=1) < 0
    middle = sign * apart.mean()
    level = states[kept][passing]
    if len(level):
        share = middle / (middle - gaps[kept][passing].mean(axis=1))
        states = np.concatenate((states[kept], level * share[:, None]))
    else:
        states = states[kept]
    return tuple(tuple(zip(axles, row, strict=True)) for row in states.tolist())


def _with_pins(
    wheels: Array, axles: Sequence[Over], farthest: Mapping[Over, float], opens: Array
) -> Array:
    """Return states of wheelsets with those of the parts on their pins, shape (S, len(axles)) [mm].

    `wheels` [mm]: those of the wheelsets, shape (S, wheelsets). `opens` [1]: by how much a gap
    grows with each, at each two corners: where that has one sign, one end is the nearest.
    """
    ends = []
    for column, axle in zip(opens.T, axles, strict=True):
        if isinstance(axle, OnPin):
            most = farthest[axle]
            nearest = ((-most,) if (column >= -_SAME).all() else (),
                       (most,) if (column <= _SAME).all() else ())  # fmt: skip
            ends.append(next((end for end in nearest if end), (-most, most)))
    pins = np.array(list(product(*ends)), dtype=float)
    rows = np.repeat(np.arange(len(wheels)), len(pins))
    return np.concatenate((wheels[rows], np.tile(pins, (len(wheels), 1))), axis=1)


def _not_beaten(gaps: Array) -> Array:
    """Return the rows of which no other is as small or smaller everywhere."""
    kept: list[int] = []
    for row in np.argsort(gaps.sum(axis=1), kind="stable").tolist():
        if not any((gaps[other] <= gaps[row] + _SAME).all() for other in kept):
            kept.append(row)
    return np.array(kept, dtype=np.intp)


def shifted_pairs(
    parts: tuple[Part, Part], pair: PiecePair, sideways: Sideways
) -> Iterator[PiecePair]:
    """Yield a pair of pieces in every state in which they come nearest somewhere.

    Each with its state; more than one to a state where a bar slants that did not.

    Parameters
    ----------
    parts : (Part, Part)
        Those the pieces belong to, in the order of the mechanism.
    """
    parts = parts if pair.parts[0] < pair.parts[1] else parts[::-1]
    for state in states_that_matter(parts, pair, sideways):
        if not any(over for _, over in state):
            yield pair
            continue
        first, second = (
            _shifted(part, piece, state, sideways)
            for part, piece in zip(parts, pair.pieces, strict=True)
        )
        rows = pair.parts
        for p, q in product(first, second):
            if slopes(p) and not slopes(q):
                yield PiecePair(rows[::-1], (q, p), state)
            else:
                yield PiecePair(rows, (p, q), state)


def _shifted(part: Part, piece: Piece, state: State, sideways: Sideways) -> tuple[Piece, ...]:
    """Return one piece of a part as it lies when the wheelsets are over."""
    return sideways.kept(
        (part.rides, piece, state), lambda: shift(replace(part, pieces=(piece,)), state).pieces
    )
