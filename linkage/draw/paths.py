"""The path of every pin over a turn: where it goes, how far, and when."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from linkage.arrays import Array
from linkage.draw.labels import scale_bar
from linkage.draw.notes import Note, kept_free, write_notes
from linkage.draw.page import (
    BOTTOM,
    LEFT,
    PAPER,
    RIGHT,
    TOP,
    new_page,
    share_up,
    table_height,
    write_table,
)
from linkage.draw.said import say_gaps, say_marked
from linkage.draw.scene import Scene
from linkage.draw.shapes import bodies_of, faint, fill, look_of, side_shapes
from linkage.draw.side_view import frame_window, window_about, write_front
from linkage.draw.skeleton import (
    STANDS,
    PinSeen,
    arc_of,
    crank_pin,
    hour_angles,
    lines_of,
    path_of,
    pins_of,
    seen_points,
    turn_of,
)  # fmt: skip
from linkage.draw.style import BLACK, LIGHT, PLAIN, SMALL, THIN, our_look
from linkage.kinematics import Motion, solve_at

_ARC = 3.2  # line width of the tight arc [points]
_NUMBERED = 34.0  # a path smaller than this has the hours as dots alone [points]
_BESIDE = 9.0  # how far from its dot an hour may stand [points]


def draw_paths(scene: Scene) -> Figure:
    """Draw where every pin goes in a turn, with the hours on the paths and a table of extents.

    Parameters
    ----------
    scene : Scene
        The side, and what is marked heavy on the paths.
    """
    with our_look():
        motion, pins = turn_of(scene), pins_of(scene)
        said = f"{_heading(scene)} {say_gaps(scene)}"
        figure = new_page(scene.examination.sheet, said.strip(), "paths of the pins")
        rows: list[tuple[str, ...]] = [("", "pin", "ahead, mm", "above, mm", "travel, mm")]
        rows += [_row(motion, pin) for pin in pins]
        if not any(row[-1] for row in rows[1:]):
            rows = [row[:-1] for row in rows]
        room = (RIGHT - LEFT) * PAPER[0] * 72
        table = BOTTOM + share_up(table_height(rows, room))
        axis = figure.add_axes((LEFT, table + 0.035, RIGHT - LEFT, TOP - table - 0.035))
        axis.set_label("paths")
        _draw(axis, scene, motion, pins)
        figure.text(LEFT, table + 0.027, _legend(scene), fontsize=SMALL, va="top")
        write_table(figure, rows, (LEFT, table), room)
    return figure


def _heading(scene: Scene) -> str:
    return say_marked(scene, "Heavy on the paths")


def _legend(scene: Scene) -> str:
    """Say what the dots are, and which way they run."""
    way = "fall" if scene.mirrored else "rise"
    return (
        "Dots: where a pin is as the crank passes each hour, larger at 3, 6, 9 and 12; the "
        f"hours {way} in forward running. Ahead and above: from the axle of the crank."
    )


def _row(motion: Motion, pin: PinSeen) -> tuple[str, ...]:
    """Return a pin's line of the table."""
    path, (ahead, above) = path_of(motion, pin.place), motion.course.mechanism.axle
    low, high = np.nanmin(path, axis=0).tolist(), np.nanmax(path, axis=0).tolist()
    travel = ""
    if pin.slide:
        along = motion.travel(pin.slide)
        travel = f"{float(np.nanmax(along) - np.nanmin(along)):.2f}"
    return (
        pin.letter,
        pin.name,
        reach(low[0] - ahead, high[0] - ahead, "behind"),
        reach(low[1] - above, high[1] - above, "below"),
        travel,
    )


def reach(low: float, high: float, negative: str) -> str:
    """Return from where to where something goes.

    In words, never with a sign.

    Parameters
    ----------
    low, high : float [mm]
        The ends.

    Examples
    --------
    >>> reach(-4.33, 4.33, "behind"), reach(2.0, 2.001, "below"), reach(-0.001, 0.0, "below")
    ('4.33 behind to 4.33', '2.00', '0.00')
    """
    ends = [f"{abs(end):.2f}" for end in (low, high)]
    ends = [
        f"{end} {negative}" if value < 0 and float(end) > 0 else end
        for value, end in zip((low, high), ends, strict=True)
    ]
    return " to ".join(dict.fromkeys(ends))


def _draw(axis: Axes, scene: Scene, motion: Motion, pins: Sequence[PinSeen]) -> None:
    frame_window(axis, scene, window_about(axis, seen_points(scene, motion)))
    axis.set_title(f"Paths of the pins in one turn: side view, {scene.seen}")
    draw_background(axis, scene)
    for pin in pins:
        path = path_of(motion, pin.place)
        if _still(path):
            axis.plot(*path[np.isfinite(path).all(axis=1)][0], marker=6, color=BLACK, markersize=8,
                      fillstyle="none", zorder=4)  # fmt: skip
            continue
        axis.plot(*path.T, color=BLACK, linewidth=PLAIN, zorder=3, label=pin.name)
        for spot in scene.arcs:
            heavy = path_of(arc_of(scene, spot), pin.place)
            axis.plot(*heavy.T, color=BLACK, linewidth=_ARC, zorder=3.5, solid_capstyle="butt")
    _draw_hours(axis, scene, pins)
    write_front(axis)
    scale_bar(axis, (0.94, 0.16), 0.1)
    lines = np.concatenate([path_of(motion, pin.place) for pin in pins])
    notes = [*_names(axis, motion, pins), *_hours(axis, scene, motion, pins)]
    write_notes(axis, notes, lines, kept_free(axis))


def _still(path: Array) -> bool:
    return bool((np.nanmax(path, axis=0) - np.nanmin(path, axis=0)).max() < STANDS)


def draw_background(axis: Axes, scene: Scene) -> Axes:
    """Draw faintly what stands still, and the centre lines at the scene's crank angle.

    Parameters
    ----------
    axis : Axes
        Where to draw; its limits must stand already.
    """
    for body in bodies_of(scene):
        if body.part.fixed:
            fill(axis, side_shapes(body, scene), faint(look_of(body, scene)), 1.0)
    for lines in lines_of(scene).values():
        for line in lines:
            axis.plot(*np.array([scene.place(place) for place in line]).T, color=LIGHT,
                      linewidth=THIN, zorder=2)  # fmt: skip
    x, y = scene.findings.mechanism.axle
    axis.plot(x, y, marker="o", color="1.0", markeredgecolor=BLACK, markersize=6, zorder=2.7)
    axis.plot(x, y, marker="+", color=BLACK, markersize=6, markeredgewidth=0.6, zorder=2.8)
    return axis


def _draw_hours(axis: Axes, scene: Scene, pins: Sequence[PinSeen]) -> None:
    """Draw a dot on each path at each hour of the crank."""
    hours = hour_angles(scene)
    motion = solve_at(scene.findings.course, list(hours.values()))
    main = np.array([hour % 3 == 0 for hour in hours])
    for pin in pins:
        spots = path_of(motion, pin.place)
        if np.isfinite(spots).all(axis=1).any() and not _still(spots):
            for chosen, size in ((main, 5.4), (~main, 3.4)):
                axis.plot(*spots[chosen].T, linestyle="none", marker="o", markersize=size,
                          color=BLACK, markeredgecolor="1.0", markeredgewidth=0.6,
                          zorder=5)  # fmt: skip


def _names(axis: Axes, motion: Motion, pins: Sequence[PinSeen]) -> Iterator[Note]:
    """Yield a note for each path; pins that go together share one."""
    paths = [path_of(motion, pin.place) for pin in pins]
    left = list(range(len(pins)))
    while left:
        first, *rest = left
        same = [k for k in rest if np.nanmax(np.abs(paths[k] - paths[first])) < STANDS]
        group = [pins[k] for k in (first, *same)]
        path = paths[first][np.isfinite(paths[first]).all(axis=1)]
        text = ", ".join(f"{pin.letter} {pin.name}" for pin in group)
        ends = [find(path[:, k]) for find in (np.argmax, np.argmin) for k in (1, 0)]
        spots = tuple(tuple(path[int(end)].tolist()) for end in ends)
        yield Note(text, spots, 17.0, ", ".join(p.letter for p in group), True,
                   tuple(path.mean(axis=0).tolist()))  # fmt: skip
        left = [k for k in rest if k not in same]


def _hours(axis: Axes, scene: Scene, motion: Motion, pins: Sequence[PinSeen]) -> Iterator[Note]:
    """Yield the hours, where a path is large enough: first of the quarters, then the others."""
    hours = hour_angles(scene)
    at = solve_at(scene.findings.course, list(hours.values()))
    (left, right), (width, _) = axis.get_xlim(), axis.get_window_extent().size
    done: list[Array] = []
    first = crank_pin(scene)
    found = []
    for pin in pins:
        path, spots = path_of(motion, pin.place), path_of(at, pin.place)
        size = (np.nanmax(path, axis=0) - np.nanmin(path, axis=0)).max()
        if size / abs(right - left) * width * 72 / axis.figure.dpi < _NUMBERED:
            continue
        if any(np.nanmax(np.abs(spots - other)) < STANDS for other in done):
            continue
        done.append(spots)
        middle = tuple(np.nanmean(path, axis=0).tolist())
        found += [
            (hour % 3 != 0, Note(f"{hour}", (tuple(spot.tolist()),), _BESIDE, away=middle))
            for hour, spot in zip(hours, spots, strict=True)
            if np.isfinite(spot).all() and (pin.place == first or hour % 3 == 0)
        ]
    found.sort(key=lambda item: item[0])
    yield from (note for _, note in found)
