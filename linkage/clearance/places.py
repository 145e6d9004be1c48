"""The least clearance and the least room of one side, over all crank angles and reverser's places.

Crank angle and place of the reverser make a plane, which is cut into cells. Over each cell the
speeds by either are enclosed, so that a value found at its middle can nowhere in the cell be less
than by these speeds times its half widths. The cells in which something could be less than was
found are cut in three, across the way in which more could hide, until nothing can.

Only what moves with the reverser is looked at: all else is the same at every place. Parts of
several pieces that overlap are looked at as wholes (`whole.py`) where their pieces overlap most;
that is not proven.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace

import numpy as np

from linkage.arrays import Array, Index, Mask
from linkage.clearance.near import WITHIN, least_of_groups, reach_of
from linkage.clearance.outlines import PairTable, PiecePair, Poses, slopes
from linkage.clearance.pairs import PartPair, pair_parts
from linkage.clearance.speeds import PartSpeeds, approach_bounds, part_speeds, place_speeds
from linkage.clearance.survey import Word
from linkage.clearance.whole import Layers, layers_of, whole_clearances
from linkage.kinematics import Enclosure, Swing, enclose_places, solve_places
from linkage.kinematics.course import TURN
from linkage.mechanism import FRAME, Mechanism, Piece, Point, Travel

_CRANKS = 72  # cells that the turn is cut into at first
_PLACE = np.radians(1.75)  # about how wide they are in places of the reverser [rad]
_SHARE = 0.2  # of what a least is from what is asked, to which it is found [1]
_MOST = 20_000  # cells of one thing under scrutiny at once, beyond which it is given up
_DEEPEST = 60  # cells in which parts overlap most by pieces, in which they are looked at as wholes
_FAR = 1e6  # more than any room [mm]
_ALIKE = 1e8  # angles are the same to one in so many [1/rad]
_STILL = 1e-9  # what goes slower than this by the reverser stands still [mm/rad, 1]


@dataclass(frozen=True)
class Least:
    """The least of one thing over all crank angles and places of the reverser.

    Attributes
    ----------
    least : float [mm]
        Clearance, or room left at the end of a travel.
    at : float [rad]
        Crank angle there.
    turned : float [rad]
        How far the reverser is then turned from where it stands.
    """

    least: float
    at: float
    turned: float


@dataclass(frozen=True)
class PlacesSurvey:
    """What is least of one side over all places of its reverser.

    Attributes
    ----------
    moved : frozenset of str
        The parts that move otherwise at another place.
    pairs : mapping of (str, str) to Least
        Of the pairs that move so and come within reach, by their parts.
    rooms : mapping of (str, bool) to Least
        Of the travels that change so, by joint and whether at the end they are counted towards.
    between : str
        "proven": nowhere less than that by more than `WITHIN`, or a fifth of what it is from
        what is asked, and every loop closes at every place; "sampled": not proven over some of the
        cells.
    """

    moved: frozenset[str]
    pairs: dict[tuple[str, str], Least]
    rooms: dict[tuple[str, bool], Least]
    between: Word


def survey_places(swing: Swing, wanted: float) -> PlacesSurvey:
    """Find what is least of one side over all crank angles and places of its reverser.

    `wanted` [mm]: clearance wanted.
    """
    grid = _Grid.of(swing, _CRANKS, _PLACE)
    for narrower in (1, 2):  # narrower cells may be provable: by the places, then by both
        if grid.by[0].proven.all():
            break
        grid = _Grid.of(swing, _CRANKS * narrower, _PLACE / 2)
    mechanism = swing.course.mechanism
    names = [*(part.name for part in mechanism.parts), FRAME]
    moved = frozenset(name for name in names if _moves(grid.by[1], name))
    reach = reach_of(wanted)
    pairs = pair_parts(mechanism, wanted, reach, moved=moved)
    speeds = tuple(part_speeds(one, names) for one in grid.by)
    near = _near(grid, pairs, speeds, reach)
    found, sure = ({}, True) if near is None else near.least()
    rooms, certain = _least_rooms(grid, names, speeds, moved)
    proven = sure and certain and bool(grid.by[0].proven.all())
    return PlacesSurvey(moved, found, rooms, "proven" if proven else "sampled")


def _moves(by: Enclosure, name: str) -> bool:
    return any(float(np.nanmax(v.magnitude, initial=0.0)) > _STILL for v in by.speeds[name])


@dataclass(frozen=True)
class _Grid:
    """The cells at first: their middles, half widths, and what is enclosed over them."""

    swing: Swing
    crank: Array
    turned: Array
    half: tuple[float, float]
    by: tuple[Enclosure, Enclosure]

    @classmethod
    def of(cls, swing: Swing, cranks: int, wide: float) -> _Grid:
        low, high = float(swing.turned[0]), float(swing.turned[-1])
        places = 1 + int((high - low) / wide)
        half = TURN / cranks / 2, (high - low) / places / 2
        across = (np.arange(cranks) + 0.5) * 2 * half[0]
        up = low + (np.arange(places) + 0.5) * 2 * half[1]
        crank, turned = (rows.ravel() for rows in np.meshgrid(across, up))
        halves = np.full(len(crank), half[0]), np.full(len(crank), half[1])
        return cls(swing, crank, turned, half, enclose_places(swing, (crank, turned), halves))


@dataclass(frozen=True)
class _Cells:
    """Cells under scrutiny, each of one thing."""

    owner: Index
    crank: Array
    turned: Array
    half_crank: Array
    half_turned: Array
    by_crank: Array
    by_turned: Array
    value: Array

    def pick(self, which: Mask | Index) -> _Cells:
        return _Cells(*(getattr(self, one.name)[which] for one in fields(self)))

    def join(self, *others: _Cells) -> _Cells:
        names = [one.name for one in fields(self)]
        return _Cells(
            *(np.concatenate([getattr(some, n) for some in (self, *others)]) for n in names)
        )

    @property
    def hides(self) -> tuple[Array, Array]:
        """How much less than its value a cell can hold, by either way."""
        return self.by_crank * self.half_crank, self.by_turned * self.half_turned

    @classmethod
    def first(cls, grid: _Grid, speeds: tuple[Array, Array], value: Array) -> _Cells:
        """Return the cells of the grid for each of some things; arrays of shape (things, N)."""
        things, count = value.shape
        alike = np.ones(things * count)
        # where no speed is known the cell says what it holds at its middle alone
        rates = [np.nan_to_num(speed.ravel(), nan=0.0) for speed in speeds]
        return cls(
            np.repeat(np.arange(things), count),
            np.tile(grid.crank, things),
            np.tile(grid.turned, things),
            alike * grid.half[0],
            alike * grid.half[1],
            rates[0],
            rates[1],
            value.ravel(),
        )


_Values = Callable[[Index, Array, Array], Array]
"""Of some things at crank angles and places, shape (M,) each."""


@dataclass(frozen=True)
class _Things:
    """What is asked of each thing, and what it cannot be less than, shape (things,) each [mm]."""

    asked: Array
    floor: Array
    free: float  # from where on it does not matter


def _lowest(cells: _Cells, values: _Values, things: _Things) -> tuple[list[Least | None], Mask]:
    """Return the least of each thing, and of which that is certain.

    To a share of what it is from what is asked; None of a thing that is free.
    """
    sure = np.ones(len(things.asked), dtype=bool)
    best = [Least(float("inf"), 0.0, 0.0)] * len(sure)
    fresh = cells
    while len(cells.owner):
        order = np.lexsort((fresh.value, fresh.owner))
        first = order[np.append(True, np.diff(fresh.owner[order]) > 0)]
        for k in first.tolist():
            owner, value = int(fresh.owner[k]), float(fresh.value[k])
            if value < best[owner].least:
                best[owner] = Least(value, float(fresh.crank[k]), float(fresh.turned[k]))
        least = np.array([one.least for one in best])
        least = np.minimum(least, things.free)
        goal = least - np.maximum(WITHIN, _SHARE * np.abs(least - things.asked))
        along, across = cells.hides
        low = np.maximum(cells.value - along - across, things.floor[cells.owner])
        cells = cells.pick(low < goal[cells.owner])
        many = np.bincount(cells.owner, minlength=len(sure)) > _MOST
        sure &= ~many
        cells = cells.pick(~many[cells.owner])
        if not len(cells.owner):
            break
        middle, fresh = _thirds(cells, values)
        cells = middle.join(fresh)
    return [one if one.least < things.free else None for one in best], sure


def _thirds(cells: _Cells, values: _Values) -> tuple[_Cells, _Cells]:
    """Cut cells in three across the way that hides more; the middle third has its value already."""
    along, across = cells.hides
    by_crank = along >= across
    inner = replace(
        cells,
        half_crank=np.where(by_crank, cells.half_crank / 3, cells.half_crank),
        half_turned=np.where(by_crank, cells.half_turned, cells.half_turned / 3),
    )
    sides = [
        replace(
            inner,
            crank=inner.crank + np.where(by_crank, way * inner.half_crank, 0.0),
            turned=inner.turned + np.where(by_crank, 0.0, way * inner.half_turned),
        )
        for way in (-2, 2)
    ]
    outer = sides[0].join(sides[1])
    value = values(outer.owner, outer.crank, outer.turned)
    return inner, replace(outer, value=value)


# --- pairs of parts ------------------------------------------------------------------------------


class _Near:
    """The pairs that come within reach, and how fast they can approach in every cell."""

    def __init__(
        self,
        grid: _Grid,
        pairs: Sequence[tuple[PartPair, PartPair]],
        bounds: tuple[Array, ...],
        reach: float,
    ) -> None:
        """`pairs`: each with the pieces that come within reach, and with all."""
        self.whole = [whole for _, whole in pairs]
        self.grid, self.pairs, self.reach = grid, [near for near, _ in pairs], reach
        self.table = PairTable([piece for pair in self.pairs for piece in pair.pieces])
        counts = np.array([len(pair.pieces) for pair in self.pairs])
        self.first = np.concatenate(([0], np.cumsum(counts)))
        self.bounds = tuple(np.maximum.reduceat(one, self.first[:-1], axis=0) for one in bounds)

    def values(self, owner: Index, crank: Array, turned: Array) -> Array:
        """Return the clearance of pairs, beyond reach no more than it is.

        Infinite where a part has no position.
        """
        spots, at = _different(crank, turned)
        poses = _poses(self.grid.swing, *spots)
        counts = np.diff(self.first)[owner]
        starts = np.concatenate(([0], np.cumsum(counts)))
        within = np.arange(starts[-1]) - np.repeat(starts[:-1], counts)
        piece = np.repeat(self.first[:-1][owner], counts) + within
        items = piece, np.repeat(at, counts)
        far = np.minimum.reduceat(self.table.farther(*items, poses), starts[:-1])
        near = np.flatnonzero(far < self.reach)
        far[np.isnan(far)] = np.inf
        if len(near):
            mine = np.repeat(far < self.reach, counts)
            starts = np.concatenate(([0], np.cumsum(counts[near])))
            some = items[0][mine], items[1][mine], np.zeros(np.count_nonzero(mine))
            far[near] = least_of_groups(self.table, some, starts, poses, self.reach)
        return np.asarray(far)

    def least(self) -> tuple[dict[tuple[str, str], Least], bool]:
        """Return what is least of each pair that comes within reach, and whether that is sure."""
        count, grid = len(self.pairs), self.grid
        owner = np.repeat(np.arange(count), len(grid.crank))
        value = self.values(owner, np.tile(grid.crank, count), np.tile(grid.turned, count))
        cells = _Cells.first(grid, (self.bounds[0], self.bounds[1]), value.reshape(count, -1))
        asked = np.array([pair.asked for pair in self.pairs])
        floor = np.minimum.reduceat(self.table.lateral, self.first[:-1])
        found, sure = _lowest(cells, self.values, _Things(asked, floor, self.reach))
        for k, least in enumerate(found):
            layers = layers_of(self.whole[k].pieces) if least and least.least < 0 else ()
            if least and any(one.lateral < least.least for one in layers):
                found[k] = self._as_wholes(layers, least, cells.pick(cells.owner == k))
                sure[k] = False
        return {
            pair.parts: one for pair, one in zip(self.pairs, found, strict=True) if one is not None
        }, bool(sure.all())

    def _as_wholes(self, layers: Sequence[Layers], least: Least, cells: _Cells) -> Least:
        """Return where two parts overlap most as wholes: of the cells that have most by pieces."""
        some = np.argsort(cells.value)[:_DEEPEST]
        some = some[cells.value[some] < 0]
        crank = np.append(cells.crank[some], least.at)
        turned = np.append(cells.turned[some], least.turned)
        value = np.append(cells.value[some], least.least)
        poses = _poses(self.grid.swing, crank, turned)
        told = whole_clearances(layers, poses, value)
        k = int(np.argmin(told))
        return Least(float(told[k]), float(crank[k]), float(turned[k]))


def _different(crank: Array, turned: Array) -> tuple[tuple[Array, Array], Index]:
    """Return the different ones of some crank angles and places, and which of them each is."""
    key = np.round(crank * _ALIKE).astype(np.int64) * (1 << 31)
    key += np.round(turned * _ALIKE).astype(np.int64)
    _, first, at = np.unique(key, return_index=True, return_inverse=True)
    return (crank[first], turned[first]), at


def _poses(swing: Swing, crank: Array, turned: Array) -> Poses:
    motion = solve_places(swing, crank, turned)
    return Poses.of(np.stack([motion.poses[p.name] for p in swing.course.mechanism.parts]))


def _near(
    grid: _Grid, pairs: Sequence[PartPair], speeds: tuple[PartSpeeds, ...], reach: float
) -> _Near | None:
    """Keep of every pair the pieces that could come within reach; None where none could."""
    pieces = [piece for pair in pairs for piece in pair.pieces]
    if not pieces:
        return None
    wholes = [_wholes(pair) for pair in pairs]
    fast = [approach_bounds(wholes, one) for one in speeds]
    hides = np.nan_to_num(fast[0] * grid.half[0] + fast[1] * grid.half[1], nan=np.inf)
    counts = [len(pair.pieces) for pair in pairs]
    table = PairTable(pieces)
    shape = len(pieces), len(grid.crank)
    which, at = (rows.ravel() for rows in np.indices(shape))
    values = table.farther(which, at, _poses(grid.swing, grid.crank, grid.turned))
    keep = (values.reshape(shape) - np.repeat(hides, counts, axis=0) < reach).any(axis=1)
    kept = []
    for pair, mine in zip(pairs, np.split(keep, np.cumsum(counts)[:-1]), strict=True):
        some = tuple(piece for piece, k in zip(pair.pieces, mine, strict=True) if k)
        if some:
            kept.append((PartPair(pair.parts, pair.asked, some), pair))
    if not kept:
        return None
    left = [piece for pair, _ in kept for piece in pair.pieces]
    return _Near(grid, kept, tuple(approach_bounds(left, one) for one in speeds), reach)


def _wholes(pair: PartPair) -> PiecePair:
    """Return two pieces that no piece of either part goes beyond, in one go for all of them."""
    rows = pair.pieces[0].parts
    corners: tuple[list[Point], list[Point]] = [], []
    for one in pair.pieces:
        for row, piece in zip(one.parts, one.pieces, strict=True):
            held = corners[rows.index(row)]
            held += piece.corners
            if slopes(piece):  # a strip's own width turns with it
                held += [
                    (x + way * piece.radius, y + way * piece.radius)
                    for x, y in piece.corners
                    for way in (-2, 2)
                ]
    first, second = (Piece(tuple(held), 0.0, (0.0,) * len(held), 0.0) for held in corners)
    return PiecePair(rows, (first, second))


# --- travels -------------------------------------------------------------------------------------


def _least_rooms(
    grid: _Grid, names: Sequence[str], speeds: tuple[PartSpeeds, ...], moved: frozenset[str]
) -> tuple[dict[tuple[str, bool], Least], bool]:
    """Return the least room at each end of the travels that change with the reverser.

    A travel changes no faster than the point that slides goes, as seen from what it slides on.
    """
    mechanism = grid.swing.course.mechanism
    ends = [
        (travel, forward)
        for travel in mechanism.travels
        for forward, limit in ((True, travel.most), (False, travel.least))
        if np.isfinite(limit) and moved & _carriers(mechanism, travel)
    ]
    if not ends:
        return {}, True

    def values(owner: Index, crank: Array, turned: Array) -> Array:
        spots, at = _different(crank, turned)
        motion, left = solve_places(grid.swing, *spots), np.empty(len(owner))
        for k, (travel, forward) in enumerate(ends):
            place = np.broadcast_to(motion.travel(travel.joint), spots[0].shape)
            room = travel.most - place if forward else place - travel.least
            left[owner == k] = room[at[owner == k]]
        return np.where(np.isnan(left), np.inf, left)

    joints = [next(j for j in mechanism.joints if j.name == t.joint) for t, _ in ends]
    rows = [(names.index(joint.b.part), names.index(joint.a.part)) for joint in joints]
    spots = [(joint.a.x, joint.a.y) for joint in joints]
    fast = tuple(place_speeds(rows, spots, one) for one in speeds)
    count = len(ends)
    owner = np.repeat(np.arange(count), len(grid.crank))
    value = values(owner, np.tile(grid.crank, count), np.tile(grid.turned, count))
    cells = _Cells.first(grid, (fast[0], fast[1]), value.reshape(count, -1))
    nought, endless = np.zeros(count), np.full(count, -np.inf)
    found, sure = _lowest(cells, values, _Things(nought, endless, _FAR))
    rooms = {
        (travel.joint, forward): one
        for (travel, forward), one in zip(ends, found, strict=True)
        if one is not None
    }
    return rooms, bool(sure.all())


def _carriers(mechanism: Mechanism, travel: Travel) -> set[str]:
    joint = next(j for j in mechanism.joints if j.name == travel.joint)
    return {joint.a.part, joint.b.part}
