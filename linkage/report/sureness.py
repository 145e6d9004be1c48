"""How sure something is, in words: on how many numbers it rests, and what to measure next."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from linkage.advice.keys import bare_key
from linkage.arrangements.numbers import hint_at
from linkage.certainty import Doubt, Judgement, ToMeasure, Word, how_sure
from linkage.examine import Examination
from linkage.report.gear import NAMES, brief_place
from linkage.report.naming import name_number
from linkage.report.voice import ON_SIDE, Voice, listed, to_bench
from linkage.tables.origin import Origin, Source
from linkage.tightspots import (
    KINDS,
    CannotClose,
    Close,
    Limps,
    Mistimed,
    Pinched,
    PlayUsedUp,
    PoorTransmission,
    RunsOff,
    TightSpot,
    TouchesWithPlay,
    Uneven,
    UnlikeWheels,
)

_SAID = {
    Source.MEASURED: "measured",
    Source.PLANNED: "not yet measured after the work",
    Source.GUESSED: "guessed",
    Source.ASSUMED: "assumed",
}
DOUBTED: Mapping[type[TightSpot], str] = {
    CannotClose: "{names} may not reach round the turn",
    PlayUsedUp: "the coupled wheels may bind",
    Close: "{names} may come too near",
    RunsOff: "{0} may travel too far for {1}",
    TouchesWithPlay: "{names} may touch with the play taken up",
    PoorTransmission: "{names} may come nearly in line",
    Mistimed: "{names} may go otherwise than on the other side",
    Pinched: "{0} may be held too tight by {1}",
    Limps: "the coupled wheels may limp",
    UnlikeWheels: "{names} may not be of the others' size",
    Uneven: "{0} may swing unevenly",
}
"""By kind, what is not sure of an engine that is free by its figures."""
_FINEST = 0.01  # errors below are not told [mm]
_FIFTHS = 5  # chances are said to so many in a hundred


def say_whole(examination: Examination, next_too: bool = True) -> str:
    """Say how sure the verdict on the whole engine is.

    Of what was found, the surest tells: that one of many doubts comes true is no finding.
    `next_too`: with what to measure next; false where a list beside it tells that.
    """
    sure, voice = how_sure(examination), to_bench(examination.sheet)
    whole = sure.whole if next_too else replace(sure.whole, next=())
    chances = [spot.chance for spot in sure.spots if spot.chance >= 0]
    if examination.free or whole.word is Word.SURE or not chances:
        return say_free(whole, voice)
    return _say_doubt(whole, f"the surest of what was found is so in {_parts(max(chances))}", voice)


def say_free(judged: Judgement, voice: Voice, what: str = "all") -> str:
    """Say how sure it is that all, or what is named, is free, or that something is wrong."""
    if judged.word is Word.CLEAR:
        rests = _rests(judged)
        return f"Sure within what the numbers were measured to{rests and f': {rests}'}."
    if judged.word is Word.SURE:
        rests = _rests(judged)
        said = "That something is wrong is sure within the measuring errors"
        return f"{said}{rests and f': {rests}'}."
    doubt = f"{what} is free in {_parts(1 - judged.chance)}" if judged.chance >= 0 else ""
    least = "" if judged.doubt is None else f" Least sure: {_say_may(judged.doubt, voice)}."
    return _say_doubt(judged, doubt, voice, least)


def _say_may(doubt: Doubt, voice: Voice) -> str:
    """Say what may be, where it is not."""
    each = [f"the {voice.part(name)}" for name in doubt.parts]
    said = DOUBTED[doubt.kind].format(*each, names=listed(each))
    on = "" if doubt.kind is PlayUsedUp else ON_SIDE[doubt.side]
    match doubt.place:
        case None:
            gear = ""
        case str(name):
            gear = f"in {NAMES[name][0]}"
        case angle:
            gear = f"with the reverser's arm at {brief_place(angle)}"
    return " ".join(filter(None, (said, on, gear)))


def say_sure(judged: Judgement, voice: Voice) -> str:
    """Say how sure one finding is."""
    if judged.word is Word.SURE:
        rests = _rests(judged)
        return f"Sure within the measuring errors{rests and f': {rests}'}."
    doubt = f"it is so in {_parts(judged.chance)}" if judged.chance >= 0 else ""
    return _say_doubt(judged, doubt, voice)


def say_doubtful(judged: Judgement) -> str:
    """Say in a word that something is not sure; empty where it is."""
    word = judged.word.value
    return "" if judged.word in (Word.SURE, Word.CLEAR) else f"{word[:1].upper()}{word[1:]}."


def _say_doubt(judged: Judgement, chance: str, voice: Voice, least: str = "") -> str:
    if not chance:
        return "How sure that is cannot be worked out."
    word = judged.word.value
    said = f"{word[:1].upper()}{word[1:]}: with the numbers as uncertain as they are, {chance}"
    said += f"; {_rests(judged)}." if _rests(judged) else "."
    said += least
    if judged.next:
        said += f" Measure next {listed([_say_next(item, voice) for item in judged.next])}."
    return said


def _parts(chance: float) -> str:
    """Say a chance, to five in a hundred."""
    share = _FIFTHS * round(100 * chance / _FIFTHS)
    if share >= 100:
        return "nearly all cases"
    return f"{share} of 100 cases" if share else "hardly any case"


def _rests(judged: Judgement) -> str:
    counts = [(n, _SAID[source]) for source, n in judged.rests_on.items() if n]
    if not counts:
        return ""
    words = listed([f"{n} {word}" for n, word in counts])
    return f"it rests on {words} number{'s' if sum(n for n, _ in counts) > 1 else ''}"


def _say_next(item: ToMeasure, voice: Voice) -> str:
    hint = hint_at(bare_key(item.key))
    how = f": {hint}" if hint else ""
    return f"{name_number(item.key)} ({say_origin(item.origin, item.angle, voice)}{how})"


def say_origin(origin: Origin, angle: bool, voice: Voice) -> str:
    """Say where a number comes from, and how far out it may be."""
    error = f"{origin.error:.1f} degrees" if angle else voice.length(max(origin.error, _FINEST))
    return f"{_SAID[origin.source]}, known to {error} either way"


def sure_data(judged: Judgement) -> dict[str, Any]:
    """Return how sure something is as plain values.

    ``word``, ``chance`` (null where it is not known), ``rests_on`` by source, ``measure_next``:
    ``key`` and ``error`` [mm, degrees], the best first; ``doubt``: ``kind``, ``side`` and ``parts``
    of what is the least certain, null where it is sure either way.
    """
    return {
        "word": judged.word.value,
        "chance": None if math.isnan(judged.chance) else round(judged.chance, 3),
        "rests_on": {source.value: n for source, n in judged.rests_on.items()},
        "measure_next": [
            {"key": item.key, "source": item.origin.source.value, "error": item.origin.error}
            for item in judged.next
        ],
        "doubt": _doubt_data(judged.doubt),
    }


def _doubt_data(doubt: Doubt | None) -> dict[str, Any] | None:
    if doubt is None:
        return None
    return {"kind": KINDS[doubt.kind].name, "side": doubt.side, "parts": list(doubt.parts)}
