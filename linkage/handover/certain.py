"""That an engine is free, said to its owner: no surer than what was measured of it."""

from __future__ import annotations

from linkage.certainty import how_sure
from linkage.examine import Examination
from linkage.tables.origin import Source


def mostly_guessed(examination: Examination) -> bool:
    """Tell whether more of what a verdict rests on is guessed or assumed than was measured."""
    rests = how_sure(examination).whole.rests_on
    return rests[Source.GUESSED] + rests[Source.ASSUMED] > rests[Source.MEASURED]


def say_free(examination: Examination) -> str:
    """Say of an engine on which nothing was found that it is free, as far as is known."""
    if mostly_guessed(examination):
        return (
            "Nothing was found that binds; but too little of it was measured to be sure that it "
            "is free all round the turn."
        )
    return "Nothing was found that binds: by what was measured, it is free all round the turn."


def say_nothing_to_do(examination: Examination) -> str:
    """Say what follows from that."""
    if mostly_guessed(examination):
        return "It is to be measured before anything is done to the motion."
    return "Nothing needs to be done to the motion."


def say_free_now(after: Examination) -> str:
    """Say that an engine is free after the work, as far as is known."""
    if how_sure(after).whole.rests_on[Source.PLANNED]:
        return (
            "As it was to be after the work, the motion is free all round the turn; it has not "
            "all been measured again."
        )
    if mostly_guessed(after):
        return (
            "By its sizes the motion is free all round the turn; but too little of it was measured "
            "to be sure."
        )
    return "By the measurements taken afterwards the motion is free all round the turn."
