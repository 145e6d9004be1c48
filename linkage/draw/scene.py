"""What one picture is about: one side, at one crank angle, with the parts that matter."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from linkage.arrays import Array
from linkage.clearance import Contact, PairClearance, find_contact, shift
from linkage.examine import Examination, SideFindings
from linkage.kinematics import solve_at
from linkage.mechanism import FRAME, Joint, Part, Place, Point
from linkage.tightspots import CannotClose, Close, Fouls, RunsOff, TightSpot, TouchesWithPlay

_ASIDE = (0.0, 1e-6, 1e-4, 1e-2)  # tried from the edge of an open arc, to stand outside it [rad]


@dataclass(frozen=True)
class Scene:
    """One side at one crank angle.

    Attributes
    ----------
    examination : Examination
        What was found out.
    findings : SideFindings
        Of the side drawn.
    spot : TightSpot or None
        The tight spot drawn; None where the nearest pair of a free side is.
    pair : PairClearance or None
        The pair whose clearance is drawn, where two parts meet or come nearest.
    contact : Contact or None
        Where they do.
    parts : tuple of str
        The parts in heavy line.
    crank : float [rad]
        That side's crank angle.
    poses : mapping of str to array, shape (3,) [mm, mm, rad]
        Every part at that angle.
    arcs : tuple of TightSpot
        The arcs of the turn to mark: the spot drawn, then all others of its parts and kind.
    """

    examination: Examination
    findings: SideFindings
    spot: TightSpot | None
    pair: PairClearance | None
    contact: Contact | None
    parts: tuple[str, ...]
    crank: float
    poses: Mapping[str, Array]
    arcs: tuple[TightSpot, ...] = ()

    @property
    def side(self) -> str:
        """The side: "right", "left" or "only"."""
        return self.findings.side

    @property
    def mirrored(self) -> bool:
        """Whether x runs to the left, as it does seen from outside the left side."""
        return self.side == "left"

    @property
    def outlined(self) -> bool:
        """Whether any part has an outline."""
        return any(part.pieces for part in self.findings.mechanism.parts)

    @property
    def seen(self) -> str:
        """From where it is seen, in words."""
        from_where = "seen from outside"
        return from_where if self.side == "only" else f"{self.side} side, {from_where}"

    @property
    def parts_seen(self) -> tuple[Part, ...]:
        """The parts that are metal, as they lie with the wheelsets where it is worst."""
        state = self.contact.state if self.contact is not None else ()
        parts = self.findings.mechanism.parts
        return tuple(shift(part, state) for part in parts if not part.unseen)

    @property
    def joints_seen(self) -> tuple[Joint, ...]:
        """The joints of parts that are metal."""
        unseen = {part.name for part in self.findings.mechanism.parts if part.unseen}
        return tuple(
            joint
            for joint in self.findings.mechanism.joints
            if not {joint.a.part, joint.b.part} & unseen
        )

    def place(self, place: Place) -> Point:
        """Return where a place of a part stands, in the frame's axes [mm]."""
        if place.part == FRAME:
            return (place.x, place.y)
        return placed(self.poses[place.part], (place.x, place.y))


def placed(pose: Array, point: Point) -> Point:
    """Return a part's own point in the frame's axes.

    Parameters
    ----------
    pose : array, shape (3,) [mm, mm, rad]
        Origin and angle of the part.
    point : (float, float) [mm]
        In the part's axes.

    Returns
    -------
    (float, float) [mm]
        In the frame's axes.
    """
    cos, sin = math.cos(pose[2]), math.sin(pose[2])
    x, y = point
    return (float(pose[0] + cos * x - sin * y), float(pose[1] + sin * x + cos * y))


def places_on(scene: Scene, part: Part) -> list[Place]:
    """Return the places of a part at which it is joined to others.

    In the order of the joints.
    """
    joints = scene.joints_seen
    return [place for joint in joints for place in (joint.a, joint.b) if place.part == part.name]


def scene_of(examination: Examination, spot: TightSpot | None, side: str | None = None) -> Scene:
    """Return what the picture of a tight spot shows, or that of a free side's nearest pair.

    At the spot's worst crank angle; where no position is there, at the last before it.

    Parameters
    ----------
    spot : TightSpot or None
        The spot; None for the nearest pair.
    side : str or None
        The side whose nearest pair is meant; None for the nearer of both. Not used with a spot.
    """
    if spot is None:
        return _nearest(examination, side)
    sides = examination.sides  # what concerns both sides is drawn on the right-hand one
    findings = sides[spot.side] if spot.side in sides else next(iter(sides.values()))
    crank, poses = _standing(findings, spot)
    parts = _heavy(findings, spot)
    arcs = _arcs(examination, spot)
    contact = spot.contact if isinstance(spot, Fouls | Close) else None
    pair = spot.clearance if isinstance(spot, Fouls | Close | TouchesWithPlay) else None
    return Scene(examination, findings, spot, pair, contact, parts, crank, poses, arcs)


def _arcs(examination: Examination, spot: TightSpot) -> tuple[TightSpot, ...]:
    alike = [
        other
        for other in examination.spots
        if other is not spot and (other.fault, other.side) == (spot.fault, spot.side)
    ]
    return (spot, *alike)


def other_side(scene: Scene) -> Scene | None:
    """Return the other side of the same engine at the same place of the turn.

    The other; the arcs as that side's own crank meets them. None where there is but one.
    """
    sides = scene.examination.sides
    name = next((name for name in sides if name != scene.side), None)
    if name is None:
        return None
    by = scene.examination.right_hand(scene.side, 0.0) - scene.examination.right_hand(name, 0.0)

    def moved(spot: TightSpot) -> TightSpot:
        begin, worst, end = (angle + by for angle in (spot.begin, spot.worst, spot.end))
        return replace(spot, side=name, begin=begin, worst=worst, end=end)

    crank = scene.crank + by
    spot = None if scene.spot is None else moved(scene.spot)
    parts = () if spot is None else _heavy(sides[name], spot)
    poses = poses_at(sides[name], crank)
    arcs = tuple(moved(arc) for arc in scene.arcs)
    return Scene(scene.examination, sides[name], spot, None, None, parts, crank, poses, arcs)


def _heavy(findings: SideFindings, spot: TightSpot) -> tuple[str, ...]:
    """Return the parts of a spot; what runs off may be no part itself, but ride on one."""
    mechanism = findings.mechanism
    there = {part.name for part in mechanism.parts}
    parts = [name for name in spot.parts if name in there]
    if isinstance(spot, RunsOff) and len(parts) < 2:
        joint = next(j for j in mechanism.joints if j.name == spot.run_off.travel.joint)
        parts += [place.part for place in (joint.a, joint.b) if place.part in there]
    return tuple(dict.fromkeys(parts))


def _nearest(examination: Examination, side: str | None) -> Scene:
    """Return the scene of the pair with the least air; of the crank ahead where there is none."""
    names = [name for name in examination.sides if side in (None, name)]
    nearest = [
        (pair.least, name, pair.parts, row)
        for name in names
        for row, pair in enumerate(examination.sides[name].survey.pairs)
    ]
    if not nearest:
        findings = examination.sides[names[0]]
        return Scene(examination, findings, None, None, None, (), 0.0, poses_at(findings, 0.0))
    _, name, _, row = min(nearest)
    findings = examination.sides[name]
    pair = findings.survey.pairs[row]
    contact = find_contact(findings.course, findings.pairs[pair.parts], pair.at)
    poses = poses_at(findings, pair.at)
    return Scene(examination, findings, None, pair, contact, pair.parts, pair.at, poses)


def poses_at(findings: SideFindings, crank: float) -> dict[str, Array]:
    """Return every part's pose at one crank angle.

    Parameters
    ----------
    crank : float [rad]
        That side's crank angle.

    Returns
    -------
    dict of str to array, shape (3,) [mm, mm, rad]
        Nan where a loop does not close.
    """
    motion = solve_at(findings.course, [crank % (2 * math.pi)])
    return {name: pose[0] for name, pose in motion.poses.items()}


def _standing(findings: SideFindings, spot: TightSpot) -> tuple[float, dict[str, Array]]:
    """Return a spot's crank angle, and where every part stands there, or just before."""
    at = spot.begin if isinstance(spot, CannotClose) else spot.worst
    return at, standing_by(findings, at, -1.0)[1]


def standing_by(findings: SideFindings, edge: float, way: float) -> tuple[float, dict[str, Array]]:
    """Return where every part stands at the edge of an open arc, or just outside it.

    Parameters
    ----------
    edge : float [rad]
        That side's crank angle.
    way : float [1]
        Which way out of the arc: 1 on in the turn, -1 back.

    Returns
    -------
    crank : float [rad]
        Where it is.
    poses : dict of str to array, shape (3,) [mm, mm, rad]
        As from `poses_at`.
    """
    for aside in _ASIDE:
        poses = poses_at(findings, edge + way * aside)
        if all(np.isfinite(pose).all() for pose in poses.values()):
            break
    return edge + way * aside, poses


def beyond_the_gap(scene: Scene) -> Scene:
    """Return the scene at the other end of the arc in which a loop cannot close.

    Where the parts stop when the wheels are turned backwards.
    """
    assert scene.spot is not None
    _, poses = standing_by(scene.findings, scene.spot.end, 1.0)
    return Scene(
        scene.examination,
        scene.findings,
        scene.spot,
        None,
        None,
        scene.parts,
        scene.spot.end,
        poses,
        scene.arcs,
    )
