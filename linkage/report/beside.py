"""Figures that are told beside those of the other side, or of the other wheels."""

from __future__ import annotations

import math
from collections.abc import Mapping

from linkage.play import UnlikeTread
from linkage.report.voice import Voice
from linkage.tightspots import Mistimed, Uneven, UnlikeWheels
from linkage.valve import Figure, UnlikeValves


def compared(spot: Uneven | Mistimed | UnlikeWheels, voice: Voice) -> Mapping[str, object]:
    """Return the figures of what is set beside that of the other side, or of other wheels."""
    if isinstance(spot, Uneven):
        theirs = "" if math.isnan(spot.others[0]) else _swing(*spot.others, "")
        return {"swing": _swing(spot.back, spot.forward, " degrees"), "theirs": theirs}
    unlike = spot.unlike
    mine = unlike.tread if isinstance(unlike, UnlikeTread) else unlike.mine
    others = unlike.others
    wheels = _wheels(unlike, voice) if isinstance(unlike, UnlikeTread) else {}
    if isinstance(unlike, UnlikeValves) and unlike.figure is Figure.SETTING:
        return {
            "mine": f"{voice.length(abs(mine))} {'ahead of' if mine > 0 else 'behind'}",
            "theirs": f"{voice.length(abs(others))} {'ahead' if others > 0 else 'behind'}",
        }
    return {
        **wheels,
        "mine": voice.length(mine),
        "theirs": voice.length(others) if voice.owner else voice.lengths.small_again(others),
    }


def _wheels(unlike: UnlikeTread, voice: Voice) -> Mapping[str, str]:
    """Return the words for one wheel of an axle, or for both."""
    one = voice.part(f"{unlike.axle} wheel")
    if len(unlike.sides) > 1:
        return {"wheels": f"{one}s", "are": "are", "were": "were", "they": "they", "do": "do",
                "s": ""}  # fmt: skip
    return {"wheels": one, "are": "is", "were": "was", "they": "it", "do": "does", "s": "s"}


def _swing(back: float, forward: float, unit: str) -> str:
    """Say how far a link swings back and forward of upright [rad]; it may never come back to it."""
    least, most = round(math.degrees(back)), round(math.degrees(forward))
    if least < 0:
        return f"from {-least} to {most}{unit} forward"
    if most < 0:
        return f"from {-most} to {least}{unit} back"
    return f"{least}{unit} back and {most} forward"
