"""Parts that are offered: as they are, turned end for end, altered, or not at all."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest
import tomlkit

from linkage.advice.cure import SetBack, Washer, changes_of
from linkage.advice.offers import (
    CannotBeTold,
    CannotBeUsed,
    Fits,
    GoesOn,
    WillNotDo,
    judge_offer,
)
from linkage.advice.slack import SlackOfVariants
from linkage.advice.standing import Engine
from linkage.certainty import Word
from linkage.errors import SheetError
from linkage.examine import examine
from linkage.report.blocks import Bullets, Heading, Paragraph
from linkage.report.offers import offers_blocks, offers_data, say_offer
from linkage.sheet import change, read_sheet, sheet_from
from linkage.sheet.offers import fit_offer, read_offer, ways_round
from linkage.sheet.ready import ready_sheets
from linkage.tables.origin import Source
from linkage.tightspots import CannotClose, Fouls, PlayUsedUp
from linkage.valve import Figure

HOLE = "ardmoor-0-6-0-middle-hole"
RIGHT = ["right"]


@pytest.fixture
def offered(tmp_path):
    """Return a reader of offers from text."""

    def made(sheet, text, name="offer.toml"):
        path = tmp_path / name
        path.write_text(text)
        return read_offer(path, sheet)

    return made


@cache
def engine_of(path):
    return Engine(path.sheet)


def judge(sheet, offer, sides=RIGHT):
    return judge_offer(engine_of(Held(sheet)), offer, sides)


class Held:
    """A sheet by which one it is, so that each is examined once."""

    def __init__(self, sheet):
        self.sheet = sheet

    def __eq__(self, other):
        return self.sheet is other.sheet

    def __hash__(self):
        return id(self.sheet)


def shift(verdict, figure, side="right"):
    return next(s for s in verdict.shifts if (s.figure, s.side) == (figure, side))


def paragraphs(*verdicts):
    return " ".join(b.text for b in offers_blocks(verdicts) if isinstance(b, Paragraph))


@pytest.fixture(scope="module")
def healed():
    return read_sheet(ready_sheets()["ardmoor-2-6-0-straightened"])


@pytest.fixture(scope="module")
def one_piece():
    return read_sheet(ready_sheets()[HOLE])


# --- fits, or not ---------------------------------------------------------------------------------


def test_a_straight_rod_fits_where_the_bent_one_fouls(demo, offered):
    offer = offered(demo, 'title = "spare"\n[radius_rod]\ncentres = 23.0\n')
    verdict = judge(demo, offer)
    assert isinstance(verdict, Fits)
    assert verdict.alteration is None
    assert not verdict.turned
    assert not verdict.remains
    assert examine(fit_offer(demo, offer, RIGHT)).free
    assert offer.title == "spare"


def test_what_the_offer_does_not_give_is_as_on_the_fitted_part_but_for_its_bends(demo, offered):
    put = fit_offer(demo, offered(demo, "[radius_rod]\ncentres = 23.2\n"), RIGHT)
    new, old = put.sides["right"].radius_rod, demo.sides["right"].radius_rod
    assert (new.centres, new.bend) == (23.2, ())
    assert (new.width, new.thickness, new.out) == (old.width, old.thickness, old.out)
    assert put.sides["left"] == demo.sides["left"]


def test_a_rod_of_another_engine_will_not_do(demo, offered):
    verdict = judge(demo, offered(demo, "[radius_rod]\ncentres = 26.4\n"))
    assert isinstance(verdict, WillNotDo)
    assert isinstance(verdict.against, CannotClose)


def test_a_thick_one_fits_with_a_washer(demo, offered):
    verdict = judge(demo, offered(demo, "[radius_rod]\ncentres = 23.0\nthickness = 0.75\n"))
    assert isinstance(verdict, Fits)
    assert isinstance(verdict.alteration, Washer)
    assert verdict.after.free
    assert say_offer(verdict).startswith("It fits, once altered: move the combination lever away")


def test_turned_end_for_end_it_fits(one_piece, offered):
    """Holes 29.0 and 25.0 apart from the rear: right, if its front goes to the rear."""
    offer = offered(one_piece, "[coupling_rods.whole]\ncentres = [29.0, 25.0]\n")
    assert ways_round(one_piece, offer, RIGHT) == [frozenset(), {"coupling_rods.whole"}]
    verdict = judge(one_piece, offer)
    assert isinstance(verdict, Fits)
    assert verdict.turned == {"coupling_rods.whole"}
    assert say_offer(verdict) == "Turned end for end it fits."
    heading = next(b for b in offers_blocks([verdict]) if isinstance(b, Heading))
    assert heading.text == "offer: whole coupling rod, right-hand side"


def test_one_that_is_the_same_both_ways_is_not_tried_twice(one_piece, offered):
    offer = offered(one_piece, "[coupling_rods.whole]\ncentres = [27.0, 27.0]\n")
    assert ways_round(one_piece, offer, RIGHT) == [frozenset()]


def test_the_pair_it_rests_on_is_the_parts_own(demo, offered):
    """The slide bars come nearer to other parts, but of the radius rod the link is nearest."""
    verdict = judge(demo, offered(demo, "[radius_rod]\ncentres = 23.0\n"))
    nearest = verdict.nearest
    assert "radius rod" in nearest.pair.parts
    pairs = verdict.after.sides["right"].survey.pairs
    assert nearest.spare == min(p.least - p.asked for p in pairs if "radius rod" in p.parts)
    assert f"{nearest.pair.least:.2f} mm of air" in paragraphs(verdict)


# --- the engine as it stands ----------------------------------------------------------------------


def test_a_fault_that_was_there_does_not_count_against_another_part(demo, offered):
    """The right radius rod is bowed and fouls its bracket: no fault of a union link."""
    verdict = judge(demo, offered(demo, "[union_link]\ncentres = 4.5\n"))
    assert isinstance(verdict, Fits)
    (remains,) = verdict.remains
    assert isinstance(remains, Fouls)
    assert set(remains.parts) == {"radius rod", "motion bracket"}
    said = [*offers_blocks([verdict])]
    assert "It fits, free as far as this part is concerned." in paragraphs(verdict)
    assert any(
        "radius rod fouls" in item for b in said if isinstance(b, Bullets) for item in b.items
    )


def test_a_fault_that_was_there_must_go_with_the_part_that_has_it(demo, offered):
    """Bowed as the fitted one is, it fouls as that does, but not with the bow at its front."""
    bow = demo.data["right"]["radius_rod"]["bend"]
    bend = ", ".join(f"{key} = {value!r}" for key, value in bow[0].items()).replace("'", '"')
    verdict = judge(demo, offered(demo, f"[radius_rod]\ncentres = 23.0\nbend = [{{ {bend} }}]\n"))
    assert verdict.turned == {"radius_rod"}
    bracket = offered(demo, "[motion_bracket]\nthickness = 1.5\n", "bracket.toml")
    assert isinstance(judge(demo, bracket).alteration, SetBack)


def test_on_an_engine_with_two_faults_each_part_answers_for_its_own(two_faults, offered):
    found = examine(two_faults)
    assert {type(spot) for spot in found.spots} == {Fouls, PlayUsedUp}
    rod = judge(two_faults, offered(two_faults, "[radius_rod]\ncentres = 23.0\n"))
    assert isinstance(rod, Fits)
    assert {type(spot) for spot in rod.remains} == {PlayUsedUp}
    good = judge(
        two_faults, offered(two_faults, "[coupling_rods.rear]\ncentres = 25.0\n", "b.toml")
    )
    assert isinstance(good, Fits)
    assert {type(spot) for spot in good.remains} == {Fouls}
    long = judge(
        two_faults, offered(two_faults, "[coupling_rods.rear]\ncentres = 25.2\n", "c.toml")
    )
    assert isinstance(long, WillNotDo)
    assert isinstance(long.against, PlayUsedUp)


def test_a_good_rod_is_not_blamed_for_the_rod_of_the_other_side(two_faults, offered):
    """The right rod is 0.13 too long, and the wheels bind whatever the left one is."""
    good = judge(
        two_faults, offered(two_faults, "[coupling_rods.rear]\ncentres = 25.0\n"), ["left"]
    )
    assert isinstance(good, Fits)
    assert PlayUsedUp in {type(spot) for spot in good.remains}
    bad = judge(two_faults, offered(two_faults, "[coupling_rods.rear]\ncentres = 25.3\n"), ["left"])
    assert isinstance(bad, WillNotDo)


def test_on_an_engine_in_pieces_only_the_part_at_fault_is_judged(healed, offered):
    """An eccentric rod so short that it goes on nowhere: a union link is not to blame."""
    broken = change(healed, {"eccentric_rod.centres": 15.0})
    good = judge(broken, offered(broken, "[eccentric_rod]\ncentres = 24.1\n"), ["right", "left"])
    assert isinstance(good, Fits)
    link = judge(broken, offered(broken, "[union_link]\ncentres = 4.5\n"))
    assert isinstance(link, CannotBeTold)
    assert say_offer(link).startswith("It cannot be told, for the engine as it stands")
    bad = judge(broken, offered(broken, "[eccentric_rod]\ncentres = 15.5\n"), ["right", "left"])
    assert isinstance(bad, CannotBeUsed)


def test_a_rod_that_carries_another_is_judged_without_it():
    """A front rod that carries the rear one on a knuckle, on a chassis out of quarter."""
    sheet = read_sheet(ready_sheets()["ardmoor-0-6-0-coupled"])
    offer = read_offer_of(sheet, {"coupling_rods": {"front": {"centres": 29.0}}})
    verdict = judge(sheet, offer)
    assert isinstance(verdict, Fits)
    assert {type(spot) for spot in verdict.remains} == {PlayUsedUp}


def read_offer_of(sheet, tables):
    from linkage.sheet.offers import Offer, OfferedPart

    parts = tuple(OfferedPart((g, n), v) for g, some in tables.items() for n, v in some.items())
    return Offer("offer.toml", "offer", parts)


def test_what_was_assumed_stays_where_it_is(healed, offered, tmp_path):
    """A thicker return crank does not push the eccentric rod's assumed place out of its way."""
    rod = {key: x for key, x in healed.data["eccentric_rod"].items() if key != "out"}
    path = tmp_path / "silent.toml"
    path.write_text(tomlkit.dumps({**healed.data, "eccentric_rod": rod}))
    silent = read_sheet(path)
    place = silent.sides["right"].eccentric_rod.out
    typed = sheet_from({**healed.data, "eccentric_rod": {**rod, "out": place}}, ask=False)
    offer = offered(silent, "[return_crank]\nthickness = 0.55\n")
    one, other = judge(silent, offer), judge(typed, offer)
    assert one.after.sheet.sides["left"].eccentric_rod.out == place
    assert one.nearest.pair.least == pytest.approx(other.nearest.pair.least, abs=1e-9)
    # as it is offered it meets the rod, which has to be set farther out by a number of its own
    assert isinstance(one, Fits)
    assert isinstance(other, Fits)
    assert one.alteration == other.alteration
    assert dict(changes_of(one.alteration)).keys() == {"right.eccentric_rod.out"}


# --- what it makes of the motion ------------------------------------------------------------------


def test_a_longer_rod_goes_on_but_shifts_the_valve(demo, offered):
    """By hand: the rod pushes the lever's top 0.2 ahead, and the lever's foot stays.

    So the valve's pin, 1.21 of the 9.0 below the top, goes 0.2 (9 - 1.21) / 9 = 0.173 ahead, and
    with it mid-position and lead. That is with the lever upright: it leans up to 29 degrees.
    """
    verdict = judge(demo, offered(demo, "[radius_rod]\ncentres = 23.2\n"))
    assert isinstance(verdict, GoesOn)
    by_hand = 0.2 * (9.0 - 1.21) / 9.0
    assert shift(verdict, Figure.MIDDLE).by == pytest.approx(by_hand, rel=0.05)
    assert shift(verdict, Figure.LEAD_FRONT).by == pytest.approx(by_hand, rel=0.05)
    assert shift(verdict, Figure.LEAD_BACK).by == pytest.approx(-by_hand, rel=0.05)
    said = say_offer(verdict)
    assert said.startswith("It goes on, but changes the motion: the valve's mid-position goes 0.17")
    assert "the lead at the front grows by 0.17 mm; the lead at the back shrinks by" in said


@pytest.mark.parametrize(("error", "kind"), [("0.02", GoesOn), ("0.3", Fits)])
def test_a_change_that_measuring_errors_explain_is_none(healed, offered, error, kind):
    """0.1 longer, measured to 0.02 or to 0.3; the fitted one to 0.02 as callipers have it."""
    text = f"measured_to = {error}\n[eccentric_rod]\ncentres = 24.2\n"
    verdict = judge(healed, offered(healed, text))
    assert type(verdict) is kind
    assert shift(verdict, Figure.SWING_MIDDLE).by != 0


def test_what_errors_explain_is_that_of_both_parts(healed, offered):
    """To the first order: the slope of the swing's middle by the rod, times both errors together.

    The slope by hand from the two ends of the swing, 0.05 longer and shorter.
    """
    offer = offered(healed, "measured_to = 0.03\n[eccentric_rod]\ncentres = 24.1\n")
    found = shift(judge(healed, offer), Figure.SWING_MIDDLE)
    ends = [
        shift(
            judge(healed, offered(healed, f"[eccentric_rod]\ncentres = {24.1 + by}\n")),
            Figure.SWING_MIDDLE,
        ).after
        for by in (-0.05, 0.05)
    ]
    slope = (ends[1] - ends[0]) / 0.1
    fitted = healed.origins["eccentric_rod.centres"].error
    assert found.explained == pytest.approx(abs(slope) * math.hypot(0.03, fitted), rel=0.01)


def test_a_rod_that_makes_one_side_as_the_other_fits(healed, offered):
    """The right eccentric rod is 0.5 too long: with a good one it is as the left-hand side."""
    wrong = change(healed, {"right.eccentric_rod.centres": 24.6, "right.radius_rod.centres": 23.0})
    verdict = judge(wrong, offered(wrong, "[eccentric_rod]\ncentres = 24.1\n"))
    assert isinstance(verdict, Fits)
    assert verdict.heals
    assert "It makes the motion of the right-hand side what it is on the other" in say_offer(
        verdict
    )
    same = judge(wrong, offered(wrong, "[eccentric_rod]\ncentres = 24.6\n"))
    assert isinstance(same, Fits)
    assert not same.heals


def test_a_connecting_rod_moves_the_dead_centres(healed, offered):
    """As far as it is longer, at either; the stroke stays."""
    verdict = judge(healed, offered(healed, "[connecting_rod]\ncentres = 42.5\n"))
    assert isinstance(verdict, GoesOn)
    assert shift(verdict, Figure.FRONT).by == pytest.approx(0.5, abs=1e-6)
    assert shift(verdict, Figure.BACK).by == pytest.approx(0.5, abs=1e-6)
    assert shift(verdict, Figure.STROKE).by == pytest.approx(0.0, abs=1e-6)


# --- how sure -------------------------------------------------------------------------------------


def measured(held):
    """Return a sheet's data with what was assumed taken for measured."""
    if isinstance(held, dict):
        return {key: measured(value) for key, value in held.items()}
    if isinstance(held, list):
        return [measured(value) for value in held]
    return held.removeprefix("assumed ") if isinstance(held, str) else held


@pytest.fixture(scope="module")
def well_known():
    """Return the demonstration with every number measured by micrometer."""
    demo = read_sheet(ready_sheets()["ardmoor-2-6-0"])
    return sheet_from({**measured(demo.data), "measured_to": "micrometer"}, "well known")


def test_touch_and_go_is_what_its_measuring_error_can_undo(well_known, offered):
    """Free up to a thickness of 0.60: 0.1 less is sure by micrometer and not by rule."""
    text = "[radius_rod]\nthickness = 0.5\n"
    well = judge(well_known, offered(well_known, 'measured_to = "micrometer"\n' + text))
    badly = judge(well_known, offered(well_known, 'measured_to = "rule"\n' + text))
    assert isinstance(well, Fits)
    assert isinstance(badly, Fits)
    assert well.sure.word is Word.CLEAR
    assert "Sure within what the numbers were measured to" in paragraphs(well)
    assert badly.sure.word is Word.TOUCH_AND_GO
    assert badly.sure.next[0].key == "right.radius_rod.thickness"
    said = paragraphs(badly)
    assert "Touch and go" in said
    assert "the right radius rod's thickness (measured, known to 0.25 mm either way" in said


def test_a_wide_error_far_from_any_limit_leaves_no_doubt(well_known, offered):
    text = 'measured_to = "rule"\n[radius_rod]\ncentres = 23.2\n'
    verdict = judge(well_known, offered(well_known, text))
    assert verdict.sure.word is Word.CLEAR


@pytest.mark.parametrize(("thickness", "error"), [(0.55, 0.2), (0.58, 0.1), (0.56, 0.15)])
def test_the_chance_is_what_variants_of_the_part_show(well_known, offered, thickness, error):
    """Where its own error outweighs all others: as often as thicknesses drawn from it bind."""
    text = f"measured_to = {error}\n[radius_rod]\nthickness = {thickness}\n"
    verdict = judge(well_known, offered(well_known, text))
    put = verdict.after.sheet
    tried = np.linspace(thickness - error, thickness + error, 41).tolist()
    slack = SlackOfVariants(put.wanted_clearance, verdict.remains)
    stops = slack([change(put, {"right.radius_rod.thickness": value}) for value in tried])
    bound = np.mean([stop.slack < 0 for stop in stops])
    assert 0.1 < bound < 0.9
    assert verdict.sure.chance == pytest.approx(bound, abs=0.05)


def test_a_guess_elsewhere_on_the_engine_is_no_certainty(well_known, offered):
    """The rod is well measured; how far out the combination lever sits was guessed."""
    lever = well_known.data["combination_lever"]
    vague = {**lever, "out": f"about {lever['out']}"}
    engine = sheet_from({**well_known.data, "combination_lever": vague}, "guessed")
    verdict = judge(engine, offered(engine, "[radius_rod]\nthickness = 0.5\n"))
    assert isinstance(verdict, Fits)
    assert verdict.sure.word is Word.CANNOT_TELL
    assert verdict.sure.rests_on[Source.GUESSED] == 1
    told = offers_data([verdict])["offers"][0]["certainty"]
    assert told["word"] == Word.CANNOT_TELL.value
    assert told["measure_next"][0]["key"] == "combination_lever.out"


def test_a_fault_that_was_there_leaves_the_doubt_alone(well_known, offered):
    """The bowed rod on the right fouls, whatever the errors of a union link are."""
    text = "measured_to = 0.02\n[union_link]\ncentres = 4.5\n"
    verdict = judge(well_known, offered(well_known, text))
    assert verdict.remains
    assert verdict.sure.word is Word.CLEAR


@pytest.mark.parametrize(("error", "sure"), [(0.003, True), (0.03, False)])
def test_one_that_will_not_do_may_within_its_error(offered, error, sure):
    """A coupling rod 0.08 too long uses all of the play, one 0.07 too long nine tenths of it."""
    ready = read_sheet(ready_sheets()["ardmoor-0-6-0-rod-long"])
    sheet = sheet_from({**ready.data, "measured_to": error}, "as well measured")
    text = f"measured_to = {error}\n[coupling_rods.front]\ncentres = 29.08\n"
    verdict = judge(sheet, offered(sheet, text))
    assert isinstance(verdict, WillNotDo)
    assert (verdict.sure.word is Word.SURE) == sure
    assert ("Touch and go" in paragraphs(verdict)) == (not sure)


# --- several parts, other measures ----------------------------------------------------------------


def test_parts_in_one_file_are_fitted_together(healed, offered):
    """A return crank a tenth thicker fouls the fitted rod's place, but not a rod that sits out."""
    thick = "[return_crank]\nthickness = 0.55\n"
    alone = judge(healed, offered(healed, thick))
    assert not isinstance(alone, Fits) or alone.alteration is not None
    both = offered(healed, f"{thick}[eccentric_rod]\ncentres = 24.1\nout = 5.75\n")
    assert both.keys == {"return_crank", "eccentric_rod"}
    verdict = judge(healed, both)
    assert isinstance(verdict, Fits)
    assert verdict.alteration is None
    assert say_offer(verdict) == "The set fits."


def test_several_rods_of_a_kind_are_one_set(offered):
    """Both lengths of the jointed rod on the right, of which the front one was 0.2 too long."""
    sheet = read_sheet(ready_sheets()["ardmoor-0-6-0-rod-long"])
    text = "[coupling_rods.front]\ncentres = 29.0\n[coupling_rods.rear]\ncentres = 21.0\n"
    offer = offered(sheet, text)
    assert [part.key for part in offer.parts] == ["coupling_rods.front", "coupling_rods.rear"]
    verdict = judge(sheet, offer)
    assert isinstance(verdict, Fits)
    assert verdict.after.free


def test_a_return_crank_by_its_arm_keeps_the_lean_of_the_fitted_one(healed, offered):
    """Throw 4.33, circle 2.3 at 90 degrees: arm hypot(4.33, 2.3), leaning atan(2.3 / 4.33)."""
    arm = math.hypot(4.33, 2.3)
    put = fit_offer(healed, offered(healed, f"[return_crank]\narm = {arm}\n"), RIGHT)
    crank = put.sides["right"].return_crank
    assert crank.pin_circle is None
    assert crank.leans == "leading"
    assert crank.lean == pytest.approx(math.atan2(2.3, 4.33))
    assert crank.pin(4.33) == pytest.approx((0.0, -2.3), abs=1e-9)


def test_a_longer_arm_at_that_lean_swings_the_link_more(healed, offered):
    verdict = judge(healed, offered(healed, "[return_crank]\narm = 5.2\n"))
    assert isinstance(verdict, GoesOn)
    assert shift(verdict, Figure.SWING).by > math.radians(2)


def test_a_return_crank_by_its_circle_where_the_sheet_has_the_arm(healed, offered):
    crank = {key: healed.data["return_crank"][key] for key in ("width", "thickness", "out")}
    by_arm = {**crank, "arm": 4.9, "lean": 28.0, "leans": "leading"}
    raw = {**healed.data, "return_crank": by_arm}
    sheet = sheet_from(raw, ask=False)
    put = fit_offer(sheet, offered(sheet, "[return_crank]\npin_circle = 2.3\n"), RIGHT)
    x, y = put.sides["right"].return_crank.pin(4.33)
    old = sheet.sides["right"].return_crank.pin(4.33)
    assert math.hypot(x, y) == pytest.approx(2.3)
    assert math.atan2(y, x) == pytest.approx(math.atan2(old[1], old[0]))


def test_another_unit_than_the_sheets(healed, offered):
    """Angles are degrees in any unit; a length with its own unit keeps it."""
    text = 'units = "in"\nmeasured_to = 0.002\n[return_crank]\narm = 0.2\nlean = 28\n'
    offer = offered(healed, text + 'leans = "leading"\nthickness = "0.4 mm"\n')
    assert offer.error == pytest.approx(0.0508)
    crank = fit_offer(healed, offer, RIGHT).sides["right"].return_crank
    assert crank.arm == pytest.approx(5.08)
    assert crank.lean == pytest.approx(math.radians(28.0))
    assert crank.thickness == pytest.approx(0.4)
    text = (
        'units = "in"\n[radius_rod]\ncentres = { outside_to_outside = 1.0, ends = [0.05, 0.05] }\n'
    )
    rod = fit_offer(healed, offered(healed, text), RIGHT).sides["right"].radius_rod
    assert rod.centres == pytest.approx(0.95 * 25.4)


def test_an_error_in_mm_is_none_of_an_angle(healed, offered):
    text = 'measured_to = 0.05\n[return_crank]\narm = 4.9\nlean = 28\nleans = "leading"\n'
    verdict = judge(healed, offered(healed, text))
    errors = {number.key: number.origin.error for number in verdict.numbers}
    assert errors == {"return_crank.arm": 0.05, "return_crank.lean": 1.0}


# --- what is no offer -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[radius_rood]\ncentres = 23.1\n", 'did you mean "radius_rod"'),
        ("title = 1\n", "should hold the table of a part"),
        ("", "should hold the table of a part"),
        ("[radius_rod]\n", "radius_rod: offers nothing: give at least one number"),
        ("centres = 23.1\n", "centres: is not a known key above the tables of an offer"),
        ("titel = 'rod'\n[radius_rod]\ncentres = 23.1\n", 'did you mean "title"'),
        ("[right.radius_rod]\ncentres = 23.1\n", "right: is a side.*--side says where"),
        ("[lifting_link]\ncentres = 8.0\n", "is no part of"),
        ("[[radius_rod]]\ncentres = 8.0\n", "double brackets"),
        ("[coupling_rods.front]\ncentres = 8.0\n", "coupling_rods: is no part of"),
        ('units = "ft"\n[radius_rod]\ncentres = 1.0\n', 'units: should be "mm" or "in"'),
        ('measured_to = "eye"\n[radius_rod]\ncentres = 23.0\n', "should be a length"),
    ],
)
def test_files_that_are_no_offer(demo, offered, text, words):
    with pytest.raises(SheetError, match=words):
        offered(demo, text)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[coupling_rods.frnt]\ncentres = 29.0\n", 'coupling_rods.frnt: is no part.*"front"'),
        ("[coupling_rods]\ncentres = 29.0\n", r"centres: stands outside any one part.*\[coupling_"),
        ("[coupling_rods]\n", "coupling_rods: offers nothing"),
        ("[coupling_rods.front]\n", "coupling_rods.front: offers nothing"),
    ],
)
def test_files_that_are_no_offer_of_one_of_several(offered, text, words):
    sheet = read_sheet(ready_sheets()["ardmoor-0-6-0-coupled"])
    with pytest.raises(SheetError, match=words):
        offered(sheet, text)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[radius_rod]\ncenters = 23.1\n", 'radius_rod.centers.*did you mean "centres"'),
        (
            "[return_crank]\narm = 5.0\npin_circle = 2.3\n",
            "return_crank: give exactly one of pin_circle, arm, not pin_circle and arm together",
        ),
        (
            "[radius_rod]\ndie_above_trunnion = 2.0\ndie_below_trunnion = 2.0\n",
            "exactly one of radius_rod.die_above_trunnion",
        ),
    ],
)
def test_numbers_that_cannot_be(demo, offered, text, words):
    with pytest.raises(SheetError, match=words) as refused:
        judge(demo, offered(demo, text))
    assert "offer.toml: 1 problem" in str(refused.value)


# --- for other programs ---------------------------------------------------------------------------


def test_an_offer_as_plain_values(demo, offered):
    verdict = judge(demo, offered(demo, "[radius_rod]\ncentres = 23.2\n"))
    (told,) = offers_data([verdict])["offers"]
    assert told["verdict"] == "goes on"
    assert told["parts"] == ["radius_rod"]
    assert told["against"] is None
    middle = next(item for item in told["motion"] if item["figure"] == "valve_middle")
    assert middle["change"] == pytest.approx(shift(verdict, Figure.MIDDLE).by, abs=5e-4)
    assert (middle["kept"], middle["as_on_other_side"]) == (False, False)
    assert told["nearest"]["least_mm"] == pytest.approx(verdict.nearest.pair.least, abs=5e-4)
