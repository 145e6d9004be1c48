"""The picture of a map of two numbers: words apart, and what is drawn is what was found."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from matplotlib.figure import Figure
from matplotlib.text import Text

from linkage.advice.map import Axis, SlackMap, find_map
from linkage.advice.slack import SHUT, Stop
from linkage.draw import draw_map, picture_bytes
from linkage.draw.regions import regions_of
from linkage.scene.style import HATCHES
from linkage.sheet import Sheet, read_sheet
from linkage.sheet.ready import ready_sheets
from linkage.tightspots import CannotClose, Close
from tests.draw.legible import check_legible

ABOUT = ((None, None), (None, None))
MAPS = {
    "ardmoor-2-6-0": (
        ("right.radius_rod.bend[1].towards_frames", "right.radius_rod.out"),
        ABOUT,
    ),
    "ardmoor-2-6-0-straightened": (("wheels.throw", "connecting_rod.centres"), ABOUT),
    "ardmoor-pacific-5in": (("weighshaft.up", "lifting_link.centres"), ABOUT),
    "slider-crank": (("connecting_rod.centres", "wheels.throw"), ABOUT),
}
SEEN: dict[str, tuple[Sheet, SlackMap]] = {}


def ready(name: str) -> tuple[Sheet, SlackMap]:
    """Return a ready sheet's checked sheet and map, made once for all tests here."""
    if name not in SEEN:
        sheet = read_sheet(ready_sheets()[name])
        SEEN[name] = sheet, find_map(sheet, *MAPS[name], 6)
    return SEEN[name]


def crowded() -> tuple[Sheet, SlackMap]:
    """Return a map with more stops than hatches, some of them only here and there."""
    sheet, _ = ready("slider-crank")
    chance = np.random.default_rng(5)
    parts = [(f"part number {k}", "some other part") for k in range(10)]
    values = np.linspace(1.0, 3.0, 12)
    stops = tuple(
        tuple(
            Stop(float(slack), Close, "right", parts[min(int(k), 9)], 1.0)
            for slack, k in zip(
                chance.normal(-0.1, 0.2, 12),
                2 * abs(i - 6) + chance.integers(0, 3, 12),
                strict=True,
            )
        )
        for i in range(12)
    )
    axes = (Axis("radius_rod.centres", 1.05, False, values), Axis("throw", 2.97, False, values))
    return sheet, SlackMap(axes, stops, Stop(SHUT, CannotClose, "right", ()))


def found_of(name: str) -> tuple[Sheet, SlackMap]:
    return crowded() if name == "crowded" else ready(name)


@cache
def drawn(name: str) -> Figure:
    sheet, found = found_of(name)
    return draw_map(found, sheet)


def words(figure) -> list[str]:
    return [text.get_text() for text in figure.findobj(Text) if text.get_text()]


@pytest.mark.parametrize("name", [*MAPS, "crowded"])
def test_no_words_run_into_each_other_or_off_the_page(name):
    figure = drawn(name)
    check_legible(figure)


@pytest.mark.parametrize("name", [*MAPS, "crowded"])
def test_every_pair_looked_at_lies_in_its_own_region(name):
    _, found = found_of(name)
    regions = regions_of(found, len(HATCHES))
    first, second = (axis.values for axis in found.axes)
    stoppers = list(found.stoppers)
    for i, a in enumerate(first.tolist()):
        for j, b in enumerate(second.tolist()):
            row, column = np.abs(regions.y - b).argmin(), np.abs(regions.x - a).argmin()
            stop = found.stops[i][j]
            if stop.slack >= 0:
                # the nearest fine spot is not the pair itself: it may lie just beyond the edge
                near = regions.kinds[max(row - 1, 0) : row + 2, max(column - 1, 0) : column + 2]
                assert (near == -1).any()
            else:
                own = min(stoppers.index(stop.what), len(HATCHES) - 1)
                near = regions.kinds[max(row - 1, 0) : row + 2, max(column - 1, 0) : column + 2]
                assert (near == own).any()


def test_the_words_on_the_page():
    _, found = ready("ardmoor-2-6-0")
    said = words(drawn("ardmoor-2-6-0"))
    page = " ".join(" ".join(said).split())
    assert "TODAY" in said
    assert "NEAREST FREE" in said
    assert {"A", "B"} <= set(said)
    count = found.free.sum()
    are = "is" if count == 1 else "are"
    assert f"Of {found.free.size} pairs looked at, {count} {are} free." in page
    assert "Today's pair is not free: right-hand side: the radius rod and the motion" in page
    assert "How far out the right radius rod sits [mm]" in said


def test_the_marks_stand_at_their_pairs():
    _, found = ready("ardmoor-2-6-0")
    axis = drawn("ardmoor-2-6-0").axes[0]
    marks = {line.get_marker(): line.get_xydata()[0].tolist() for line in axis.lines}
    assert marks["x"] == pytest.approx(found.now)
    assert marks["D"] == pytest.approx(found.nearest)
    assert axis.get_xlim() == pytest.approx(tuple(found.axes[0].values[[0, -1]]))
    assert axis.get_ylim() == pytest.approx(tuple(found.axes[1].values[[0, -1]]))


def test_todays_pair_outside_the_map_has_no_mark_and_that_is_said():
    sheet, found = ready("ardmoor-2-6-0")
    first, second = found.axes
    found = replace(found, axes=(replace(first, now=99.0), second))
    figure = draw_map(found, sheet)
    assert "x" not in {line.get_marker() for line in figure.axes[0].lines}
    said = " ".join(" ".join(words(figure)).split())
    assert "outside this map" in said
    assert "which lies outside what was looked at, is not free" in said


def test_more_stops_than_hatches_share_the_last():
    _, found = crowded()
    said = words(drawn("crowded"))
    assert len(found.stoppers) > len(HATCHES)
    count = len(found.stoppers) - len(HATCHES) + 1
    assert f"something else, of {count} kinds" in " ".join(said)
    assert chr(65 + len(HATCHES)) not in said


@pytest.mark.parametrize("slack", [0.1, SHUT])
def test_all_alike_is_drawn_without_an_edge(slack):
    sheet, found = ready("slider-crank")
    stop = Stop(slack, Close if slack > 0 else CannotClose, "only", ())
    stops = tuple(tuple(stop for _ in row) for row in found.stops)
    said = words(draw_map(SlackMap(found.axes, stops, stop), sheet))
    assert "edge of what is free" not in said
    assert "TODAY" in said
    assert "NEAREST FREE" not in said


def test_files_are_alike_each_time_and_hold_words_as_text():
    sheet, found = ready("slider-crank")
    first, second = (picture_bytes(draw_map(found, sheet), ".svg") for _ in range(2))
    assert first == second
    assert sheet.title in first.decode()
    assert "edge of what is free" in first.decode()
