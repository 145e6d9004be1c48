"""Which parts are compared, and what of them is left beyond a joint, by hand."""

import math
from dataclasses import replace

import pytest
from shapely import Polygon

from linkage.clearance import pair_parts
from linkage.mechanism import Part, PieceSort, Pin, Place
from tests.clearance.bodies import bar, box, disc, dressed, dressed_slider_crank
from tests.kinematics.linkages import mechanism

FAR = 100.0  # reach: nothing is left out for being apart laterally


def pairs_of(outlines, wanted=0.15, reach=FAR, **more):
    made = dressed_slider_crank(5.0, 24.0, outlines, **more)
    return {pair.parts: pair for pair in pair_parts(made, wanted, reach)}


def pieces_on(pair, part, parts):
    """Return the pieces of one part of a pair, each once."""
    row = parts.index(part)
    found = []
    for piece_pair in pair.pieces:
        found += [p for r, p in zip(piece_pair.parts, piece_pair.pieces, strict=True) if r == row]
    return list(dict.fromkeys(found))


PARTS = ["crank", "rod", "crosshead"]


def test_everything_with_everything_but_fixed_with_fixed():
    found = pairs_of({
        "crank": (disc((5, 0), 1),), "crosshead": (box(-1, -1, 1, 1),),
        "bracket": (disc((0, 9), 1),), "stay": (disc((0, 8), 1),),
    })  # fmt: skip
    assert list(found) == [
        ("crank", "crosshead"), ("crank", "bracket"), ("crank", "stay"),
        ("crosshead", "bracket"), ("crosshead", "stay"),
    ]  # fmt: skip
    assert all(pair.asked == 0.15 for pair in found.values())


def test_parts_without_outline_are_not_compared():
    assert pairs_of({"crank": (disc((5, 0), 1),)}) == {}


def test_parts_that_slide_on_one_another_are_not_compared():
    """A slide between two parts, one of them fixed: left to the travels."""
    from linkage.mechanism import Slide

    joints = (Slide("guide", Place("spindle", 0, 0), Place("steam chest", 0, 0)),)
    parts = (
        Part("crank", (disc((0, 0), 1),)),
        Part("spindle", (disc((0, 0), 1),)),
        Part("steam chest", (disc((0, 0), 1),), fixed=True),
    )
    made = mechanism((), joints)
    made = type(made)(parts, joints)
    assert [pair.parts for pair in pair_parts(made, 0.15, FAR)] == [
        ("crank", "spindle"), ("crank", "steam chest")]  # fmt: skip


def test_pairs_said_to_run_in_one_another():
    outlines = {
        "crosshead": (
            replace(box(-1, -1, 1, 1), sort=PieceSort.SLIPPER),
            disc((0, -3), 0.5, label="drop arm"),
        ),
        "bars": (box(10, 1, 40, 2), replace(box(10, -2, 40, -1), sort=PieceSort.RIM)),
    }
    block, bars = ("crosshead", PieceSort.SLIPPER), ("bars", None)
    both = frozenset({frozenset({("crosshead", None), bars})})
    assert pairs_of(outlines, apart=both) == {}
    slipper = frozenset({frozenset({block, bars})})
    (pair,) = pairs_of(outlines, apart=slipper).values()
    assert {p.label for pp in pair.pieces for p in pp.pieces} == {"drop arm", ""}
    assert len(pair.pieces) == 2
    one = frozenset({frozenset({block, ("bars", PieceSort.RIM)})})
    (pair,) = pairs_of(outlines, apart=one).values()
    assert len(pair.pieces) == 3


@pytest.mark.parametrize(("out", "count"), [(1.0, 1), (1.49, 1), (1.51, 0)])
def test_pieces_always_apart_laterally_are_left_out(out, count):
    """Thicknesses 1: from 1.5 up they keep the reach of 0.5."""
    found = pairs_of({"crank": (disc((5, 0), 1),), "stud": (disc((9, 0), 1, out),)}, reach=0.5)
    assert len(found) == count


def test_a_sloping_piece_counts_by_its_nearer_end():
    found = pairs_of(
        {"crank": (bar((0, 0), (5, 0), 1, (1.4, 4.0)),), "stud": (disc((9, 0), 1),)}, reach=0.5
    )
    assert found[("crank", "stud")].pieces[0].lateral == pytest.approx(0.4)


def test_joined_parts_beyond_the_joint():
    """Eyes of 0.9 and 0.7: within 1.6 of the crank pin neither is compared."""
    (pair,) = pairs_of({
        "crank": (bar((0, 0), (5, 0), 0.9, (0, 0)),),
        "rod": (bar((0, 0), (24, 0), 0.7, (1.1, 1.1)),),
    }).values()  # fmt: skip
    (crank,), (rod,) = (pieces_on(pair, name, PARTS) for name in ("crank", "rod"))
    assert crank.corners == (pytest.approx((0, 0)), pytest.approx((3.4, 0)))
    assert rod.corners == (pytest.approx((1.6, 0)), pytest.approx((24, 0)))
    assert (crank.radius, rod.radius) == (0.9, 0.7)


def test_a_sloping_bar_cut_at_a_joint_keeps_its_slope():
    (pair,) = pairs_of({
        "crank": (disc((5, 0), 0.8), disc((1, 0), 0.8)),
        "rod": (bar((0, 0), (24, 0), 0.8, (1.2, 3.6)),),
    }).values()  # fmt: skip
    (rod,) = pieces_on(pair, "rod", PARTS)
    assert rod.corners[0] == pytest.approx((1.6, 0))
    assert rod.out == pytest.approx((1.2 + 1.6 * 0.1, 3.6))
    # the disc about the pin itself is gone, the other one is not
    (boss,) = pieces_on(pair, "crank", PARTS)
    assert boss.corners == ((1, 0),)


def test_a_bar_past_the_joint_is_kept_on_both_sides():
    (pair,) = pairs_of({
        "crank": (bar((0, 0), (5, 0), 0.5, (0, 0)),),
        "rod": (bar((-6, 0), (24, 0), 0.5, (1.2, 1.2)),),
    }).values()  # fmt: skip
    tail, rod = sorted(pieces_on(pair, "rod", PARTS), key=lambda piece: piece.corners[0])
    assert tail.corners == (pytest.approx((-6, 0)), pytest.approx((-1, 0)))
    assert rod.corners == (pytest.approx((1, 0)), pytest.approx((24, 0)))


def test_a_plate_beyond_a_joint_loses_a_square():
    """A web of 8 by 6 about the pin, in another layer: a square of twice 1.4 is cut out."""
    (pair,) = pairs_of({
        "crank": (box(1, -3, 9, 3, 0.4, 0.0),), "rod": (bar((0, 0), (24, 0), 1.0, (1.2, 1.2)),),
    }).values()  # fmt: skip
    plates = pieces_on(pair, "crank", PARTS)
    assert sum(Polygon(plate.corners).area for plate in plates) == pytest.approx(48 - 2.8**2)
    for plate in plates:
        assert all(max(abs(x - 5), abs(y)) >= 1.4 - 1e-12 for x, y in plate.corners)
        assert plate.radius == 0.4


def test_a_fork_is_left_out_and_the_rest_of_its_part_is_not():
    """The crosshead's body about the little end is in the rod's layer; its drop arm is another."""
    (pair,) = pairs_of({
        "rod": (bar((0, 0), (24, 0), 0.9, (1, 1)),),
        "crosshead": (box(-2, -1.5, 2, 1.5, 0, 1.2), bar((0, -1.4), (2, -5), 0.5, (1, 1))),
    }).values()  # fmt: skip
    arms = pieces_on(pair, "crosshead", PARTS)
    assert all(len(arm.corners) == 2 for arm in arms)
    assert arms


def test_a_plate_in_another_layer_is_no_fork():
    (pair,) = pairs_of({
        "rod": (bar((0, 0), (24, 0), 0.9, (1, 1)),),
        "crosshead": (box(-2, -1.5, 2, 1.5, 0, 2.2),),
    }).values()  # fmt: skip
    assert pieces_on(pair, "crosshead", PARTS)


@pytest.mark.parametrize(("out", "asked"), [(1.0, 0.0), (1.05, 0.05), (1.15, 0.15), (1.4, 0.15)])
def test_asked_at_a_joint_no_more_than_the_faces_have(out, asked):
    (pair,) = pairs_of({
        "crank": (bar((0, 0), (5, 0), 0.9, (0, 0)),),
        "rod": (bar((0, 0), (24, 0), 0.7, (out, out)),),
    }).values()  # fmt: skip
    assert pair.asked == pytest.approx(asked)


def test_asked_at_a_joint_by_the_slope_of_a_bar():
    """The faces at the pin itself, not the bar's end: 1.0 + 0.1 * 0.4 there."""
    (pair,) = pairs_of({
        "crank": (disc((5, 0), 0.9), disc((0, 0), 1)),
        "rod": (bar((-0.4, 0), (23.6, 0), 0.7, (1.0, 3.4)),),
    }).values()  # fmt: skip
    assert pair.asked == pytest.approx(0.04)


def test_two_joints_between_one_pair():
    """A lever on two pins of a bracket would be stiff; a pin and the crank's own pin are not."""
    joints = (
        Pin("one", Place("link", 0, 0), Place("strap", 0, 0)),
        Pin("other", Place("link", 10, 0), Place("strap", 10, 0)),
    )
    parts = ("crank", "link", "strap")
    made = dressed(mechanism(parts, joints), {
        "link": (bar((0, 0), (10, 0), 0.5, (0, 0)),),
        "strap": (bar((0, 0), (10, 0), 0.5, (1.1, 1.1)),),
    })  # fmt: skip
    (pair,) = pair_parts(made, 0.15, FAR)
    (link,) = pieces_on(pair, "link", list(parts))
    assert link.corners == (pytest.approx((1, 0)), pytest.approx((9, 0)))


def test_flat_pieces_come_first_and_bars_that_slope_last():
    found = pairs_of({
        "crank": (bar((0, 0), (5, 0), 1, (0, 1)),), "bracket": (box(8, 0, 9, 1),),
    })  # fmt: skip
    ((only,),) = [pair.pieces for pair in found.values()]
    assert [len(piece.corners) for piece in only.pieces] == [4, 2]
    assert only.parts == (3, 0)
    assert not math.isnan(only.lateral)
