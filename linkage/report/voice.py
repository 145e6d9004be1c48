"""To whom something is said, and how numbers, parts and sides are then said.

The bench has callipers and the trade's words. The owner has neither: lengths are spelled out, with
sheets of paper for a measure, and a part is explained in brackets where it is first named.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from linkage.lengths import Lengths, just_short
from linkage.report.glossary import look_up
from linkage.sheet import Sheet

PAPER = 0.1
"""How thick an ordinary sheet of paper is, 80 g to the square metre [mm]: common practice, no
source."""
_HUNDREDTHS = round(100 * PAPER)  # of a millimetre
_COUNT = (
    "none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
    "eleven", "twelve",
)  # fmt: skip
_MOST = 50  # sheets beyond which paper is no measure [1]
_TERM = "\ue000{}\ue001"  # a part named to the owner, until it is explained or not


class Ask(StrEnum):
    """What else can be asked of a sheet, where a sentence points to it."""

    CHECK = "check"
    BEND = "bend"
    WINDOW = "window"
    CAUSE = "cause"
    ELSEWHERE = "elsewhere"


_ON_PAGE: Mapping[Ask, str] = {
    Ask.CHECK: '"Put it right"',
    Ask.BEND: '"Put it right"',
    Ask.WINDOW: 'the scale of that number under "Numbers"',
    Ask.CAUSE: '"What I felt"',
    Ask.ELSEWHERE: '"What else it may be", below',
}
"""Where it is asked on the page to work at; a terminal has a command for each."""


@dataclass(frozen=True)
class Hearer:
    """To whom something is said that has no lengths in it: the bench, or the owner."""

    owner: bool

    def part(self, name: str) -> str:
        """Name a part, without its article; for the owner it is yet to be `explained`."""
        return _TERM.format(name) if self.owner else name

    def parts(self, names: Sequence[str]) -> str:
        """Name parts as a list in words."""
        return listed([f"the {self.part(name)}" for name in names])

    def side(self, side: str) -> str:
        """Say on which side; empty where there is but one."""
        return ON_SIDE[side] if self.owner else SIDE_WORDS[side]


@dataclass(frozen=True)
class Voice(Hearer):
    """How things are said to the bench, or to the owner, lengths as a sheet has them."""

    lengths: Lengths
    page: bool = False  # whether it is read on the page to work at, where no command is typed

    def see(self, ask: Ask) -> str:
        """Say to the bench where something else is asked."""
        return _ON_PAGE[ask] if self.page else f"`tightspot {ask}`"

    def length(self, x: float) -> str:
        """Say a length [mm], not below 0."""
        return self.lengths.in_words(x) if self.owner else self.lengths.small(x)

    def short_of(self, x: float, asked: float) -> str:
        """Say a length [mm], not below 0, that is less than what is asked for."""
        return self.length(just_short(self.lengths, x, asked))

    def measured(self, x: float) -> str:
        """Say a length [mm]; to the owner also in sheets of paper, where they are a measure."""
        return f"{self.length(x)}{self.aside(x)}"

    def aside(self, x: float) -> str:
        """Say a length [mm] after a comma in sheets of paper, to the owner."""
        paper = in_paper(x) if self.owner else ""
        return f", {paper}" if paper else ""

    def number(self, x: float, degrees: bool, key: str = "") -> str:
        """Say a number of a sheet, an angle or a length [degrees, mm], by its key there."""
        if degrees:
            return f"{number(x) if self.owner else f'{x:.2f}'} degrees"
        return self.lengths.in_words(abs(x)) if self.owner else self.lengths.number(x, key)

    def again(self, x: float, degrees: bool = False) -> str:
        """Say to the bench by how much, after a number of that kind [degrees, mm]."""
        return f"{x:.2f}" if degrees else self.lengths.small_again(x)

    def number_again(self, x: float, degrees: bool, key: str = "") -> str:
        """Say a number right after another of its kind [degrees, mm]."""
        if self.owner:
            return self.number(x, degrees, key)
        return f"{x:.2f}" if degrees else self.lengths.number_again(x, key)

    def change(self, x: float, degrees: bool) -> str:
        """Say by how much a number changes [degrees, mm], with its unit."""
        return self.number(x, degrees) if degrees else self.length(x)

    def length_again(self, x: float) -> str:
        """Say a small length right after another [mm]."""
        return self.lengths.in_words_again(x) if self.owner else self.lengths.small_again(x)

    def place(self, x: float) -> str:
        """Say how far along a part something is [mm]."""
        return self.lengths.in_words(x) if self.owner else self.lengths.place(x)

    def curve(self, x: float) -> str:
        """Say a curve's radius [mm]."""
        return self.lengths.curve_in_words(x) if self.owner else self.lengths.curve(x)


def to_bench(sheet: Sheet, page: bool = False) -> Voice:
    """Return how things about a sheet are said to the bench; `page`: on the page to work at."""
    return Voice(owner=False, lengths=sheet.lengths, page=page)


def to_owner(sheet: Sheet) -> Voice:
    """Return how things about a sheet are said to the owner."""
    return Voice(owner=True, lengths=sheet.lengths)


BENCH, OWNER = Hearer(owner=False), Hearer(owner=True)
SIDE_WORDS = {
    "right": "Right-hand side",
    "left": "Left-hand side",
    "both": "Both sides",
    "only": "",
}
ON_SIDE = {
    "right": "on the right-hand side",
    "left": "on the left-hand side",
    "both": "on both sides",
    "only": "",
}


def capital(text: str) -> str:
    """Return a sentence with a capital at its beginning."""
    at = 1 if text[:1] == _TERM[0] else 0
    return f"{text[:at]}{text[at : at + 1].upper()}{text[at + 1 :]}"


def degrees(angle: float) -> str:
    """Return an angle as whole degrees of the turn.

    0 to 359, in degrees.

    `angle` [rad]: crank angle.
    """
    return f"{round(math.degrees(angle)) % 360}"


def listed(names: Sequence[str]) -> str:
    """Return names as a list in words: "a, b and c"."""
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"


def number(value: float) -> str:
    """Return a number [mm or degrees] to two decimals, without idle noughts."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def in_paper(length: float) -> str:
    """Return a small length in sheets of paper.

    A phrase that agrees with hundredths of a millimetre; empty where paper is no
    measure: of nothing, and beyond 50 sheets.

    `length` [mm]: not below 0.

    Examples
    --------
    >>> in_paper(0.04)
    'less than the thickness of one sheet of paper'
    >>> in_paper(0.13), in_paper(0.3)
    ('about one sheet of paper thick', 'about three sheets of paper thick')
    """
    hundredths = round(100 * length)
    if hundredths == 0:
        return ""
    if 4 * hundredths < 3 * _HUNDREDTHS:
        return "less than the thickness of one sheet of paper"
    sheets = max((hundredths + _HUNDREDTHS // 2) // _HUNDREDTHS, 1)
    if sheets == 1:
        return "about one sheet of paper thick"
    if sheets > _MOST:
        return ""
    many = _COUNT[sheets] if sheets < len(_COUNT) else f"{5 * round(sheets / 5)}"
    return f"about {many} sheets of paper thick"


def times(count: int) -> str:
    """Return how often, in words."""
    words = {1: "once", 2: "twice"}
    return words.get(count) or f"{_COUNT[count] if count < len(_COUNT) else count} times"


def explained(texts: Sequence[str]) -> list[str]:
    """Say once in brackets what each part is, where it is first named.

    `texts`: as the owner's voice has them, in the order in which they are read.
    """
    known: set[str] = set()

    def explain(match: re.Match[str]) -> str:
        entry = look_up(match[1])
        if entry is None or not entry.brief or entry.brief in known:
            return match[1]
        known.add(entry.brief)
        return f"{match[1]} ({entry.brief})"

    return [re.sub(_TERM.format("(.*?)"), explain, text) for text in texts]
