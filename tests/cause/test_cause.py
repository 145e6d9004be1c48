"""From what was felt to the cause: single faults put on engines, felt, and told."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import product

import numpy as np
import pytest

from linkage.cause import LookAlong, TakeOff, Weighing, proposals
from linkage.cause.explained import explain
from linkage.cause.faults import faults_of
from linkage.cause.feeling import SLIP, likelihood
from linkage.cause.sampling import CRANK, SAMPLES, Variants
from linkage.errors import SheetError
from linkage.examine import examine
from linkage.report.causes import cause_blocks
from linkage.scene.felt import dials_of
from linkage.sheet import set_running, sheet_from
from linkage.sheet.saying import felt_in
from linkage.tables.felt import Felt, Stance, Turning, What
from tests.ready import ready

GOOD = "ardmoor-0-6-0-good"


def stopped(*arcs):
    """Return a draw in which the wheels are stopped from one of some degrees to another."""
    return np.any([(np.degrees(CRANK) >= a) & (np.degrees(CRANK) <= b) for a, b in arcs], axis=0)[
        None
    ]


def felt(what=What.LOCKS, at=None, to=None, error=5.0, turning=None):
    placed = at is not None
    begin = math.radians(at or 0.0)
    end = math.radians(to if to is not None else (at or 0.0))
    return Felt(what, "right", begin, end, math.radians(error), placed, turning)


def test_a_lock_within_its_arc_is_likelier_than_beside_it_and_than_a_slip():
    arc = stopped((60, 90))
    inside, edge, far = (float(likelihood(felt(at=at), arc)[0]) for at in (75, 93, 180))

    assert inside >= edge > 10 * far
    assert far == pytest.approx(SLIP / (2 * math.pi), rel=0.01)


def test_turned_forward_it_is_felt_where_the_arc_begins():
    arc = stopped((60, 150))
    begins = [float(likelihood(felt(at=at, turning=Turning.FORWARD), arc)[0]) for at in (60, 150)]
    ends = [float(likelihood(felt(at=at, turning=Turning.BACKWARD), arc)[0]) for at in (60, 150)]

    assert begins[0] > 10 * begins[1]
    assert ends[1] > 10 * ends[0]


def test_the_density_of_a_place_adds_up_to_one():
    arc = stopped((60, 90), (200, 230))
    places = np.arange(0, 360, 1.0)
    total = sum(float(likelihood(felt(at=at), arc)[0]) for at in places) * math.radians(1.0)

    assert total == pytest.approx(1.0, abs=0.05)


@pytest.mark.parametrize("line", [
    felt(at=75), felt(at=60, turning=Turning.FORWARD), felt(at=60, to=90),
    felt(What.STIFF, at=60, to=90),
])  # fmt: skip
def test_what_stops_the_wheels_everywhere_does_not_explain_a_place(line):
    """It was felt at one place; where all of the turn is stopped that is any place alike."""
    everywhere, there = np.ones((1, SAMPLES), dtype=bool), stopped((60, 90))
    places = 2 if line.end > line.begin else 1

    assert likelihood(line, everywhere)[0] == pytest.approx((2 * math.pi) ** -places)
    assert likelihood(line, there)[0] > 3 * likelihood(line, everywhere)[0]


def test_what_stands_fast_leaves_no_more_to_turn_than_it_rocks():
    fast = replace(felt(), begin=0.0, end=2 * math.pi, error=0.0, placed=True)

    for arcs, fits in (
        ([(0, 360)], True),
        ([(6, 357)], True),
        ([(15, 357)], False),
        ([(400, 410)], False),
    ):
        assert likelihood(fast, stopped(*arcs))[0] == pytest.approx(1 - SLIP if fits else SLIP)


def test_free_is_said_of_its_stretch_alone():
    arc = stopped((60, 90))

    assert likelihood(felt(What.FREE, 120, 300), arc)[0] == 1 - SLIP
    assert likelihood(felt(What.FREE, 50, 300), arc)[0] == SLIP
    assert likelihood(felt(What.FREE), np.zeros((1, SAMPLES), dtype=bool))[0] == 1 - SLIP


def test_every_number_bend_and_what_is_not_given_is_a_fault():
    faults = {(fault.key, fault.bend) for fault in faults_of(ready("ardmoor-2-6-0-rough"))}

    assert ("right.coupling_rods.front.centres", False) in faults
    assert ("left.connecting_rod.towards_frames", True) in faults
    assert ("left.return_crank.lean", False) in faults
    assert ("right.axles.leading.pin_ahead_by", False) in faults
    assert ("left.axles.trailing.throw", False) in faults
    assert ("slide_bars.gap", False) in faults


def weighed(name, *lines, **more):
    data = {**ready(name).data, **more, "felt": list(lines)}
    return Weighing(sheet_from(data, "engine.toml", ask=False))


@pytest.fixture(scope="module")
def long_rod():
    return weighed(
        "ardmoor-0-6-0-rod-long",
        {"what": "locks", "side": "right", "at": "about 3 o'clock"},
        {"what": "free", "taken_off": ["right.coupling_rods"]},
    )


def test_a_long_rod_on_the_sheet_is_the_cause_of_its_lock(long_rod):
    first = long_rod.causes[0]

    assert (first.fault.side, first.fault.table, first.fault.what) == (
        "right", "coupling_rods.front", "centres",
    )  # fmt: skip
    assert first.on_sheet
    assert first.case.size > 0


def test_where_the_sheet_has_a_fault_another_may_be_a_second(long_rod):
    others = [cause for cause in long_rod.causes if cause.fault and not cause.on_sheet]

    assert others
    assert all(cause.beside for cause in others)
    assert not long_rod.causes[0].beside


def test_chances_add_up_to_one(long_rod):
    """But for those that hardly count, a ten thousandth each."""
    assert sum(cause.chance for cause in long_rod.causes) == pytest.approx(1.0, abs=0.01)


def test_a_lock_that_stays_with_the_rods_off_is_not_in_the_motion():
    found = weighed(
        GOOD,
        {"what": "locks", "side": "right", "at": 200},
        {"what": "locks", "side": "right", "at": 200, "taken_off": ["coupling_rods"]},
    )

    assert found.causes[0].fault is None


def test_a_wheel_out_of_quarter_is_felt_at_the_eighths():
    lines = [{"what": "locks", "side": "right", "from": a - 32, "to": a + 32} for a in (45, 135)]
    first = weighed(GOOD, *lines, {"what": "free", "taken_off": ["left.coupling_rods"]}).causes[0]

    assert first.fault.what == "pin_ahead_by"


LOCKS, FREE = {"what": "locks", "side": "right"}, {"what": "free"}
AT_FIVE = {**LOCKS, "at": "about five o'clock"}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("it locks at about five o'clock on the right", [AT_FIVE]),
        ("it locks at about five o'clock on the right, the left is free",
         [AT_FIVE, {**FREE, "side": "left"}]),
        ("locks right about five o'clock", [AT_FIVE]),
        ("About five o'clock it jams on the right side", [AT_FIVE]),
        ("the wheels stop near 5 o'clock on the right but it is free on the left.",
         [{**LOCKS, "at": "5 o'clock"}, {**FREE, "side": "left"}]),
        ("locked at half past 4 on the right-hand side", [{**LOCKS, "at": "half past 4"}]),
        ("locks right, 75 degrees", [{**LOCKS, "at": "75 degrees"}]),
        ("Locks on the right from half past 4 to 6 o'clock",
         [{**LOCKS, "from": "half past 4", "to": "6 o'clock"}]),
        ("stiff on the left from 7 to 8 o'clock",
         [{"what": "stiff", "from": "7 o'clock", "to": "8 o'clock", "side": "left"}]),
        ("free on the left", [{**FREE, "side": "left"}]),
        ("left is free", [{**FREE, "side": "left"}]),
        ("the left turns freely", [{**FREE, "side": "left"}]),
        ("is stiff from 20 to 60 degrees on the right, turning forward",
         [{"what": "stiff", "from": "20", "to": "60 degrees", "side": "right",
           "turning": "forward"}]),
        ("a bit tight on the left at quarter past 7, going backwards",
         [{"what": "stiff", "at": "quarter past 7", "side": "left", "turning": "backward"}]),
        ("it binds at 3 o'clock right", [{"what": "stiff", "side": "right", "at": "3 o'clock"}]),
        ("free with right.return_crank and motor off",
         [{**FREE, "taken_off": ["right.return_crank", "motor"]}]),
        ("it is free with the right return crank off",
         [{**FREE, "taken_off": ["right return crank"]}]),
        ("with the coupling rods off it is free", [{**FREE, "taken_off": ["coupling rods"]}]),
        ("locks at 5 o'clock on the right and is free with the motor and coupling rods off",
         [{**LOCKS, "at": "5 o'clock"}, {**FREE, "taken_off": ["motor", "coupling rods"]}]),
        ("locks on the right; free on the left; stiff with motor off",
         [LOCKS, {**FREE, "side": "left"}, {"what": "stiff", "taken_off": ["motor"]}]),
        ("locks at about five o'clock on the right in full back gear, free in mid-gear",
         [{**AT_FIVE, "running": "full_back"}, {**FREE, "running": "mid"}]),
        ("stiff on the left with the reverser in forward gear, going backward",
         [{"what": "stiff", "side": "left", "turning": "backward", "running": "full_forward"}]),
        ("locks at 9 o'clock on the right with the leading wheelset pushed over to the right",
         [{**LOCKS, "at": "9 o'clock", "pushed": {"leading": "right"}}]),
        ("free with all wheels pushed left", [{**FREE, "pushed": {"all": "left"}}]),
        ("it locks all round", [{"what": "locks", "at": "all round"}]),
        ("the wheels stand fast, with the return cranks off they are free all round",
         [{"what": "locks", "at": "all round"}, {**FREE, "taken_off": ["return cranks"]}]),
        ("will not turn at all with the motor off",
         [{"what": "locks", "at": "all round", "taken_off": ["motor"]}]),
    ],
)  # fmt: skip
def test_what_was_felt_can_be_said(text, said):
    assert felt_in(text) == said


def test_what_is_off_may_be_said_in_words():
    found = weighed(GOOD, {"what": "free", "taken_off": ["left coupling rods"]})
    (line,) = found.sheet.felt
    assert [(off.side, off.key) for off in line.off] == [("left", "coupling_rods")]
    (said,) = felt_in("free with both return cranks off")
    sheet = sheet_from(
        {**ready("ardmoor-2-6-0-rough").data, "felt": [said]}, "engine.toml", ask=False
    )
    both = [(off.side, off.key) for off in sheet.felt[0].off]
    assert both == [("right", "return_crank"), ("left", "return_crank")]


@pytest.mark.parametrize(
    "text", ["it wobbles", "locks at teatime", "locks right upside down", "locks free"]
)
def test_what_says_nothing_is_refused(text):
    with pytest.raises(ValueError, match="should say what was felt"):
        felt_in(text)


@pytest.mark.parametrize("text", ["free from 7 to 12 on the right", "locks at about five"])
def test_a_bare_hour_is_asked_about(text):
    with pytest.raises(ValueError, match="is that o'clock, or degrees"):
        felt_in(text)


def test_a_bend_that_the_sheet_has_on_one_side_is_its_likeliest_cause():
    data = dict(ready("ardmoor-2-6-0").data)
    lines = felt_in("locks at about 12 o'clock on the right")
    weighing = Weighing(sheet_from({**data, "felt": lines}, "engine.toml", ask=False))
    first = weighing.causes[0]

    assert (first.fault.side, first.fault.table) == ("right", "radius_rod")
    assert first.fault.bend
    assert first.on_sheet
    assert first.chance > 0.5


def test_what_is_alike_on_both_sides_is_no_slip_of_one():
    """The return cranks were measured alike: that one has slipped is misread at the most."""
    weighing = Weighing(ready("ardmoor-2-6-0"))
    named = ("return_crank", "lean")
    every = [one for one in weighing.hypotheses if one.fault is not None]
    slips = [one for one in every if (one.fault.table, one.fault.what) == named]

    assert slips
    assert all(not math.isnan(one.fault.across) for one in slips)
    assert sum(one.prior for one in slips if one.on_sheet) < sum(
        one.prior for one in slips if not one.on_sheet
    )


def test_something_else_grows_where_tests_speak_against_the_causes():
    """Three removals, after each of which it locked on: the causes explain them ever less."""
    data = dict(ready(GOOD).data)
    said = ["locks at about 3 o'clock on the right"]
    shares = []
    for more in ((), ("locks with coupling_rods off",), ("free with motor off",)):
        said += more
        lines = [line for words in said for line in felt_in(words)]
        weighing = Weighing(sheet_from({**data, "felt": lines}, "engine.toml", ask=False))
        whole = sum(cause.chance for cause in weighing.causes) + weighing.something_else
        assert whole == pytest.approx(1.0, abs=0.02)
        shares.append(weighing.something_else)

    assert 0 < shares[0] < shares[1]
    assert max(cause.chance for cause in weighing.causes if cause.fault) < 0.9


@pytest.mark.parametrize("bend", [[], [{"kind": "bow", "from": "rear", "up": 0.5}]])
def test_a_rod_that_was_looked_along_is_hardly_bent_but_as_it_was_found(bend):
    data = dict(ready(GOOD).data)
    looked = {**data.get("right", {}), "coupling_rods": {"front": {"bend": bend}}}
    before, after = (
        [
            one
            for one in faults_of(sheet_from(held, "engine.toml", ask=False))
            if one.bend and not one.on_sheet
        ]
        for held in (data, {**data, "right": looked})
    )

    def known(faults):
        return {(one.side, one.table) for one in faults if one.origin.known}

    assert known(before) == set()
    assert known(after) == {("right", "coupling_rods.front")}


def test_a_rod_that_measures_short_of_its_fellow_may_be_bent_and_is_to_be_looked_along():
    """A bend draws the eyes together: what is measured of a rod is what the bend left of it."""
    data = dict(ready(GOOD).data)
    right = {**data.get("right", {}), "coupling_rods": {"front": {"centres": 28.92}}}
    sheet = sheet_from({**data, "right": right}, "engine.toml", ask=False)
    faults = [f for f in faults_of(sheet) if f.bend and f.table == "coupling_rods.front"]
    apart = {fault.side: fault.centres.by for fault in faults}
    assert apart == {"right": pytest.approx(-0.08), "left": pytest.approx(0.08)}
    for side, case in ((fault.side, case) for fault in faults for case in fault.cases):
        # the kink of two straight limbs, and the slope of a joggle
        length = {"right": 28.92, "left": 29.0}[side]
        limbs = (case.at, length - case.at)
        kink = length - sum(math.sqrt(limb**2 - case.size**2) for limb in limbs)
        joggle = math.hypot(0.2 * length, case.size) - 0.2 * length
        assert min(abs(case.shortens - one) for one in (kink, joggle)) < 1e-9

    lines = [{"what": "locks", "side": "right", "at": "about 1 o'clock"}]
    found = Weighing(sheet_from({**data, "right": right, "felt": lines}, "engine.toml", ask=False))
    told = {(one.fault.side, one.fault.table, one.fault.what) for one in found.causes[:3]}
    key = "right", "coupling_rods.front"
    assert told == {(*key, "centres"), (*key, "towards_frames"), (*key, "away_from_frames")}
    assert any(isinstance(one.test, LookAlong) for one in proposals(found)[:2])


def test_what_is_felt_in_back_gear_is_weighed_in_back_gear():
    name = "ardmoor-0-6-0-stephenson"
    found = weighed(
        name,
        {"what": "locks", "side": "right", "at": 100, "running": "full_back"},
        {"what": "free", "running": "full_forward"},
    )
    alone = Variants(set_running(ready(name), "full_back"))
    there = {thing: room for thing, room in found.suspects.variants.base.items() if thing.stance}

    back = Stance("full_back")
    assert found.stances == (back,)
    assert {replace(thing, stance=None) for thing in there} == set(alone.base)
    assert all((room == alone.base[replace(t, stance=None)]).all() for t, room in there.items())
    # what stops the wheels in back gear alone is none that is felt to be free in fore gear
    only = [one for one in found.causes if one.elsewhere[back]["right"].any()
            and not one.stopped["right"].any() and not one.stopped["left"].any()]  # fmt: skip
    assert only
    assert all(one.explains[1] > 1 for one in only)
    takes_off = [one.test for one in proposals(found) if isinstance(one.test, TakeOff)]
    assert takes_off
    assert {test.stance for test in takes_off} == {back}


def test_the_least_room_of_all_ways_of_pushing_is_that_of_wheels_as_they_like():
    sheet = ready("ardmoor-0-6-0-nut-on-curves")
    ways = product(("right", "left"), repeat=3)
    stances = [Stance(None, tuple(zip(("driving", "leading", "trailing"), way, strict=True)))
               for way in ways]  # fmt: skip
    base = Variants(sheet, stances).base
    free = [thing for thing in base if thing.stance is None]
    depend = 0
    for thing in free:
        rooms = [base.get(replace(thing, stance=one), base[thing] * 0 + 9) for one in stances]
        assert np.minimum.reduce(rooms) == pytest.approx(base[thing], abs=1e-9)
        depend += max(float(room.max()) for room in rooms) > float(base[thing].max()) + 0.1
    assert depend


def test_a_nut_that_meets_on_curves_is_felt_with_its_wheels_pushed_that_way():
    name = "ardmoor-0-6-0-nut-on-curves"
    lines = [
        {"what": "locks", "side": "right", "at": "9 o'clock", "pushed": {"leading": "right"}},
        {"what": "free", "side": "right", "pushed": {"leading": "left"}},
        {"what": "locks", "side": "right", "at": "9 o'clock", "pushed": {"leading": "left"}},
    ]
    sheet = sheet_from({**ready(name).data, "felt": lines[:2]}, "engine.toml", ask=False)
    assert [one.agrees for one in explain(examine(sheet))] == [True, True]
    other = sheet_from({**ready(name).data, "felt": lines[2:]}, "engine.toml", ask=False)
    assert [one.agrees for one in explain(examine(other))] == [False]

    found = weighed(name, *lines[:2])
    told = (str(block) for block in cause_blocks(found, found.causes))
    assert found.causes[0].fault.key == "axles.leading.side_play"
    there = "With the leading wheelset pushed over to the {} it would stop them from {}"
    words = " ".join(told)
    assert there.format("right", "7 o'clock to 11 o'clock") in words
    assert there.format("left", "5 o'clock back to 1 o'clock") in words  # of the left-hand side
    first, *_ = dials_of(found, found.causes, "right")
    assert first.words == "Felt with the leading wheelset pushed over to the right"

    with pytest.raises(SheetError, match='no axle of this engine; did you mean "leading"'):
        sheet_from({**ready(name).data, "felt": [{**LOCKS, "pushed": {"leadin": "right"}}]},
                   "engine.toml", ask=False)  # fmt: skip


def test_a_pin_measured_out_of_its_place_is_looked_at_as_in_its_place():
    data = dict(ready(GOOD).data)
    left = {**data.get("left", {}), "axles": {"leading": {"pin_behind_by": 6.9}}}
    sheet = sheet_from({**data, "left": left}, "engine.toml", ask=False)
    sizes = [
        case.size
        for fault in faults_of(sheet)
        if fault.key == "left.axles.leading.pin_behind_by"
        for case in fault.cases
    ]

    assert min(sizes, key=lambda size: abs(size + 6.9)) == pytest.approx(-6.9)


def test_guessed_coupled_wheels_turn_in_every_draw_of_what_they_were():
    """However far the guesses are out: an engine that came in once turned."""
    sheet = ready(GOOD)
    now = sheet.dimensions["right"]
    rods = {
        key: {**rod, "centres": f"about {now[f'coupling_rods.{key}.centres']} mm"}
        for key, rod in sheet.data["coupling_rods"].items()
    }
    data = {**sheet.data, "coupling_rods": rods}
    weighing = Weighing(sheet_from(data, "engine.toml", ask=False))
    outside = weighing.hypotheses[-1]
    unmoved = [one for one in weighing.hypotheses if one.case and one.fault.bend]

    assert outside.fault is None
    assert unmoved
    assert all(float(one.shares(frozenset()).max()) < 1 for one in unmoved[:3])


def test_on_the_page_no_command_is_named(long_rod):
    found = long_rod
    page, terminal = (
        " ".join(str(block) for block in cause_blocks(found, found.causes, page=on))
        for on in (True, False)
    )
    assert "`tightspot" in terminal
    assert "`" not in page
    assert '"Put it right"' in page


def test_where_but_one_place_was_said_the_two_ends_are_asked_for():
    one = {"what": "locks", "side": "right", "at": "about 3 o'clock"}
    ends = ({**one, "turning": "forward"}, {**one, "at": 80, "turning": "backward"})
    asked = "turn them on until they stop, and back until they stop"
    for lines, there in (((one,), True), (ends[:1], True), (ends, False)):
        found = weighed(GOOD, *lines)
        told = " ".join(str(block) for block in cause_blocks(found, found.causes))
        assert found.causes[0].chance < 0.9
        assert (asked in told) == there
