"""One turn as a moving picture: it closes, it is in step, it lights up where it should."""

from __future__ import annotations

import io
import math
import re
import subprocess
from dataclasses import replace
from itertools import pairwise

import imageio_ffmpeg
import numpy as np
import pytest
from PIL import Image

from linkage.draw.paint import paper, text_width
from linkage.film.animation import film
from linkage.film.board import NO_POSITION, board
from linkage.film.movie import gif_bytes, mp4_bytes
from linkage.film.stage import BESIDE, draw_frames
from linkage.film.timing import FLASH, Pace, flashes, time_turn
from linkage.report.spots import say_here
from linkage.scene.drawing import wrapped
from linkage.scene.motion import air_at, poses_at
from linkage.scene.style import HEADING
from linkage.tightspots import amount_of
from tests.ready import examined, ready_names
from tests.voices import MM_BENCH

TURN = 2 * math.pi
FEW = Pace(frames=24, seconds=3.0)
COUNT = 60  # frames of the picture that is looked into closely
STEP = 255 // 15  # from one grey of the palette to the next


@pytest.fixture(scope="module")
def locked():
    return examined("four-bar-cannot-close")


@pytest.fixture(scope="module")
def demonstration():
    return examined("ardmoor-2-6-0")


@pytest.fixture(scope="module")
def pictures(demonstration):
    takes = film(demonstration, None, None, Pace(frames=COUNT))
    return takes[0], list(draw_frames(takes, 640))


def words(take, frame):
    return " ".join(item.text for item in board(paper(194.0, 84.0), take, frame))


def blocks(content):
    """Yield for each image of a GIF whether it has a palette of its own."""
    at = 13 + 3 * 2 ** ((content[10] & 7) + 1)
    while content[at] != 0x3B:
        if content[at] == 0x21:
            at += 2
        else:
            own = bool(content[at + 9] & 0x80)
            yield own
            at += 11 + (3 * 2 ** ((content[at + 9] & 7) + 1) if own else 0)
        while content[at]:
            at += content[at] + 1
        at += 1


def test_the_gif_is_one_turn_in_one_palette(pictures):
    take, frames = pictures
    content = gif_bytes(frames, take.timing.durations)
    image = Image.open(io.BytesIO(content))

    assert image.n_frames == len(frames) == COUNT
    assert image.size == frames[0].shape[::-1] == (640, frames[0].shape[0])
    assert image.info["loop"] == 0
    assert len(content) < 2e6
    assert content[10] & 0x80
    assert list(blocks(content)) == COUNT * [False]
    lasted = 0
    for number, frame in enumerate(frames):
        image.seek(number)
        lasted += image.info["duration"]
        decoded = np.asarray(image.convert("RGB")).astype(int)
        assert np.ptp(decoded, axis=2).max() == 0
        assert np.abs(decoded[:, :, 0] - frame).max() <= STEP / 2 + 1
    assert lasted == 8000


def test_frames_alike_are_kept(pictures):
    frame = pictures[1][0]
    image = Image.open(io.BytesIO(gif_bytes(3 * [frame], (100, 200, 300))))

    assert image.n_frames == 3


def test_the_mp4_is_one_turn(pictures, tmp_path):
    frames = pictures[1]
    path = tmp_path / "turn.mp4"
    path.write_bytes(mp4_bytes(frames, 8000, "turn.mp4"))
    decoded = subprocess.run(
        [imageio_ffmpeg.get_ffmpeg_exe(), "-i", path, "-f", "rawvideo", "-pix_fmt", "gray", "-"],
        capture_output=True, check=True,
    )  # fmt: skip
    told = decoded.stderr.decode()
    rows, columns = frames[0].shape
    film = np.frombuffer(decoded.stdout, dtype=np.uint8).reshape(-1, rows, columns)

    assert "Duration: 00:00:08.00" in told
    assert re.search(rf"Video: h264 .*yuv420p.* {columns}x{rows}", told)
    assert len(film) == COUNT
    off = np.abs(film.astype(int) - np.array(frames)).mean(axis=(1, 2))
    assert off.max() < 4  # greys of 255: coding loses a little at edges, a wrong frame 6 and more


def test_the_loop_closes_without_a_jump(pictures):
    frames, outside = np.array(pictures[1]).astype(int), pictures[0].active < 0
    pairs = [(a, b) for a, b in pairwise(range(COUNT)) if outside[a] and outside[b]]
    apart = [np.abs(frames[a] - frames[b]).mean() for a, b in pairs]

    assert outside[0]
    assert outside[-1]
    assert np.abs(frames[-1] - frames[0]).mean() <= max(apart)
    assert np.abs(frames[COUNT // 4] - frames[0]).mean() > max(apart)


@pytest.mark.parametrize("slow", [True, False])
def test_exactly_one_turn(demonstration, slow):
    (take,) = film(demonstration, None, None, Pace(slow=slow))
    steps = np.diff([*take.timing.crank, take.timing.crank[0] + TURN])

    assert (steps > 0).all()
    assert steps.sum() == pytest.approx(TURN)
    assert steps[-1] < 1.2 * steps.max()
    inside = take.active >= 0
    if slow:
        assert steps[inside].mean() < 0.5 * steps[~inside].mean()
        assert take.timing.slow[inside].all()
    else:
        assert np.allclose(steps, TURN / 120)
        assert not take.timing.slow.any()


def test_backwards_is_the_reverse_order(demonstration):
    (ahead,) = film(demonstration, None, None, Pace())
    (back,) = film(demonstration, None, None, Pace(backwards=True))
    order = (-np.arange(120)) % 120

    assert np.array_equal(back.timing.crank, ahead.timing.crank[order])
    assert np.array_equal(back.active, ahead.active[order])
    for name, pose in back.poses.items():
        assert np.allclose(pose, ahead.poses[name][order], atol=1e-9)


def test_each_frame_is_the_motion_at_its_angle(demonstration):
    (take,) = film(demonstration, None, None, FEW)

    for frame in (0, 7, 23):
        poses = poses_at(take.moments[0].findings, float(take.crank[frame]))
        for name, pose in take.moment(frame).poses.items():
            assert np.allclose(pose, poses[name], atol=1e-9)


def test_the_spot_lights_up_and_only_there(demonstration):
    (take,) = film(demonstration, None, None, FEW)
    spot = take.moments[0].spot
    inside = (take.crank >= spot.begin) & (take.crank <= spot.end)

    assert np.array_equal(take.active >= 0, inside)
    assert 0 < take.lit.sum() < inside.sum()
    assert not take.lit[~inside].any()
    without = replace(take, active=np.full(24, -1), lit=np.zeros(24, dtype=bool))
    shown, dark = (list(draw_frames((each,), 640)) for each in (take, without))
    for frame in range(24):
        changed = (np.abs(dark[frame].astype(int) - shown[frame]) > 128).sum()
        if not inside[frame]:
            assert changed == 0
        elif take.lit[frame]:
            assert 5000 < changed < 0.1 * dark[frame].size  # no flicker of the whole picture
        else:
            assert 500 < changed < 5000


@pytest.mark.parametrize("name", ready_names())
@pytest.mark.parametrize("pace", [Pace(), Pace(frames=150, seconds=3.0), Pace(backwards=True)])
def test_no_more_than_two_flashes_a_second(name, pace):
    (take,) = film(examined(name), None, None, pace)
    starts = np.array([0, *take.timing.ends[:-1]])
    onsets = starts[take.lit & ~np.roll(take.lit, 1)]
    gaps = np.diff([*onsets, onsets[0] + take.timing.ends[-1]]) if len(onsets) else []

    assert (take.active >= 0).any() == any(moment.spot for moment in take.moments)
    assert len(onsets) > 0 or not (take.active >= 0).any()
    assert all(gap >= min(FLASH, take.timing.ends[-1]) for gap in gaps)
    assert sum(take.timing.durations) == pace.seconds * 1000


def test_flashes_far_apart_of_spots_close_together():
    ends = [100 * (k + 1) for k in range(40)]
    inside = np.array([k % 4 < 2 for k in range(40)])
    lit = flashes(inside, ends)
    onsets = np.flatnonzero(lit & ~np.roll(lit, 1)) * 100

    assert len(onsets) > 3
    assert min(np.diff([*onsets, onsets[0] + 4000])) >= FLASH
    assert not lit[~inside].any()


def test_a_lock_is_held_and_said(locked):
    (take,) = film(locked, None, None, Pace())
    spot = take.moments[0].spot
    held = np.flatnonzero(take.held)

    assert len(held) > 10
    gap = (take.crank > spot.begin) & (take.crank < spot.end)
    assert np.array_equal(take.held, gap)
    assert all(np.isfinite(pose).all() for pose in take.poses.values())
    for name, pose in take.poses.items():
        assert (pose[held] == pose[held[0]]).all()
        near = poses_at(take.moments[0].findings, spot.begin - 1e-4)[name]
        assert np.allclose(pose[held[0]], near, atol=0.1)  # mm: 1e-4 rad before it stops
    said = words(take, int(held[3]))
    assert "LOCKED" in said
    assert NO_POSITION in said


def test_backwards_it_locks_at_the_other_end(locked):
    (take,) = film(locked, None, None, Pace(backwards=True))
    spot = take.moments[0].spot

    assert np.allclose(take.stands[take.held], spot.end % TURN)


def test_words_on_the_board(demonstration):
    (take,) = film(demonstration, None, None, Pace())
    frame = int(np.flatnonzero(take.lit)[0]) + 20
    spot = demonstration.spots[0]
    said = words(take, frame)

    findings = demonstration.where(spot)
    overlap = -air_at(findings, spot.clearance.parts, take.crank[[frame]])[0]
    assert f"FOULS HERE {overlap:.2f} mm" in said
    assert round(overlap, 2) < round(amount_of(spot), 2)  # it is not at its worst here
    assert "slowly" in said
    assert "turned forwards" in said
    assert f"right-hand crank {round(math.degrees(take.crank[frame]))} degrees" in said


@pytest.mark.parametrize("name", ready_names())
def test_every_spot_has_words_that_fit(name):
    for spot in examined(name).spots:
        said = say_here(spot, MM_BENCH)
        assert not amount_of(spot) or f"{amount_of(spot):.2f} mm" in said
        assert sum(len(wrapped(line, HEADING, 176, text_width)) for line in said.split("\n")) <= 2


def test_the_amount_grows_to_its_worst_and_is_said_as_such_where_no_more_is_known(demonstration):
    (take,) = film(demonstration, None, None, Pace())
    spot = demonstration.spots[0]
    said = [words(take, int(frame)) for frame in np.flatnonzero(take.active >= 0)]
    amounts = {text.partition("FOULS HERE ")[2].partition(" mm")[0] for text in said}
    assert f"{amount_of(spot):.2f}" in amounts
    assert len(amounts) > 5
    assert max(amounts) == f"{amount_of(spot):.2f}"


def test_a_lock_is_said_with_what_it_is_short_of_at_worst(locked):
    (take,) = film(locked, None, None, Pace())
    said = words(take, int(np.flatnonzero(take.held)[2]))
    assert "short at worst" in said


def test_before_and_after_are_in_step(demonstration):
    after = examined("ardmoor-2-6-0-straightened")
    before_take, after_take = film(demonstration, after, None, FEW)

    assert (before_take.label, after_take.label) == ("BEFORE", "AFTER")
    assert np.array_equal(before_take.timing.crank, after_take.timing.crank)
    assert after_take.moments[0].parts == before_take.moments[0].parts
    assert not after_take.lit.any()
    takes = (before_take, after_take)
    above, beside = (next(draw_frames(takes, width)) for width in (640, BESIDE))
    assert above.shape[1] == 640
    assert beside.shape[1] == BESIDE
    assert above.shape[0] > above.shape[1]
    assert beside.shape[0] < beside.shape[1]
    half = above.shape[0] // 2
    crank = np.s_[half - 170 : half - 10, :230]
    assert above.shape[0] % 2 == 0
    assert not np.array_equal(above[crank], above[half:][crank])  # the dial's arc is gone


@pytest.mark.parametrize("name", ready_names())
def test_every_ready_sheet(name):
    takes = film(examined(name), None, None, FEW)
    frames = list(draw_frames(takes, 320))

    assert len({frame.tobytes() for frame in frames}) == 24
    rows, columns = frames[0].shape
    assert columns == 320
    assert rows % 2 == 0
    content = gif_bytes(frames, takes[0].timing.durations)
    assert Image.open(io.BytesIO(content)).n_frames == 24


def test_the_largest_ready_sheet_is_small_enough():
    """Peaucellier's cell: nothing but lines that move, and nine names that lead to them."""
    takes = film(examined("peaucellier"), None, None, Pace())
    content = gif_bytes(draw_frames(takes, 640), takes[0].timing.durations)

    assert len(content) < 2e6


def test_the_left_side_is_shown_from_outside_it():
    coupled = examined("ardmoor-0-6-0-coupled")
    (left,) = film(coupled, None, "left", FEW)
    (right,) = film(coupled, None, "right", FEW)

    assert left.moments[0].mirrored
    assert not right.moments[0].mirrored
    assert np.array_equal(left.active >= 0, right.active >= 0)  # it concerns both
    assert left.moments[0].spot.side == "both"


def test_arcs_that_fill_the_turn_are_slow_about_their_worst():
    timing = time_turn(Pace(), [(0.0, math.pi, TURN)])

    assert 0 < timing.slow.mean() < 0.6
    steps = np.diff([*timing.crank, TURN])
    assert np.argmin(steps) in range(40, 80)
