"""The slack of variants: its sign against whole examinations, whatever is asked together."""

from __future__ import annotations

import numpy as np
import pytest

from linkage.advice.slack import SHUT, SlackOfVariants
from linkage.arrangements import build
from linkage.clearance.near import WITHIN
from linkage.errors import AssemblyError, LinkageError, SheetError
from linkage.examine import examine
from linkage.sheet import change, sheet_from
from linkage.tightspots import KINDS, CannotClose, Close, Fouls, TouchesWithPlay
from tests.ready import ready
from tests.scatter import scattered

EDGE = 0.005  # nearer than this to its limit either may be right: `WITHIN`, and the play's 0.003
assert EDGE > WITHIN
WORN = "touches with play"  # wear is not looked at
COUNTS = {  # sheet: variants examined
    "ardmoor-0-4-0-worn-hole": 2,
    "ardmoor-0-6-0-7mm": 3,
    "ardmoor-0-6-0-middle-hole": 1,
    "ardmoor-0-6-0-nut-on-curves": 1,
    "ardmoor-2-6-0": 1,
    "ardmoor-2-6-0-straightened": 2,
    "ardmoor-pacific-5in": 2,
    "four-bar": 8,
    "four-bar-cannot-close": 3,
    "peaucellier": 4,
    "slider-crank": 8,
    "slider-crank-rod-too-long": 8,
    "stephenson-gear": 6,
}


def is_free(sheet):
    """Tell what a whole examination says, but for wear and for what hinders no turn."""
    try:
        return all(
            isinstance(spot, TouchesWithPlay) or not KINDS[type(spot)].hinders
            for spot in examine(sheet).spots
        )
    except AssemblyError:
        return False


@pytest.mark.parametrize("name", COUNTS)
def test_the_sign_is_what_a_whole_examination_says(name):
    sheet = ready(name)
    rng = np.random.default_rng([len(name), 3])
    variants = [sheet, *scattered(sheet, rng, COUNTS[name], 0.1, 2)]
    stops = SlackOfVariants(sheet.wanted_clearance)(variants)
    for variant, stop in zip(variants, stops, strict=True):
        assert stop.kind is CannotClose or stop.parts or stop.slack >= 0 or stop.side == "both"
        if abs(stop.slack) > EDGE:
            assert (stop.slack > 0) == is_free(variant)


def test_what_is_named_is_a_spot_of_the_examination():
    """Where something is wrong, the worst named is among what `check` finds."""
    for name in ("ardmoor-2-6-0", "ardmoor-pacific-5in-die-off-slot", "slider-crank-rod-too-long",
                 "ardmoor-0-6-0-rod-long"):  # fmt: skip
        sheet = ready(name)
        (stop,) = SlackOfVariants(sheet.wanted_clearance)([sheet])
        assert stop.slack < 0
        kinds = (Close, Fouls) if stop.kind is Close else stop.kind
        spots = [s for s in examine(sheet).spots if isinstance(s, kinds)]
        assert any(s.side == stop.side or stop.side == "both" for s in spots)
        assert any(set(stop.parts) <= set(s.parts) for s in spots)


def test_errors_stand_in_their_places():
    sheet = ready("slider-crank")
    refused = SheetError("x", [])
    items = [sheet, refused, AssemblyError(("rod",), 1.0), sheet, LinkageError("no"), refused]
    stops = SlackOfVariants(sheet.wanted_clearance)(items)
    kinds = [stop.kind for stop in stops]
    assert kinds[1] is kinds[5] is None
    assert kinds[2] is kinds[4] is CannotClose
    assert [stops[k].slack for k in (1, 2, 4, 5)] == [SHUT] * 4
    assert stops[0] == stops[3]
    assert stops[0].slack > SHUT
    assert SlackOfVariants(0.1)([refused])[0].kind is None
    assert SlackOfVariants(0.1)([]) == []


def test_mixed_forms_are_each_as_by_themselves():
    """Sheets of other arrangements, side by side and again: nothing of one is taken for another."""
    names = ("four-bar", "ardmoor-0-4-0-worn-hole", "ardmoor-2-6-0-straightened", "slider-crank",
             "ardmoor-0-6-0-rod-long", "ardmoor-0-6-0-7mm")  # fmt: skip
    rng = np.random.default_rng(4)
    sheets = [v for name in names for v in (ready(name), *scattered(ready(name), rng, 2, 0.1, 2))]
    alone = [SlackOfVariants(0.1)([sheet])[0] for sheet in sheets]
    together = SlackOfVariants(0.1)
    for order in (np.arange(len(sheets)), rng.permutation(len(sheets))):
        found = together([sheets[k] for k in order.tolist()])
        for k, stop in zip(order.tolist(), found, strict=True):
            near = max(2e-4, 0.05 * abs(alone[k].slack))
            assert stop.slack == pytest.approx(alone[k].slack, abs=near)


def test_sides_of_two_forms():
    """One side has a bracket that the other lacks; either side's numbers are its own."""
    sheet = ready("ardmoor-2-6-0-straightened")
    data = {key: value for key, value in sheet.data.items() if key != "motion_bracket"}
    data["right"] = {**data["right"], "motion_bracket": sheet.data["motion_bracket"]}
    uneven = sheet_from(data, "uneven", ask=False)
    assert len({len(mechanism.parts) for mechanism in build(uneven).values()}) == 2
    variants = [
        change(uneven, {key: value})
        for key, value in (("left.radius_rod.out", 4.0), ("left.eccentric_rod.centres", 24.4))
    ]
    stops = SlackOfVariants(sheet.wanted_clearance)([uneven, *variants])
    for variant, stop in zip([uneven, *variants], stops, strict=True):
        assert (stop.slack > 0) == is_free(variant)
        assert abs(stop.slack) > EDGE
