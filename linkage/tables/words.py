"""What a part is called on either side of the ocean, and what it does, for an owner.

British and American names are common usage, from memory: no source was compared.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Entry:
    """One part.

    Attributes
    ----------
    uk : str
        Its British name.
    us : str
        Its American name; the same where both say the same.
    does : str
        What it is or does, in one plain sentence.
    brief : str
        The same as a phrase fit to stand in brackets; empty for what needs none.
    """

    uk: str
    us: str
    does: str
    brief: str = ""


COMMON = (
    Entry(
        "crank",
        "crank",
        "The wheel, or the arm, whose pin the rods turn.",
        "the arm that is turned, from its axle to its peg",
    ),
    Entry(
        "crank pin", "crankpin", "The peg on the wheel that a rod turns on.", "the peg on the wheel"
    ),
    Entry("wheel", "driver", "One of the big wheels that the rods drive."),
    Entry("hub", "hub", "The middle of the wheel, about its axle."),
    Entry("nut", "nut", "It keeps the rods on their pin."),
    Entry(
        "connecting rod",
        "main rod",
        "The bar from the sliding block to the wheel it drives.",
        "the bar from the cylinder to the wheel",
    ),
    Entry(
        "coupling rod",
        "side rod",
        "The bar that joins the wheels, so that they turn together.",
        "the bar that joins the wheels together",
    ),
    Entry("knuckle", "knuckle", "The hinge between two lengths of coupling rod."),
    Entry(
        "crosshead",
        "crosshead",
        "The sliding block at the end of the piston rod.",
        "the sliding block behind the cylinder",
    ),
    Entry(
        "slide bars",
        "guides",
        "The rails that the sliding block runs between.",
        "the rails that the sliding block runs in",
    ),
    Entry("cylinder cover", "cylinder head", "The lid of the cylinder.", "the lid of the cylinder"),
    Entry(
        "piston",
        "piston",
        "The plug that steam pushes to and fro in the cylinder.",
        "the disc that slides in the cylinder",
    ),
    Entry(
        "motion bracket",
        "guide yoke or link bracket",
        "The bracket that carries the gear.",
        "the bracket that carries the moving bars",
    ),
    Entry(
        "valve",
        "valve",
        "The slider that lets steam in and out of the cylinder.",
        "the slider that lets steam in and out",
    ),
    Entry("bogie", "leading truck", "The small wheels in front, on a frame of their own."),
    Entry("pony truck", "pony truck", "The single pair of small wheels in front."),
    Entry(
        "axlebox", "driving box", "The bearing of an axle in the frames.", "the bearing of an axle"
    ),
    Entry(
        "big end",
        "back end",
        "The end of the connecting rod at the wheel.",
        "the wheel's end of the bar from the cylinder",
    ),
    Entry(
        "little end",
        "front end",
        "The end of the connecting rod at the crosshead.",
        "the cylinder's end of the bar to the wheel",
    ),
    Entry(
        "side play",
        "lateral play",
        "How far a pair of wheels can go to either side.",
        "how far a pair of wheels can go sideways",
    ),
)
"""What is on any engine, whatever its gear."""
