"""What is said of an engine as a whole, to the bench and to the owner, and the cautions."""

from __future__ import annotations

import math
from collections.abc import Sequence

from linkage.certainty import Word, how_sure
from linkage.examine import Examination
from linkage.report.voice import BENCH, OWNER, Hearer, Voice, degrees, to_bench
from linkage.tightspots import TightSpot, kind_of
from linkage.units import clock

HARDLY = 0.02
"""Play used below this share is not given as a figure: it is measuring and rounding [share]."""
ONE_SIDE = (
    "The rods of one side alone were looked at. At that side's dead centres nothing but your hand "
    "decides which way the undriven wheels go on: steer them past, or a good rod gets the blame."
)

BY_FIGURES = "Free by the figures as they stand."
HELD = (
    "Held: proven where the speeds of the parts were enclosed rigorously between the crank angles "
    "looked at; bounded where that rests on sampled speeds with a margin; sampled where neither."
)


def say_curves(examination: Examination) -> str:
    """Say how sharp a curve the engine takes.

    One or two sentences; empty where wheelsets are too few for it to matter.
    """
    found = [side.curves for side in examination.sides.values() if side.curves is not None]
    if not found:
        return ""
    stands, free = max(c.stands_on for c in found), max(c.free_on for c in found)
    say = examination.sheet.lengths.curve
    uncounted = "counting no play between flanges and rails"
    if math.isinf(stands):
        return f"Its wheelsets have no side play to stand on a curve with, {uncounted}."
    said = f"Its wheelsets can stand on a curve of {say(stands)} radius, {uncounted}"
    if math.isnan(free):
        curve = max(side.mechanism.curve for side in examination.sides.values())
        if curve < stands:
            return f"{said}; {say(curve)} is too sharp for it, and no more was looked at."
        return f"{said}; looked at on one of {say(curve)}."
    if math.isinf(free):
        return f"{said}, but it is not free even on the straight."
    if free > stands:
        return f"{said}; it stays free down to {say(free)}."
    return f"{said}; so far it stays free."


def say_play(examination: Examination, voice: Hearer = BENCH) -> str:
    """Say how much of their play the coupled wheels use.

    One sentence; empty where the sheet has no coupled wheels.
    """
    if examination.play is None:
        return ""
    used = examination.play.used
    if voice.owner:
        share = round(100 * used.most)
        some = "hardly any" if share < 100 * HARDLY else f"{share} of every 100 parts"
        return f"The coupled wheels use {some} of the looseness in their holes."
    alone = f" {ONE_SIDE}" if used.one_sided else ""
    if used.most < HARDLY:
        return f"The coupled wheels need hardly any of the play there is.{alone}"
    most = f"{used.most:.1f} times"
    if used.most < 1:
        most = f"{100 * used.most:.0f} of every 100 parts of"
    at = f"{clock('right', used.at)} (right-hand crank {degrees(used.at)} degrees)"
    return f"The coupled wheels need {most} the play there is, most at {at}.{alone}"


def say_free(examination: Examination) -> str:
    """Say that nothing was found, and how near it is to it."""
    sure = how_sure(examination).whole.word is Word.CLEAR
    free = "Free all round the turn." if sure else BY_FIGURES
    return f"{free} {say_nearest(examination, to_bench(examination.sheet))}".strip()


def say_nearest(examination: Examination, voice: Voice) -> str:
    """Say how near to one another any two parts come, with the reverser wherever that is least.

    Empty where none do.
    """
    nearest = min(
        (
            (pair.least, side, pair.parts)
            for side in examination.sides
            for pair, _ in examination.nearest_pairs(side)
        ),
        default=None,
    )
    if nearest is None:
        return ""
    least, side, parts = nearest
    on_side = OWNER.side(side)
    where = f" {on_side}" if on_side else ""
    if voice.owner:
        gap = voice.measured(max(least, 0.0))
        return (
            f"The nearest that any two parts come to one another is {gap}: "
            f"{voice.parts(parts)}{where}."
        )
    return f"The least air is {voice.length(least)}, between {parts[0]} and {parts[1]}{where}."


def say_count(spots: Sequence[TightSpot]) -> str:
    """Say how many tight spots there are, and faults that are none, for the wheels turn by them."""
    tight = sum(kind_of(spot).hinders for spot in spots)
    others = len(spots) - tight
    said = [f"{tight} tight spot{'s' if tight > 1 else ''}"] if tight else []
    if others:
        said.append(f"{others} fault{'s that hinder' if others > 1 else ' that hinders'} no turn")
    return " and ".join(said)


def count_spots(spots: Sequence[TightSpot]) -> str:
    """Say how many tight spots were found, in a sentence."""
    return f"{say_count(spots)}{', worst first' if len(spots) > 1 else ''}."
