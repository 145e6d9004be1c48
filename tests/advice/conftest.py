"""An engine with two faults, each in a part of its own."""

from __future__ import annotations

import pytest

from linkage.sheet import sheet_from


@pytest.fixture(scope="session")
def two_faults(demo):
    """Return the demonstration with a trailing axle, its right coupling rod 0.13 too long."""
    rod = {"from": "trailing", "to": "driving", "centres": 25.0}
    right = {**demo.data["right"], "coupling_rods": {"rear": {"centres": 25.13}}}
    return sheet_from(
        {
            **demo.data,
            "coupling": {"pin": 1.5, "hole": 1.56, "out": 1.4, "thickness": 0.8},
            "axles": {"trailing": {"back": 25.0}},
            "coupling_rods": {"rear": rod},
            "right": right,
        },
        ask=False,
    )
