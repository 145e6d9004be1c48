"""How sure each finding is, by what its numbers were measured to, and what to measure next."""

from linkage.certainty.judging import Certainty, Judgement, ToMeasure, Word, how_sure

__all__ = ["Certainty", "Judgement", "ToMeasure", "Word", "how_sure"]
