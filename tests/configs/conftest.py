"""The ready sheets, each read and examined once."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import pytest

from linkage.examine import Examination, examine
from linkage.sheet import Sheet, read_sheet
from linkage.sheet.ready import ready_sheets


@cache
def _sheet(name: str) -> Sheet:
    return read_sheet(ready_sheets()[name])


@cache
def _examination(name: str) -> Examination:
    return examine(_sheet(name))


@pytest.fixture(scope="session")
def ready() -> Callable[[str], Sheet]:
    """Return a reader of ready sheets by name."""
    return _sheet


@pytest.fixture(scope="session")
def examined() -> Callable[[str], Examination]:
    """Return what was found out about a ready sheet, by its name."""
    return _examination
