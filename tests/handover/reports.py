"""Every ready sheet, and one of each kind of tight spot, examined and written once."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from functools import cache
from html.parser import HTMLParser

import pypdfium2

from linkage.examine import Examination, examine
from linkage.handover import Report, compose, html_bytes, pdf_bytes
from linkage.report.blocks import Bullets, Facts, Finding, Grid, Heading, Paragraph, Pictures
from linkage.sheet import sheet_from
from linkage.sheet.ready import ready_sheets
from tests import ready

BEFORE, AFTER = "ardmoor-2-6-0", "ardmoor-2-6-0-straightened"


def four_bar(coupler: float, rocker: float, ground: float, near: list[float]) -> dict:
    return {
        "title": "<script>alert(1)</script> & sons",
        "arrangement": "linkage",
        "crank": {"pins": {"pin": [10.0, 0.0]}},
        "part": [
            {"name": "coupler", "centres": coupler},
            {"name": "rocker", "centres": rocker},
        ],
        "pin": [
            {"name": "crank pin", "joins": ["crank.pin", "coupler.rear"]},
            {
                "name": "coupler pin",
                "joins": ["coupler.front", "rocker.front"],
                "near": near,
            },
            {"name": "rocker pivot", "joins": ["rocker.rear", [ground, 0.0]]},
        ],
    }


def data_of(name: str) -> dict:
    return tomllib.loads(ready_sheets()[name].read_text(encoding="utf-8"))


KINDS = {
    "worn": lambda: data_of(AFTER) | {"joint_play": {"everywhere": 0.3}},
    "in line": lambda: four_bar(30, 10, 30, [40.0, 0.5]),
    "poor angle": lambda: four_bar(39.5, 20, 30, [45.0, 15.0]),
}
"""Sheets of the kinds of tight spot that no ready sheet has."""


@cache
def examined(name: str) -> Examination:
    if name in KINDS:
        return examine(sheet_from(KINDS[name](), ask=False))
    return ready.examined(name)


@dataclass(frozen=True)
class Written:
    """A report, and what it was written to."""

    report: Report
    pdf: bytes
    html: bytes

    @property
    def pages(self) -> list[str]:
        """The text of each page on paper."""
        return pages_of(self.pdf)


def pages_of(pdf: bytes) -> list[str]:
    document = pypdfium2.PdfDocument(pdf)
    return [page.get_textpage().get_text_range() for page in document]


@cache
def written(name: str) -> Written:
    """Return the report of a sheet; "before and after" is that of the demonstration's two."""
    if name == "before and after":
        report = compose(examined(BEFORE), examined(AFTER))
    else:
        report = compose(examined(name))
    return Written(report, pdf_bytes(report), html_bytes(report))


ALL = [*ready.ready_names(), *KINDS, "before and after"]


def texts(blocks) -> list[str]:
    """Return every text of some blocks: sentences, cells, captions."""
    found: list[str] = []
    for block in blocks:
        if isinstance(block, Heading | Paragraph):
            found.append(block.text)
        elif isinstance(block, Finding):
            found += [block.text, *block.cures]
        elif isinstance(block, Bullets):
            found += block.items
        elif isinstance(block, Facts):
            found += [text for pair in block.pairs for text in pair]
        elif isinstance(block, Pictures):
            found += [picture.caption for picture in block.items]
        elif isinstance(block, Grid):
            found += [column.heading for column in block.columns]
            found += [cell for row in block.rows for cell in row]
    return [text for text in found if text]


def bare(text: str) -> str:
    """Return a text without white space; a hyphen at a line's end is read back as U+FFFE."""
    return re.sub(r"\s+", "", text.replace("\ufffe", "-"))


class _Words(HTMLParser):
    """Collects what a reader sees, and the tags there are."""

    def __init__(self) -> None:
        super().__init__()
        self.said: list[str] = []
        self.tags: list[str] = []

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)

    def handle_data(self, data):
        if self.tags[-1:] != ["style"]:
            self.said.append(data)


def read_html(html: bytes) -> tuple[str, list[str]]:
    parser = _Words()
    parser.feed(html.decode("utf-8"))
    return "".join(parser.said), parser.tags
