"""A course followed roughly, for a drawing, against the same followed exactly."""

import pytest

from linkage.arrangements import build
from linkage.kinematics import follow
from linkage.sheet.changing import change
from tests.ready import ready

ROD = "eccentric_rod.centres"


@pytest.mark.parametrize("centres", [24.1, 21.7, 21.3, 27.1])
def test_a_rough_course_has_the_stretches_of_the_exact_one(centres):
    mechanism = build(change(ready("ardmoor-2-6-0"), {ROD: centres}))["right"]
    exact, rough = follow(mechanism), follow(mechanism, roughly=True)

    assert len(rough.arcs) == len(exact.arcs)
    for one, other in zip(rough.arcs, exact.arcs, strict=True):
        assert one.whole == other.whole
        ends = [(arc.crank[0], arc.crank[-1]) for arc in (one, other)]
        assert ends[0] == pytest.approx(ends[1], abs=2e-3)
    assert any(not arc.whole for arc in exact.arcs) == (centres != 24.1)
