"""The transmission angle of a group of any size: its Jacobian, and what the columns say."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from linkage.arrays import Array
from linkage.kinematics.equations import Group


def jacobian_of(group: Group, q: Array, inputs: Sequence[Any], dims: Sequence[Any]) -> Array:
    """Return a group's Jacobian at many positions.

    Parameters
    ----------
    group : Group
        The equations, `n` unknowns.
    q : array, shape (n, ...) [rad, mm]
        Unknowns.

    Returns
    -------
    array, shape (..., n, n) [mm/rad, 1]
        Rows are equations, columns unknowns.
    """
    n = group.size
    matrix = np.empty((*q.shape[1:], n, n))
    for place, value in enumerate(group.compiled("jacobian")(list(q), inputs, dims)):
        matrix[..., place // n, place % n] = value
    return matrix


def transmission_sine(matrix: Array) -> Array:
    """Return the sine of the least angle between a column and the span of the others.

    Parameters
    ----------
    matrix : array, shape (..., n, n) [mm/rad, 1]
        Jacobians.

    Returns
    -------
    array, shape (...) [1]
        ``1 / (|column j| |row j of the inverse|)``, the least over j; 0 where singular, nan where
        unknown. Of a pair of links, the sine of their transmission angle.
    """
    sine = np.full(matrix.shape[:-2], np.nan)
    known = np.asarray(np.isfinite(matrix).all(axis=(-1, -2)))
    sine[known] = 0.0
    known[known] = np.abs(np.linalg.det(matrix[known])) > 0
    columns = np.linalg.norm(matrix[known], axis=-2)
    rows = np.linalg.norm(np.linalg.inv(matrix[known]), axis=-1)
    sine[known] = (1 / (columns * rows)).min(axis=-1)
    return sine
