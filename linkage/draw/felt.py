"""A page of dials: what was felt, and what each cause would make felt."""

from __future__ import annotations

from matplotlib.figure import Figure

from linkage.cause import Weighing
from linkage.draw.page import BOTTOM, LEFT, RIGHT, TOP, box, new_page
from linkage.draw.paint import our_look, paint
from linkage.scene.felt import dials_of, felt_view, side_of

_ACROSS = 3  # dials in a row at the most


def draw_felt(weighing: Weighing) -> Figure:
    """Draw what was felt and the causes side by side: A4, to be written by `picture_bytes`."""
    side = side_of(weighing)
    dials = dials_of(weighing, weighing.causes, side)
    across = min(_ACROSS, len(dials))
    rows = -(-len(dials) // across)
    seen = "" if side == "only" else f", seen from outside the {side}-hand side"
    said = (
        f"Where the crank pin stands{seen}. Thick: where it was felt, and how far that may be out; "
        "hatched: where the wheels would stop by each cause, the likeliest first."
    )
    with our_look():
        figure = new_page(weighing.sheet, said, "what was felt")
        high, wide = (TOP - BOTTOM - 0.02) / rows, (RIGHT - LEFT) / across
        for number, dial in enumerate(dials):
            row, column = divmod(number, across)
            place = (LEFT + column * wide, TOP - (row + 1) * high, 0.97 * wide, 0.98 * high)
            paint(figure, place, felt_view(dial, side, box(place), f"dial {number}"))
    return figure
