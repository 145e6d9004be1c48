"""The few words on a moving picture: large, few, and the same as the report's."""

from __future__ import annotations

from linkage.draw.figure import sentence
from linkage.draw.labels import text_width
from linkage.draw.scene import Scene
from linkage.report.spots import say_what
from linkage.report.voice import SIDE_WORDS, capital


def headline(scene: Scene, spots: int) -> str:
    """Return what a moving picture says above itself.

    The worst of them, without the place in the turn, which is seen; or that it is free.

    Parameters
    ----------
    spots : int
        Tight spots on that side.
    """
    if scene.spot is None:
        return sentence(scene)
    side, what = SIDE_WORDS[scene.spot.side], say_what(scene.spot)
    said = f"{side}: {what}." if side else f"{capital(what)}."
    more = spots - 1
    if not more:
        return said
    return f"{said} {more} more {'place' if more == 1 else 'places'}."


def wrapped(text: str, size: float, bold: bool, width: float) -> list[str]:
    """Break a text into lines that have room.

    Parameters
    ----------
    size : float [points]
        Of the letters.
    bold : bool
        True for bold.
    width : float [points]
        Of a line.
    """
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, size, bold) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines
