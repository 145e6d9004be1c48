"""The process that finds out: late, dead, or deaf, and what comes of it."""

import threading
import time

import pytest

from linkage.bench import pool
from linkage.bench.pool import Finder
from linkage.bench.telling import Asked, Begun, Told


def answers(pipe):
    while True:
        asked = pipe.recv()
        pipe.send(Begun(asked.revision))
        if asked.sheet == "deaf":
            time.sleep(60)
        if asked.sheet == "dies":
            raise SystemExit(1)
        pipe.send(Told(asked.revision, "proven", f"{asked.revision}"))


class Heard:
    """What was told, to be waited for."""

    def __init__(self):
        self.told, self.failed = {}, {}
        self._there = threading.Condition()

    def tell(self, told):
        """Note a stage."""
        self._note(self.told, told.revision, told.text)

    def fail(self, revision, says):
        """Note a failure."""
        self._note(self.failed, revision, says)

    def _note(self, where, key, value):
        with self._there:
            where[key] = value
            self._there.notify_all()

    def wait(self, where, key):
        """Return what is told of a revision, when it is."""
        with self._there:
            assert self._there.wait_for(lambda: key in where, 30)
        return where[key]


@pytest.fixture
def finder(monkeypatch):
    monkeypatch.setattr(pool, "PATIENCE", 0.3)
    held = Finder(answers)
    yield held
    held.close()


def test_one_that_does_not_come_to_the_newest_is_ended_and_another_takes_its_place(finder):
    heard = Heard()
    finder.tell(heard.tell, heard.fail)
    finder.ask(Asked(1, "deaf"))
    while not finder._warm:
        time.sleep(0.05)
    finder.ask(Asked(2, "well"))

    assert heard.wait(heard.told, 2) == "2"
    assert 1 not in heard.told


def test_one_that_ends_again_and_again_at_a_sheet_is_told_and_the_next_is_looked_at(finder):
    heard = Heard()
    finder.tell(heard.tell, heard.fail)
    finder.ask(Asked(1, "dies"))

    assert "ended before it was done" in heard.wait(heard.failed, 1)
    finder.ask(Asked(2, "well"))
    assert heard.wait(heard.told, 2) == "2"
