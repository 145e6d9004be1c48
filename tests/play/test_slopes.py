"""The few derivatives of the shares against the table of all of them."""

from __future__ import annotations

import numpy as np
import pytest

from linkage.play.misfit import Misfits
from tests.play.pairs import random_locomotive

CRANKS = 5


@pytest.mark.parametrize("seed", range(6))
def test_sums_are_those_of_the_whole_table(seed):
    """By one unknown and by two, and along a step: products of the table with its noughts."""
    rng = np.random.default_rng(seed)
    misfits = Misfits(random_locomotive(rng))
    crank = rng.uniform(0, 2 * np.pi, CRANKS)
    q = misfits.start(crank, rng.normal(0, 0.02, (CRANKS, misfits.others)))
    stand = misfits.at(q + rng.normal(0, 0.01, q.shape), crank)
    few, table, v = stand.by, stand.slopes, stand.values
    count = v.shape[1]
    along = few.along(v)
    pulled = np.einsum("nca,ncas->ncs", v, table)

    weights = rng.normal(size=(CRANKS, 3, count))
    sums = few.sums(weights, along)[..., :-1]
    np.testing.assert_allclose(sums, np.einsum("nkc,ncs->nks", weights, pulled), atol=1e-9)

    step = rng.normal(size=(CRANKS, misfits.size + 1))
    moved = np.einsum("ncas,ns->nca", table, step[:, :-1])
    np.testing.assert_allclose(few.times(step), moved, atol=1e-9)

    every, one = rng.uniform(size=(2, CRANKS, count))
    none = np.zeros_like(stand.bends(v))
    squares = few.squares(every, one, along, none)[:, :-1, :-1]
    expected = np.einsum("nc,ncas,ncat->nst", every, table, table)
    expected += np.einsum("nc,ncs,nct->nst", one, pulled, pulled)
    np.testing.assert_allclose(squares, expected, rtol=1e-9, atol=1e-6)

    np.testing.assert_allclose(few.scale[:, :-1], np.abs(table).max(axis=(1, 2)))
