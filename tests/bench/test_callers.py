"""Pages that come, go, and die."""

import threading
import time

from linkage.bench import callers
from linkage.bench.callers import Callers


def test_a_page_that_died_lets_the_server_end_and_one_that_is_heard_does_not(monkeypatch):
    monkeypatch.setattr(callers, "SILENT", 10)
    gone = threading.Event()
    held = Callers(gone.set, look=0.02)
    assert not gone.wait(0.4)  # no page came yet: somebody is about to open it
    page = held.comes()["page"]
    until = time.monotonic() + 0.8
    while time.monotonic() < until:
        assert held.owns(page)
        assert not gone.wait(0.02)
    assert gone.wait(10)


def test_a_page_that_said_goodbye_is_waited_for(monkeypatch):
    gone = threading.Event()
    held = Callers(gone.set, wait=0.2)
    held.goes(held.comes()["page"])
    again = held.comes()
    assert again["second"] is None  # loaded again
    assert not gone.wait(0.5)
    held.goes(again["page"])
    assert gone.wait(10)
