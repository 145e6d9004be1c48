"""Names for the types of arrays."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
"""Numbers."""
Complex = NDArray[np.complex128]
"""Places in the plane as complex numbers, x + iy."""
Index = NDArray[np.intp]
"""Places in another array."""
Mask = NDArray[np.bool_]
"""Yes or no, for each place of another array."""
Small = NDArray[np.float32]
"""Of which so many are kept that they would take too much memory: to seven figures."""

__all__ = ["Array", "Complex", "Index", "Mask", "Small"]
