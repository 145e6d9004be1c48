"""The pictures of the owner's page, with what they show said below them."""

from __future__ import annotations

import io

from linkage.draw import picture_bytes
from linkage.draw.owner import (
    draw_backwards,
    draw_clock,
    draw_enlarged,
    draw_whole,
    from_above,
)
from linkage.examine import Examination
from linkage.report.blocks import Picture, Pictures
from linkage.scene.moment import (
    Moment,
    beyond_the_gap,
    moment_of,
    moment_of_pair,
    other_side,
)
from linkage.tightspots import CannotClose, PlayUsedUp, TightSpot, TouchesWithPlay
from linkage.units import clock

_GREYS = 16
OTHER_SIDE = "The same moment on the other side."


def pictures_of(before: Examination, after: Examination | None) -> tuple[Pictures, ...]:
    """Draw the worst tight spot, or the nearest pair of what is free.

    A whole side; then, where there is one place to show, two beside one another: the place
    enlarged with the same after the work, or with the dial, or the dials of both sides.

    `after`: the same after the work, if any was done.
    """
    spot = before.spots[0] if before.spots else None
    moment = moment_of(before, spot)
    if isinstance(spot, TouchesWithPlay):  # as measured, where it can be seen
        near = moment_of_pair(before, spot.side, spot.parts) or moment
    else:
        near = moment
    whole = Pictures((_picture(picture_bytes(draw_whole(near), ".png"), _say_whole(near)),))
    beside = _beside(moment, near, after)
    return (whole, Pictures(beside)) if beside else (whole,)


def _beside(moment: Moment, near: Moment, after: Examination | None) -> tuple[Picture, ...]:
    """Draw the place enlarged and the dial, or what else shows a spot without one place."""
    spot = moment.spot
    enlarged = draw_enlarged(near)
    if spot is None and enlarged is None:
        return ()
    dial = _picture(picture_bytes(draw_clock(moment), ".png"), _say_dial(moment))
    other = other_side(moment) if isinstance(spot, PlayUsedUp) else None
    if other is not None:
        return dial, _picture(picture_bytes(draw_clock(other), ".png"), OTHER_SIDE)
    if isinstance(spot, CannotClose):
        back = picture_bytes(draw_backwards(beyond_the_gap(moment, spot)), ".png")
        return dial, _picture(back, "Where it stops when it is turned backwards.")
    if enlarged is None:
        return (dial,)
    later = None if after is None or spot is None else _later(after, spot)
    when = ", as it came in" if later is not None else ""
    place = _picture(picture_bytes(enlarged, ".png"), f"{_say_enlarged(near)}{when}.")
    return place, dial if later is None else later


def _later(after: Examination, spot: TightSpot) -> Picture | None:
    """Draw the same place after the work; None where the parts do not come near any more."""
    alike = (spot.fault, spot.side)
    still = next((s for s in after.spots if (s.fault, s.side) == alike), None)
    if still is not None:
        moment: Moment | None = moment_of(after, still)
    else:
        moment = moment_of_pair(after, spot.side, spot.parts)
    figure = None if moment is None else draw_enlarged(moment)
    if moment is None or figure is None:
        return None
    return _picture(picture_bytes(figure, ".png"), f"{_say_enlarged(moment)}, after the work.")


def _say_whole(moment: Moment) -> str:
    sides = {"right": "The right-hand side", "left": "The left-hand side"}
    side = sides.get(moment.side, "All of it")
    said = f"{side} as it stands with the crank pin at {clock(moment.side, moment.crank)}."
    if moment.contact is None:
        return said
    place = "the place" if moment.spot is not None else "where two parts come nearest"
    return f"{said} The ring marks {place}."


def _say_enlarged(moment: Moment) -> str:
    if moment.contact is None:
        return "The place enlarged"
    return f"The place in the ring, {'from above' if from_above(moment) else 'from the side'}"


def _say_dial(moment: Moment) -> str:
    if moment.spot is None:
        return "Where the crank pin stands then, as a clock."
    said = "Where in the turn it is worst, as a clock"
    wide = any(spot.end > spot.begin for spot in moment.arcs)
    return f"{said}; hatched: from where to where." if wide else f"{said}."


def _picture(drawn_as_png: bytes, caption: str) -> Picture:
    """Return a picture in greys, which take a fraction of the room."""
    from PIL import Image

    with Image.open(io.BytesIO(drawn_as_png)) as drawn:
        grey = drawn.convert("L").quantize(_GREYS, dither=Image.Dither.NONE)
    buffer = io.BytesIO()
    grey.save(buffer, "PNG", optimize=True)
    return Picture(buffer.getvalue(), "png", *grey.size, caption)
