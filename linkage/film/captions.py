"""The few words on a moving picture: large, few, and the same as the report's."""

from __future__ import annotations

from linkage.draw.figure import sentence
from linkage.draw.labels import text_width
from linkage.draw.scene import Scene
from linkage.report.words import SIDE_WORDS, say_what
from linkage.tightspots import TightSpot


def say_here(spot: TightSpot) -> str:
    """Say in capitals what happens at a spot while the crank is in it.

    With the amount, where there is one.
    """
    amount = f" {spot.amount:.2f} mm" if spot.amount else ""
    if spot.run_off is not None:
        past = "MEETS" if spot.run_off.travel.stop else "RUNS OFF"
        end = f" {spot.parts[1].upper()}" if past == "MEETS" else ""
        return f"{past}{end} HERE\n{amount.strip()} too far"
    if spot.kind == "play used up":
        return f"BINDS HERE:{amount} short" if amount else "ALMOST BINDS HERE"
    words = {
        "fouls": f"FOULS HERE{amount}",
        "close": f"CLOSE HERE:{amount or ' 0.00 mm'} of air",
        "cannot close": f"LOCKED:{amount} short",
        "touches with play": f"TOUCHES HERE WHEN WORN{amount}",
        "branch undecided": "IN LINE HERE: MAY GO ON EITHER WAY",
        "poor transmission angle": "PUSHES ALMOST ALONG ITSELF HERE",
    }
    return words[spot.kind]


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
    said = f"{side}: {what}." if side else f"{what[:1].upper()}{what[1:]}."
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
