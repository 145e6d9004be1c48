"""Straight and bent rods: lengths against published segments, pieces by hand."""

import math

import pytest

from linkage.arrangements.lifting import LiftingLink
from linkage.arrangements.rods import bow_chord, eye_to_eye, rod_pieces
from linkage.tables.rods import Rod


def rod(centres=60.0, bends=(), **more):
    return Rod.model_validate(
        {"centres": centres, "width": 2.0, "thickness": 0.8, "out": 3.0, "bend": list(bends)} | more
    )


def bend(kind, start="rear", **more):
    return {"kind": kind, "from": start} | more


def straight(*bends, centres=60.0):
    return eye_to_eye(rod(centres, bends, centres_measured="straight"))


# Machinery's Handbook, 31st ed. (2020), p. 83: arc 1, 45 degrees; chord 21, height 6.
@pytest.mark.parametrize(
    ("arc", "sag", "chord"), [(1.0, 0.096919589, 0.97449536), (25.308373, 6.0, 21.0)]
)
def test_segments_of_circles(arc, sag, chord):
    assert bow_chord(arc, sag) == pytest.approx(chord, rel=1e-7)  # as printed


# Chord = arc sin(b)/b, sag = arc (1 - cos b)/(2 b): loss of a 60 mm rod, worked to 5 decimals.
@pytest.mark.parametrize(("sag", "loss"), [(0.5, 0.01111), (1.0, 0.04447), (2.0, 0.17815)])
def test_a_bow_shortens_a_rod(sag, loss):
    assert 60 - straight(bend("bow", towards_frames=sag)) == pytest.approx(loss, abs=0.5e-5)
    # 8 h^2 / (3 S), good to 0.3 % for h / S up to 1/30
    assert 60 - straight(bend("bow", up=sag)) == pytest.approx(8 * sag**2 / 180, rel=3e-3)


@pytest.mark.parametrize(("sag", "loss"), [(0.5, 0.00833), (1.0, 0.03334), (2.0, 0.13348)])
def test_a_kink_at_the_middle_shortens_a_rod(sag, loss):
    assert 60 - straight(bend("kink", at=30, down=sag)) == pytest.approx(loss, abs=0.5e-5)


def test_a_kink_off_the_middle_leaves_two_straight_limbs():
    # Limbs 5 and 13, offset 3-4-5 and 5-12-13 fashion: 4 + sqrt(169 - 9).
    assert straight(bend("kink", at=5, up=3), centres=18.0) == pytest.approx(4 + math.sqrt(160))


def test_a_joggle_sideways_shortens_and_one_in_plane_wins_some_back():
    # 5 of metal, sloping through 3, are 4 along the rod
    assert straight(bend("joggle", at=10, length=4, towards_frames=3)) == pytest.approx(59.0)
    assert straight(bend("joggle", at=10, length=4, up=3)) == pytest.approx(math.hypot(59.0, 3.0))


@pytest.mark.parametrize("start", ["rear", "front"])
@pytest.mark.parametrize("way", ["towards_frames", "away_from_frames"])
@pytest.mark.parametrize(
    "bent",
    [
        {"kind": "joggle", "at": 20, "length": 5, "amount": 1.5},
        {"kind": "kink", "at": 20, "amount": 1.5},
    ],
)
def test_what_is_drawn_has_all_the_metal(bent, way, start):
    """Along its slopes a bent rod is as long as it was straight: 60."""
    more = {key: value for key, value in bent.items() if key not in ("kind", "amount")}
    bends = [bend(bent["kind"], start, **more, **{way: bent["amount"]})]
    pieces = bars_of(rod(60.0, bends), straight(*bends))
    metal = sum(
        math.dist((*piece.corners[0], piece.out[0]), (*piece.corners[1], piece.out[1]))
        for piece in pieces
    )
    assert metal == pytest.approx(60.0, abs=1e-3 if bent["kind"] == "kink" else 1e-9)


def test_a_bend_of_nothing_takes_nothing():
    assert straight(bend("bow", up=0)) == 60.0
    assert len(rod_pieces(rod(10.0, [bend("kink", at=4, up=0)]), 10.0)) == 1


def test_centres_measured_bent_stand():
    assert eye_to_eye(rod(38.0, [bend("bow", up=1.0)])) == 38.0


def test_a_straight_rod_is_one_bar():
    (piece,) = rod_pieces(rod(10.0), 10.0)
    assert piece.corners == ((0.0, 0.0), (10.0, 0.0))
    assert piece.radius == 1.0
    assert piece.out == (3.4, 3.4)
    assert piece.thickness == pytest.approx(0.8)


def test_eyes_larger_than_the_bar_are_discs():
    pieces = rod_pieces(rod(10.0, ends=[3.0, 1.0]), 10.0)
    assert [(p.corners, p.radius, p.label) for p in pieces[1:]] == [(((0.0, 0.0),), 1.5, "eye")]


def bars_of(rod, length, **more):
    """Return the pieces of a rod less the discs of its round ends, which the first and last are."""
    return tuple(piece for piece in rod_pieces(rod, length, **more) if piece.label != "eye")


def test_a_kink_towards_the_frames_is_two_sloping_bars():
    first, second = bars_of(rod(8.0, [bend("kink", at=4, towards_frames=3)]), 8.0)
    assert first.corners == ((0.0, 0.0), (4.0, 0.0))
    assert first.out == pytest.approx((3.4, 0.4))
    assert second.out == pytest.approx((0.4, 3.4))
    # 3-4-5: the metal's 0.8 square to the bar is 0.8 x 5/4 square to the wheel.
    assert first.thickness == pytest.approx(1.0)


def test_a_kink_is_measured_from_the_end_named():
    pieces = bars_of(rod(10.0, [bend("kink", "front", at=3, away_from_frames=1)]), 10.0)
    assert pieces[0].corners[1] == (7.0, 0.0)
    assert pieces[0].out == pytest.approx((3.4, 4.4))


def test_a_kink_in_the_side_view_moves_the_corners():
    first, second = bars_of(rod(10.0, [bend("kink", at=4, down=1)]), 10.0)
    assert first.corners == ((0.0, 0.0), (4.0, -1.0))
    assert second.corners == ((4.0, -1.0), (10.0, 0.0))
    assert first.thickness == pytest.approx(0.8)
    flipped = bars_of(rod(10.0, [bend("kink", at=4, down=1)]), 10.0, flip=-1.0)
    assert flipped[0].corners[1] == (4.0, 1.0)


def test_a_bow_is_a_circular_arc():
    pieces = bars_of(rod(10.0, [bend("bow", up=2.0)]), 10.0)
    radius = (10.0**2 + 4 * 2.0**2) / (8 * 2.0)  # Machinery's Handbook, p. 83
    for piece in pieces:
        for corner in piece.corners:
            assert math.dist(corner, (5.0, 2.0 - radius)) == pytest.approx(radius)
    assert max(y for piece in pieces for _, y in piece.corners) == pytest.approx(2.0)
    for piece in pieces:
        (x, y), (to_x, to_y) = piece.corners
        middle = ((x + to_x) / 2, (y + to_y) / 2)
        assert math.dist(middle, (5.0, 2.0 - radius)) == pytest.approx(radius, abs=0.0041)


def test_over_is_measured_straight_across_a_bow():
    """A half circle over 4, as the pieces lie: 2 pi long, and the rod is the shorter for it."""
    bow = bend("bow", at=10, over=4, up=1.999999)
    assert eye_to_eye(rod(20.0, [bow], centres_measured="straight")) == pytest.approx(
        20.0 - (2 * math.pi - 4), abs=1e-4
    )
    pieces = bars_of(rod(20.0, [bow]), 20.0)
    along = sum(math.dist(*piece.corners) for piece in pieces[1:-1])
    assert along == pytest.approx(2 * math.pi, abs=0.02)


def test_a_bow_over_part_leaves_the_rest_straight():
    pieces = bars_of(rod(20.0, [bend("bow", at=8, over=8, towards_frames=1)]), 20.0)
    assert pieces[0].corners == ((0.0, 0.0), (4.0, 0.0))
    assert pieces[-1].corners == ((12.0, 0.0), (20.0, 0.0))
    assert {pieces[0].out, pieces[-1].out} == {(3.4, 3.4)}
    assert min(out for piece in pieces for out in piece.out) == pytest.approx(2.4)


@pytest.mark.parametrize(
    ("start", "outs"), [("rear", [3.4, 3.4, 4.4, 4.4]), ("front", [4.4, 4.4, 3.4, 3.4])]
)
def test_a_joggle_shifts_what_lies_beyond(start, outs):
    pieces = bars_of(rod(10.0, [bend("joggle", start, at=3, length=4, away_from_frames=1)]), 10.0)
    assert [pieces[0].out[0], *(piece.out[1] for piece in pieces)] == pytest.approx(outs)
    assert [piece.corners[1][0] for piece in pieces] == pytest.approx([3.0, 7.0, 10.0])


def test_a_joggle_in_the_side_view_keeps_the_eyes_on_the_line():
    pieces = bars_of(rod(10.0, [bend("joggle", at=3, length=4, up=1)]), 10.0)
    ys = [pieces[0].corners[0][1], *(piece.corners[1][1] for piece in pieces)]
    assert ys == pytest.approx([0.0, -0.3, 0.3, 0.0])


def test_two_bends_add():
    bends = [bend("kink", at=5, towards_frames=1), bend("joggle", at=5, length=2, towards_frames=1)]
    pieces = bars_of(rod(10.0, bends), 10.0)
    outs = [pieces[0].out[0], *(piece.out[1] for piece in pieces)]
    assert outs == pytest.approx([3.4, 2.4, 3.4 - 0.6 - 1.0, 2.4])


def test_upright_parts_bend_ahead_and_back():
    table = {
        "centres": 6,
        "width": 1,
        "thickness": 0.4,
        "out": 3,
        "pin": {"ahead_of_die": 4},
        "bend": [bend("kink", "top", at=3, ahead=0.5)],
    }
    first, _ = bars_of(LiftingLink.model_validate(table), 6.0)
    assert first.corners[1] == (3.0, 0.5)
    with pytest.raises(ValueError, match="up is no way for this part to bend: use ahead or back"):
        LiftingLink.model_validate(table | {"bend": [bend("kink", "top", at=3, up=0.5)]})
