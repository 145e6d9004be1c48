"""What makes wheels stick that is not in the geometry of the motion, and how each is told.

No number of a sheet shows these: they are found by hand, in the order of what is quickly tried.
The one place of their words; source: common practice of the trade.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict, dataclass
from typing import Any

from linkage.report.blocks import Block, Bullets, Heading, Paragraph
from linkage.report.program import program_version

POINTER = (
    "Does it stick all the same? Then it is nothing that stands on this sheet: "
    "`tightspot elsewhere` lists what it may be, and how each is told."
)
"""What is said beside an engine that is sure to be free."""
POINTER_IN_DOUBT = (
    "Does it stick all the same? Measure first what is named above: with other numbers it may not "
    "be free. `tightspot elsewhere` lists what it may be beside the motion."
)
"""The same, where the numbers are not known well enough to be sure."""


@dataclass(frozen=True)
class Elsewhere:
    """One thing that is wrong outside the motion."""

    fault: int  # its number in the trade's list of faults
    what: str
    looks: str  # how it shows
    tell: str  # how it is told from a fault of the motion
    do: str


ELSEWHERE = (
    Elsewhere(
        51,
        "motor or worm shifting under thrust",
        "rough one way, smooth the other",
        "lift the motor or the worm out and push the chassis along a sheet of glass both ways: if "
        "it now rolls freely, it is not the motion",
        "take up the end float of motor and worm with washers",
    ),
    Elsewhere(
        49,
        "an axle gear that is split, chipped or worn, or full of dried grease",
        "one tight place in each turn of an axle, always the same tooth",
        "take all rods off: it is still there, and it stays with the gear when the axle is turned "
        "in its bearings",
        "change the gear, or clean it out",
    ),
    Elsewhere(
        43,
        "a burr in an axle's slot, or an axle that is not true",
        "one tight place a turn, with a drag rather than a stop",
        "take all rods off: it is still there; roll the axle on glass, and look into the slots",
        "dress the burr; straighten the axle or fit another",
    ),
    Elsewhere(
        50,
        "axles that are geared together as well as coupled by rods, one a tooth out",
        "all angles look right by eye, and yet it jams, the same each turn",
        "with the rods off it runs; slip one gear out of mesh, put the rods on, and it turns",
        "mesh the gears anew with the pins in line; never ease the holes for it",
    ),
    Elsewhere(
        46,
        "a wheel loose on its axle, or its insulating bush giving way",
        "it goes one way and sticks the other, and the place moves",
        "measure the quartering twice, after turning hard forwards and hard backwards: it is not "
        "the same; hold the axle and twist the wheel",
        "quarter it anew and fix it; penetrating oil makes a rotten bush worse",
    ),
    Elsewhere(
        21,
        "a cylinder or a moulding of the slide bars that is loose",
        "stiff with the pin near the top or the bottom, where the rod's thrust lifts it",
        "press the cylinder home with a thumb and turn: it is gone; look for a moulding that lifts",
        "fix it, and check the slide bars again",
    ),
    Elsewhere(
        52,
        "a short circuit through the motion",
        "it stops on one hand of curve only, and seems to lock",
        "turn it by hand on the same curve with the power off: it is free; look for brake gear or "
        "a rod that touches a live wheel",
        "bend it clear, or insulate it",
    ),
    Elsewhere(
        47,
        "a wheel that wobbles or is out of true",
        "the engine waddles, but does not bind",
        "turn it slowly beside a pointer: the tread moves in and out, or up and down; 0.07 "
        "and 0.16 mm have been measured on wheels that ran",
        "true the wheel or leave it: it is no tight spot",
    ),
)
"""In the order in which they are tried: what takes least apart comes first."""


def elsewhere_blocks() -> Iterator[Block]:
    """Yield all of it, with what to try first."""
    yield Heading("What sticks and is not the motion", 1)
    yield Paragraph(
        "A sheet holds the motion's geometry. These are outside it: try them in this order, by "
        "hand, with the power off."
    )
    for number, one in enumerate(ELSEWHERE, 1):
        yield Paragraph(f"{number}. {one.what[0].upper()}{one.what[1:]}: {one.looks}.", "strong")
        yield Bullets((f"To tell it: {one.tell}.", f"To do: {one.do}."))


def elsewhere_data() -> dict[str, Any]:
    """Return all of it as plain values.

    ``faults``, in the order in which they are tried: ``what``, ``looks``, ``tell``, ``do``, and the
    ``fault``'s number in the trade's list.
    """
    return {"faults": [asdict(one) for one in ELSEWHERE], "version": program_version()}
