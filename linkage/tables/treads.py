"""What is to be known of a coupled wheel's diameter, of the driving axle's and of any other's."""

from __future__ import annotations

from typing import Any

from linkage.tables.facts import NEVER, maybe


def tread(hint: str) -> Any:
    """Return the field of a wheel's diameter."""
    return maybe(
        hint,
        23.0,
        wrong=NEVER,
        bench="the diameter of {}'s wheels over the tread",
        owner="how large the wheels of {} are across",
        full_size=(700.0, 2200.0),
        twice="is this the diameter, not the radius?",
        mends="replace",
        no_place="across the wheel through its axle, on the tread beside the flange",
    )
