"""Curves over the turn: clearances, travels, transmission angles, with the clock above them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes

from linkage.arrays import Array
from linkage.clearance import PairClearance
from linkage.clearance.near import WITHIN
from linkage.draw.labels import box_points, spread, text_width
from linkage.draw.scene import Scene
from linkage.draw.style import BLACK, FOUL_HATCH, GREY, LIGHT, SMALL, THIN
from linkage.kinematics import transmission_angles
from linkage.play import PlayFindings
from linkage.tightspots import (
    LEAST_TRANSMISSION,
    CannotClose,
    Close,
    PlayUsedUp,
    RunsOff,
    TightSpot,
)

_TURN = 360.0
_NAMED = 5  # at most so many of the other pairs are named


@dataclass(frozen=True)
class Line:
    """A curve over the survey's crank angles, or a level [mm or degrees]."""

    values: Array
    name: str


def draw_curve(axis: Axes, scene: Scene) -> Axes:
    """Draw the curve that shows a finding best against the right-hand crank's angle.

    Parameters
    ----------
    axis : Axes
        Where to draw; its box must stand already.
    """
    spot = scene.spot
    play = scene.examination.play
    if play is not None and (spot is None or isinstance(spot, PlayUsedUp)):
        _draw_play(axis, play)
    elif isinstance(spot, RunsOff):
        _draw_travel(axis, scene, spot)
    elif scene.pair is not None or (isinstance(spot, CannotClose) and scene.outlined):
        _draw_clearances(axis, scene)
    else:
        _draw_transmission(axis, scene)
    frame_turn(axis, scene)
    for found in scene.arcs:
        shade(axis, scene, found)
    _write_angles(axis, scene)
    return axis


def right_hand_degrees(scene: Scene, angle: float) -> float:
    """Return a side's own crank angle as the right-hand crank's.

    Parameters
    ----------
    angle : float [rad]
        The side's own.

    Returns
    -------
    float [degrees]
        The right-hand crank's, not brought into one turn.
    """
    return math.degrees(scene.examination.right_hand(scene.side, angle))


def crank_word(scene: Scene) -> str:
    """Return whose crank the degrees are of."""
    return "crank" if scene.side == "only" else "right-hand crank"


def over_turn(scene: Scene, values: Array) -> tuple[Array, Array]:
    """Return a curve in order of the right-hand crank's degrees, closed at the ends.

    Parameters
    ----------
    values : array, shape (N,) [mm or rad or degrees]
        At the survey's crank angles.

    Returns
    -------
    crank, values : array, shape (N + 2,) [degrees, and as given]
        From just before 0 to 360 or just after.
    """
    crank = np.degrees(scene.findings.survey.crank)
    crank = (crank + right_hand_degrees(scene, 0.0)) % _TURN
    order = np.argsort(crank)
    x, y = crank[order], values[order]
    x = np.concatenate((x[-1:] - _TURN, x, x[:1] + _TURN))
    return x, np.concatenate((y[-1:], y, y[:1]))


def _draw_clearances(axis: Axes, scene: Scene) -> None:
    """Draw the pair's clearance, the others thin, no air and the air wanted."""
    survey, wanted = scene.findings.survey, scene.examination.sheet.wanted_clearance
    whose = f"of {' and '.join(scene.pair.parts)}" if scene.pair is not None else "of all pairs"
    axis.set_title(f"Clearance {whose}, mm")
    others = [pair for pair in survey.pairs if pair is not scene.pair]
    for pair in others:
        axis.plot(*over_turn(scene, pair.curve), color=LIGHT, linewidth=THIN, zorder=2)
    asked = scene.pair.asked if scene.pair is not None else wanted
    lows = [pair.least for pair in survey.pairs] or [0.0]
    low, high = min(0.0, *lows), max(3 * asked, 2.5 * abs(min(lows)), 0.05)
    axis.set_ylim(low - 0.25 * (high - low), high)
    if scene.pair is not None:
        axis.plot(*over_turn(scene, scene.pair.curve), color=BLACK, linewidth=1.8, zorder=4)
    axis.axhline(0.0, color=BLACK, linewidth=1.0, zorder=3)
    axis.axhline(asked, color=BLACK, linewidth=0.8, dashes=(6, 3), zorder=3)
    at_edge(axis, [(0.0, "0: they touch"), (asked, f"{asked:.2f} wanted")])
    _name_others(axis, scene, [pair for pair in others if pair.least < 2 * wanted - WITHIN])


def at_edge(axis: Axes, levels: Sequence[tuple[float, str]]) -> Axes:
    """Write what levels mean, outside the right edge; those too near one another a little apart.

    Parameters
    ----------
    axis : Axes
        Where to draw; its limits must stand already.
    levels : sequence of (float, str) [mm or degrees]
        Levels of the curve, and the words for them.
    """
    low, high = axis.get_ylim()
    points = box_points(axis)[1] / (high - low)
    above = -math.inf  # the top of the last line written [points]
    for level, text in sorted(levels):
        by = max(0.0, above + SMALL / 2 - level * points)
        above = level * points + by + SMALL / 2
        axis.annotate(
            text, (1.0, level), (4, by), xycoords=("axes fraction", "data"),
            textcoords="offset points", va="center", ha="left", fontsize=SMALL,
            annotation_clip=False,
        )  # fmt: skip
    return axis


def _name_others(axis: Axes, scene: Scene, pairs: Sequence[PairClearance]) -> None:
    """Name other pairs that come near, each at its least."""
    width, _ = box_points(axis)
    spots = sorted(
        ((right_hand_degrees(scene, pair.at) % _TURN, pair) for pair in pairs[:_NAMED]),
        key=lambda item: item[0],
    )
    names = [f"{pair.parts[0]} / {pair.parts[1]}" for _, pair in spots]
    widths = [text_width(name, SMALL, False) for name in names]
    places = spread([at / _TURN * width for at, _ in spots], widths, width)
    for (at, pair), name, place in zip(spots, names, places, strict=True):
        axis.annotate(
            name, (at, pair.least), (place / width, 0.72), textcoords="axes fraction",
            ha="center", va="center", fontsize=SMALL, color=GREY, zorder=6,
            arrowprops={"arrowstyle": "-", "linewidth": THIN, "color": GREY},
            bbox={"facecolor": "1.0", "edgecolor": "none", "pad": 0.5},
        )  # fmt: skip


def _draw_travel(axis: Axes, scene: Scene, spot: RunsOff) -> None:
    """Draw the travel that runs off, and where its ends are."""
    travel = spot.run_off.travel
    values = scene.findings.motion.travel(travel.joint)
    axis.set_title(f"Travel of the {travel.part} round the turn, mm")
    axis.plot(*over_turn(scene, values), color=BLACK, linewidth=1.8, zorder=4)
    ends = [(travel.least, "rear end"), (travel.most, "front end")]
    if travel.joint in {j.name for j in scene.joints_seen if hasattr(j, "curvature")}:
        ends = [(travel.least, "one end"), (travel.most, "other end")]
    ends = [(level, name) for level, name in ends if math.isfinite(level)]
    for level, _ in ends:
        axis.axhline(level, color=BLACK, linewidth=0.8, dashes=(6, 3), zorder=3)
    at_edge(axis, ends)
    seen = [*values[np.isfinite(values)].tolist(), *(level for level, _ in ends)]
    low, high = min(seen), max(seen)
    axis.set_ylim(low - 0.45 * (high - low), high + 0.12 * (high - low))


def _draw_play(axis: Axes, play: PlayFindings) -> None:
    """Draw how much of their play the coupled wheels need."""
    axis.set_title("Play needed by the coupled wheels, 1: all there is")
    x, y = np.degrees(play.used.crank), play.used.used
    axis.plot(np.append(x, 360.0), np.append(y, y[0]), color=BLACK, linewidth=1.8)
    axis.set_ylim(-0.3 * max(1.1, float(y.max())), 1.1 * max(1.1, float(y.max())))
    axis.axhline(1.0, color=BLACK, linewidth=1.0, linestyle=(0, (6, 2)), zorder=1)
    axis.axhline(0.0, color=GREY, linewidth=0.8, zorder=1)
    at_edge(axis, [(1.0, "1: it binds")])


def _draw_transmission(axis: Axes, scene: Scene) -> None:
    """Draw how squarely the links push."""
    angles = transmission_angles(scene.findings.motion)
    axis.set_title("Transmission angle, degrees: 90 best, 0 a dead point")
    axis.set_ylim(-28, 96)
    axis.set_yticks([0, 30, 60, 90])
    styles: list[tuple[float, str | tuple[int, tuple[float, ...]]]] = [
        (1.8, "-"),
        (1.0, (0, (6, 2))),
        (1.0, (0, (2, 1.5))),
        (1.0, (0, (8, 2, 2, 2))),
    ]
    groups = sorted(angles, key=lambda parts: not scene.spot or parts != scene.spot.parts)
    for (width, style), parts in zip(styles, groups, strict=False):
        x, y = over_turn(scene, np.degrees(angles[parts]))
        axis.plot(x, y, color=BLACK, linewidth=width, linestyle=style, label=_short(parts))
    limit = float(np.degrees(LEAST_TRANSMISSION))
    axis.axhline(limit, color=GREY, linewidth=0.8, zorder=1)
    at_edge(axis, [(limit, f"{limit:.0f}: apt to jam")])
    axis.legend(
        loc="upper left", bbox_to_anchor=(1.21, 1.0), fontsize=SMALL, frameon=False, borderpad=0.0,
        borderaxespad=0.0, handlelength=4.0,
    )  # fmt: skip


def _short(parts: tuple[str, ...]) -> str:
    """Return the names of a group, no more than two of them."""
    return " and ".join(parts) if len(parts) < 3 else f"{parts[0]} to {parts[-1]}"


def frame_turn(axis: Axes, scene: Scene) -> Axes:
    """Set the turn along the bottom in degrees, and as the side's own clock along the top."""
    axis.set_xlim(0.0, _TURN)
    axis.set_xticks(np.arange(0, 361, 30))
    axis.tick_params(labelsize=SMALL, width=0.6)
    axis.set_xlabel(f"{crank_word(scene)}, degrees (0 straight ahead, growing in forward running)",
                    fontsize=SMALL, labelpad=1.5)  # fmt: skip
    top = axis.secondary_xaxis("top")
    hours = list(range(1, 13))
    own = [(30 * (9 - hour if scene.mirrored else hour - 3)) % 360 for hour in hours]
    at = [(angle + right_hand_degrees(scene, 0.0)) % _TURN for angle in own]
    top.set_xticks(at, [f"{hour}" for hour in hours])
    top.tick_params(labelsize=SMALL, width=0.6, pad=1.0)
    whose = "" if scene.side == "only" else f", {scene.side} side"
    axis.set_title(f"o'clock{whose}, seen from outside", loc="right", fontsize=SMALL,
                   fontweight="normal")  # fmt: skip
    return axis


def shade(axis: Axes, scene: Scene, spot: TightSpot) -> Axes:
    """Shade and hatch an arc; one that passes the end of the turn comes in again at its start."""
    begin = right_hand_degrees(scene, spot.begin)
    shift = _TURN * math.floor(begin / _TURN)
    begin, end = begin - shift, right_hand_degrees(scene, spot.end) - shift
    if end == begin:
        axis.axvline(begin, color=BLACK, linewidth=1.4)
    hatch = "///" if isinstance(spot, Close) else FOUL_HATCH
    for low, high in ((begin, min(end, _TURN)), (0.0, end - _TURN)):
        if high > low:
            axis.axvspan(low, high, facecolor="0.93", edgecolor=LIGHT, hatch=hatch,
                         linewidth=0.0, zorder=1)  # fmt: skip
            axis.axvspan(low, high, facecolor="none", edgecolor=BLACK, linewidth=0.7, zorder=1.1)
    return axis


def _write_angles(axis: Axes, scene: Scene) -> None:
    """Write where each arc begins, is worst and ends, along the bottom."""
    if scene.spot is None:
        marks = [] if scene.pair is None else [(scene.crank, "least")]
    else:
        marks = _marks(scene.arcs)
    width, height = box_points(axis)
    items = sorted((right_hand_degrees(scene, angle) % _TURN, word) for angle, word in marks)
    texts = [f"{word} {round(at) % 360}°" for at, word in items]
    widths = [text_width(text, SMALL, True) for text in texts]
    places = spread([at / _TURN * width for at, _ in items], widths, width)
    for (at, _), text, place in zip(items, texts, places, strict=True):
        axis.annotate(
            text, (at, 22 / height), (place / width, 9 / height),
            xycoords=("data", "axes fraction"), textcoords="axes fraction",
            ha="center", va="center", fontsize=SMALL, fontweight="bold", zorder=7,
            arrowprops={"arrowstyle": "-", "linewidth": 0.7},
            bbox={"facecolor": "1.0", "edgecolor": "none", "pad": 0.8},
        )  # fmt: skip


def _marks(spots: Sequence[TightSpot]) -> list[tuple[float, str]]:
    """Return the angles to write, with their words; those of the spot drawn in full."""
    first, *others = spots
    if first.end == first.begin:
        marks = [(first.worst, "at")]
    elif first.end - first.begin >= 2 * math.pi - 1e-9:
        marks = [(first.worst, "all round, worst")]
    else:
        marks = [(first.begin, "from"), (first.worst, "worst"), (first.end, "to")]
    return marks + [(spot.worst, "again") for spot in others[:4]]
