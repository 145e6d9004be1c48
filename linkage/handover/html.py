"""The report as one page for a browser: nothing outside it is needed, nothing in it runs."""

from __future__ import annotations

import base64
from pathlib import Path
from typing import Any

from linkage.report.blocks import Report

_TEMPLATE = "report.html"


def html_bytes(report: Report) -> bytes:
    """Write a report as a page for a browser.

    One file, its pictures in it; printed it is A4, the owner's page by itself.
    """
    import jinja2

    folder = jinja2.FileSystemLoader(Path(__file__).parent)
    environment = jinja2.Environment(
        loader=folder, autoescape=True, trim_blocks=True, lstrip_blocks=True
    )
    environment.filters["base64"] = lambda content: base64.b64encode(content).decode("ascii")
    environment.filters["kind"] = _kind
    page = environment.get_template(_TEMPLATE).render(report=report)
    return page.encode("utf-8")


def _kind(block: Any) -> str:
    """Return the kind of a block, for the template to choose by."""
    return type(block).__name__
