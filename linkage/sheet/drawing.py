"""The numbers of a sheet drawn at random from their errors, each by its own key."""

from __future__ import annotations

from collections.abc import Sequence
from hashlib import blake2b

import numpy as np

from linkage.arrays import Array
from linkage.sheet.numbers import SheetNumber

_SEED = "20260314"


def drawn(numbers: Sequence[SheetNumber], count: int) -> Array:
    """Return how far numbers are out, in shares of what each may be, shape (count, K) [1].

    From -1 to 1, alike. What is drawn of a number hangs on its key alone, so that a sheet with
    more numbers on it has the same draws of those it had.
    """
    if not numbers:
        return np.zeros((count, 0))
    return np.stack([_of_key(number.key, count) for number in numbers], axis=1)


def _of_key(key: str, count: int) -> Array:
    digest = blake2b(f"{_SEED} {key}".encode(), digest_size=16).digest()
    rng = np.random.default_rng(int.from_bytes(digest, "little"))
    return rng.uniform(-1.0, 1.0, count)
