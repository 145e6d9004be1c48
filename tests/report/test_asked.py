"""What is asked about, in words: every kind, for one side and for two."""

from __future__ import annotations

from types import SimpleNamespace
from typing import get_args

import pytest

from linkage.examine.asked import Asked, NeverOpens, RunsBack
from linkage.report.asked import say_asked
from tests.ready import examined

SAID = [
    (RunsBack(("right", "left")), "In full forward gear the valves of both sides are set to run"),
    (RunsBack(("only",)), "In full forward gear the valve is set to run the engine back. Are full"),
    (
        NeverOpens(("left",), "steam_lap", 8.0, 14.54),
        "The left valve goes 14.54 mm at the most, from end to end, and has 8.00 mm of steam lap: "
        "with half of its travel or more no port ever opens.",
    ),
    (
        NeverOpens(("right", "left"), "exhaust_lap", 8.0, 14.54),
        "The valve goes 14.54 mm at the most, from",
    ),
]


def test_every_kind_is_here():
    assert {type(one) for one, _ in SAID} == set(get_args(Asked))


@pytest.mark.parametrize(("asked", "words"), SAID)
def test_it_is_a_question(asked, words):
    sheet = examined("slider-crank").sheet
    (text,) = say_asked(SimpleNamespace(asked=(asked,), sides={}, sheet=sheet))
    assert text.startswith(words)
    assert text.count("?") == 1


def test_nothing_is_asked_of_an_engine_that_is_right():
    assert say_asked(examined("slider-crank")) == ()
