"""What pictures say in words."""

from __future__ import annotations

from linkage.certainty import how_sure
from linkage.report.spots import say_spot
from linkage.report.sureness import say_doubtful
from linkage.report.words import say_free
from linkage.scene.moment import Moment
from linkage.tightspots import CannotClose, amount_of
from linkage.units import clock


def sentence(moment: Moment) -> str:
    """Return what a picture of a spot, or of a nearest pair, says in one sentence."""
    found = moment.examination
    if moment.spot is not None:
        every = zip(found.spots, how_sure(found).spots, strict=True)
        doubts = [say_doubtful(judged) for spot, judged in every if spot is moment.spot]
        return " ".join([say_spot(found, moment.spot), *doubts]).strip()
    if moment.examination.free:
        return say_free(moment.examination)
    free = f"The {moment.side} side is free all round the turn."
    if moment.pair is None:
        return free
    names, lengths = " and ".join(moment.pair.parts), moment.examination.sheet.lengths
    return f"{free} The least air is {lengths.small(moment.pair.least)}, between {names}."


def say_marked(moment: Moment, how: str) -> str:
    """Say what is marked in a picture of a whole turn.

    One sentence; of all tight spots, the one drawn; that nothing is marked where none is.

    `how`: in what way it is marked, to begin the sentence with.
    """
    if not moment.arcs:
        if moment.examination.free:
            return say_free(moment.examination)
        return f"No tight spot was found on the {moment.side} side alone."
    first, *others = moment.arcs
    alike = next(
        (s for s in moment.examination.spots
         if (s.fault, amount_of(s)) == (first.fault, amount_of(first))), first,
    )  # as it was found: of both sides, told by the right-hand crank  # fmt: skip
    more = len(others)
    like = f" So {'is' if more == 1 else 'are'} {more} more like it." if more else ""
    return f"{how}: {say_spot(moment.examination, alike)}{like}"


def say_at(moment: Moment, angle: float) -> str:
    """Say a side's own crank angle [rad] by the clock, and in degrees of the right-hand crank."""
    degrees = round(moment.degrees(angle)) % 360
    return f"{clock(moment.side, angle)} ({moment.crank_word} {degrees} degrees)"


def say_gaps(moment: Moment) -> str:
    """Say where in the turn there is no position, as a loop cannot close; empty for nowhere."""
    gaps = moment.findings.course.open_arcs
    if not gaps:
        return ""
    if any(isinstance(arc, CannotClose) and arc.side == moment.side for arc in moment.arcs):
        return "Nothing but the crank has a place there."
    between = " and ".join(f"from {say_at(moment, a)} to {say_at(moment, b)}" for a, b in gaps)
    return f"A loop cannot close {between}: nothing but the crank has a place there."
