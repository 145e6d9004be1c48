"""The report as one page for a browser: nothing outside it is needed, nothing in it runs."""

from __future__ import annotations

from pathlib import Path

from linkage.report.blocks import Report
from linkage.report.hypertext import set_hypertext

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
    page = environment.get_template(_TEMPLATE).render(
        title=report.title,
        owners=set_hypertext(report.owners),
        bench=set_hypertext(report.bench),
    )
    return page.encode("utf-8")
