"""How sure each finding is, by what its numbers were measured to, and what to measure next."""

from linkage.certainty.figures import Figure
from linkage.certainty.judging import Certainty, Judgement, ToMeasure, Word, how_sure, how_sure_of

__all__ = ["Certainty", "Figure", "Judgement", "ToMeasure", "Word", "how_sure", "how_sure_of"]
