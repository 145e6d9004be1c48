"""How sure findings are: slopes against figures found anew, and what is said of them."""

import math
import tomllib

import numpy as np
import pytest

from linkage.advice.slack import SlackOfVariants
from linkage.arrangements import coupled_wheels
from linkage.certainty import NO_FIGURE, Word, how_sure
from linkage.certainty.figures import find_figures
from linkage.examine import examine
from linkage.play import NEARLY, PlayOfVariants
from linkage.report.sureness import DOUBTED, say_whole
from linkage.sheet import change, sheet_from
from linkage.sheet.blank import blank_sheet
from linkage.sheet.numbers import numbers_of, with_number
from linkage.tables.origin import Source
from linkage.tightspots import KINDS, CannotClose, Close, Fouls, PlayUsedUp, RunsOff
from tests.ready import examined, examined_once, ready
from tests.second_way.broken import read, whole_engines
from tests.second_way.calibration import drawn_sheet

BY = 0.02


@pytest.fixture(scope="module")
def bent(demo):
    return examined_once(demo)


@pytest.fixture(scope="module")
def nearly(demo):
    """Return the demonstration with a rod that all but touches its bracket."""
    return examine(change(demo, {"right.radius_rod.bend[1].towards_frames": 0.47}))


def figures_of(found, kind):
    numbers = numbers_of(found.sheet)
    columns = {number.key: k for k, number in enumerate(numbers)}
    return [f for f in find_figures(found, numbers) if f.kind is kind], columns


@pytest.mark.parametrize(
    "key",
    ["right.radius_rod.bend[1].towards_frames", "motion_bracket.thickness", "motion_bracket.out",
     "radius_rod.out"],
)  # fmt: skip
def test_the_air_of_a_pair_goes_as_its_slope_says(bent, key):
    figures, columns = figures_of(bent, Close)
    pair = bent.spots[0].parts
    met = [f for f in figures if f.parts == pair and f.side == "right"]
    figure = min(met, key=lambda f: f.room.now)
    held = bent.sheet.dimensions["right"]
    after = examine(change(bent.sheet, {key: held[key] + BY}))
    least = next(p.least for p in after.sides["right"].survey.pairs if p.parts == pair)
    slope = figure.room.slopes[columns[key]]
    assert abs(slope) > 0.1
    assert least - figure.room.now == pytest.approx(slope * BY, abs=0.1 * abs(slope) * BY + 2e-4)


def test_the_play_used_goes_as_its_slope_says():
    sheet, found = ready("ardmoor-0-6-0-rod-long"), examined("ardmoor-0-6-0-rod-long")
    figures, columns = figures_of(found, PlayUsedUp)
    worst = min(figures, key=lambda figure: figure.room.now)
    assert worst.room.now == pytest.approx(1 - found.play.used.most, abs=1e-3)
    key = next(k for k in columns if k.startswith("right.coupling_rods") and k.endswith("centres"))
    after = examine(change(sheet, {key: sheet.dimensions["right"][key] - 0.01})).play
    slope = worst.room.slopes[columns[key]]
    assert after.used.most - found.play.used.most == pytest.approx(0.01 * slope, rel=0.05)


@pytest.mark.parametrize("seed", [3, 5])
def test_the_share_of_play_of_drawn_engines_is_told_though_holes_are_as_uncertain_as_their_play(
    seed,
):
    """Play 0.04 of holes and pins known to 0.03 each: no straight line says what becomes of it.

    Of seeds 0 to 5 from 0.82 to all are told right, with a correlation of 0.79 to 0.99.
    """
    rng = np.random.default_rng([23, seed])
    free = read(whole_engines()["0-6-0 one piece"])
    sheet = drawn_sheet(free, numbers_of(free), rng)
    found = examine(sheet)
    numbers = numbers_of(sheet)
    play = [f for f in find_figures(found, numbers) if f.kind is PlayUsedUp]
    moves = rng.uniform(-1, 1, (40, len(numbers))) * [n.origin.error for n in numbers]
    told = np.max([1 - figure.rooms(moves) for figure in play], axis=0)
    drawn = []
    for move in moves:
        moved = sheet
        for number, by in zip(numbers, move.tolist(), strict=True):
            moved = with_number(moved, number, by)
        drawn.append(coupled_wheels(moved))
    used, _ = PlayOfVariants(NEARLY)(drawn)
    assert np.mean((told > NEARLY) == (used > NEARLY)) > 0.8
    assert np.corrcoef(np.minimum(told, 1.0), np.minimum(used, 1.0))[0, 1] > 0.75


def test_a_gap_and_a_travel_go_as_their_slopes_say():
    for name, kind, key in (
        ("four-bar-cannot-close", CannotClose, None),
        ("slider-crank-rod-too-long", RunsOff, "connecting_rod.centres"),
    ):
        sheet, found = ready(name), examined(name)
        figures, columns = figures_of(found, kind)
        worst = min(figures, key=lambda figure: figure.room.now)
        key = key or max(columns, key=lambda k: abs(worst.room.slopes[columns[k]]))
        after = examine(change(sheet, {key: sheet.dimensions["only"][key] + BY}))
        again = min(figures_of(after, kind)[0], key=lambda figure: figure.room.now)
        moved = worst.room.slopes[columns[key]] * BY
        assert again.room.now - worst.room.now == pytest.approx(moved, rel=0.05)


def test_chances_are_the_shares_of_sheets_drawn_and_looked_at_whole(nearly):
    """Forty engines drawn from the errors of a sheet whose rod all but touches its bracket."""
    sheet, judged = nearly.sheet, how_sure(nearly)
    pair = next(p for (side, p) in judged.pairs if side == "right" and "motion bracket" in p)
    chance = judged.pairs["right", pair].chance
    assert 0.2 < chance < 0.8
    numbers = [n for n in numbers_of(sheet) if n.origin.source is Source.MEASURED]
    rng = np.random.default_rng(5)
    drawn = []
    for _ in range(40):
        moves = {n.key: n.value + rng.uniform(-1, 1) * n.origin.error for n in numbers}
        drawn.append(change(sheet, moves))
    below = [
        s.slack < -sheet.wanted_clearance for s in SlackOfVariants(sheet.wanted_clearance)(drawn)
    ]
    spread = 2.5 * math.sqrt(chance * (1 - chance) / len(below))
    assert abs(np.mean(below) - chance) < spread + 0.07


def test_of_a_fault_among_guesses_the_surest_tells_of_the_whole():
    """A rod all but too long by measured numbers, on a sheet whose gear is all guesses."""
    blank = tomllib.loads(blank_sheet("walschaerts"))
    wheels = {
        "coupling": {"pin": 1.5, "hole": 1.58},
        "axles": {"leading": {"ahead": 28.0}},
        "coupling_rods": {"front": {"from": "driving", "to": "leading", "centres": 28.0}},
        "right": {"coupling_rods": {"front": {"centres": 28.17}}},
    }
    found = examine(sheet_from({**blank, **wheels}, "guesses"))
    judged = how_sure(found)
    (spot, *_) = judged.spots
    assert isinstance(found.spots[0], PlayUsedUp)
    assert spot.word is Word.TOUCH_AND_GO
    assert judged.whole.word is Word.TOUCH_AND_GO
    assert judged.whole.next == spot.next
    said = say_whole(found)
    assert "the surest of what was found is so in" in said
    assert "hardly any case" not in said


def test_a_fault_that_is_far_beyond_the_errors_is_sure(bent):
    judged = how_sure(bent)
    assert judged.spots[0].word is Word.SURE
    assert judged.spots[0].rests_on[Source.MEASURED] > 5
    assert not judged.spots[0].next
    assert not judged.worth


def test_a_blank_sheet_is_free_and_nothing_can_be_told():
    found = examine(sheet_from(tomllib.loads(blank_sheet("walschaerts"))))
    sure = how_sure(found)
    judged = sure.whole
    assert found.free
    assert sure.worth[: len(judged.next)] == judged.next
    assert len({item.key for item in sure.worth}) == 5
    assert judged.word is Word.CANNOT_TELL
    assert judged.rests_on[Source.MEASURED] == 0
    assert judged.rests_on[Source.GUESSED] > 10
    assert judged.next


def test_an_engine_measured_closely_with_play_enough_is_clear():
    data = dict(ready("ardmoor-0-6-0-good").data) | {"measured_to": 0.005}
    found = examine(sheet_from(data, ask=False))
    assert how_sure(found).whole.word is Word.CLEAR


@pytest.mark.parametrize("name", ["ardmoor-0-6-0-good", "ardmoor-0-4-0-worn-hole"])
def test_wheels_that_need_no_play_may_bind_within_the_errors(name):
    """Rods of the axles' length use no play; how likely they bind is told as drawn sheets tell."""
    sheet = ready(name)
    judged = how_sure(examined(name)).whole
    rng = np.random.default_rng(11)
    drawn = []
    for _ in range(60):
        moved = sheet
        for number in numbers_of(sheet):
            moved = with_number(moved, number, rng.uniform(-1, 1) * number.origin.error)
        drawn.append(coupled_wheels(moved))
    share = np.mean(PlayOfVariants(NEARLY)(drawn)[0] > NEARLY)
    assert judged.word is Word.TOUCH_AND_GO
    assert 0.05 < judged.chance < 0.2
    assert abs(share - judged.chance) < 0.1  # two and a half spreads of sixty draws


def test_what_is_near_its_limit_is_touch_and_go_and_names_what_to_measure(nearly):
    judged = how_sure(nearly)
    found = next(
        j for (side, p), j in judged.pairs.items() if side == "right" and "motion bracket" in p
    )
    assert found.word is Word.TOUCH_AND_GO
    assert found.next[0].origin.source is Source.MEASURED


def test_of_a_whole_engines_that_is_not_sure_the_least_sure_thing_is_named():
    """A die that has 3 mm left in its slot, where a degree of the cylinder's slope takes more."""
    found = examined_once(ready("ardmoor-2-4-0-gooch"))
    judged = how_sure(found).whole
    assert found.free
    assert judged.doubt is not None
    assert (judged.doubt.kind, judged.doubt.parts) == (RunsOff, ("die block", "slot"))
    assert "Least sure: the die block may travel too far for the slot on the" in say_whole(found)


def test_every_kind_that_can_be_in_doubt_has_its_words():
    """What fouls is in doubt as what is close; what no figure says anything of is never one."""
    assert set(DOUBTED) == set(KINDS) - {Fouls, *NO_FIGURE}


def test_it_is_worked_out_once(bent):
    assert how_sure(bent) is how_sure(bent)
