"""Dimensions that let a loop close or a travel suffice: tried, the unlike side first."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import count

import numpy as np
import pytest

from linkage.advice import advise
from linkage.advice.bench import bench_step
from linkage.advice.cure import Correction, MeasureFirst, Straighten
from linkage.advice.dimensions import dimension_cures, least_steps
from linkage.advice.guessed import unlike_as_measured
from linkage.advice.patience import OutOfTimeError, TimeLeft, within
from linkage.advice.trial import on_branch, same_branch
from linkage.arrangements import build
from linkage.examine import examine
from linkage.kinematics import follow
from linkage.report.cures import say_cure
from linkage.sheet import change, sheet_in
from linkage.sheet.blank import blank_sheet
from linkage.sheet.reading import read_sheet, sheet_from
from linkage.sheet.ready import ready_sheets
from linkage.tightspots import BranchUndecided, CannotClose, Fouls, PoorTransmission, RunsOff
from tests.kinematics.linkages import four_bar
from tests.voices import MM_BENCH


def advice_for(sheet, kind):
    found = examine(sheet)
    spot = next(spot for spot in found.spots if isinstance(spot, kind))
    (item,) = advise(replace(found, spots=(spot,)))
    return item


@pytest.fixture(scope="module")
def short_link(straight):
    """Return the engine with a union link from another model on the right."""
    return change(straight, {"right.union_link.centres": 3.0})


@pytest.fixture(scope="module")
def locked(short_link):
    return advice_for(short_link, CannotClose)


@pytest.fixture(scope="module")
def run_off(straight):
    sheet = change(straight, {"valve_spindle.guide.front": 47.5})  # both sides alike
    return sheet, advice_for(sheet, RunsOff)


def applied(sheet, cure, amount=None):
    number = cure.number
    value = number.now + (number.by if amount is None else math.copysign(amount, number.by))
    return change(sheet, {f"right.{number.key}": value})


def kinds_on_the_right(sheet):
    return {type(spot) for spot in examine(sheet).sides["right"].spots}


def test_the_dimension_in_which_the_sides_differ_comes_first(locked):
    first, *others = (tried.cure.number for tried in locked.cures)

    assert (first.key, first.now) == ("union_link.centres", 3.0)
    assert first.other == pytest.approx(4.5)
    assert first.most == pytest.approx(1.5)
    assert all(math.isnan(number.other) for number in others)


def test_the_words_say_what_the_other_side_has(locked):
    said = say_cure(locked.cures[0], MM_BENCH)

    assert said.startswith("The union link's centres: the sheet has 3.00 mm, the other side 4.50")
    assert "is enough" in said


def test_every_dimension_offered_does_cure_the_lock(short_link, locked):
    assert locked.cures
    for tried in locked.cures:
        assert isinstance(tried.cure, Correction)
        assert CannotClose not in kinds_on_the_right(applied(short_link, tried.cure))


def test_clearly_less_does_not(short_link, locked):
    # the least is closed in on to a step of the bench; a fifth less is clearly too little
    for tried in locked.cures:
        less = 0.8 * abs(tried.cure.number.by)
        kinds = kinds_on_the_right(applied(short_link, tried.cure, less))
        assert kinds & {CannotClose, PoorTransmission, BranchUndecided}


def test_what_makes_something_wrong_is_not_offered_beside_what_does_not(locked):
    """Other lengths would free the link as well, and have the valve run past its guide."""
    assert [tried.outcome.spoils for tried in locked.cures] == [()]


def test_of_like_dimensions_the_smallest_change_comes_first(run_off):
    numbers = [tried.cure.number for tried in run_off[1].cures]
    shares = [abs(number.by) / max(abs(number.now), 1.0) for number in numbers]

    # ranked by the change to first order, of which the change found is up to 2.2 times
    assert len(shares) == 2
    assert shares[0] <= 2.2 * min(shares)


def test_what_runs_off_is_kept_by_every_dimension_offered(run_off):
    sheet, item = run_off
    assert item.spot.parts == ("valve spindle", "guide")
    assert item.cures
    for tried in item.cures:
        if isinstance(tried.cure, Correction):
            side = examine(applied(sheet, tried.cure)).sides["right"]
            assert not any(s.parts == item.spot.parts for s in side.spots)


def test_a_guide_too_short_is_to_be_longer_by_what_it_is_short_of(run_off):
    _, item = run_off
    numbers = [tried.cure.number for tried in item.cures]
    guide = next(number for number in numbers if number.key == "valve_spindle.guide.front")
    short = item.spot.run_off.beyond

    assert short <= guide.by <= 1.1 * short + 0.05
    assert math.isnan(guide.other)


def test_a_bend_that_made_the_rod_short_is_straightened_first(straight):
    # an eccentric rod kinked upward so far that it has lost the length by which it is now short
    base = change(straight, {"right.eccentric_rod.centres": 21.9})
    spots = examine(base).sides["right"].spots
    assert CannotClose in {type(spot) for spot in spots}
    right = {**base.data["right"]}
    right["eccentric_rod"] = {
        **right["eccentric_rod"],
        "bend": [{"kind": "kink", "from": "rear", "at": 10.9, "up": 4.6}],
    }
    kinked = sheet_from({**base.data, "right": right}, "kinked", ask=False)
    first = advice_for(kinked, CannotClose).cures[0]

    assert isinstance(first.cure, Straighten)
    assert first.cure.part == "eccentric rod"
    assert first.cure.bend.amount == pytest.approx(4.6)
    assert say_cure(first, MM_BENCH).startswith(
        "Straighten the eccentric rod, 10.9 mm from the rear"
    )


def test_the_other_way_of_putting_it_together_is_no_cure():
    lengths = (1.0, 4.0, 3.0, 4.0)
    one, other = follow(four_bar(lengths)), follow(four_bar(lengths, crossed=True))

    assert same_branch(one, follow(four_bar((1.0, 4.05, 3.0, 4.0))))
    assert not same_branch(one, other)


@pytest.fixture(scope="module")
def gross_rod():
    """Return an engine of guesses with a radius rod half as long again, measured, on the right.

    With it the union link falls over to the other way of putting it together.
    """
    return gross("24.4")


def gross(typed):
    text = blank_sheet("walschaerts", "4 mm").replace('centres = "about 16.4"', "centres = 16.4")
    sure = text.replace("title =", 'sure = ["right.radius_rod.centres"]\ntitle =', 1)
    return sheet_in(f"{sure}\n[right]\nradius_rod.centres = {typed}\n", "engine.toml")


def test_a_number_that_tipped_the_branch_is_cured_by_what_the_other_side_has(gross_rod):
    found = examine(gross_rod)
    (spot,) = found.spots
    first = advise(found)[0].cures[0].cure

    assert (first.number.key, first.number.to) == ("radius_rod.centres", 16.4)
    mended = change(gross_rod, {"right.radius_rod.centres": first.number.to})
    before, after = found.sides["right"].course, follow(build(mended)["right"])
    assert not same_branch(before, after)
    assert on_branch(found, spot.side, before, after)
    assert not examine(mended).spots


def test_what_is_measured_unlike_is_said_before_any_guess_is_asked_about(gross_rod):
    found = examine(gross_rod)

    assert unlike_as_measured(found, "right") == {"radius_rod.centres"}
    assert not any(isinstance(one.cure, MeasureFirst) for one in advise(found)[0].cures)
    guessed = examine(gross('"about 24.4"'))
    assert not unlike_as_measured(guessed, "right")
    assert isinstance(advise(guessed)[0].cures[0].cure, MeasureFirst)


def test_cures_keep_the_gear_on_its_branch(short_link, locked):
    before = examine(short_link).sides["right"].course
    for tried in locked.cures:
        after = follow(build(applied(short_link, tried.cure))["right"])
        assert same_branch(before, after)
        assert np.isfinite(after.arcs[0].crank).all()


@pytest.mark.parametrize("kind", [CannotClose, RunsOff, Fouls])
def test_the_search_for_the_least_change_ends(kind):
    """Whatever is needed and whatever is enough: it goes over whole steps, and few of them."""
    rng = np.random.default_rng(5)
    for needed, share in zip(
        10 ** rng.uniform(-2.5, 2, 300), rng.uniform(0.3, 2, 300), strict=True
    ):
        tried = []

        def enough(steps, most=share * needed, tried=tried):
            tried.append(steps)
            return steps >= most

        found = least_steps(enough, needed, kind)
        assert 0 < len(tried) <= 8
        if found is None:
            assert max(tried) < share * needed
        else:
            assert found in tried
            assert found >= share * needed


@pytest.mark.parametrize("lever", [8.30, 8.27])
def test_levers_on_which_it_did_go_round(straight, lever):
    key = "right.combination_lever.radius_rod_pin_to_union_pin"
    found = examine(change(straight, {key: lever}))
    for spot in found.spots:
        if isinstance(spot, CannotClose | RunsOff):
            for numbers, _ in dimension_cures(found, spot):
                for number in numbers:
                    steps = number.by / bench_step(found.sheet, number.degrees)
                    assert steps == pytest.approx(round(steps)) or number.most == abs(number.by)


def test_the_number_that_explains_most_comes_first():
    """A long connecting rod runs off its bars and into the cover: one cause, not two."""
    sheet = read_sheet(ready_sheets()["ardmoor-0-6-0-7mm"])
    rod = sheet.dimensions["right"]["connecting_rod.centres"]
    found = examine(change(sheet, {"connecting_rod.centres": rod + 3.3}))
    assert {type(spot) for spot in found.spots} == {RunsOff}
    assert len({spot.parts for spot in found.spots}) == 2
    advice = advise(found)
    first = {item.cures[0] for item in advice}
    assert len(first) == 1, "one cure for all"
    (tried,) = first
    assert isinstance(tried.cure, Correction)
    assert tried.cure.number.key == "connecting_rod.centres"
    assert tried.outcome.also == 1
    assert "also makes 1 other tight spot" in say_cure(tried, MM_BENCH)


def test_no_trial_is_begun_once_time_is_up(short_link):
    found = examine(short_link)
    spot = next(spot for spot in found.spots if isinstance(spot, CannotClose))

    def told(trials, asked):
        """Yield what is told until so many trials have asked for leave."""
        with within(TimeLeft(trials, lambda: next(asked))):
            yield from (numbers[0].key for numbers, _ in dimension_cures(found, spot))

    asked = count()
    whole = [*told(math.inf, asked)]
    trials = next(asked)
    assert trials > 10
    for some in (0, trials // 4, trials // 2):
        held = []
        with pytest.raises(OutOfTimeError):
            held.extend(told(some, count()))
        assert held == whole[: len(held)]  # what was found before holds
