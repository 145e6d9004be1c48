"""The page itself: one HTML with its style and script in it, both let run by their hash."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import Any

from jinja2 import Environment, StrictUndefined
from markupsafe import Markup

from linkage.page.parts import hash_of, read_page_file, viewer_script


def bench_document(first: dict[str, Any]) -> tuple[str, str]:
    """Return the page with its first state in it, and its content security policy."""
    style, script = _parts()
    environment = Environment(autoescape=True, undefined=StrictUndefined)
    environment.policies["json.dumps_kwargs"] = {"separators": (",", ":"), "allow_nan": False}
    text = environment.from_string(_own("template.html")).render(
        title=first["bench"]["title"] or first["bench"]["file"] or "Bench",
        first=first,
        # both are ours and hold no text of a sheet, so they go in as they are
        style=Markup(style),
        script=Markup(script),
    )
    policy = (
        f"default-src 'none'; style-src {hash_of(style)}; script-src {hash_of(script)}; "
        "connect-src 'self'; img-src 'self' data: blob:; base-uri 'none'; form-action 'none'; "
        "frame-ancestors 'none'"
    )
    return text, policy


@cache
def _parts() -> tuple[str, str]:
    style = f"{read_page_file('viewer.css')}\n{_own('bench.css')}"
    return style, f"{viewer_script('bench', 'openBench')}();"


def _own(name: str) -> str:
    return files("linkage.bench").joinpath(name).read_text(encoding="utf-8")
