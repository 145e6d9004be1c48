"""Pictures of what was found, values of `scene` painted with matplotlib. Nothing here computes."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from linkage.draw.events import draw_events
    from linkage.draw.felt import draw_felt
    from linkage.draw.figure import draw_figure
    from linkage.draw.files import pages_bytes, picture_bytes, picture_format
    from linkage.draw.map import draw_map
    from linkage.draw.pictures import Wanted, draw_picture

__all__ = [
    "Wanted",
    "draw_events",
    "draw_felt",
    "draw_figure",
    "draw_map",
    "draw_picture",
    "pages_bytes",
    "picture_bytes",
    "picture_format",
]

_HOMES = {
    "Wanted": "pictures",
    "draw_events": "events",
    "draw_felt": "felt",
    "draw_figure": "figure",
    "draw_map": "map",
    "draw_picture": "pictures",
    "pages_bytes": "files",
    "picture_bytes": "files",
    "picture_format": "files",
}
"""By what is to be had here, the module that has it, read when it is first asked for.

A command draws one kind of picture, and to read what all the others take costs half a second.
"""


def __getattr__(name: str) -> Any:
    """Return what is asked of this room from the module that has it."""
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)
