"""What the parts are called on either side of the ocean, and what each does, for an owner.

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


_ENTRIES = (
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
        "return crank",
        "eccentric crank",
        "The small arm on the end of the crank pin.",
        "the small arm on the end of the wheel's peg",
    ),
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
        "eccentric rod",
        "eccentric rod",
        "The thin bar that rocks the curved link.",
        "the thin bar that rocks the curved piece",
    ),
    Entry(
        "expansion link",
        "link",
        "The curved, slotted piece that rocks and sets the valve.",
        "the curved rocking piece",
    ),
    Entry("link", "link", "The curved, slotted piece that rocks and sets the valve."),
    Entry(
        "die block",
        "link block",
        "The slider in the slot of the curved link.",
        "the slider in the curved piece",
    ),
    Entry(
        "slot",
        "slot",
        "The opening of the curved link that the slider runs in.",
        "the opening that the slider runs in",
    ),
    Entry(
        "radius rod",
        "radius bar",
        "The thin bar from the curved link towards the valve.",
        "the thin bar to the top of the cylinder",
    ),
    Entry(
        "combination lever",
        "combining lever",
        "The upright lever that swings by the cylinder.",
        "the upright swinging lever in front",
    ),
    Entry(
        "union link",
        "crosshead link",
        "The short bar at the foot of the upright lever.",
        "the short link at the foot of the swinging lever",
    ),
    Entry(
        "drop arm",
        "crosshead arm",
        "The finger that hangs from the sliding block.",
        "the finger that hangs from the sliding block",
    ),
    Entry(
        "valve spindle",
        "valve stem",
        "The rod above the cylinder that moves the valve.",
        "the little push-rod above the cylinder",
    ),
    Entry("valve rod", "valve rod", "The rod that moves the valve."),
    Entry(
        "lifting link",
        "lifting link",
        "The hanger that raises and lowers the valve gear.",
        "the short link that lifts the thin bar for reversing",
    ),
    Entry(
        "weighshaft",
        "reverse shaft",
        "The shaft that raises and lowers the gear, to reverse.",
        "the cross-shaft that reverses the engine",
    ),
    Entry("reversing rod", "reach rod", "The bar from the cab to the reversing shaft."),
    Entry(
        "motion bracket",
        "guide yoke or link bracket",
        "The bracket that carries the gear.",
        "the bracket that carries the moving bars",
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
_BY_NAME = {entry.uk: entry for entry in _ENTRIES}
BRIEFLY = {entry.uk: entry.brief for entry in _ENTRIES if entry.brief}
"""What parts are, in a phrase fit to stand in brackets, by their British name."""
_PLACES = (
    "front ",
    "rear ",
    "leading ",
    "trailing ",
    "driving ",
    "intermediate ",
    "fore ",
    "back ",
)
_PIECES = {
    "link tail": "expansion link",
    "eye": "",
    "slipper": "crosshead",
    "head": "nut",
    "arm": "",
}


def look_up(name: str) -> Entry | None:
    """Return what is known of a part.

    None for a name that only that sheet has.

    Parameters
    ----------
    name : str
        As on the sheet or in a finding: "radius rod", "front coupling rod", "crank, nut".

    Examples
    --------
    >>> look_up("front coupling rod").us
    'side rod'
    >>> look_up("pawl arm") is None
    True
    """
    piece = name.rpartition(", ")[2]
    for word in (piece, _PIECES.get(piece, ""), name.partition(",")[0]):
        bare = word
        for place in _PLACES:
            bare = bare.removeprefix(place)
        found = _BY_NAME.get(word) or _BY_NAME.get(bare)
        if found is not None:
            return found
    return None


def say_names(name: str) -> str:
    """Say what a part is called, with the American name where that is another.

    The name, and the other in brackets.

    Parameters
    ----------
    name : str
        As for `look_up`.

    Examples
    --------
    >>> say_names("radius rod")
    'radius rod (US: radius bar)'
    >>> say_names("crosshead")
    'crosshead'
    """
    entry = look_up(name)
    if entry is None or entry.us in (entry.uk, name):
        return name
    return f"{name} (US: {entry.us})"
