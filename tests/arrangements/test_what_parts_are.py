"""What a part is stands in the data: its key, its sort, what its pieces are; never its name."""

from __future__ import annotations

import pytest

from linkage.arrangements import build, coupled_wheels
from linkage.mechanism import PieceSort, Sort
from linkage.sheet import read_sheet
from linkage.sheet.merging import value_at
from linkage.sheet.ready import ready_sheets

SHEETS = ready_sheets()


@pytest.fixture(scope="module", params=SHEETS)
def built(request):
    sheet = read_sheet(SHEETS[request.param])
    return sheet, build(sheet)


def test_every_key_of_a_part_is_a_table_of_the_sheet(built):
    sheet, mechanisms = built
    for side, mechanism in mechanisms.items():
        tables = sheet.sides[side].model_dump(by_alias=True)
        keyed = [part for part in mechanism.parts if part.key]
        assert len({part.key for part in keyed}) == len(keyed)
        for part in keyed:
            steps = part.key.replace("[", ".").replace("]", "").split(".")
            location = tuple(int(step) - 1 if step.isdigit() else step for step in steps)
            assert isinstance(value_at(tables, location), dict), part.key
            assert mechanism.with_key(part.key) is part


def test_only_what_is_no_metal_has_no_key(built):
    for mechanism in built[1].values():
        assert all(part.key for part in mechanism.parts if not part.unseen)


def test_wheels_know_their_axle_and_one_part_is_the_crank(built):
    for mechanism in built[1].values():
        (crank,) = (part for part in mechanism.parts if part.sort is Sort.CRANK)
        assert crank.name == mechanism.crank
        axles = [part.axle for part in mechanism.parts if part.axle]
        assert sorted(axles) == sorted(held.axle for held in mechanism.wheelsets)


def test_rods_are_what_has_a_bend_on_the_sheet():
    mechanism = build(read_sheet(SHEETS["ardmoor-2-6-0"]))["right"]
    rods = {part.key for part in mechanism.parts if part.sort is Sort.ROD}
    assert {"connecting_rod", "radius_rod", "combination_lever", "union_link"} <= rods
    assert mechanism.part("slide bars").plural
    assert [part.name for part in mechanism.parts if part.plural] == ["slide bars"]


def test_ends_that_are_met_are_those_of_the_cylinder(built):
    for mechanism in built[1].values():
        for travel in mechanism.travels:
            assert travel.stop == (travel.part == "piston")


def test_coupled_wheels_have_the_keys_of_their_tables(built):
    sheet, mechanisms = built
    wheels = coupled_wheels(sheet)
    if wheels is None:
        pytest.skip("no coupled wheels")
    for rod in wheels.rods:
        mechanism = mechanisms["only" if "only" in mechanisms else rod.side]
        assert mechanism.with_key(rod.key).name == rod.name
    for axle in wheels.axles:
        part = next(iter(mechanisms.values())).with_key(axle.key)
        assert part.axle == axle.name


def test_a_driving_pin_has_its_pieces_by_what_they_are():
    mechanism = build(read_sheet(SHEETS["ardmoor-2-6-0"]))["right"]
    sorts = [piece.sort for piece in mechanism.part("crank").pieces]
    assert {PieceSort.CRANK_PIN, PieceSort.NUT} <= set(sorts)


def test_every_line_of_play_is_that_of_a_joint():
    sheet = read_sheet(SHEETS["ardmoor-pacific-5in"])
    table = type(sheet.sides["right"].joint_play)
    joints = {joint.name for joint in build(sheet)["right"].joints}

    assert table.JOINTS.keys() - joints == {"driving axle"}
    assert set(table.JOINTS.values()) == table.model_fields.keys() - {"everywhere"}


def test_a_joint_without_a_line_has_the_play_of_all():
    table = type(read_sheet(SHEETS["ardmoor-2-6-0"]).sides["right"].joint_play)
    play = table(everywhere=0.03, valve_pin=0.1)

    assert (play.of("valve pin"), play.of("union pin"), play.of("everywhere")) == (0.1, 0.03, 0.03)
