"""How to set a bent rod: at least and at most how far, and what the metal gives and takes."""

from __future__ import annotations

import math

import numpy as np
import pytest

from linkage.advice import advise
from linkage.advice.bending import YIELDS, bend_advice
from linkage.advice.cure import SetBack
from linkage.advice.setting import bent_to
from linkage.examine import examine
from linkage.report.advising import say_bend
from linkage.report.blocks import Bullets
from linkage.report.data import bends_data
from linkage.report.document import bend_blocks
from linkage.sheet import read_sheet, sheet_from, turn_bend
from linkage.sheet.ready import ready_sheets
from linkage.tightspots import PlayUsedUp


@pytest.fixture(scope="module")
def bent(demo):
    return examine(demo)


@pytest.fixture(scope="module")
def advice(bent):
    (found,) = bend_advice(bent.sheet, "radius rod")
    return found


def test_at_least_as_much_as_the_cure_says(bent, advice):
    """Found by windows here, by closing in on the one pair there."""
    cure = advise(bent)[0].cures[0].cure
    assert isinstance(cure, SetBack)
    assert advice.setting is not None
    assert cure.least == pytest.approx(advice.setting[0])
    assert 0 <= cure.least - (advice.bend.amount - advice.window.high) <= 0.05


@pytest.mark.parametrize("past", [0.002, -0.002])
def test_the_least_set_is_enough_and_a_hair_less_is_not(demo, advice, past):
    """With the rod as long as its metal then makes it."""
    left = advice.window.high - past
    assert examine(bent_to(demo, "right", advice.bend, left)).free == (past > 0)


def test_what_it_costs_in_length(advice):
    """A bow of 0.70 over 6.0 of a rod: 8 s^2 / (3 L), to its next term."""
    assert advice.shorter == pytest.approx(8 * 0.70**2 / (3 * 6.0), rel=0.05)


def test_strain_of_the_outer_fibres(advice):
    """Half the thickness over the radius, (c^2 + 4 s^2) / (8 s) for the chord c and sag s."""
    radius = (6.0**2 + 4 * 0.70**2) / (8 * 0.70)
    assert advice.strain == pytest.approx(0.4 / 2 / radius, rel=0.06)


@pytest.mark.parametrize("tempered", [0, 1])
def test_spring_back_by_summing_fibres(advice, tempered):
    """Moment of a strip all of whose fibres yield, let go: an elastic unbending by M / (E I)."""
    stress_over_modulus, thick = YIELDS[tempered], advice.thickness
    y = (np.arange(20_000) + 0.5) / 20_000 * thick - thick / 2
    moment = np.mean(stress_over_modulus * np.abs(y)) * thick  # over E and the strip's width
    curvature = moment / (thick**3 / 12)
    assert advice.spring_back[tempered] == pytest.approx(curvature * 6.0**2 / 8, rel=1e-6)


def test_a_bend_turned_round_goes_the_other_way(demo):
    turned = turn_bend(demo, "right", "radius_rod", 1, "away_from_frames")
    rod = turned.sides["right"].radius_rod
    assert (rod.bend[0].way, rod.bend[0].amount) == ("away_from_frames", 0.70)
    assert turned.sides["left"].radius_rod.bend == ()


def test_a_kink_has_no_known_radius(demo):
    data = dict(demo.data)
    bend = {"kind": "kink", "from": "die block", "at": 9.6, "towards_frames": 0.5}
    data["right"] = {"radius_rod": {"bend": [bend]}}
    (found,) = bend_advice(sheet_from(data, ask=False), "radius_rod")
    assert math.isnan(found.strain)
    assert found.window is not None


def test_what_has_no_bend_is_refused(bent):
    with pytest.raises(ValueError, match="the eccentric rod has no bend on the sheet"):
        bend_advice(bent.sheet, "eccentric rod")
    with pytest.raises(ValueError, match='"crank pin" is no rod of this sheet'):
        bend_advice(bent.sheet, "crank pin")
    free = examine(read_sheet(ready_sheets()["ardmoor-2-6-0-straightened"]))
    with pytest.raises(ValueError, match="has no bend"):
        bend_advice(free.sheet, "radius rod")


def test_a_bend_that_fouls_nothing_may_stay(straight):
    """The demonstration's bow, all but taken out."""
    (found,) = bend_advice(straight, "radius rod")
    assert any("It may stay as it is, or be set" in line for line in say_bend(straight, found))


def test_rods_bent_alike_on_both_sides_are_set_alike(demo):
    """Either alone would leave the other side fouling, and no set would be found."""
    data = dict(demo.data)
    common = {**data["radius_rod"], "bend": data["right"]["radius_rod"]["bend"]}
    both = {k: v for k, v in data.items() if k not in ("right", "left")} | {"radius_rod": common}
    (found,) = bend_advice(sheet_from(both, ask=False), "radius_rod")

    assert found.side == "both"
    assert found.window is not None
    assert say_bend(demo, found)[0].startswith("Both sides: the radius rod is bent 0.70 mm")


def test_a_rod_answers_for_its_own_fault(two_faults):
    """A coupling rod of the same engine is too long: set or not, the wheels bind on that."""
    (found,) = bend_advice(two_faults, "radius rod")
    assert found.setting is not None
    assert found.windows.left is not None
    assert {type(spot) for spot in found.windows.left.others} == {PlayUsedUp}
    said = [
        text
        for block in bend_blocks(two_faults, [found])
        for text in (block.items if isinstance(block, Bullets) else [block.text])
    ]
    assert "As far as this rod goes, for more is wrong with the engine:" in said
    at = said.index("Still there, and not this rod's doing:")
    assert said[at + 1].startswith("Right-hand side: the coupling rod needs")
    told = bends_data(two_faults, [found])["bends"][0]
    assert told["set"] == {"least_mm": found.setting[0], "most_mm": found.setting[1]}
    assert [spot["kind"] for spot in told["left_in_it"]["still_there"]] == ["play used up"]
