"""Dates in words, and the one that a file is dated with."""

from __future__ import annotations

import datetime

from linkage.sheet import Job

UNDATED = datetime.datetime(2000, 1, 1, tzinfo=datetime.UTC)
"""What a file is dated with where the sheet gives no date: the same sheet, the same file."""
_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip


def in_words(text: str) -> str:
    """Return a date in words; anything else as it stands.

    Examples
    --------
    >>> in_words("2026-03-14"), in_words("before Easter")
    ('14 March 2026', 'before Easter')
    """
    try:
        day = datetime.date.fromisoformat(text)
    except ValueError:
        return text
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


def created(job: Job) -> datetime.datetime:
    """Return what to date a file with.

    That day; `UNDATED` where it gives none, or words.
    """
    try:
        day = datetime.date.fromisoformat(job.date)
    except ValueError:
        return UNDATED
    return datetime.datetime(day.year, day.month, day.day, tzinfo=datetime.UTC)
