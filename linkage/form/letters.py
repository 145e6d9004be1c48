"""The measuring diagram: every reading of a blank sheet lettered where the calliper goes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from linkage.arrangements import ARRANGEMENTS
from linkage.form.linkage import linkage_detail
from linkage.form.model import Models
from linkage.form.sketch import Detail
from linkage.form.tables import table_detail
from linkage.scene.skeleton import letter
from linkage.sheet.lines import BlankLine


@dataclass(frozen=True)
class Section:
    """One table of the sheet on the form."""

    name: str  # of the table; "" for what stands above all tables
    detail: Detail | None  # its drawings; None where nothing of it can be drawn
    lines: tuple[BlankLine, ...]  # its readings
    letters: Mapping[str, str]  # the letter of each reading that has one, by its whole key


def sections_of(models: Models) -> tuple[Section, ...]:
    """Return the tables of a form, their readings lettered in the order of the sheet.

    In the order of the sheet.

    `models`: from `models_of`.
    """
    found: list[Section] = []
    count = 0
    for name in dict.fromkeys(line.section for line in models.lines):
        lines = tuple(line for line in models.lines if line.section == name)
        detail = _detail(models, name)
        shown = {mark.key for mark in detail.marks} if detail else set()
        lettered = [line.full for line in lines if line.full in shown]
        letters = {key: letter(count + k) for k, key in enumerate(lettered)}
        count += len(lettered)
        found.append(Section(name, detail, lines, letters))
    return tuple(found)


def letters_of(models: Models) -> Mapping[str, str]:
    """Return the letter of every reading that has one, by its whole key."""
    sections = sections_of(models)
    return {key: letter for section in sections for key, letter in section.letters.items()}


def _detail(models: Models, section: str) -> Detail | None:
    if ARRANGEMENTS[models.plain.sheet.arrangement].blank:
        return linkage_detail(models, section)
    return table_detail(models, section)
