"""The state of the bench as plain values, as the page has it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from linkage.arrangements import ARRANGEMENTS
from linkage.bench.adding import additions_data
from linkage.bench.book import Book
from linkage.bench.keeping import Kept
from linkage.bench.numbers import Shown, groups_data, letters_for, wheels_of
from linkage.bench.words import words_data
from linkage.report.cautions import CAUTION
from linkage.sheet import Sheet
from linkage.sheet.felt import removables
from linkage.units import SCALES

WHEELS = ("0-4-0", "0-6-0", "2-6-0", "2-6-2", "4-6-0", "4-6-2", "0-8-0", "2-8-0", "2-8-2",
          "2-10-0", "2-10-2")  # fmt: skip
"""Wheel arrangements to choose from; others are typed."""


def state_data(book: Book, kept: Kept, shown: Shown, brief: bool = False) -> dict[str, Any]:
    """Return everything that the page shows of a sheet but what was found out about it.

    `brief`: without the letters of the form and what another sheet can be begun with, for which
    much has to be loaded that a first picture can do without.
    """
    sheet = shown.sheet
    return {
        "revision": book.revision,
        "file": None if kept.path is None else kept.path.name,
        "saved": kept.path is not None and kept.text == book.text,
        "undo": book.past[-1].says if book.past else None,
        "redo": book.future[-1].says if book.future else None,
        "elsewhere": kept.elsewhere(),
        "title": sheet.title,
        "arrangement": sheet.arrangement,
        "arrangementSays": ARRANGEMENTS[sheet.arrangement].does,
        "unit": sheet.unit,
        "sides": list(sheet.sides),
        "brief": brief,
        "groups": groups_data(shown, {} if brief else _letters(sheet)),
        "additions": NO_ADDITIONS if brief else additions_data(shown),
        "words": words_data(shown.typed),
        "snapshots": [{"name": name, "revision": 0} for name in book.snapshots],
        "felt": list(_felt(shown)),
        "removable": list(_removable(sheet)),
        "reverser": list(ARRANGEMENTS[sheet.arrangement].tables.PLACES),
        "choices": NO_CHOICES if brief else choices_data(),
        "cautions": [CAUTION],
    }


def load_for(sheet: Sheet) -> None:
    """Load what a state that is not brief needs, which takes long once."""
    _letters(sheet)
    choices_data()


def _letters(sheet: Sheet) -> Mapping[str, str]:
    """Return the letters of the sheet's form; none where its axles are those of no form."""
    axles, wheels = wheels_of(sheet)
    if axles and wheels is None:
        return {}
    return letters_for(sheet.arrangement, sheet.scale, sheet.unit, wheels)


NO_ADDITIONS: Mapping[str, list[Any]] = {"more": [], "there": [], "bends": [], "ways": []}
NO_CHOICES: Mapping[str, list[Any]] = {"arrangements": [], "scales": [], "wheels": []}


def choices_data() -> dict[str, Any]:
    """Return what a new sheet can be begun with."""
    return {
        "arrangements": [{"key": key, "says": held.does} for key, held in ARRANGEMENTS.items()],
        "scales": [{"key": key, "says": key} for key in SCALES],
        "wheels": list(WHEELS),
    }


def _felt(shown: Shown) -> Iterator[dict[str, Any]]:
    for number, line in enumerate(shown.typed.get("felt", ())):
        yield {"number": number, **line}


def _removable(sheet: Sheet) -> Iterator[dict[str, str]]:
    for item in removables(sheet.sides, sheet.arrangement):
        yield {"key": item.key, "says": item.key.replace("_", " ")}
