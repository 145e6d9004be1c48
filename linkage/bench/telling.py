"""What the server and the process that finds out say to one another. Light: both load it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from linkage.errors import LinkageError

if TYPE_CHECKING:  # the finder is begun before anything of a sheet is loaded
    from linkage.sheet import Sheet

STAGES = ("motion", "looked", "proven", "sure", "whole", "failed")
"""What is told of a sheet, from what comes first to what comes last."""
WORDS_OF = {"looked": "motion", "sure": "proven"}
"""Stages that have words alone, each with the one that has the drawing that they are of."""
NO_MEMORY = "There is not memory enough for this."
BUG = "This is a bug of tightspot, not of your sheet ({kind}: {says}). Undo, and please report it."


@dataclass(frozen=True)
class Asked:
    """A sheet to be looked at."""

    revision: int
    sheet: Sheet
    drawn: bool = False  # whether it was drawn by a glimpse, and a verdict comes first


@dataclass(frozen=True)
class Begun:
    """The worker is at a revision."""

    revision: int


@dataclass(frozen=True)
class Told:
    """A stage of a revision, as JSON."""

    revision: int
    stage: str
    text: str


@dataclass(frozen=True)
class Glimpse:
    """A sheet to be drawn and no more, while a hand is on one of its numbers."""

    number: int  # of what was asked for so; they are not of a revision
    sheet: Sheet
    sides: tuple[str, ...]  # that the number is of
    place: str | float | None = None  # of the reverser, a name or an angle of its arm [rad]


@dataclass(frozen=True)
class Glimpsed:
    """What is drawn of it, as JSON."""

    number: int
    text: str


class Unanswerable(LinkageError):  # noqa: N818 (it says what is so)
    """What cannot be answered; the message says why."""


@dataclass(frozen=True)
class Question:
    """What was asked of a sheet."""

    number: int
    revision: int
    what: str  # a key of QUESTIONS, or of `leaving.LEFT`
    text: str  # of the sheet
    sheet: Sheet
    given: Mapping[str, Any]  # what else was said
    quick: bool = False  # whether it waits for no longer one


@dataclass(frozen=True)
class Answer:
    """The answer, for the page; and what is to be kept of it here."""

    says: Mapping[str, Any]
    texts: Mapping[str, tuple[str, str]] = field(default_factory=dict)  # cures: words and sheet
    files: Mapping[str, bytes] = field(default_factory=dict)  # to be written, by ending of a name


@dataclass(frozen=True)
class Going:
    """How far a question is."""

    number: int
    done: int
    of: int
    says: str


@dataclass(frozen=True)
class Done:
    """A question's answer, or why there is none."""

    number: int
    answer: Answer | None
    problem: str = ""
