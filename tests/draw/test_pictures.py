"""The pictures of the motion: what is drawn and written is what the motion is."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest
from matplotlib.text import Text

from linkage.draw import Wanted, draw_picture, picture_bytes
from linkage.errors import OutputError
from linkage.kinematics import solve_at, transmission_angles
from tests.draw.legible import check_legible
from tests.ready import examined, ready_names

SHOWS = ("mechanism", "paths", "positions", "angles")
BOTH = ("ardmoor-2-6-0", "ardmoor-0-6-0-both-long")  # drawn from the left as well


def picture(name: str, show: str, **more):
    examination = examined(name)
    spot = next((s for s in examination.spots if more.get("side") in (None, s.side)), None)
    return draw_picture(examination, Wanted(show, **{"spot": spot, **more}))


def axis_of(figure, name):
    return next(axis for axis in figure.axes if axis.get_label() == name)


def words(figure) -> list[str]:
    return [text.get_text() for text in figure.findobj(Text) if text.get_text()]


def cells(figure, name: str) -> list[str]:
    """Return the written line of the table that has a name in it."""
    at = next(t for t in figure.texts if t.get_text() == name)
    row = [t for t in figure.texts if abs(t.get_position()[1] - at.get_position()[1]) < 1e-9]
    row = sorted(row, key=lambda t: t.get_position()[0])
    start = row.index(at)
    ends = [k for k, t in enumerate(row) if k > start and re.fullmatch("[A-Z]+", t.get_text())]
    return [t.get_text() for t in row[start : ends[0] if ends else None]]


@pytest.mark.parametrize("show", SHOWS)
@pytest.mark.parametrize("name", ready_names())
def test_no_words_run_into_each_other_or_off_the_page(name, show):
    for side in [None, "left"] if name in BOTH and show != "angles" else [None]:
        figure = picture(name, show, side=side)
        check_legible(figure)
        assert tuple(figure.get_size_inches()) == pytest.approx((11.69, 8.27))


@pytest.mark.parametrize("count", [24, 36])
@pytest.mark.parametrize("name", ["ardmoor-pacific-5in-whole", "ardmoor-2-8-2-baker"])
def test_many_positions_are_numbered_legibly(name, count):
    check_legible(picture(name, "positions", count=count))


@pytest.mark.parametrize("name", ready_names())
def test_every_part_and_every_joint_is_named(name):
    for side, findings in examined(name).sides.items():
        said = words(picture(name, "mechanism", side=side))
        unseen = {part.name for part in findings.mechanism.parts if part.unseen}
        for part in findings.mechanism.parts:
            if part.name not in unseen:
                assert any(part.name in text for text in said), part.name
        for joint in findings.mechanism.joints:
            if not {joint.a.part, joint.b.part} & unseen:
                assert joint.name in said


@pytest.mark.parametrize(
    "name", ["ardmoor-2-6-0", "chebyshev", "ardmoor-2-6-0-return-crank-slipped"]
)
def test_a_path_drawn_is_the_motions(name):
    side, findings = next(iter(examined(name).sides.items()))
    axis = axis_of(picture(name, "paths", side=side), "paths")
    drawn = {line.get_label(): line.get_xydata() for line in axis.lines}
    moving = 0
    for joint in findings.mechanism.joints:
        if joint.name not in drawn:  # it stands still
            continue
        moving += 1
        path = solve_at(findings.course, np.radians(np.arange(0.0, 360.0, 15.0))).joint(joint.name)
        for spot in path[np.isfinite(path).all(axis=1)]:
            far = np.hypot(*(drawn[joint.name] - spot).T)
            assert np.nanmin(far) < 1e-9, joint.name
    assert moving >= 3


@pytest.mark.parametrize("name", ["slider-crank", "ardmoor-2-6-0"])
def test_the_crossheads_travel_in_line_is_twice_the_throw(name):
    findings = next(iter(examined(name).sides.values()))
    pin = next(j for j in findings.mechanism.joints if j.name == "crank pin")
    throw = math.hypot(pin.a.x, pin.a.y)

    assert cells(picture(name, "paths"), "crosshead slide")[-1] == f"{2 * throw:.2f}"
    assert cells(picture(name, "paths"), "crank pin")[1] == f"{throw:.2f} behind to {throw:.2f}"


def test_the_straight_line_of_the_cell_is_straight_as_drawn_and_as_written():
    figure = picture("peaucellier", "paths")
    line = next(n for n in axis_of(figure, "paths").lines if n.get_label() == "tracing pin")
    x, y = line.get_data()

    assert np.ptp(x) < 1e-9
    assert np.ptp(y) > 10
    assert " to " not in cells(figure, "tracing pin")[1]


def test_the_tight_arc_is_heavy_on_the_paths():
    spot = examined("ardmoor-2-6-0").spots[0]
    axis = axis_of(picture("ardmoor-2-6-0", "paths"), "paths")
    heavy = [line.get_xydata() for line in axis.lines if line.get_linewidth() > 3]
    findings = examined("ardmoor-2-6-0").sides["right"]
    ends = solve_at(findings.course, np.mod([spot.begin, spot.end], 2 * np.pi)).joint("crank pin")

    assert any(np.allclose(line[[0, -1]], ends, atol=1e-9) for line in heavy)


def test_paths_have_a_gap_where_a_loop_cannot_close_and_it_is_said():
    figure = picture("four-bar-cannot-close", "paths")
    line = next(n for n in axis_of(figure, "paths").lines if n.get_label() == "arm pin")

    assert np.isnan(line.get_ydata()).any()
    assert "Nothing but the crank has a place there." in " ".join(" ".join(words(figure)).split())


@pytest.mark.parametrize("count", [2, 12, 24, 36])
@pytest.mark.parametrize("side", ["right", "left"])
def test_positions_stand_at_equal_steps_of_the_crank(side, count):
    axis = axis_of(picture("ardmoor-2-6-0", "positions", side=side, count=count), "positions")
    turned = []
    for k in range(count):
        line = next(n for n in axis.lines if n.get_label() == f"position {k}")
        axle, pin = line.get_xydata()[:2]
        turned.append(math.atan2(-(pin - axle)[1], (pin - axle)[0]) % (2 * math.pi))

    wanted = 2 * math.pi * np.arange(count) / count
    assert np.allclose(np.angle(np.exp(1j * (np.array(turned) - wanted))), 0.0, atol=1e-9)
    assert not any(n.get_label() == f"position {count}" for n in axis.lines)
    written = [t for t in words(axis) if t.endswith("°") and not t.startswith("heavy")]
    assert len(written) == count


@pytest.mark.parametrize("name", ["ardmoor-2-6-0", "peaucellier", "four-bar-cannot-close"])
def test_the_least_angle_written_is_the_motions(name):
    figure = picture(name, "angles")
    for side, findings in examined(name).sides.items():
        said = words(axis_of(figure, f"angles {side}"))
        for values in transmission_angles(findings.motion).values():
            least = math.degrees(np.nanmin(values))
            assert any(text.endswith(f" {least:.1f}°") for text in said), (side, least)
        assert "15: apt to jam" in said


@pytest.mark.parametrize("show", SHOWS[:3])
@pytest.mark.parametrize("side", ["right", "left"])
def test_every_view_is_seen_from_outside_with_its_front_marked(side, show):
    figure = picture("ardmoor-2-6-0", show, side=side)
    assert f"{side} side, seen from outside" in " ".join(
        axis.get_title(loc="left") for axis in figure.axes
    )
    for axis in figure.axes:
        assert axis.xaxis_inverted() == (side == "left")
        assert "FRONT" in words(axis)


def test_the_mechanism_is_drawn_at_the_angle_asked_for():
    figure = picture("ardmoor-2-6-0", "mechanism", side="left", at=math.radians(30))

    assert any("right-hand crank 30 degrees" in text for text in words(figure))


def test_an_angle_at_which_a_loop_cannot_close_is_refused():
    with pytest.raises(OutputError, match=r"180 degrees .* a loop cannot close"):
        picture("four-bar-cannot-close", "mechanism", at=math.pi)


@pytest.mark.parametrize("show", SHOWS)
def test_the_svg_holds_its_words_as_text_and_files_are_alike_each_time(show):
    first, second = (picture_bytes(picture("slider-crank", show), ".svg") for _ in range(2))

    assert first == second
    assert examined("slider-crank").sheet.title in first.decode()
    assert (
        "connecting rod" in first.decode() or "little end" in first.decode() or show == "positions"
    )


@pytest.mark.parametrize("count", [24, 36])
@pytest.mark.parametrize("name", ["ardmoor-2-6-0", "ardmoor-0-6-0-7mm"])
def test_many_positions_can_be_read(name, count):
    check_legible(picture(name, "positions", count=count))
