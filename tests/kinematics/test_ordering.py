"""Which parts are solved together, and what is said where parts and joints make no mechanism."""

from dataclasses import replace

import numpy as np
import pytest

from linkage.errors import LinkageError, MechanismError
from linkage.kinematics import follow, solve_variants
from linkage.kinematics.ordering import freedoms_taken, order_groups, solved_at_first
from linkage.mechanism import Mechanism, Part, Pin, Place, Slide, Slot
from tests.kinematics.linkages import four_bar, mechanism, slider_crank, valve_gear


def test_slider_crank_is_one_group_of_two():
    assert order_groups(slider_crank(4.33, 38.0)) == (("rod", "crosshead"),)


def test_full_gear_is_groups_of_two_two_and_five():
    groups = order_groups(valve_gear())
    assert [set(group) for group in groups] == [
        {"connecting rod", "crosshead"},
        {"eccentric rod", "expansion link"},
        {"radius rod", "lifting link", "combination lever", "union link", "valve spindle"},
    ]


def test_unknowns_of_the_groups():
    steps = follow(valve_gear()).chain.steps
    assert [step.group.size for step in steps] == [2, 2, 6]


def test_part_in_a_slot_is_a_group_by_itself():
    joints = (
        Pin("pivot", Place("lever", 0, 0), Place("frame", 0, -9)),
        Slot("slot", Place("crank", 4, 0), Place("lever", 0, 9), direction=1.57, near=(4, 0)),
    )
    assert order_groups(mechanism(("crank", "lever"), joints)) == (("lever",),)


def test_fixed_parts_are_part_of_the_frame():
    bars = Part("slide bars", fixed=True)
    base = slider_crank(4.33, 38.0)
    joints = tuple(
        replace(joint, b=Place("slide bars", 0, 0)) if isinstance(joint, Slide) else joint
        for joint in base.joints
    )
    with_bars = Mechanism((*base.parts, bars), joints)
    assert solved_at_first(with_bars) == {"frame", "crank", "slide bars"}
    assert order_groups(with_bars) == (("rod", "crosshead"),)


def test_freedoms():
    a, b = Place("a", 0, 0), Place("b", 0, 0)
    assert [freedoms_taken(kind("j", a, b)) for kind in (Pin, Slide, Slot)] == [2, 2, 1]


def changed(**changes):
    return replace(four_bar((40, 120, 80, 100)), **changes)


BASE = four_bar((40, 120, 80, 100))
LOOSE = Pin("extra", Place("coupler", 9, 9), Place("rocker", 1, 1))
BROKEN = [
    (changed(parts=(*BASE.parts, Part("rocker"))), r"^two parts are called 'rocker'$"),
    (changed(parts=(*BASE.parts, Part("frame"))), r"^two parts are called 'frame'$"),
    (changed(crank="wheel"), r"^there is no part 'wheel' to turn$"),
    (
        changed(joints=(*BASE.joints, Pin("eye", Place("rokcer", 0, 0), Place("frame", 0, 0)))),
        r"^eye joins a part 'rokcer' that is not there$",
    ),
    (
        changed(joints=(*BASE.joints, Pin("eye", Place("coupler", 0, 0), Place("coupler", 1, 0)))),
        r"^eye joins coupler to itself$",
    ),
    (changed(joints=(*BASE.joints, BASE.joints[2])), r"^two joints are called 'pivot'$"),
    (
        changed(joints=BASE.joints[:2]),
        r"^coupler, rocker: the joints leave 2 way\(s\) of moving free when the crank is held; "
        r"a pin, slide or slot is missing$",
    ),
    (
        changed(joints=(*BASE.joints, LOOSE)),
        r"^coupler, rocker: held by 2 more than they can have; a joint is too many$",
    ),
    (
        changed(joints=(*BASE.joints, Pin("stop", Place("crank", 1, 1), Place("frame", 0, 0)))),
        r"^stop joins two parts that are both held already$",
    ),
]
NAMES = ["part twice", "part called frame", "no crank", "unknown part", "to itself", "joint twice",
         "one missing", "one too many", "between held parts"]  # fmt: skip


@pytest.mark.parametrize(("broken", "message"), BROKEN, ids=NAMES)
def test_message(broken, message):
    with pytest.raises(MechanismError, match=message):
        order_groups(broken)


def test_messages_are_for_the_person_at_the_bench():
    assert issubclass(MechanismError, LinkageError)


def test_part_held_twice_beside_a_loose_one():
    """The freedoms add up, but not where they are: one part held too often, the other swings."""
    joints = (
        Pin("first", Place("bar", 0, 0), Place("frame", 0, 0)),
        Pin("second", Place("bar", 1, 0), Place("frame", 1, 0)),
        Pin("third", Place("bar", 0, 1), Place("flap", 0, 1), near=(0, 1)),
    )
    with pytest.raises(MechanismError, match=r"^bar: held by 1 more than"):
        follow(mechanism(("crank", "bar", "flap"), joints))


def test_parts_joined_to_each_other_only():
    joints = tuple(
        Pin(f"pin {x} {y}", Place("bar", x, y), Place("flap", x, y), near=(x, y))
        for x, y in ((0, 0), (1, 0), (0, 1))
    )
    with pytest.raises(MechanismError, match=r"^bar, flap: held to each other by 3 more"):
        follow(mechanism(("crank", "bar", "flap"), joints))


@pytest.mark.parametrize(
    "other", [four_bar((40, 120, 80, 100)), slider_crank(4.33, 30.0)], ids=["parts", "joint"]
)
def test_variants_that_differ_in_more_than_dimensions(other):
    base = slider_crank(4.33, 38.0)
    if len(other.joints) == len(base.joints) and other.joints[0].name == "big end":
        other = replace(other, joints=(replace(other.joints[0], name="pin"), *other.joints[1:]))
    with pytest.raises(MechanismError, match=r"^variants must have the same parts and joints$"):
        solve_variants(follow(base), [other], np.zeros(1))
