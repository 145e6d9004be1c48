"""The path of every pin over a turn: where it goes, how far, and when."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from matplotlib.figure import Figure

from linkage.arrays import Array
from linkage.draw.page import (
    BOTTOM,
    LEFT,
    RIGHT,
    TOP,
    across,
    box,
    new_page,
    share_up,
    table_height,
    write,
    write_table,
)
from linkage.draw.paint import our_look, paint
from linkage.draw.said import say_gaps, say_marked
from linkage.kinematics import Motion
from linkage.lengths import Lengths
from linkage.scene import side, style
from linkage.scene.drawing import Frame, Item, Marks, Paper, Stroke, View
from linkage.scene.moment import Moment
from linkage.scene.motion import arc_motion, motion_at, turn_of
from linkage.scene.names import Note, noted
from linkage.scene.skeleton import (
    STANDS,
    PinSeen,
    background,
    hour_angles,
    path_of,
    pins_of,
    seen_points,
)

_NUMBERED = 34.0  # a path smaller than this has the hours as dots alone [points]
_BESIDE = 9.0  # how far from its dot an hour may stand [points]
_NEAR = 17.0  # and a name from its path [points]


def draw_paths(moment: Moment) -> Figure:
    """Draw where every pin goes in a turn, with the hours on the paths and a table of extents."""
    motion, pins = turn_of(moment.findings), pins_of(moment)
    lengths = moment.examination.sheet.lengths
    rows: list[tuple[str, ...]] = [
        ("", "pin", *(f"{what}, {lengths.unit}" for what in ("ahead", "above", "travel")))
    ]
    rows += [_row(lengths, motion, pin) for pin in pins]
    if not any(row[-1] for row in rows[1:]):
        rows = [row[:-1] for row in rows]
    room = across(RIGHT - LEFT)
    table = BOTTOM + share_up(table_height(rows, room))
    place = (LEFT, table + 0.035, RIGHT - LEFT, TOP - table - 0.035)
    said = f"{say_marked(moment, 'Heavy on the paths')} {say_gaps(moment)}".strip()
    way = "fall" if moment.mirrored else "rise"
    legend = (
        "Dots: where a pin is as the crank passes each hour, larger at 3, 6, 9 and 12; the "
        f"hours {way} in forward running. Ahead and above: from the axle of the crank."
    )
    with our_look():
        figure = new_page(moment.examination.sheet, said, "paths of the pins")
        paint(figure, place, paths_view(moment, motion, pins, box(place)))
        write(figure, (LEFT, table + 0.027), legend)
        write_table(figure, rows, (LEFT, table), room)
    return figure


def _row(lengths: Lengths, motion: Motion, pin: PinSeen) -> tuple[str, ...]:
    """Return a pin's line of the table."""
    path, axle = path_of(motion, pin.place), np.array(motion.course.mechanism.axle)
    low, high = np.nanmin(path, axis=0) - axle, np.nanmax(path, axis=0) - axle
    travel = ""
    if pin.slide:
        along = motion.travel(pin.slide)
        travel = lengths.figure(float(np.nanmax(along) - np.nanmin(along)))
    ahead, above = (reach(lengths, float(low[k]), float(high[k]), word)
                    for k, word in enumerate(("behind", "below")))  # fmt: skip
    return pin.letter, pin.name, ahead, above, travel


def reach(lengths: Lengths, low: float, high: float, negative: str) -> str:
    """Return from where to where something goes, in words, never with a sign.

    `low`, `high` [mm]: the ends.

    Examples
    --------
    >>> from linkage.lengths import MILLIMETRES
    >>> reach(MILLIMETRES, -4.33, 4.33, "behind"), reach(MILLIMETRES, 2.0, 2.001, "below")
    ('4.33 behind to 4.33', '2.00')
    """
    ends = [lengths.figure(abs(end)) for end in (low, high)]
    nought = lengths.figure(0.0)
    ends = [
        f"{end} {negative}" if value < 0 and end != nought else end
        for value, end in zip((low, high), ends, strict=True)
    ]
    return " to ".join(dict.fromkeys(ends))


def paths_view(moment: Moment, motion: Motion, pins: Sequence[PinSeen], paper: Paper) -> View:
    """Return the path of each pin, named, the moment's arcs heavy on it, a dot at each hour."""
    frame = side.frame_about(moment, paper, seen_points(moment, motion))
    hours = hour_angles(moment)
    at_hours = motion_at(moment.findings, list(hours.values()))
    arcs = [arc_motion(moment.findings, arc.begin, arc.end) for arc in moment.arcs]
    items: list[Item] = list(background(moment))
    dots: list[Item] = []
    for pin in pins:
        path, spots = path_of(motion, pin.place), path_of(at_hours, pin.place)
        if _still(path):
            items.append(Marks(path[np.isfinite(path).all(axis=1)][:1].tolist(), style.FOOT_SIGN))
            continue
        items.append(Stroke(path.tolist(), style.PATH, pin.name))
        items += [Stroke(path_of(arc, pin.place).tolist(), style.PATH_HEAVY) for arc in arcs]
        for hour, spot in sorted(zip(hours, spots.tolist(), strict=True), key=_minor):
            dots.append(Marks([tuple(spot)], style.HOUR_SIGNS[hour % 3 == 0]))
    notes = [*_names(motion, pins), *_hours(moment, frame, (motion, at_hours), pins)]
    lines = np.concatenate([path_of(motion, pin.place) for pin in pins])
    items += [*dots, *side.front(frame), *side.scale_bar(frame, side.voice_of(moment))]
    items += noted(frame, notes, lines, side.kept_free(frame))
    title = f"Paths of the pins in one turn: side view, {moment.seen}{moment.gear}"
    return View("paths", title, frame, tuple(items))


def _minor(at: tuple[int, list[float]]) -> bool:
    """Tell whether an hour is none of the quarters, which are painted first."""
    return at[0] % 3 != 0


def _extent(path: Array) -> float:
    """Return how far a path goes, across or upwards [mm]."""
    return float((np.nanmax(path, axis=0) - np.nanmin(path, axis=0)).max())


def _still(path: Array) -> bool:
    return _extent(path) < STANDS


def _alike(path: Array, other: Array) -> bool:
    return bool(np.nanmax(np.abs(path - other)) < STANDS)


def _names(motion: Motion, pins: Sequence[PinSeen]) -> Iterator[Note]:
    """Yield a note for each path; pins that go together share one."""
    paths = [path_of(motion, pin.place) for pin in pins]
    left = list(range(len(pins)))
    while left:
        first, *rest = left
        same = [k for k in rest if _alike(paths[k], paths[first])]
        group = [pins[k] for k in (first, *same)]
        path = paths[first][np.isfinite(paths[first]).all(axis=1)]
        text = ", ".join(f"{pin.letter} {pin.name}" for pin in group)
        ends = [find(path[:, k]) for find in (np.argmax, np.argmin) for k in (1, 0)]
        yield Note(
            text, path[ends].tolist(), _NEAR, ", ".join(p.letter for p in group),
            style.NOTE_BOLD, tuple(path.mean(axis=0).tolist()),
        )  # fmt: skip
        left = [k for k in rest if k not in same]


def _hours(
    moment: Moment, frame: Frame, turns: tuple[Motion, Motion], pins: Sequence[PinSeen]
) -> Iterator[Note]:
    """Yield the hours, where a path is large enough: first of the quarters, then the others.

    `turns`: the whole turn, and the hours of it.
    """
    hours, (motion, at) = hour_angles(moment), turns
    scale = frame.paper.width / abs(frame.x[1] - frame.x[0])
    done: list[Array] = []
    found = []
    for pin in pins:
        path, spots = path_of(motion, pin.place), path_of(at, pin.place)
        if _extent(path) * scale < _NUMBERED or any(_alike(spots, other) for other in done):
            continue
        done.append(spots)
        middle = tuple(np.nanmean(path, axis=0).tolist())
        found += [
            (hour % 3 != 0, Note(f"{hour}", [tuple(spot.tolist())], _BESIDE, away=middle))
            for hour, spot in zip(hours, spots, strict=True)
            if np.isfinite(spot).all() and (pin.place == moment.crank_pin or hour % 3 == 0)
        ]
    yield from (note for _, note in sorted(found, key=lambda item: item[0]))
