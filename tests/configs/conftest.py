"""The ready sheets, each read and examined once."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from linkage.examine import Examination
from linkage.sheet import Sheet
from tests.ready import examined, ready


@pytest.fixture(scope="session", name="ready")
def _ready() -> Callable[[str], Sheet]:
    """Return a reader of ready sheets by name."""
    return ready


@pytest.fixture(scope="session", name="examined")
def _examined() -> Callable[[str], Examination]:
    """Return what was found out about a ready sheet, by its name."""
    return examined
