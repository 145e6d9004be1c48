"""How long an answer may take."""

from __future__ import annotations

from collections import Counter
from types import SimpleNamespace

import pytest

from linkage.advice import cures, search_cures
from linkage.advice.coupling import all_turn
from linkage.advice.cure import MeasureAgain, Tried
from linkage.advice.patience import (
    OutOfTimeError,
    TimeLeft,
    as_far_as_time,
    begin_trial,
    ever,
    time_left,
    within,
)
from linkage.advice.trial import cured, examined_with, trial_of
from linkage.certainty import Word, how_sure
from linkage.clearance import survey
from linkage.examine import examine
from linkage.kinematics import course, variants
from linkage.play import least
from linkage.sheet import change
from linkage.tightspots import Fouls, PlayUsedUp
from tests import ready


@pytest.mark.parametrize(
    ("patience", "examined", "over"),
    [
        (8.0, 1.0, 8.0),  # from when the sheet was taken up
        (8.0, 7.0, 11.0),  # a slow examination leaves the cures four seconds
        (2.0, 5.0, 7.0),  # but no more than was allowed
        (0.0, 1.0, 1.0),
    ],
)
def test_trials_are_begun_until_the_time_is_over(patience, examined, over):
    now = 100.0 + examined
    left = time_left(patience, 100.0, lambda: now)
    assert left() is (over > examined)
    for later, still in ((-0.01, True), (0.0, False), (1.0, False)):
        if over + later >= examined:  # time goes one way
            now = 100.0 + over + later
            assert left() is still


def test_what_is_left_is_shared_alike():
    now = 10.0
    left = time_left(8.0, 8.0, lambda: now)
    half, whole = left.share(2), left.share(1)
    now = 12.9
    assert half()
    now = 13.1
    assert not half()
    assert whole()
    assert left.share(2).until == pytest.approx(14.55)  # half of what is left then
    assert ever.share(3)()


def test_a_trial_asks_for_leave_of_whoever_searches():
    begin_trial()  # nobody said when to end
    with within(TimeLeft(1.0, lambda: 1.0)):
        with pytest.raises(OutOfTimeError):
            begin_trial()
        with within(TimeLeft(1.0, lambda: 0.9)):
            begin_trial()
        with pytest.raises(OutOfTimeError):
            begin_trial()
    begin_trial()


def test_what_was_found_before_the_time_was_over_is_kept():
    def found():
        yield "first"
        with within(TimeLeft(0.0, lambda: 0.0)):
            begin_trial()
        yield "second"

    assert [*as_far_as_time(found())] == ["first"]
    assert [*as_far_as_time(iter("ab"))] == ["a", "b"]


@pytest.mark.parametrize("trial", ["cured", "examined_with", "all_turn", "Trial.keeps"])
def test_every_kind_of_trial_asks(trial):
    """Or a search would go on over its time."""
    found = ready.examined("ardmoor-2-6-0")
    spot = next(spot for spot in found.spots if isinstance(spot, Fouls))
    side = found.sides[spot.side].mechanism
    tried = {
        "cured": lambda: cured(found, spot, side),
        "examined_with": lambda: examined_with(found, spot.side, side),
        "all_turn": lambda: all_turn(found, [found.sheet]),
        "Trial.keeps": lambda: trial_of(found, spot).keeps(0.1, side),
    }
    with within(TimeLeft(0.0, lambda: 0.0)), pytest.raises(OutOfTimeError):
        tried[trial]()
    tried[trial]()


def test_the_wheels_leave_time_for_what_a_side_has(monkeypatch):
    """Ten coupled wheels took all there was, and a connecting rod too long had no cure."""
    now = [0.0]

    def for_ever(_):
        while True:
            begin_trial()
            now[0] += 1.0

    found, asked = ready.examined("ardmoor-pacific-5in-two-faults"), []
    monkeypatch.setattr(cures, "refits_of_wheels", for_ever)
    monkeypatch.setattr(
        cures, "best_first", lambda *_: asked.append(now[0]) or [Tried(MeasureAgain(("rod",)))]
    )
    *wheels, last = search_cures(found, TimeLeft(10.0, lambda: now[0]), guesses=False)

    assert all(item.cut_short and not item.cures for item in wheels)
    assert asked == [5.0]
    assert last.cures
    assert not last.cut_short


def test_what_is_sure_is_looked_into_before_what_may_be_an_error(monkeypatch):
    """And told in its place: the worst comes first all the same."""
    found = ready.examined("ardmoor-pacific-5in-two-faults")
    last = found.spots[-1]
    assert not isinstance(last, PlayUsedUp)
    words = [Word.SURE if spot is last else Word.TOUCH_AND_GO for spot in found.spots]
    asked = []
    monkeypatch.setattr(
        cures, "how_sure", lambda _: SimpleNamespace(spots=[SimpleNamespace(word=w) for w in words])
    )
    monkeypatch.setattr(cures, "_found", lambda _, spot, *__: asked.append(spot) or iter(()))
    told = [item.spot for item in search_cures(found, TimeLeft(10.0, lambda: 0.0))]

    assert told == [*found.spots]
    assert asked == [last, found.spots[0]]
    asked.clear()
    assert [item.spot for item in search_cures(found)] == told
    assert asked == [found.spots[0], last]  # with all the time there is, as they come


TRIED = {
    "parts that meet": ("ardmoor-2-6-0", {}),
    "wheels": ("ardmoor-0-6-0-rod-long", {}),
    "links that cannot close": ("ardmoor-2-6-0-straightened", {"right.union_link.centres": 3.0}),
    "links that swing unevenly": ("ardmoor-2-6-0-straightened", {"eccentric_rod.centres": 24.6}),
    "valves unlike": (
        "ardmoor-2-6-0-straightened",
        {"right.combination_lever.radius_rod_pin_to_valve_pin": 1.6},
    ),
}
WORK = {
    "_first_arc": (course, 4),  # a side followed round, at some places of its reverser
    "_evenly": (variants, 4),  # the same, quickly
    "_curves": (survey, 2),  # the clearances of a side
    "_least": (least, 6),  # the wheels of many variants at once, at more and more places
}
"""What takes long, where it is done, and how often at the most without a question."""


@pytest.mark.slow
@pytest.mark.parametrize("name", TRIED)
def test_nothing_that_takes_long_is_done_unasked(name, monkeypatch):
    """However it is searched: a new search that forgets to ask does more than these at once."""
    sheet, values = TRIED[name]
    found = examine(change(ready.ready(sheet), values)) if values else ready.examined(sheet)
    how_sure(found)
    done, most, asked = Counter(), Counter(), []

    def counted(module, work):
        real = getattr(module, work)

        def count_it(*args, **named):
            done[work] += 1
            most[work] = max(most[work], done[work])
            return real(*args, **named)

        monkeypatch.setattr(module, work, count_it)

    def clock():
        asked.append(done.total())
        done.clear()
        return 0.0

    for work, (module, _) in WORK.items():
        counted(module, work)
    advice = [*search_cures(found, TimeLeft(1.0, clock))]

    assert advice[0].cures
    assert len(asked) > 5
    assert most.total()
    assert all(most[work] <= limit for work, (_, limit) in WORK.items()), most
