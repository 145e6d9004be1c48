"""The few words on a moving picture: large, few, and the same as the report's."""

from __future__ import annotations

from linkage.draw.said import sentence
from linkage.report.gear import say_gear
from linkage.report.spots import say_what
from linkage.report.voice import SIDE_WORDS, capital, to_bench
from linkage.scene.moment import Moment


def headline(moment: Moment, spots: int) -> str:
    """Return what a moving picture says above itself.

    The worst of them, without the place in the turn, which is seen; or that it is free.

    `spots`: tight spots on that side.
    """
    if moment.spot is None:
        return sentence(moment)
    known = (SIDE_WORDS[moment.spot.side], say_gear(moment.examination, moment.spot))
    side, what = (
        capital(", ".join(word for word in known if word)),
        say_what(moment.spot, to_bench(moment.examination.sheet)),
    )
    said = f"{side}: {what}." if side else f"{capital(what)}."
    more = spots - 1
    if not more:
        return said
    return f"{said} {more} more {'place' if more == 1 else 'places'}."
