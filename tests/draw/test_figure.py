"""What a picture says: words, angles, which way round. Not its pixels."""

from __future__ import annotations

import math
import re

import matplotlib as mpl
import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.text import Text

from linkage.draw import draw_figure, picture_bytes
from linkage.examine import examine
from linkage.report.spots import say_spot
from linkage.report.words import say_free
from linkage.scene.moment import moment_of
from linkage.sheet import change, sheet_in
from linkage.sheet.blank import blank_sheet
from linkage.sheet.wheel_arrangement import WheelArrangement
from linkage.tightspots import amount_of
from linkage.units import clock
from tests.draw.legible import check_legible
from tests.ready import examined, ready_names


def axis_of(figure, name):
    return next(axis for axis in figure.axes if axis.get_label() == name)


def named(axis, name):
    """Return what of a view has that name: the outlines first painted of it, or its lines."""
    return [artist for artist in axis.get_children() if artist.get_label() == name]


def corners(artist):
    return artist.get_paths()[0].vertices


def words(figure) -> list[str]:
    return [text.get_text() for text in figure.findobj(Text) if text.get_text()]


def svg(figure) -> str:
    return picture_bytes(figure, ".svg").decode()


def test_the_svg_holds_its_words_as_text(right):
    source = svg(draw_figure(right, right.spots[0]))

    for text in (
        "radius rod",
        "motion bracket",
        "overlap",
        "towards the frames",
        "seen from outside",
    ):
        assert text in source
    assert right.sheet.title in source
    assert "Geometry only" in source


def test_the_sentence_is_the_reports(right):
    spot = right.spots[0]
    said = " ".join(" ".join(words(draw_figure(right, spot))).split())

    assert say_spot(right, spot) in said


def test_a_spot_that_is_not_sure_is_said_to_be_touch_and_go(right):
    shallow = change(right.sheet, {"right.radius_rod.bend[1].towards_frames": 0.47})
    found = examine(shallow)
    said = " ".join(words(draw_figure(found, found.spots[0])))
    assert "Touch and go." in " ".join(said.split())
    assert "Touch and go" not in " ".join(words(draw_figure(right, right.spots[0])))


def test_a_free_sheet_says_so_and_shows_its_nearest_pair(free):
    figure = draw_figure(free)
    said = " ".join(" ".join(words(figure)).split())

    assert say_free(free) in said
    least = min(pair.least for side in free.sides.values() for pair in side.survey.pairs)
    assert f"{least:.2f} mm of air, " in said
    assert not named(axis_of(figure, "dial"), "band")


def test_every_view_says_where_the_front_is(right):
    figure = draw_figure(right, right.spots[0])

    for name in ("side", "plan", "dial", "upper", "lower"):
        assert any("FRONT" in text for text in words(axis_of(figure, name))), name


@pytest.mark.parametrize("side", ["right", "left"])
def test_a_side_is_seen_from_outside_it(side, request):
    examination = request.getfixturevalue(side)
    figure = draw_figure(examination, examination.spots[0])

    for name in ("side", "plan", "dial", "upper", "lower"):
        axis = axis_of(figure, name)
        assert axis.xaxis_inverted() == (side == "left")
        front = next(t for t in axis.findobj(Text) if "FRONT" in t.get_text())
        FigureCanvasAgg(figure)
        box = front.get_window_extent(figure.canvas.get_renderer())
        middle = axis.transAxes.transform((0.5, 0.5))[0]
        assert (box.x0 + box.x1 > 2 * middle) == (side == "right")
    assert f"{side} side, seen from outside" in axis_of(figure, "side").get_title(loc="left")


def test_away_from_the_frames_is_down_in_plan_and_its_enlargement(right):
    figure = draw_figure(right, right.spots[0])

    assert axis_of(figure, "plan").yaxis_inverted()
    assert axis_of(figure, "lower").yaxis_inverted()
    assert not axis_of(figure, "side").yaxis_inverted()


@pytest.mark.parametrize("side", ["right", "left"])
def test_the_arc_on_the_dial_is_the_examinations(side, request):
    examination = request.getfixturevalue(side)
    spot = examination.spots[0]
    edge = corners(named(axis_of(draw_figure(examination, spot), "dial"), "band")[0])
    turned = np.unwrap(np.arctan2(-edge[:, 1], edge[:, 0]))
    turned += 2 * math.pi * round((spot.begin - turned[0]) / (2 * math.pi))

    assert turned.min() == pytest.approx(spot.begin)
    assert turned.max() == pytest.approx(spot.end)


@pytest.mark.parametrize("side", ["right", "left"])
def test_the_dial_shows_an_arc_where_the_clock_says(side, request):
    """The middle of the band, on paper, lies in the direction of its hour."""
    examination = request.getfixturevalue(side)
    spot = examination.spots[0]
    axis = axis_of(draw_figure(examination, spot), "dial")
    middle = corners(named(axis, "band")[0]).mean(axis=0)
    at, centre = axis.transData.transform([middle, (0, 0)])
    clockwise = math.degrees(math.atan2(at[0] - centre[0], at[1] - centre[1]))
    hour = clockwise / 30 % 12

    said = clock(side, (spot.begin + spot.end) / 2)
    wanted = float(re.search(r"\d+", said)[0]) + (0.5 if "half" in said else 0.0)
    assert abs((hour - wanted + 6) % 12 - 6) <= 0.25 + 0.02  # said to the half hour; 1 degree drawn


@pytest.mark.parametrize("side", ["right", "left"])
def test_the_shaded_arc_is_the_examinations_in_right_hand_degrees(side, request):
    examination = request.getfixturevalue(side)
    spot = examination.spots[0]
    axis = axis_of(draw_figure(examination, spot), "curve")
    shaded = sorted({(corners(p)[:, 0].min(), corners(p)[:, 0].max()) for p in named(axis, "arc")})
    begin = math.degrees(examination.right_hand(side, spot.begin)) % 360
    end = math.degrees(examination.right_hand(side, spot.end)) % 360
    wanted = [(begin, end)] if begin < end else [(0.0, end), (begin, 360.0)]

    assert np.allclose(shaded, wanted, atol=1e-6)
    said = " ".join(words(axis))
    for word, angle in (("from", begin), ("to", end)):
        assert f"{word} {round(angle) % 360}°" in said


def test_the_curve_drawn_is_the_surveys(right):
    spot = right.spots[0]
    axis = axis_of(draw_figure(right, spot), "curve")
    heavy = max(axis.lines, key=lambda line: line.get_linewidth())
    x, y = heavy.get_data()

    assert np.nanmin(y) == pytest.approx(-amount_of(spot), abs=0.004)  # sampled each degree
    assert x[np.nanargmin(y)] == pytest.approx(math.degrees(spot.worst), abs=1.0)


def test_the_clock_above_the_curve_is_the_sides_own(left):
    axis = axis_of(draw_figure(left, left.spots[0]), "curve")
    (top,) = axis.child_axes
    hours = {
        t.get_text(): at for t, at in zip(top.get_xticklabels(), top.get_xticks(), strict=True)
    }

    for hour, at in hours.items():
        own = math.radians(at) - left.sheet.right_leads_by
        assert clock("left", own) == f"about {hour} o'clock"


def test_parts_without_outlines_are_drawn_as_links(four_bar):
    figure = draw_figure(four_bar)
    said = words(figure)

    for name in ("crank", "coupler", "rocker", "FRONT"):
        assert name in said
    axis = axis_of(figure, "side and plan")
    lengths = [
        float(np.hypot(*np.diff(line.get_xydata(), axis=0).T).sum())
        for line in axis.lines
        if len(line.get_xydata()) == 2
    ]
    for wanted in (10.0, 30.0, 22.0):
        assert any(length == pytest.approx(wanted, abs=1e-9) for length in lengths)


def test_a_dollar_sign_in_a_title_is_a_dollar_sign(four_bar):
    assert "Costs $5 or $6" in svg(draw_figure(four_bar))


@pytest.mark.parametrize("ending", [".svg", ".pdf", ".png"])
def test_the_same_figure_gives_the_same_file(right, ending):
    first, second = (picture_bytes(draw_figure(right, right.spots[0]), ending) for _ in range(2))

    assert first == second


def test_drawing_leaves_matplotlib_as_it_was(free):
    with mpl.rc_context():
        mpl.rcParams["font.size"] = 31.0
        mpl.rcParams["svg.hashsalt"] = "mine"
        before = dict(mpl.rcParams)
        figure = draw_figure(free)
        picture_bytes(figure, ".svg")

        assert dict(mpl.rcParams) == before
    assert max(text.get_fontsize() for text in figure.findobj(Text)) < 20


def test_no_third_decimal_is_written(right):
    for text in words(draw_figure(right, right.spots[0])):
        assert not re.search(r"\d[.,]\d{3}", text), text


@pytest.mark.parametrize("name", ready_names())
def test_no_words_run_into_each_other(name):
    examination = examined(name)
    for spot in (*examination.spots[:3], *([] if examination.spots else [None])):
        figure = draw_figure(examination, spot)
        check_legible(figure)


def test_on_a_sheet_of_guesses_as_many_pairs_are_named_as_fit():
    """Guesses stand alike far apart, so that all that comes near does so at once."""
    text = blank_sheet("walschaerts", "7 mm", WheelArrangement.of("2-6-0"))
    sheet = change(sheet_in(text, "engine.toml"), {"right.union_link.centres": 4.9})
    examination = examine(sheet)
    figure = draw_figure(examination, examination.spots[0])
    check_legible(figure)
    assert sum(" / " in text for text in words(figure)) >= 3


def test_the_nearest_pair_of_one_side_can_be_asked_for(right):
    moment = moment_of(right, None, "left")

    assert moment.side == "left"
    assert moment.pair is right.sides["left"].survey.pairs[0]
