"""Questions on their way."""

import time

import pytest

from linkage.bench.jobs import DIED, MOST, STALE, STOPPED, Jobs
from linkage.bench.telling import Answer, Done, Going, Question


def helps(pipe):
    while True:
        asked = pipe.recv()
        pipe.send(Going(asked.number, 1, 2, "half"))
        if asked.what == "long":
            time.sleep(60)
        if asked.what == "dies":
            raise SystemExit(1)
        pipe.send(Done(asked.number, Answer({"what": asked.what}, {"0": ("cured", "text")})))


@pytest.fixture
def jobs():
    held = Jobs(lambda _, answer: answer.says, helps)
    yield held
    held.close()


def ask(jobs, what, revision=0, quick=False):
    return jobs.ask(lambda number: Question(number, revision, what, "", None, {}, quick))


def end_of(jobs, number):
    found, until = {"version": -1}, time.monotonic() + 60
    while not found.get("done") and time.monotonic() < until:
        found = jobs.follow(number, found["version"], 10.0)
    return found


def test_one_after_another_is_answered_and_one_that_dies_is_told(jobs):
    first, second, third = (ask(jobs, what) for what in ("a", "dies", "b"))

    assert end_of(jobs, first)["answer"] == {"what": "a"}
    assert end_of(jobs, second)["problem"] == DIED
    assert end_of(jobs, third)["answer"] == {"what": "b"}
    assert jobs.text_of(first, "0", 0) == ("cured", "text")
    assert jobs.text_of(first, "0", 1) is None
    assert jobs.text_of(second, "0", 0) is None
    assert jobs.follow(99, -1, 0.0) is None


def test_what_gave_way_to_newer_questions_is_over_and_not_unknown(jobs):
    """A page that changes its sheet fast may still wait for the first of many questions."""
    first, *_ = (ask(jobs, "long", revision=k) for k in range(MOST + 1))
    found = jobs.follow(first, 3, 0.0)

    assert (found["done"], found["problem"], found["stale"]) == (True, STALE, True)
    assert found["version"] > 3
    assert jobs.follow(first + MOST + 1, -1, 0.0) is None


def test_one_is_stopped_by_hand_and_one_by_a_change_and_the_next_goes_on(jobs):
    by_hand, stale, new = ask(jobs, "long"), ask(jobs, "long"), ask(jobs, "a", revision=1)
    jobs.stop(by_hand)
    jobs.drop_stale(1)

    assert end_of(jobs, by_hand)["problem"] == STOPPED
    assert end_of(jobs, stale)["problem"] == STALE
    assert end_of(jobs, new)["answer"] == {"what": "a"}


def test_how_far_a_number_can_go_is_not_let_go_of_when_that_number_alone_is_changed(jobs):
    def asked(what, key):
        return jobs.ask(lambda number: Question(number, 0, what, "", None, {"id": key}, True))

    waits, mine = asked("long", "a"), asked("window", "a")
    other, picture = asked("window", "b"), asked("calliper", "c")
    jobs.drop_stale(1, "a")
    for number in (waits, other):
        said = end_of(jobs, number)
        assert (said["problem"], said["stale"]) == (STALE, True)
    assert end_of(jobs, mine)["answer"] == {"what": "window"}
    assert end_of(jobs, picture)["answer"] == {"what": "calliper"}
    again = asked("long", "a")
    jobs.drop_stale(2)  # more was changed
    assert end_of(jobs, again)["problem"] == STALE


def test_what_the_page_asks_by_itself_waits_for_no_longer_question(jobs):
    long, waits, quick = ask(jobs, "long"), ask(jobs, "b"), ask(jobs, "a", quick=True)

    assert end_of(jobs, quick)["answer"] == {"what": "a"}
    assert not jobs.follow(waits, -1, 0.0)["done"]
    jobs.stop(long)
    assert end_of(jobs, waits)["answer"] == {"what": "b"}
