"""Engines as they stand are examined once; and one with two faults, each in a part of its own."""

from __future__ import annotations

import pytest

from linkage.advice import standing
from linkage.sheet import sheet_from
from tests.ready import examined_once


@pytest.fixture(autouse=True, scope="session")
def _as_it_stands_once():
    """Examine an engine once that several tests ask about."""
    with pytest.MonkeyPatch.context() as patch:
        whole = standing.examine
        patch.setattr(
            standing,
            "examine",
            lambda sheet, known=None: (
                examined_once(sheet) if known is None else whole(sheet, known=known)
            ),
        )
        yield


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
