"""Newton's method on a group's closure, for one position or for arrays of them.

The array version eliminates with the whole batch in each operation: for groups this small that is
several times faster than one LAPACK call a position. It goes so:

    start -> step -> closed? -> done
               ^        | some are not
               |        v
               +--- those alone, a few times; what is still open then: from its start, by LAPACK

The order of pivots is chosen once, at the first position. Where it leaves a small pivot elsewhere,
the step is spoilt, which shows in the residual: no position passes for closed that is not, and the
few concerned are taken again, each with its own pivots.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from linkage.arrays import Array, Mask
from linkage.kinematics.equations import Group

CLOSED = 1e-12
"""Loops closer than this count as closed [mm]: a hundred times finer than is promised outside. In
mechanisms larger than `_LARGE`, where rounding alone comes near it, in proportion to the size."""

_LARGE = 200.0  # [mm]
_FAST_PASSES = 4  # from a good start two do
_SLOW_PASSES = 15


def solve_linear(matrix: Array, rhs: Array) -> Array:
    """Solve many small linear systems, each with its own pivots.

    Parameters
    ----------
    matrix : array, shape (n, n, ...) [any]
        Unknowns second.
    rhs : array, shape (n, ...) [any]
        Right-hand sides.

    Returns
    -------
    array, shape (n, ...) [rhs by matrix]
        Solutions; nan where the matrix is singular or holds no numbers.
    """
    a, b = np.moveaxis(matrix, (0, 1), (-2, -1)), np.moveaxis(rhs, 0, -1)[..., None]
    out = np.full(b.shape, np.nan)
    good = np.asarray(np.isfinite(a).all(axis=(-2, -1)) & np.isfinite(b).all(axis=(-2, -1)))
    good[good] &= np.abs(np.linalg.det(a[good])) > 0
    if good.any():
        out[good] = np.linalg.solve(a[good], b[good])
    return np.moveaxis(out[..., 0], -1, 0)


def solve_array(
    group: Group, start: Array, inputs: Sequence[Any], dims: Sequence[Any]
) -> tuple[Array, list[Any]]:
    """Close a group at many positions at once.

    Parameters
    ----------
    group : Group
        The equations, `n` unknowns.
    start : array, shape (n, ...) [rad, mm]
        Near the solution wanted.
    inputs, dims : sequence of number or array
        Inputs `k` and dimensions `d`, broadcast against `start`'s trailing shape.

    Returns
    -------
    q : array, shape (n, ...) [rad, mm]
        Solutions; nan where the loops do not close.
    poses : list of array
        x, y, angle of each part of the group in turn [mm, mm, rad].
    """
    n, close = group.size, CLOSED * max(1.0, _size([*inputs, *dims]) / _LARGE)
    found, values = _pass(group, list(start), inputs, dims)
    known = np.isfinite(start).all(axis=0)  # in an open arc there is nothing to begin from
    poses, missed = values[n:], known & _missed(values[:n], start.shape[1:], close)
    if not missed.any():
        return found, poses
    found[:, missed], again = _close_the_missed(group, (inputs, dims), missed, found, close)
    astray = np.asarray(np.isnan(found).any(axis=0) & known)
    if not astray.any():
        return found, [_put(pose, missed, moved) for pose, moved in zip(poses, again, strict=True)]
    _close_by_lapack(group, start, (inputs, dims), (astray, found), close)
    with np.errstate(invalid="ignore"):
        return found, group.compiled("solved")(list(found), inputs, dims)[n:]


def _pass(
    group: Group, q: Sequence[Any], inputs: Sequence[Any], dims: Sequence[Any]
) -> tuple[Array, list[Any]]:
    """Take one Newton step: the unknowns after it, and there the residuals and the poses."""
    n = group.size
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        values = group.compiled("newton")(q, inputs, dims)
        step = _eliminate([values[n * (i + 1) : n * (i + 2)] for i in range(n)], values[:n])
        after = np.array([old - change for old, change in zip(q, step, strict=True)])
        return after, group.compiled("solved")(list(after), inputs, dims)


def _missed(residuals: Sequence[Any], shape: tuple[int, ...], close: float) -> Mask:
    """Tell at which positions some loop is not closed, shape `shape`."""
    shut = np.ones(shape, dtype=bool)
    for residual in residuals:
        shut &= np.abs(residual) <= close
    return ~shut


def _close_the_missed(
    group: Group,
    known: tuple[Sequence[Any], Sequence[Any]],
    missed: Mask,
    found: Array,
    close: float,
) -> tuple[Array, list[Any]]:
    """Take further steps at those positions that need them: unknowns and poses, nan on failure."""
    n = group.size
    k, d = (_chosen(values, missed) for values in known)
    q = found[:, missed]
    for _ in range(_FAST_PASSES - 1):
        q, values = _pass(group, list(q), k, d)
        open_still = _missed(values[:n], q.shape[1:], close)
        if not open_still.any():
            return q, values[n:]
    q[:, open_still] = np.nan
    with np.errstate(invalid="ignore"):
        return q, group.compiled("solved")(list(q), k, d)[n:]


def _put(values: Any, chosen: Mask, others: Any) -> Any:
    """Put other numbers in the chosen places; what is one number everywhere stays so."""
    if not isinstance(values, np.ndarray):
        return values
    values = np.array(np.broadcast_to(values, chosen.shape))
    values[chosen] = others
    return values


def _chosen(values: Sequence[Any], chosen: Mask) -> list[Any]:
    """Pick some positions of every array among numbers and arrays."""
    return [
        np.broadcast_to(value, chosen.shape)[chosen] if isinstance(value, np.ndarray) else value
        for value in values
    ]


def _eliminate(matrix: list[list[Any]], rhs: list[Any]) -> list[Any]:
    """Solve by elimination, each entry a number or an array; numbers 0 are passed over.

    Rows are taken in the order that suits the first position.
    """
    n = len(rhs)
    matrix, rhs = [list(row) for row in matrix], list(rhs)
    for column in range(n):
        first = [abs(_first(row[column])) for row in matrix[column:]]
        best = column + int(np.argmax(first))
        matrix[column], matrix[best] = matrix[best], matrix[column]
        rhs[column], rhs[best] = rhs[best], rhs[column]
        pivot_row = matrix[column]
        inverse = 1.0 / np.asarray(pivot_row[column], dtype=float)
        pivot_row[column] = inverse
        for row in range(column + 1, n):
            entry = matrix[row][column]
            if _is_nought(entry):
                continue
            factor = entry * inverse
            for later in range(column + 1, n):
                if not _is_nought(pivot_row[later]):
                    matrix[row][later] = matrix[row][later] - factor * pivot_row[later]
            rhs[row] = rhs[row] - factor * rhs[column]
    solution: list[Any] = [None] * n
    for column in range(n - 1, -1, -1):
        total = rhs[column]
        for later in range(column + 1, n):
            if not _is_nought(matrix[column][later]):
                total = total - matrix[column][later] * solution[later]
        solution[column] = total * matrix[column][column]
    return solution


def _first(entry: Any) -> float:
    """Return an entry at the first position, 0 where there are no positions."""
    if isinstance(entry, np.ndarray):
        return float(entry.flat[0]) if entry.size else 0.0
    return float(entry)


def _is_nought(entry: Any) -> bool:
    return not isinstance(entry, np.ndarray) and entry == 0


def _close_by_lapack(
    group: Group,
    start: Array,
    known: tuple[Sequence[Any], Sequence[Any]],
    result: tuple[Mask, Array],
    close: float,
) -> None:
    """Solve the missed positions again from their start, pivoting afresh at each, in place."""
    missed, found = result
    n = group.size
    k, d = (_chosen(values, missed) for values in known)
    q = start[:, missed]
    newton, residual = group.compiled("newton"), group.compiled("residual")
    matrix, rhs = np.empty((n, n, q.shape[1])), np.empty_like(q)
    with np.errstate(invalid="ignore", over="ignore", divide="ignore"):
        for _ in range(_SLOW_PASSES):
            values = newton(list(q), k, d)
            for row in range(n):
                rhs[row] = values[row]
                for column in range(n):
                    matrix[row, column] = values[n + row * n + column]
            q = q - solve_linear(matrix, rhs)
            gaps = np.array([np.broadcast_to(v, q.shape[1:]) for v in residual(list(q), k, d)])
            shut = np.abs(gaps).max(axis=0) <= close
            if (shut | np.isnan(gaps).any(axis=0)).all():
                break
    q[:, ~shut] = np.nan
    found[:, missed] = q


def _size(values: Sequence[Any]) -> float:
    """Return the greatest of numbers and of the first of each array, whatever their sign."""
    firsts = (_first(value) for value in values if np.size(value))
    return max((abs(value) for value in firsts if value == value), default=0.0)


def solve_scalar(
    group: Group,
    start: Sequence[float],
    inputs: Sequence[float],
    dims: Sequence[float],
    close_enough: float = 1e-9,
) -> list[float] | None:
    """Close a group at one position.

    The unknowns; None where Newton's method does not settle.

    Parameters
    ----------
    start : sequence of float [rad, mm]
        Near the solution wanted.
    close_enough : float [rad, mm]
        Stop after a step smaller than this (the error left is about its square).
    """
    newton = group.compiled("newton", "scalar")
    q = list(start)
    for _ in range(25):
        values = newton(q, inputs, dims)
        step = _solve_small(values, group.size)
        if step is None:
            return None
        greatest = 0.0
        for index, change in enumerate(step):
            q[index] -= change
            greatest = max(greatest, abs(change))
        if greatest < close_enough:
            return q
        if not greatest < 1e3:
            return None
    return None


def _solve_small(values: Sequence[float], n: int) -> Sequence[float] | None:
    """Return the Newton step from residuals followed by the Jacobian's rows."""
    if n == 2:
        f, g, a, b, c, d = values
        det = a * d - b * c
        if det == 0:
            return None
        return ((f * d - b * g) / det, (a * g - f * c) / det)
    table = np.array(values, dtype=np.float64)
    try:
        step: Sequence[float] = np.linalg.solve(table[n:].reshape(n, n), table[:n]).tolist()
    except np.linalg.LinAlgError:
        return None
    return step
