"""The text of a sheet with its history, as one frozen value: each step makes another.

Of a step only what is different is kept, so that a day's work is a few hundred kB. What was done
is a list of deeds, which can be written down one after another and done again (`keeping`).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any


@dataclass(frozen=True)
class Step:
    """One change of the text: what was taken out at a place, and what was put in."""

    says: str
    at: int  # letters before it
    old: str
    new: str

    def done(self, text: str) -> str:
        """Return a text with the step done; ValueError where it does not fit."""
        return _put(text, self.at, self.old, self.new)

    def undone(self, text: str) -> str:
        """Return a text with the step taken back; ValueError where it does not fit."""
        return _put(text, self.at, self.new, self.old)


def _put(text: str, at: int, old: str, new: str) -> str:
    if text[at : at + len(old)] != old:
        raise ValueError("a step that does not fit its text")
    return text[:at] + new + text[at + len(old) :]


def step_to(says: str, before: str, after: str) -> Step:
    """Return the step from one text to another."""
    begin = _alike(before, after)
    rest_before, rest_after = before[begin:], after[begin:]
    end = _alike(rest_before[::-1], rest_after[::-1])
    return Step(
        says, begin, rest_before[: len(rest_before) - end], rest_after[: len(rest_after) - end]
    )


def _alike(one: str, other: str) -> int:
    """Return how many letters two texts begin with alike."""
    low, high = 0, min(len(one), len(other))
    while low < high:
        middle = (low + high + 1) // 2
        if one.startswith(other[:middle]):
            low = middle
        else:
            high = middle - 1
    return low


@dataclass(frozen=True)
class Book:
    """A sheet's text, how it came to it, and what can be done again."""

    text: str
    revision: int = 0  # grows with everything that is done, undoing too
    past: tuple[Step, ...] = ()
    future: tuple[Step, ...] = ()  # what was undone, the last of it last
    snapshots: Mapping[str, str] = field(default_factory=dict)  # by name

    def changed(self, says: str, text: str) -> Book:
        """Return it with another text; what was undone before is gone."""
        if text == self.text:
            return self
        step = step_to(says, self.text, text)
        return replace(self, text=text, revision=self.revision + 1, past=(*self.past, step),
                       future=())  # fmt: skip

    def gone_on(self, says: str, text: str) -> Book:
        """Return it with another text in place of the last step's: a hand that has not let go."""
        if text == self.text:
            return self
        gone_on = self.undone().changed(says, text)
        return replace(gone_on, revision=self.revision + 1, future=())

    def undone(self) -> Book:
        """Return it as before the last step; as it is where there is none."""
        if not self.past:
            return self
        *before, last = self.past
        return replace(self, text=last.undone(self.text), revision=self.revision + 1,
                       past=tuple(before), future=(*self.future, last))  # fmt: skip

    def redone(self) -> Book:
        """Return it with the last step that was undone; as it is where there is none."""
        if not self.future:
            return self
        *others, last = self.future
        return replace(self, text=last.done(self.text), revision=self.revision + 1,
                       past=(*self.past, last), future=tuple(others))  # fmt: skip

    def named(self, name: str) -> Book:
        """Return it with its text kept by a name."""
        return replace(self, snapshots={**self.snapshots, name: self.text})


def deed(before: Book, after: Book) -> dict[str, Any]:
    """Return what led from one book to the next, as plain values (`after_deed`)."""
    if after.snapshots != before.snapshots:
        return {"name": next(n for n, t in after.snapshots.items() if before.snapshots.get(n) != t)}
    if len(after.past) < len(before.past):
        return {"undo": 1} if after.future else {"back": 1}
    if len(after.future) < len(before.future) and after.past[-1] is before.future[-1]:
        return {"redo": 1}
    step = after.past[-1]
    onto = {"onto": True} if len(after.past) == len(before.past) else {}
    return {**onto, "says": step.says, "at": step.at, "old": step.old, "new": step.new}


def after_deed(book: Book, held: Mapping[str, Any]) -> Book:
    """Return a book after a deed; ValueError, KeyError or TypeError where it is none of its."""
    if "name" in held:
        return book.named(str(held["name"]))
    if "undo" in held:
        return book.undone()
    if "back" in held:
        return book.gone_on("", book.undone().text)
    if "redo" in held:
        return book.redone()
    step = Step(str(held["says"]), int(held["at"]), str(held["old"]), str(held["new"]))
    if "onto" in held:
        return book.gone_on(step.says, step.done(book.undone().text))
    return book.changed(step.says, step.done(book.text))
