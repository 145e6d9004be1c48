"""Every report that the tests look at, written once."""

from __future__ import annotations

import pytest

from tests.handover.reports import ALL, Written, written


@pytest.fixture(scope="session", params=ALL)
def each(request) -> Written:
    """Return the report of every sheet in turn."""
    return written(request.param)


@pytest.fixture(scope="session")
def demo() -> Written:
    """Return the report of the demonstration, before and after."""
    return written("before and after")
