"""What a person types, as it stands in the file."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from linkage.bench.typed import typed_of, value_of

TYPED = [
    ("4.33", 4.33),
    ("4,33", "4,33"),
    (" about  4.3 ", "about 4.3"),
    ("11/64 in", "11/64 in"),
    ("5 thou", "5 thou"),
    ("over 12.3 pins 1.5", {"outside_to_outside": 12.3, "ends": [1.5, 1.5]}),
    ("over 44.4 ends 2.6 2.2", {"outside_to_outside": 44.4, "ends": [2.6, 2.2]}),
    ("about over 12,3 ends 1,5", {"outside_to_outside": "about 12,3", "ends": ["1,5", "1,5"]}),
    ("inside 9 holes .6 and .7", {"inside_to_inside": 9.0, "holes": [".6", ".7"]}),
    ("over 1/2 in ends 1/16 in and 1/16 in",
     {"outside_to_outside": "1/2 in", "ends": ["1/16 in", "1/16 in"]}),
    ("4.33 +- 0.03", {"value": 4.33, "measured_to": 0.03}),
    ("over 10.4 ends 1.4 1.4 \u00b1 0.03",
     {"outside_to_outside": 10.4, "ends": [1.4, 1.4], "measured_to": 0.03}),
    ("rise 1 run 24", {"rise": 1.0, "run": 24.0}),
]  # fmt: skip


@pytest.mark.parametrize(("typed", "held"), TYPED)
def test_typed_and_said_back(typed, held):
    assert value_of(typed) == held
    assert value_of(typed_of(held)) == held


@pytest.mark.parametrize("typed", ["", "  ", "4" * 300, "4\x1b[31m"])
def test_what_is_no_number_is_refused(typed):
    with pytest.raises(ValueError, match=r"nothing is typed|is no number"):
        value_of(typed)


@given(st.text(max_size=40))
def test_nothing_that_is_typed_breaks_it(text):
    try:
        held = value_of(text)
    except ValueError:
        return
    assert typed_of(held)
