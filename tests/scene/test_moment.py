"""A moment as plain values: hand-checkable places, and what was found, nothing painted."""

from __future__ import annotations

import math
import tomllib
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from linkage.clearance import outline_of
from linkage.examine import examine
from linkage.lengths import round_length
from linkage.mechanism import Piece
from linkage.scene.bodies import bodies_of, claimed, common, covers, plan_outline, plan_pieces
from linkage.scene.curves import curve_of, curve_view
from linkage.scene.detail import plan_detail, side_detail
from linkage.scene.dial import dial_view
from linkage.scene.drawing import Arrow, Frame, Paper, Shape, Stroke, View, Words, wrapped
from linkage.scene.moment import moment_of, other_side, standing_moment
from linkage.scene.plan import plan_view, reach
from linkage.scene.side import side_view
from linkage.scene.style import WORDS
from linkage.sheet import sheet_from
from tests.draw.conftest import FOUR_BAR
from tests.ready import examined, ready_names

STILL = np.zeros(3)


def wide(text, letters):
    """Return how wide words are: every letter half as wide as it is high."""
    return 0.5 * letters.size * len(text)


PAPER = Paper(600.0, 200.0, wide)


@cache
def moment(name="ardmoor-2-6-0"):
    examination = examined(name)
    return moment_of(examination, next(iter(examination.spots), None))


def test_a_frame_and_its_paper():
    left = Frame(Paper(200.0, 100.0, wide), (20.0, 0.0), (0.0, 10.0))  # x runs to the left

    assert left.mirrored
    assert left.at(0.25, 0.5) == (15.0, 5.0)
    assert left.points([(15.0, 5.0)]).tolist() == [[50.0, 50.0]]
    assert left.back(50.0, 50.0) == (15.0, 5.0)


def test_words_are_broken_where_there_is_no_more_room():
    """Letters of 4 points: lines of 60 hold 15."""
    assert wrapped("the radius rod fouls it", WORDS, 60.0, wide) == ["the radius rod", "fouls it"]


@pytest.mark.parametrize(("most", "length"), [(0.99, 0.5), (2.0, 2.0), (49.0, 20.0), (7.0, 5.0)])
def test_a_scale_is_of_a_round_length(most, length):
    assert round_length(most) == length


def test_a_flat_bar_from_above_with_round_ends():
    bar = Piece(((0.0, 0.0), (10.0, 0.0)), 1.0, (2.0, 2.0), 0.5)

    assert plan_outline(bar, STILL, round_ends=True)[0] == (-1.0, 2.25)
    assert {x for x, _ in plan_outline(bar, STILL)} == {0.0, 10.0}  # its discs are further pieces
    discs = plan_pieces([bar])[1:]
    assert [plan_outline(disc, STILL)[1] for disc in discs] == [(-1.0, 1.75), (9.0, 1.75)]


def test_a_bar_on_end_is_as_wide_from_above_as_it_is():
    bar = Piece(((0.0, 0.0), (0.0, 10.0)), 1.0, (2.0, 2.0), 0.5)

    assert {x for x, _ in plan_outline(bar, STILL)} == {-1.0, 1.0}


def test_what_two_squares_share():
    square = [(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0)]
    moved = [(x + 1, y + 1) for x, y in square]

    assert sorted(common(square, moved)) == [(1.0, 1.0), (1.0, 2.0), (2.0, 1.0), (2.0, 2.0)]
    assert common(square, [(x + 3, y) for x, y in square]) == []
    assert covers(square, np.array([(1.0, 1.0), (3.0, 1.0)])).tolist() == [True, False]


def test_the_heavy_bodies_are_painted_last_and_the_others_outwards():
    bodies = bodies_of(moment())
    light = [body.out for body in bodies if not body.heavy]

    assert {body.part.name for body in bodies[-2:]} == set(moment().parts)
    assert light == sorted(light)


def test_the_overlap_is_where_the_spot_is():
    shape = np.array(claimed(moment(), above=True))

    assert shape[:, 0].min() < moment().contact.spot[0] < shape[:, 0].max()
    assert np.ptp(shape[:, 1]) >= moment().spot.overlap - 0.005


def test_every_shape_of_the_side_view_is_an_outline_in_place():
    view = side_view(moment(), PAPER)
    drawn = [outline for item in view.items if isinstance(item, Shape) for outline in item.outlines]
    for part in moment().parts_seen:
        for piece in part.pieces:
            x, y, turn = moment().poses[part.name]
            own = np.array(outline_of(piece))
            cos, sin = math.cos(turn), math.sin(turn)
            there = own @ np.array([[cos, sin], [-sin, cos]]) + (x, y)
            assert any(len(o) == len(there) and np.allclose(o, there, atol=1e-9) for o in drawn)


def written(view) -> list[str]:
    return [item.text for item in view.items if isinstance(item, Words)]


def views(here) -> list[View]:
    side = side_view(here, PAPER)
    found = [side, dial_view(here, PAPER)]
    if here.outlined:
        found.append(plan_view(here, Paper(PAPER.width, 150.0, wide), side.frame))
    if here.contact is not None:
        found += [side_detail(here, here.contact, PAPER), plan_detail(here, here.contact, PAPER)]
    return found


@pytest.mark.parametrize("name", ["ardmoor-2-6-0", "four-bar", "ardmoor-0-6-0-coupled"])
def test_every_view_says_where_the_front_is(name):
    for view in views(moment(name)):
        assert any("FRONT" in text for text in written(view)), view.name


@pytest.mark.parametrize("name", ready_names())
def test_the_side_view_has_room_for_all(name):
    here = moment(name)
    frame = side_view(here, PAPER).frame
    low, high = reach(here)
    for item in side_view(here, PAPER).items:
        if isinstance(item, Shape) and item.ink.pen.width:
            at = frame.points(np.concatenate([np.array(o) for o in item.outlines]))
            assert (at >= 0).all()
            assert (at <= (PAPER.width, PAPER.height)).all()
    assert low <= 0 < high


def test_values_are_the_same_each_time():
    assert views(moment()) == views(moment())


def test_no_words_of_a_side_view_share_paper():
    view = side_view(moment(), PAPER)
    boxes = []
    for item in view.items:
        if isinstance(item, Words):
            (x, y), size = view.frame.points([item.place])[0], item.letters.size
            left = x - wide(item.text, item.letters) * (item.across + 1) / 2
            boxes.append((left, y - size * (item.up + 1) / 2, item))
    for i, (x, y, one) in enumerate(boxes):
        for u, v, other in boxes[:i]:
            beside = (
                x + wide(one.text, one.letters) <= u or u + wide(other.text, other.letters) <= x
            )
            assert beside or abs(y - v) >= 8.0, (one.text, other.text)


def test_a_part_without_an_outline_is_a_line_between_its_joints():
    examination = examine(sheet_from(tomllib.loads(FOUR_BAR), ask=False))
    view = side_view(moment_of(examination, None), PAPER)
    lengths = [math.dist(*i.places) for i in view.items
               if isinstance(i, Stroke) and len(i.places) == 2]  # fmt: skip

    for wanted in (10.0, 30.0, 22.0):
        assert any(length == pytest.approx(wanted, abs=1e-9) for length in lengths)


def test_the_other_side_stands_at_the_same_place_of_the_turn():
    here = moment("ardmoor-0-6-0-coupled")
    there = other_side(here)
    of = here.examination.right_hand

    assert there.side != here.side
    assert of(there.side, there.crank) == pytest.approx(of(here.side, here.crank))
    assert len(there.arcs) == len(here.arcs)


def test_the_pointer_of_the_dial_is_at_the_worst_place():
    arrow = next(i for i in dial_view(moment(), PAPER).items if isinstance(i, Arrow))
    angle = math.atan2(-arrow.tip[1], arrow.tip[0]) % (2 * math.pi)

    assert angle == pytest.approx(moment().spot.worst % (2 * math.pi))


def test_the_curve_is_the_pairs_and_ends_where_nothing_was_looked_at():
    curve = curve_of(moment())
    survey, main = moment().findings.survey, curve.lines[-1].values

    assert (np.diff(curve.crank) > 0).all()
    assert np.nanmin(main) == pytest.approx(float(moment().pair.curve.min()))
    assert np.isnan(main).sum() == (moment().pair.curve >= survey.reach - 1e-9).sum()
    assert [level.value for level in curve.levels] == [0.0, moment().pair.asked]


@pytest.mark.parametrize(
    ("name", "title"),
    [
        ("ardmoor-2-6-0", "Clearance of"),
        ("ardmoor-pacific-5in-die-off-slot", "Travel of"),
        ("ardmoor-0-6-0-coupled", "Play needed"),
        ("peaucellier", "Transmission angle"),
    ],
)
def test_the_curve_that_shows_it_best(name, title):
    assert curve_of(moment(name)).title.startswith(title)


@pytest.mark.parametrize(
    ("most", "marks"),
    [
        (1.1, (0.0, 0.5, 1.0)),
        (2.4, (0.0, 0.5, 1.0, 1.5, 2.0)),
        (9.7, (0.0, 2.0, 4.0, 6.0, 8.0)),
        (60.0, (0.0, 20.0, 40.0, 60.0)),
    ],
)
def test_no_share_of_the_play_below_nought_is_written(most, marks):
    """There is none, though the chart has room for words there."""
    binds = examined("ardmoor-0-6-0-rod-long")
    wheels = replace(binds.play.used, used=np.linspace(0.0, most, len(binds.play.used.used)))
    one = moment_of(replace(binds, play=replace(binds.play, used=wheels)), binds.spots[0])
    view = curve_view(one, PAPER)
    assert [at for at, _ in view.ticks.left] == pytest.approx(marks)
    assert [said for _, said in view.ticks.left] == [f"{mark:g}" for mark in marks]


def test_without_a_spot_it_stands_straight_ahead():
    left = standing_moment(moment().examination, None, "left")

    assert left.crank == left.findings.motion.crank[0] < math.radians(1)  # the first sample
