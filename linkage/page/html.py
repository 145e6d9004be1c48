"""One HTML file with all that it needs in it: words, pictures, style and script."""

from __future__ import annotations

from jinja2 import Environment, StrictUndefined
from markupsafe import Markup

from linkage.examine import Examination
from linkage.page.data import title_of, viewer_data
from linkage.page.parts import hash_of, read_page_file, viewer_script
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


def _policy(style: str, script: str) -> str:
    """Return the content security policy: what is inline here by its hash, nothing else."""
    return (
        f"default-src 'none'; style-src {hash_of(style)}; script-src {hash_of(script)}; "
        "img-src data:; base-uri 'none'; form-action 'none'"
    )
