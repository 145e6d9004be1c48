"""What a page is put together of: its script, its style, and what lets them run. Light to load."""

from __future__ import annotations

import base64
import hashlib
from functools import cache
from importlib.resources import files

from linkage.page.joining import joined


@cache
def viewer_script(entry: str, name: str) -> str:
    """Return a script, one expression, whose value is what a module of the viewer exports.

    ``viewer_script("viewer", "tightspotViewer")`` is the viewer for a page of another kind.

    `entry`: the module, by its name in `viewer/`. `name`: what it exports.
    """
    room = files("linkage.page").joinpath("viewer")
    modules = {
        file.name.removesuffix(".mjs"): file.read_text(encoding="utf-8")
        for file in room.iterdir()
        if file.name.endswith(".mjs")
    }
    return joined(modules, entry, name)


def hash_of(text: str) -> str:
    """Return what lets a style or a script of a page run, by what it is."""
    digest = hashlib.sha256(text.encode("utf-8")).digest()
    return f"'sha256-{base64.b64encode(digest).decode('ascii')}'"


def read_page_file(name: str) -> str:
    """Return a file of this room."""
    return files("linkage.page").joinpath(name).read_text(encoding="utf-8")
