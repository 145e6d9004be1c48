"""One look for all pictures: black, white and greys, so that a printer or any eye can read them."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import matplotlib as mpl

BLACK, GREY, LIGHT = "0.0", "0.45", "0.72"
HEAVY, PLAIN, THIN = 1.9, 0.8, 0.5
"""Line widths [points]: what meets, what is about it, what explains."""

FIXED_HATCH, FOUL_HATCH, OVERLAP_HATCH = "////", "xxx", "xxxxxx"
TITLE, SENTENCE, TEXT, SMALL = 13.0, 9.5, 8.0, 8.0
"""Sizes of lettering [points]."""

_LOOK: dict[Any, Any] = {
    "font.family": "DejaVu Sans",
    "font.size": TEXT,
    "axes.linewidth": 0.6,
    "axes.titlesize": TEXT,
    "axes.titleweight": "bold",
    "axes.titlelocation": "left",
    "hatch.linewidth": 0.4,
    "hatch.color": GREY,
    "svg.hashsalt": "tightspot",
    "svg.fonttype": "none",
    "pdf.fonttype": 42,
    "text.usetex": False,
    "text.parse_math": False,  # a title may hold a dollar sign
}


@contextmanager
def our_look() -> Iterator[None]:
    """Draw or write in our own look, whatever matplotlib is set to elsewhere; put it back after."""
    with mpl.rc_context():
        mpl.rcdefaults()
        mpl.rcParams.update(_LOOK)
        yield
