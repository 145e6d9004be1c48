"""One HTML file with all that it needs in it: words, pictures, style and script."""

from __future__ import annotations

import base64
import hashlib
from importlib.resources import files

from jinja2 import Environment, StrictUndefined
from markupsafe import Markup

from linkage.examine import Examination
from linkage.page.data import title_of, viewer_data


def page_html(examination: Examination, after: Examination | None = None) -> str:
    """Return a page that turns the motion in any browser, without a network.

    HTML. Its policy lets nothing but its own style and script run, and nothing be fetched.

    Parameters
    ----------
    after : Examination or None
        What was found out about the same engine put right.
    """
    style, viewer, page = (_read(name) for name in ("viewer.css", "viewer.js", "page.js"))
    script = f"{viewer}\n{page}"
    environment = Environment(autoescape=True, undefined=StrictUndefined)
    environment.policies["json.dumps_kwargs"] = {"separators": (",", ":"), "allow_nan": False}
    return environment.from_string(_read("template.html")).render(
        title=title_of(examination),
        data=viewer_data(examination, after),
        # both are ours and hold no text of a sheet, so they go in as they are
        style=Markup(style),
        script=Markup(script),
        policy=_policy(style, script),
    )


def _policy(style: str, script: str) -> str:
    """Return the content security policy: what is inline here by its hash, nothing else."""
    return (
        f"default-src 'none'; style-src {_hash(style)}; script-src {_hash(script)}; "
        "img-src data:; base-uri 'none'; form-action 'none'"
    )


def _hash(text: str) -> str:
    digest = hashlib.sha256(text.encode("utf-8")).digest()
    return f"'sha256-{base64.b64encode(digest).decode('ascii')}'"


def _read(name: str) -> str:
    return files("linkage.page").joinpath(name).read_text(encoding="utf-8")
