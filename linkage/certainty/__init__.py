"""How sure each finding is, by what its numbers were measured to, and what to measure next."""

from linkage.certainty.figures import Figure
from linkage.certainty.judging import (
    NO_FIGURE,
    Certainty,
    Doubt,
    Judgement,
    ToMeasure,
    Word,
    how_sure,
    how_sure_of,
)

__all__ = [
    "NO_FIGURE",
    "Certainty",
    "Doubt",
    "Figure",
    "Judgement",
    "ToMeasure",
    "Word",
    "how_sure",
    "how_sure_of",
]
