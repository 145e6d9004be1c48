"""Whole batches of systems, axes first, against `numpy.linalg.solve`, one system at a time."""

import numpy as np
import pytest

from linkage.kinematics.newton import solve_linear

CLOSE = 1e-12  # the same library, and a few digits for the random systems' own conditioning


def by_numpy(matrix, rhs):
    return np.moveaxis(np.linalg.solve(np.moveaxis(matrix, -1, 0), rhs.T[..., None])[..., 0], 0, -1)


def compare(matrix, rhs):
    expected = by_numpy(matrix, rhs)
    found = solve_linear(matrix.copy(), rhs.copy())
    assert np.abs(found - expected).max() < CLOSE * np.abs(expected).max()


@pytest.mark.parametrize("n", [1, 2, 3, 4, 6, 8])
def test_random_systems(n):
    rng = np.random.default_rng(n)
    compare(rng.normal(size=(n, n, 200)) + 2 * np.eye(n)[..., None], rng.normal(size=(n, 200)))


@pytest.mark.parametrize("n", [2, 3, 6])
def test_random_systems_each_with_its_own_pivots(n):
    """Rows shuffled from system to system: the first one's order serves few of the others."""
    rng = np.random.default_rng(50 + n)
    matrix = np.stack(
        [(np.eye(n) * 5 + rng.normal(size=(n, n)))[rng.permutation(n)] for _ in range(100)], axis=-1
    )
    compare(matrix, rng.normal(size=(n, 100)))


def test_pivot_of_nothing_in_some_systems():
    matrix = np.array([[[1.0, 0.0, 1e-9], [2.0, 1.0, 1.0]], [[3.0, 1.0, 1.0], [4.0, 0.0, 1.0]]])
    compare(matrix, np.array([[5.0, 2.0, 3.0], [6.0, 7.0, 4.0]]))


def test_rows_swapped_from_the_first_system_on():
    matrix = np.array([[[0.0], [1.0]], [[2.0], [0.0]]])
    found = solve_linear(matrix, np.array([[3.0], [8.0]]))
    assert found[:, 0].tolist() == [4.0, 3.0]


def test_singular_and_missing_systems_become_nan_and_leave_others_alone():
    matrix = np.tile(np.array([[2.0, 1.0], [1.0, 3.0]])[..., None], (1, 1, 4))
    matrix[:, :, 1] = [[1.0, 2.0], [2.0, 4.0]]
    matrix[0, 0, 2] = np.nan
    rhs = np.tile(np.array([[5.0], [10.0]]), (1, 4))
    found = solve_linear(matrix, rhs)
    assert not np.isfinite(found[:, 1:3]).all(axis=0).any()
    assert found[:, [0, 3]] == pytest.approx(np.array([[1.0, 1.0], [3.0, 3.0]]))


def test_axes_of_variants_and_angles():
    rng = np.random.default_rng(7)
    matrix = rng.normal(size=(3, 3, 4, 5)) + 3 * np.eye(3)[..., None, None]
    rhs = rng.normal(size=(3, 4, 5))
    flat = by_numpy(matrix.reshape(3, 3, 20), rhs.reshape(3, 20))
    found = solve_linear(matrix.copy(), rhs.copy())
    assert np.abs(found.reshape(3, 20) - flat).max() < 1e-12 * 1e4
