"""What can be wrong with what the user gave us. Bugs are not in here: they keep their traceback."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


class LinkageError(Exception):
    """Base of every error whose message is meant for the person at the bench."""


@dataclass(frozen=True)
class Problem:
    """One thing wrong on a sheet.

    Attributes
    ----------
    key : str
        Full key, dotted, as it stands in the file (``"left.radius_rod.centres"``).
    wrong : str
        What is wanted there, in words ("should be a length above 0").
    found : str
        What stands there, as typed, or empty where nothing stands there.
    doubt : bool
        Whether it is but a question about an unusual number.
    """

    key: str
    wrong: str
    found: str = ""
    doubt: bool = False

    def __str__(self) -> str:
        """Return the problem as one line."""
        found = f" (found {self.found})" if self.found else ""
        return f"{self.key}: {self.wrong}{found}" if self.key else f"{self.wrong}{found}"


class SheetError(LinkageError):
    """The sheet cannot be used. Holds all problems found in one reading.

    Parameters
    ----------
    source : str
        The file, as the user named it.
    problems : sequence of Problem
        Every problem, in the order of the file.
    """

    def __init__(self, source: str, problems: Sequence[Problem]) -> None:
        self.source = source
        self.problems = tuple(problems)
        count = "1 problem" if len(self.problems) == 1 else f"{len(self.problems)} problems"
        lines = "\n".join(f"  {problem}" for problem in self.problems)
        super().__init__(f"{source}: {count}\n{lines}")


class MechanismError(LinkageError):
    """Parts and joints that do not make a mechanism with one crank."""


class AssemblyError(LinkageError):
    """A loop that closes at no crank angle at all.

    Parameters
    ----------
    parts : sequence of str
        The parts that cannot be joined.
    gap : float [mm]
        The least gap over the whole turn, at the place where they come nearest.
    where : str
        The sheet and the side, where they are known.
    apart : str
        The gap as it is said of the sheet, where that is known.
    """

    def __init__(self, parts: Sequence[str], gap: float, where: str = "", apart: str = "") -> None:
        self.parts = tuple(parts)
        self.gap = float(gap)
        apart = apart or f"{self.gap:.2f} mm"
        names = ", ".join(self.parts)
        start = f"{where}: " if where else ""
        super().__init__(
            f"{start}cannot be put together at any crank angle: {names}; at the best place they "
            f"are {apart} apart. Check their centres and where their pivots stand."
        )


class OutputError(LinkageError):
    """A file that cannot be written, or stands there already."""
