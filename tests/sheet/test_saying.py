"""What was felt, said as repairers say it: read as it would be typed, or told what is not known."""

from __future__ import annotations

import pytest

from linkage.sheet.saying import felt_in


@pytest.mark.parametrize(("said", "typed"), [
    ("sticks at top dead centre on the left",
     {"what": "locks", "at": "270 degrees", "side": "left"}),
    ("locks once a turn at the bottom on the right",
     {"what": "locks", "at": "90 degrees", "side": "right"}),
    ("tight at about front dead centre, left side",
     {"what": "stiff", "at": "about 0 degrees", "side": "left"}),
    ("it won't turn past 4 o'clock on the right",
     {"what": "locks", "at": "4 o'clock", "side": "right"}),
    ("it only locks going backwards at 2 o'clock on the right",
     {"what": "locks", "at": "2 o'clock", "side": "right", "turning": "backward"}),
    ("still locks with the motor out", {"what": "locks", "taken_off": ["motor"]}),
    ("locks at 5 o'clock +- 15 degrees on the right",
     {"what": "locks", "at": {"value": "5 o'clock", "measured_to": 15}, "side": "right"}),
    ("seized", {"what": "locks"}),
])  # fmt: skip
def test_a_sentence_is_read_as_it_would_be_typed(said, typed):
    assert felt_in(said) == [typed]


@pytest.mark.parametrize("said", [
    "it never locks", "it wobbles", "hits something at about 8", "doesn't lock on the right",
])  # fmt: skip
def test_what_is_not_known_is_not_guessed(said):
    with pytest.raises(ValueError, match=r"understood|should say|o'clock, or degrees"):
        felt_in(said)
