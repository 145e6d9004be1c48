"""A mechanism as plain frozen data: parts with their outlines, joints, one crank.

Axes and signs, the same for either side, seen from outside that side: x forward (towards the
chimney end), y up, both from the driving axle's centre; *out* is outward from the face of the
driving wheel's tyre. All lengths in mm, all angles in radians, counter-clockwise positive except
the crank angle, which grows in forward running: 0 straight ahead, a quarter turn straight down::

                 3/4 turn
                    |
        1/2 turn ---o--- 0 = ahead ->  x, chimney end
                    |
                 1/4 turn (down)

Nothing in here computes, and nothing in here knows what a valve gear is.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum

from linkage.riding import OnPin, Ride

Point = tuple[float, float]

FRAME = "frame"
"""The part that every other is measured from; always there, never moves."""


class Sort(Enum):
    """What a part is, as far as a room asks; `Part.fixed` and `Part.unseen` say the rest."""

    CRANK = "crank"
    """The part that is turned, the driving wheel with it."""
    WHEEL = "wheel"
    """Another coupled wheel, with its crank pin."""
    ROD = "rod"
    """A bar that can be bent, and set back."""
    OTHER = "other"


class PieceSort(Enum):
    """What a piece of a part is, as far as a room asks."""

    BODY = "body"
    RIM = "rim"
    """The wheel itself."""
    BOSS = "boss"
    CRANK_PIN = "crank pin"
    NUT = "nut"
    """What keeps the rods on a crank pin: nut, screw head, washer."""
    HEAD = "head"
    """Of a small joint's pin."""
    SLIPPER = "slipper"


@dataclass(frozen=True)
class Piece:
    """A convex flat piece of a part: the hull of its corners, grown by a radius.

    One corner is a disc, two are a bar with round ends, three or more a plate. A bar whose `out`
    differs from end to end is a strip with square ends, as wide as twice the radius and level
    across its width.

    Attributes
    ----------
    corners : tuple of (float, float) [mm]
        In the part's own axes. Plates: convex, counter-clockwise.
    radius : float [mm]
        How far the outline stands out from the hull of the corners.
    out : tuple of float [mm]
        Lateral place of the middle of the thickness, outward from the wheel face, at each corner.
        A bar may slope (two different values); discs and plates are parallel to the wheel.
    thickness : float [mm]
        Measured laterally.
    label : str
        Its name, where the part's is not enough ("drop arm", "eye"). Only a name: what it is
        stands in `sort`.
    sort : PieceSort
        What it is.
    key : str
        The dotted key of its table on the sheet, where that is not its part's: a return crank is a
        piece of the crank it is fast on.
    """

    corners: tuple[Point, ...]
    radius: float
    out: tuple[float, ...]
    thickness: float
    label: str = ""
    sort: PieceSort = PieceSort.BODY
    key: str = ""


@dataclass(frozen=True)
class Part:
    """A rigid part.

    Attributes
    ----------
    name : str
        In the trade's word, unique in the mechanism. Only a name.
    pieces : tuple of Piece
        Its outline; empty where it has none to touch with.
    fixed : bool
        True for a part of the frame (its axes are then the frame's).
    unseen : bool
        True for what is no metal, but only leads another part (a rod kept parallel): not drawn.
    rides : tuple of Ride
        How it goes sideways: not at all, all of it as one place does, or slanting between two.
    key : str
        The dotted key of its table on the sheet, without a side, as far as it has one:
        "radius_rod", "coupling_rods.front", "axles.leading", "fixed[2]", "part[1]".
    sort : Sort
        What it is.
    plural : bool
        Whether its name is that of several ("slide bars").
    """

    name: str
    pieces: tuple[Piece, ...] = ()
    fixed: bool = False
    unseen: bool = False
    rides: tuple[Ride, ...] = ()
    key: str = ""
    sort: Sort = Sort.OTHER
    plural: bool = False

    @property
    def axle(self) -> str:
        """Name of the axle that a wheel turns on, as its wheelset has it; "" of all else."""
        wheel = self.sort in (Sort.CRANK, Sort.WHEEL) and self.rides
        name = self.rides[0].axles[0][0] if wheel else ""
        return name if isinstance(name, str) else ""


@dataclass(frozen=True)
class Wheelset:
    """A pair of wheels on their axle, which can go sideways.

    Attributes
    ----------
    axle : str
        Its name.
    ahead : float [mm]
        Where it stands, from the driving axle.
    side_play : float [mm]
        How far it goes to either side of its middle.
    held : float or None [1]
        Where it is held, as a share of its side play away from the frames on the side looked at;
        None where it goes as it likes.
    """

    axle: str
    ahead: float
    side_play: float
    held: float | None = None


@dataclass(frozen=True)
class Place:
    """A point fixed in a part, in the part's own axes [mm]."""

    part: str
    x: float
    y: float


@dataclass(frozen=True)
class Pin:
    """Two places held together, free to turn (revolute).

    Attributes
    ----------
    name : str
        Unique among the joints.
    a, b : Place
        The place in either part.
    near : (float, float) or None [mm]
        About where the pin stands, in the frame's axes, when the crank angle is 0. It chooses
        between branches. Not needed where one of the
        parts is fixed or the crank.
    """

    name: str
    a: Place
    b: Place
    near: Point | None = None


@dataclass(frozen=True)
class Slide:
    """A part that slides along a straight line on another and cannot turn on it (prismatic).

    Attributes
    ----------
    name : str
        Unique among the joints.
    a : Place
        The point of the sliding part that runs on the line.
    b : Place
        The point of the guiding part from which the travel is counted.
    direction : float [rad]
        Of the line, in the guiding part's axes; travel is positive this way.
    turned : float [rad]
        Of the sliding part's axes against the guiding part's.
    near : (float, float) or None [mm]
        As for `Pin`.
    """

    name: str
    a: Place
    b: Place
    direction: float = 0.0
    turned: float = 0.0
    near: Point | None = None


@dataclass(frozen=True)
class Slot:
    """A point of one part held in a straight or circular slot of another, free to turn.

    Attributes
    ----------
    name : str
        Unique among the joints.
    a : Place
        The pin or die.
    b : Place
        The middle of the slot's centre line; travel is counted from here along the slot.
    direction : float [rad]
        Tangent of the centre line there, in the slotted part's axes.
    curvature : float [1/mm]
        1/radius, positive where the slot turns to the left of `direction`; 0 for a straight slot.
    near : (float, float) or None [mm]
        As for `Pin`.
    """

    name: str
    a: Place
    b: Place
    direction: float = 0.0
    curvature: float = 0.0
    near: Point | None = None


Joint = Pin | Slide | Slot


@dataclass(frozen=True)
class Travel:
    """How far a slide or slot may go before something runs off or runs into an end.

    Attributes
    ----------
    joint : str
        Name of the slide or slot whose travel it is.
    part : str
        The part that runs out ("crosshead").
    against : str
        What it runs out of, or into ("slide bars").
    least, most : float [mm]
        The travel that can be used; infinite where that end is open.
    stop : bool
        Whether an end is a stop that is met (a cylinder's cover), not one that is run past.
    narrows : float [1]
        Where it is neither, but grows too narrow: by how much for each mm further; else 0.
    """

    joint: str
    part: str
    against: str
    least: float = float("-inf")
    most: float = float("inf")
    stop: bool = False
    narrows: float = 0.0


@dataclass(frozen=True)
class Grip:
    """What is held between two faces on a pin: a rod under a nut, two parts under a rivet's heads.

    Attributes
    ----------
    parts : (str, str)
        What is held, and what holds it.
    pin : str
        Which pin it is on.
    stack : float [mm]
        How thick it is there.
    room : float [mm]
        Between the faces: the length of the bush, the shoulder or the rivet.
    key : str
        Of that length on the sheet.
    askew : bool
        Whether it is not what is held between faces but the play that a leaning pin takes in its
        hole, and the play there is.
    """

    parts: tuple[str, str]
    pin: str
    stack: float
    room: float
    key: str
    askew: bool = False


@dataclass(frozen=True)
class Twisted:
    """A twisted rod of whose pins it is not known whether they have the play that it needs."""

    part: str
    twist: float  # from end to end [rad]
    takes: float  # play that it needs at either end, the twist shared between them [mm]


@dataclass(frozen=True)
class Ports:
    """What times the steam, along the spindle [mm]; None for what the sheet does not give.

    Attributes
    ----------
    steam_lap, exhaust_lap : float or None [mm]
        How far the valve covers a port's edge in its middle; below nought for a clearance.
    width : float or None [mm]
        Of a steam port.
    middle : float or None [mm]
        The slide's travel with the valve in its middle over the ports.
    """

    steam_lap: float | None = None
    exhaust_lap: float | None = None
    width: float | None = None
    middle: float | None = None


@dataclass(frozen=True)
class Watched:
    """What the motion of a side is told by, as far as it has it.

    Attributes
    ----------
    crosshead : str
        Name of the slide whose travel is the crosshead's, counted ahead.
    link : str
        Name of the part whose swing is told, upright at angle 0.
    valve : str
        Name of the slide whose travel is the valve's, counted ahead.
    admits : int
        Which way the valve goes from its middle to let steam in at the cylinder's front end: 1
        ahead, -1 back, 0 where the sheet does not say.
    die : str
        Name of the slot whose travel is the die's, along it.
    ports : Ports
        What times the steam.
    """

    crosshead: str = ""
    link: str = ""
    valve: str = ""
    admits: int = 0
    die: str = ""
    ports: Ports = Ports()


Running = str | float | None
"""A place of the reverser: a name of the sheet's, an angle of its arm [rad], or None for where the
sheet has it."""


SAME_PLACE = 1e-6
"""Places of the reverser that are no farther apart are the same [rad]."""


@dataclass(frozen=True)
class Reverser:
    """What is set: a fixed part, turned about a place of the frame; or a place of the crank.

    A loose eccentric is such a place. It is carried round by either of two stops, and so stands at
    a named place and never between two.

    Attributes
    ----------
    part : str
        Its name.
    about : (float, float) [mm]
        What it turns about, in the frame's axes; those of the crank for a place of it.
    stands : float [rad]
        Where it stands, as the sheet counts it.
    sense : float [1]
        1 where the sheet counts counter-clockwise, -1 where clockwise.
    key : str
        The dotted key of the table on the sheet that has the angles of the named places.
    named : tuple of (str, float) [rad]
        The places that the sheet has names for, from full forward to full back; empty where it has
        none, so that nothing says how far the reverser goes.
    pin : str
        Of a place of the crank: the name of its pin; else empty.
    """

    part: str
    about: Point
    stands: float
    sense: float
    key: str = ""
    named: tuple[tuple[str, float], ...] = ()
    pin: str = ""

    def angle(self, place: Running) -> float:
        """Return the angle of a place, as the sheet counts it [rad]."""
        if isinstance(place, str):
            return dict(self.named)[place]
        return self.stands if place is None else place

    def called(self, angle: float) -> str | float:
        """Return a place by its name, where the sheet has one for it."""
        near = (name for name, held in self.named if abs(held - angle) < SAME_PLACE)
        return next(near, angle)

    def turned(self, place: Running) -> float:
        """Return how far a place is turned from where the part stands, counter-clockwise [rad]."""
        return self.sense * (self.angle(place) - self.stands)


Runner = tuple[str, PieceSort | None]
"""A part by its name, or its pieces of one sort alone."""


@dataclass(frozen=True)
class Mechanism:
    """One side of a locomotive, or any linkage with one crank.

    Attributes
    ----------
    parts : tuple of Part
        All parts but the frame itself.
    joints : tuple of Pin, Slide or Slot
        All joints but the crank's bearing.
    crank : str
        The part that is turned. Its axes: origin on its axle, x through the crank pin.
    axle : (float, float) [mm]
        Where its axle stands.
    travels : tuple of Travel
        What may run off an end.
    apart : frozenset of frozenset of Runner
        Pairs that are never compared, because they run in one another.
    wheelsets : tuple of Wheelset
        What goes sideways, rear to front.
    curve : float [mm]
        Radius of the sharpest curve it has to stand on, which sets how far the wheelsets can be
        over together; 0 where each may be as far over as its side play lets it.
    play : mapping of str to float [mm]
        How far either way a joint's pin can stand from the middle of its hole, by the joint's name;
        "driving axle" for the crank in its boxes. Only what wear takes is made of it.
    along : tuple of (OnPin, float) [mm]
        How far either way parts can be moved along their pins, from where they were measured.
    watched : Watched
        What its motion is told by.
    reverser : Reverser or None
        What is set to reverse it, where it has any.
    twisted : tuple of Twisted
        Rods that may bind on their pins for all that is known.
    grips : tuple of Grip
        What is held between two faces, as far as the sheet has their distance.
    """

    parts: tuple[Part, ...]
    joints: tuple[Joint, ...]
    crank: str = "crank"
    axle: Point = (0.0, 0.0)
    travels: tuple[Travel, ...] = ()
    apart: frozenset[frozenset[Runner]] = frozenset()
    wheelsets: tuple[Wheelset, ...] = ()
    curve: float = 0.0
    play: Mapping[str, float] = field(default_factory=dict)
    along: tuple[tuple[OnPin, float], ...] = ()
    watched: Watched = Watched()
    reverser: Reverser | None = None
    grips: tuple[Grip, ...] = ()
    twisted: tuple[Twisted, ...] = ()

    def part(self, name: str) -> Part:
        """Return the part of that name; KeyError where there is none."""
        for part in self.parts:
            if part.name == name:
                return part
        raise KeyError(name)

    def with_key(self, key: str) -> Part | None:
        """Return the part whose table has that key on the sheet; None where there is none."""
        return next((part for part in self.parts if key and part.key == key), None)
