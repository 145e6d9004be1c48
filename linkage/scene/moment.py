"""What is looked at: one side, at one crank angle, with the parts that matter."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from linkage.arrays import Array
from linkage.clearance import Contact, PairClearance, State, shift
from linkage.errors import OutputError
from linkage.examine import Examination, SideFindings
from linkage.mechanism import FRAME, Joint, Mechanism, Part, Place, Point, Running, Slot
from linkage.report.gear import say_place
from linkage.scene.motion import (
    TURN,
    contact_at,
    first_reached,
    poses_at,
    right_hand_degrees,
    standing_by,
    stands,
)
from linkage.tightspots import CannotClose, Close, Fouls, RunsOff, TightSpot, TouchesWithPlay

_SLOT = 13  # places along the centre line of a slot


@dataclass(frozen=True)
class Moment:
    """One side at one crank angle."""

    examination: Examination  # what was found out
    findings: SideFindings  # of the side looked at
    crank: float  # [rad] that side's crank angle
    poses: Mapping[str, Array]  # (3,) [mm, mm, rad] every part at that angle
    # the tight spot shown; None where the nearest pair of a free side is
    spot: TightSpot | None = None
    # the pair whose clearance is shown, where two parts meet or come nearest
    pair: PairClearance | None = None
    contact: Contact | None = None  # where they do
    parts: tuple[str, ...] = ()  # the parts in heavy line
    # the arcs of the turn to mark: the spot shown, then all others of its parts and kind
    arcs: tuple[TightSpot, ...] = ()

    @property
    def side(self) -> str:
        """The side: "right", "left" or "only"."""
        return self.findings.side

    @property
    def mechanism(self) -> Mechanism:
        """Of the side."""
        return self.findings.mechanism

    @property
    def mirrored(self) -> bool:
        """Whether x runs to the left, as it does seen from outside the left side."""
        return self.side == "left"

    @property
    def outlined(self) -> bool:
        """Whether any part has an outline."""
        return any(part.pieces for part in self.mechanism.parts)

    @property
    def seen(self) -> str:
        """From where it is seen, in words."""
        from_where = "seen from outside"
        return from_where if self.side == "only" else f"{self.side} side, {from_where}"

    @property
    def gear(self) -> str:
        """Where the reverser stands, in words after a comma; empty where that is no question."""
        reverser, place = self.mechanism.reverser, self.findings.place
        return "" if reverser is None or place is None else f", {say_place(reverser, place)}"

    @property
    def crank_word(self) -> str:
        """Whose crank the degrees are of."""
        return "crank" if self.side == "only" else "right-hand crank"

    @property
    def parts_seen(self) -> tuple[Part, ...]:
        """The parts that are metal, as they lie with the wheelsets where it is worst."""
        state = self.contact.state if self.contact is not None else ()
        return tuple(shift(part, state) for part in self.mechanism.parts if not part.unseen)

    @property
    def joints_seen(self) -> tuple[Joint, ...]:
        """The joints of parts that are metal."""
        unseen = {part.name for part in self.mechanism.parts if part.unseen}
        return tuple(
            joint for joint in self.mechanism.joints if not {joint.a.part, joint.b.part} & unseen
        )

    @property
    def crank_pin(self) -> Place:
        """The first pin on the crank."""
        return self.places_on(self.mechanism.crank)[0]

    @property
    def throw(self) -> float:
        """How far that pin stands from its axle [mm]."""
        return math.hypot(self.crank_pin.x, self.crank_pin.y)

    def degrees(self, angle: float) -> float:
        """Return the side's own crank angle [rad] as the right-hand crank's [degrees]."""
        return right_hand_degrees(self.examination, self.side, angle)

    def place(self, place: Place) -> Point:
        """Return where a place of a part stands, in the frame's axes [mm]."""
        if place.part == FRAME:
            return (place.x, place.y)
        return placed(self.poses[place.part], (place.x, place.y))

    def joint(self, name: str) -> Joint:
        """Return the joint of that name."""
        return next(joint for joint in self.joints_seen if joint.name == name)

    def places_on(self, part: str) -> list[Place]:
        """Return the places of a part at which it is joined to others, in the joints' order."""
        return [p for joint in self.joints_seen for p in (joint.a, joint.b) if p.part == part]

    def links(self, part: str) -> list[Place]:
        """Return the places between which a part without an outline is drawn as lines."""
        axle = [Place(part, 0.0, 0.0)] if part == self.mechanism.crank else []
        return [*axle, *self.places_on(part)]


def placed(pose: Array, point: Point) -> Point:
    """Return a part's own point in the frame's axes [mm]; its pose is (3,) [mm, mm, rad]."""
    cos, sin = math.cos(pose[2]), math.sin(pose[2])
    x, y = point
    return (float(pose[0] + cos * x - sin * y), float(pose[1] + sin * x + cos * y))


def slot_line(moment: Moment, slot: Slot) -> list[Place]:
    """Return places along a slot's centre line, as far as its travel goes.

    On the slotted part; the slot's middle alone where its travel has no ends.
    """
    travels = [t for t in moment.mechanism.travels if t.joint == slot.name]
    ends = [(t.least, t.most) for t in travels if math.isfinite(t.most - t.least)]
    if not ends:
        return [slot.b]
    found = []
    for s in np.linspace(*ends[0], _SLOT).tolist():
        turn, bend = slot.direction, slot.curvature * s
        along = math.sin(bend) / slot.curvature if slot.curvature else s
        aside = (1 - math.cos(bend)) / slot.curvature if slot.curvature else 0.0
        x = slot.b.x + along * math.cos(turn) - aside * math.sin(turn)
        y = slot.b.y + along * math.sin(turn) + aside * math.cos(turn)
        found.append(replace(slot.b, x=x, y=y))
    return found


def moment_of(examination: Examination, spot: TightSpot | None, side: str | None = None) -> Moment:
    """Return the moment of a tight spot, or that of a free side's nearest pair.

    At the spot's worst crank angle; where no position is there, at the last before it.

    `spot`: the spot; None for the nearest pair. `side`: the side whose nearest pair is meant; None
    for the nearer of both. Not used with a spot.
    """
    if spot is None:
        return _nearest(examination, side)
    sides = examination.sides  # what concerns both sides is shown on the right-hand one
    findings = examination.where(spot) if spot.side in sides else next(iter(sides.values()))
    crank = spot.begin if isinstance(spot, CannotClose) else spot.worst
    poses = standing_by(findings, crank, -1.0)[1]
    alike = [
        other
        for other in examination.spots
        if other is not spot
        and (other.fault, other.side, other.place) == (spot.fault, spot.side, spot.place)
    ]
    pair = spot.clearance if isinstance(spot, Fouls | Close | TouchesWithPlay) else None
    contact = spot.contact if isinstance(spot, Fouls | Close) else None
    parts, arcs = _heavy(findings, spot), (spot, *alike)
    return Moment(examination, findings, crank, poses, spot, pair, contact, parts, arcs)


def _heavy(findings: SideFindings, spot: TightSpot) -> tuple[str, ...]:
    """Return the parts of a spot; what runs off may be no part itself, but ride on one."""
    mechanism = findings.mechanism
    there = {part.name for part in mechanism.parts}
    parts = [name for name in spot.parts if name in there]
    if isinstance(spot, RunsOff) and len(parts) < 2:
        joint = next(j for j in mechanism.joints if j.name == spot.run_off.travel.joint)
        parts += [place.part for place in (joint.a, joint.b) if place.part in there]
    return tuple(dict.fromkeys(parts))


def _nearest(examination: Examination, side: str | None) -> Moment:
    """Return the moment of the pair with the least air; of the crank ahead where there is none."""
    names = [name for name in examination.sides if side in (None, name)]
    nearest = [
        (pair.least, name, pair.parts)
        for name in names
        for near in examination.sides[name].survey.pairs
        for pair in examination.nearest(name, near.parts).survey.pairs
        if pair.parts == near.parts
    ]
    if not nearest:
        findings = examination.sides[names[0]]
        return Moment(examination, findings, 0.0, poses_at(findings, 0.0))
    _, name, parts = min(nearest)
    return _of_pair(examination, name, parts)


def _of_pair(examination: Examination, side: str, parts: tuple[str, str]) -> Moment:
    findings = examination.nearest(side, parts)
    pair = next(pair for pair in findings.survey.pairs if pair.parts == parts)
    return Moment(
        examination, findings, pair.at, poses_at(findings, pair.at),
        pair=pair, contact=contact_at(findings, pair.parts, pair.at), parts=pair.parts,
    )  # fmt: skip


def moment_of_pair(examination: Examination, side: str, parts: Sequence[str]) -> Moment | None:
    """Return the moment in which two parts of a side come nearest.

    None where they never come so near that their clearance was followed.
    """
    for pair in examination.sides[side].survey.pairs:
        if set(pair.parts) == set(parts):
            return _of_pair(examination, side, pair.parts)
    return None


def standing_moment(
    examination: Examination, spot: TightSpot | None, side: str | None = None
) -> Moment:
    """Return a side as it stands at a tight spot, with nothing said of where parts meet.

    Of that side, its wheelsets in the middle; with the crank straight ahead, or the first
    angle after it that can be reached, where there is no spot.

    `spot`: the spot; None for none. `side`: the side; None for the spot's own, without a spot the
    right-hand one.
    """
    if spot is None:
        findings = examination.sides[side or next(iter(examination.sides))]
        ahead = first_reached(findings)
        return Moment(examination, findings, ahead, poses_at(findings, ahead))
    moment = moment_of(examination, spot)
    if side is not None and moment.side != side:
        moment = other_side(moment) or moment
    return replace(moment, pair=None, contact=None)


def moment_at(moment: Moment, right_hand: float) -> Moment:
    """Return a side at another crank angle, nothing in heavy line.

    `right_hand` [rad]: angle of the right-hand crank.

    Raises
    ------
    OutputError
        Where a loop cannot close there.
    """
    crank = (right_hand - moment.examination.right_hand(moment.side, 0.0)) % TURN
    poses = poses_at(moment.findings, crank)
    if not stands(poses):
        degrees = round(math.degrees(right_hand), 2)
        raise OutputError(
            f"with the crank at {degrees:g} degrees there is nothing to draw: a loop cannot close "
            "there; ask for another angle"
        )
    return replace(moment, spot=None, parts=(), crank=crank, poses=poses)


def other_side(moment: Moment) -> Moment | None:
    """Return the other side of the same engine at the same place of the turn.

    The arcs as that side's own crank meets them. None where there is but one side.
    """
    sides = moment.examination.set_to(moment.findings.place).sides
    name = next((name for name in sides if name != moment.side), None)
    if name is None:
        return None
    of = moment.examination.right_hand
    by = of(moment.side, 0.0) - of(name, 0.0)
    spot = None if moment.spot is None else _moved(moment.spot, name, by)
    return Moment(
        moment.examination, sides[name], moment.crank + by,
        poses_at(sides[name], moment.crank + by), spot,
        parts=() if spot is None else _heavy(sides[name], spot),
        arcs=tuple(_moved(arc, name, by) for arc in moment.arcs),
    )  # fmt: skip


def _moved(spot: TightSpot, side: str, by: float) -> TightSpot:
    return replace(spot, side=side, begin=spot.begin + by, worst=spot.worst + by, end=spot.end + by)


def beyond_the_gap(moment: Moment, spot: CannotClose) -> Moment:
    """Return the moment at the other end of the arc in which a loop cannot close.

    Where the parts stop when the wheels are turned backwards.
    """
    poses = standing_by(moment.findings, spot.end, 1.0)[1]
    return replace(moment, pair=None, contact=None, crank=spot.end, poses=poses)


def plain_moment(
    examination: Examination, side: str, state: State = (), place: Running = None
) -> Moment:
    """Return a side with nothing picked out and without poses, for what is in the parts' own axes.

    `state` [mm]: how far wheelsets are over. `place`: of the reverser; where the sheet has it, if
    not given.
    """
    findings = examination.set_to(place).sides[side]
    parts = tuple(shift(part, state) for part in findings.mechanism.parts)
    moved = replace(findings, mechanism=replace(findings.mechanism, parts=parts))
    return Moment(examination, moved, 0.0, {})
