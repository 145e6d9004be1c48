"""One HTML file with all that it needs in it: words, pictures, style and script."""

from __future__ import annotations

import base64
import hashlib
from functools import cache
from importlib.resources import files

from jinja2 import Environment, StrictUndefined
from markupsafe import Markup

from linkage.examine import Examination
from linkage.page.data import title_of, viewer_data
from linkage.page.joining import joined
from linkage.report.document import examined_blocks
from linkage.report.hypertext import set_hypertext


def page_html(examination: Examination, after: Examination | None = None) -> str:
    """Return a page that turns the motion in any browser, without a network.

    HTML. Its policy lets nothing but its own style and script run, and nothing be fetched.

    `after`: what was found out about the same engine put right.
    """
    style, script = read_page_file("viewer.css"), f"{viewer_script('page', 'openPage')}();"
    environment = Environment(autoescape=True, undefined=StrictUndefined)
    environment.policies["json.dumps_kwargs"] = {"separators": (",", ":"), "allow_nan": False}
    found = [examination] if after is None else [examination, after]
    return environment.from_string(read_page_file("template.html")).render(
        title=title_of(examination),
        documents=[
            {"title": title_of(one), "said": set_hypertext(examined_blocks(one), above=1)}
            for one in found
        ],
        data=viewer_data(examination, after),
        # both are ours and hold no text of a sheet, so they go in as they are
        style=Markup(style),
        script=Markup(script),
        policy=_policy(style, script),
    )


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


def _policy(style: str, script: str) -> str:
    """Return the content security policy: what is inline here by its hash, nothing else."""
    return (
        f"default-src 'none'; style-src {hash_of(style)}; script-src {hash_of(script)}; "
        "img-src data:; base-uri 'none'; form-action 'none'"
    )


def hash_of(text: str) -> str:
    """Return what lets a style or a script of a page run, by what it is."""
    digest = hashlib.sha256(text.encode("utf-8")).digest()
    return f"'sha256-{base64.b64encode(digest).decode('ascii')}'"


def read_page_file(name: str) -> str:
    """Return a file of this room."""
    return files("linkage.page").joinpath(name).read_text(encoding="utf-8")
