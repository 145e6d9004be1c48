"""Where numbers come from: measured, guessed, to be made, assumed."""

import tomllib

import pytest

from linkage.errors import SheetError
from linkage.sheet import change, read_sheet, rewrite, sheet_from
from linkage.sheet.blank import blank_sheet
from linkage.sheet.ready import ready_sheets
from linkage.tables.origin import Origin, Source

HEAD = 'arrangement = "slider-crank"\nscale = "4 mm"\nmeasured_to = 0.05\n'
BODY = """
[wheels]
throw = 4.33
[crank_pin]
diameter = 1.5
[connecting_rod]
centres = "about 38"
[slide_bars]
rear = { value = "about 31", measured_to = 2.0 }
front = 45.0
gap = "about 4,4"
[crosshead]
slipper = { ahead = 2.0, back = 2.0, depth = 4.2 }
[cylinder]
inclination = "about 3"
"""


def read(text=HEAD + BODY):
    return sheet_from(tomllib.loads(text))


def test_a_guess_is_as_far_out_as_is_typical_of_the_scale():
    origins = read().origins
    assert origins["wheels.throw"] == Origin(Source.MEASURED, 0.05)
    assert origins["connecting_rod.centres"] == Origin(Source.GUESSED, pytest.approx(3.8))
    assert origins["slide_bars.gap"] == Origin(Source.GUESSED, pytest.approx(0.44))
    assert origins["cylinder.inclination"] == Origin(Source.GUESSED, 5.0)
    assert origins["connecting_rod.thickness"] == Origin(Source.ASSUMED, pytest.approx(0.25))


def test_a_guess_says_its_own_spread():
    assert read().origins["slide_bars.rear"] == Origin(Source.GUESSED, 2.0)


def test_a_guess_without_a_scale_is_refused_with_what_to_write():
    with pytest.raises(SheetError) as caught:
        read((HEAD + BODY).replace('scale = "4 mm"\n', ""))
    keys = [problem.key for problem in caught.value.problems]
    assert sorted(keys) == ["connecting_rod.centres", "cylinder.inclination", "slide_bars.gap"]
    assert all('scale = "4 mm"' in problem.wrong for problem in caught.value.problems)


def test_what_a_cure_makes_of_a_number_was_not_measured():
    text = HEAD + BODY
    made = rewrite(read(text), text, {"wheels.throw": 4.3, "connecting_rod.centres": 37.5})
    assert 'throw = "to be 4.3"' in made
    origins = read(made).origins
    assert origins["wheels.throw"] == Origin(Source.PLANNED, 0.05)
    assert origins["connecting_rod.centres"].source is Source.PLANNED


def test_what_was_assumed_by_a_number_stays_when_a_cure_changes_that():
    """A slide bar that is filed on its outer face has its inner one where it was."""
    text = HEAD + BODY
    before = read(text)
    held = before.dimensions["only"]
    assert before.origins["slide_bars.out"].source is Source.ASSUMED
    made = rewrite(before, text, {"slide_bars.thickness": held["slide_bars.thickness"] - 0.2})
    after = read(made)
    moved = {
        key
        for key, value in after.dimensions["only"].items()
        if abs(value - held[key]) > 1e-3  # as finely as it is written
    }

    assert moved == {"slide_bars.thickness"}
    assert after.origins["slide_bars.out"].source is Source.GUESSED


def test_a_guess_that_is_changed_stays_a_guess():
    changed = change(read(), {"connecting_rod.centres": 36.0, "wheels.throw": 4.0})
    assert changed.sides["only"].connecting_rod.centres == 36.0
    assert changed.origins["connecting_rod.centres"].source is Source.GUESSED
    assert changed.origins["wheels.throw"].source is Source.MEASURED


def test_what_a_sheet_does_not_say_stays_when_another_number_changes(tmp_path):
    """An engine does not make room for a part that is put in: what was assumed is kept."""
    path = tmp_path / "sheet.toml"
    path.write_text(blank_sheet("walschaerts"), encoding="utf-8")
    sheet = read_sheet(path)
    rod = sheet.dimensions["right"]["eccentric_rod.out"]
    thick = change(sheet, {"return_crank.thickness": 1.0})
    assert thick.dimensions["right"]["eccentric_rod.out"] == rod
    assert thick.origins["eccentric_rod.out"].source is Source.ASSUMED
    assert thick.assumed == tuple(
        line.replace("return crank thickness 0.4 mm", "return crank thickness 1 mm")
        for line in sheet.assumed
    )


@pytest.mark.parametrize("arrangement", ["walschaerts", "slider-crank", "coupled-wheels"])
def test_nothing_of_a_blank_sheet_was_measured(arrangement):
    origins = sheet_from(tomllib.loads(blank_sheet(arrangement))).origins
    assert {origin.source for origin in origins.values()} <= {Source.GUESSED, Source.ASSUMED}


@pytest.mark.parametrize("scale", ["4 mm", "7 mm", "N"])
@pytest.mark.parametrize("arrangement", ["walschaerts", "slider-crank", "coupled-wheels"])
def test_taking_in_a_line_of_what_would_be_assumed_changes_nothing(arrangement, scale):
    text = blank_sheet(arrangement, scale)
    before = sheet_from(tomllib.loads(text))
    side = next(iter(before.dimensions))
    assumed = {
        key
        for key, origin in before.origins.items()
        if origin.source is Source.ASSUMED and key not in before.handed_on
    }
    lines = text.splitlines()
    section, taken = "", set()
    for number, line in enumerate(lines):
        if line.startswith("["):
            section = line.strip("[]")
        elif line.startswith("# ["):
            section = ""
        key = f"{section}.{line[2:].split(' = ')[0]}"
        if section and line.startswith("# ") and key in assumed:
            lines[number] = line[2:]
            taken.add(key)
    after = sheet_from(tomllib.loads("\n".join(lines)))
    assert after.dimensions[side] == pytest.approx(before.dimensions[side], abs=1e-9)
    assert taken


BENT = """
[[connecting_rod.bend]]
kind = "bow"
from = "big end"
towards_frames = 0.7
"""


@pytest.mark.parametrize(
    "side",
    ["", "[right]\nconnecting_rod.thickness = 0.9\n", "[right.connecting_rod]\nthickness = 0.9\n",
     "[right]\nwheels.throw = 4.3\n"],
)  # fmt: skip
@pytest.mark.parametrize("bend", [BENT, None])
def test_a_cure_of_one_side_is_put_on_that_side_however_the_sheet_is_written(side, bend):
    text = 'sides = ["right", "left"]\n' + HEAD + BODY
    if bend is None:
        inline = '[{ kind = "bow", from = "big end", towards_frames = 0.7 }]'
        text = text.replace("[connecting_rod]\n", f"[connecting_rod]\nbend = {inline}\n") + side
    else:
        text += bend + side
    made = rewrite(read(text), text, {"right.connecting_rod.bend[1].towards_frames": 0.1})
    after = read(made)
    bends = {name: held.connecting_rod.bend for name, held in after.sides.items()}
    assert [bend.amount for bend in bends["right"]] == [0.1]
    assert [bend.amount for bend in bends["left"]] == [0.7]
    assert after.dimensions["right"].keys() >= {"right.connecting_rod.bend[1].towards_frames"}


def test_a_cure_goes_on_a_sheet_with_one_worn_hole_beside_a_round_one():
    text = ready_sheets()["ardmoor-0-6-0-good"].read_text()
    text = text.replace(
        "[coupling_rods.front] ",
        '[coupling_rods.front]\nholes = [{ along = "1.74 mm", across = "1.58 mm" }, "1.56 mm"]\n',
    )
    made = rewrite(read(text), text, {"left.coupling_rods.front.centres": 29.02})
    rods = {side: held.coupling_rods["front"] for side, held in read(made).sides.items()}
    assert rods["left"].centres == 29.02
    assert [(hole.along, hole.across) for hole in rods["left"].holes] == [
        (1.74, 1.58),
        (1.56, 1.56),
    ]
    assert rods["right"].holes == rods["left"].holes
