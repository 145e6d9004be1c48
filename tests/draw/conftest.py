"""A sheet of the demonstration's dimensions, examined once, with its fault on either side."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest

from linkage.examine import Examination, examine
from linkage.sheet import sheet_from
from linkage.sheet.ready import demonstration

FAULT = {
    "kind": "bow",
    "from": "die block",
    "at": 9.6,
    "over": 6.0,
    "towards_frames": 0.55,
}
FOUR_BAR = """
title = "Costs $5 or $6"
arrangement = "linkage"
[crank]
pins = { pin = [10.0, 0.0] }
[[part]]
name = "coupler"
centres = 30
[[part]]
name = "rocker"
centres = 22
[[pin]]
name = "crank pin"
joins = ["crank.pin", "coupler.rear"]
[[pin]]
name = "coupler pin"
joins = ["coupler.front", "rocker.front"]
near = [36, 18]
[[pin]]
name = "rocker pivot"
joins = ["rocker.rear", [30.0, 0.0]]
"""


def with_bow(side: str | None) -> dict[str, Any]:
    data = tomllib.loads(demonstration().read_text(encoding="utf-8"))
    data.pop("right", None)
    data.pop("left", None)
    if side is not None:
        data[side] = {"radius_rod": {"bend": [FAULT]}}
    return data


@pytest.fixture(scope="session")
def right() -> Examination:
    return examine(sheet_from(with_bow("right"), ask=False))


@pytest.fixture(scope="session")
def left() -> Examination:
    return examine(sheet_from(with_bow("left"), ask=False))


@pytest.fixture(scope="session")
def free() -> Examination:
    return examine(sheet_from(with_bow(None), ask=False))


@pytest.fixture(scope="session")
def four_bar() -> Examination:
    return examine(sheet_from(tomllib.loads(FOUR_BAR), ask=False))
