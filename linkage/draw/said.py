"""What pictures of a whole turn say in words."""

from __future__ import annotations

from linkage.draw.curves import crank_word, right_hand_degrees
from linkage.draw.scene import Scene
from linkage.report.spots import say_spot
from linkage.report.words import say_free
from linkage.tightspots import CannotClose, amount_of
from linkage.units import clock


def say_marked(scene: Scene, how: str) -> str:
    """Say what is marked in a picture of a whole turn.

    One sentence; of all tight spots, the one drawn; that nothing is marked where none is.

    Parameters
    ----------
    how : str
        In what way it is marked, to begin the sentence with.
    """
    spots = scene.examination.spots
    if not scene.arcs:
        if scene.examination.free:
            return say_free(scene.examination)
        return f"No tight spot was found on the {scene.side} side alone."
    first = scene.arcs[0]
    alike = next(
        (s for s in spots if (s.fault, amount_of(s)) == (first.fault, amount_of(first))),
        first,
    )  # as it was found: of both sides, told by the right-hand crank
    more = len(scene.arcs) - 1
    others = f" So {'is' if more == 1 else 'are'} {more} more like it." if more else ""
    return f"{how}: {say_spot(scene.examination, alike)}{others}"


def say_at(scene: Scene, angle: float) -> str:
    """Say a side's own crank angle.

    By the clock, and in degrees of the right-hand crank.

    Parameters
    ----------
    angle : float [rad]
        The side's own.
    """
    degrees = round(right_hand_degrees(scene, angle)) % 360
    return f"{clock(scene.side, angle)} ({crank_word(scene)} {degrees} degrees)"


def say_gaps(scene: Scene) -> str:
    """Say where in the turn there is no position, because a loop cannot close.

    A sentence; empty where there is one all round.
    """
    gaps = scene.findings.course.open_arcs
    if not gaps:
        return ""
    if any(isinstance(arc, CannotClose) and arc.side == scene.side for arc in scene.arcs):
        return "Nothing but the crank has a place there."
    between = " and ".join(f"from {say_at(scene, a)} to {say_at(scene, b)}" for a, b in gaps)
    return f"A loop cannot close {between}: nothing but the crank has a place there."
