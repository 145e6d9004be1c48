"""The Stephenson 0-6-0, and what is wrong with it in the tests."""

from __future__ import annotations

import copy
from typing import Any

from linkage.sheet import Sheet, sheet_from
from tests.ready import ready

NAME = "ardmoor-0-6-0-stephenson"


def with_right(**tables: Any) -> Sheet:
    """Return the engine with tables of its right-hand side changed."""
    data = copy.deepcopy(dict(ready(NAME).data))
    data["right"] = tables
    return sheet_from(data, "stephenson.toml", ask=False)
