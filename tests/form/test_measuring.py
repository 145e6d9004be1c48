"""The measuring diagram: every reading in its place, and the places true to the sheet."""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from itertools import combinations

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.text import Text

from linkage.arrangements import ARRANGEMENTS as ARRANGED
from linkage.arrangements.numbers import facts_at
from linkage.form.dimension_lines import lay_out
from linkage.form.letters import letter, sections_of
from linkage.form.model import models_of
from linkage.form.pages import draw_measuring
from linkage.form.sketch import Arc, Curve, Detail, Outline, Sketch, Span, Spot
from linkage.form.sketching import arrange
from linkage.form.tables import views_of
from linkage.sheet.blank import DAMAGE, blank_sheet
from linkage.sheet.blank import sections_of as rows_by_table
from linkage.tables.facts import table_of
from linkage.tables.rods import Bar
from linkage.tables.views import FLAT

ARRANGEMENTS = ("walschaerts", "slider-crank", "coupled-wheels", "linkage")
KEY = re.compile(r"^#? ?(\[\[?[\w.]+\]\]?|\w+(\.\w+)* = .*)$")


@cache
def models(arrangement):
    return models_of(arrangement, "4 mm")


@cache
def sections(arrangement):
    return sections_of(models(arrangement))


@cache
def pages(arrangement, scale="4 mm"):
    return draw_measuring(arrangement, scale)


def marks(arrangement):
    return [mark for s in sections(arrangement) if s.detail for mark in s.detail.marks]


# --- every key of the blank sheet ---------------------------------------------------------------


def keys_of_the_text(arrangement) -> list[str]:
    """Every reading of the blank sheet as its text has it, what is commented out too."""
    as_made, _, _ = blank_sheet(arrangement, "4 mm").partition(DAMAGE)
    lines = [line.removeprefix("# ") for line in as_made.splitlines() if KEY.match(line)]
    found = tomllib.loads("\n".join(lines))
    found.pop("left", None)  # the other column of boxes
    for words in ("job", "felt"):  # for the report and the hand, not for the callipers
        found.pop(words, None)
    return [key for key in flat(found) if not only_usual(arrangement, key)]


def only_usual(arrangement, key) -> bool:
    """Whether a reading is on the sheet for no more than to take the place of a usual size."""
    if ARRANGED[arrangement].blank:
        return False
    asked = {name: {row.key for row in rows} for name, rows in rows_by_table(arrangement)}
    name = max((name for name in asked if key.startswith(f"{name}.")), key=len, default="")
    return bool(name) and key.removeprefix(f"{name}.").split(".")[0] not in asked[name]


def flat(value, above=""):
    """Yield the keys of numbers and words; a bend is one reading, and so is a place."""
    if isinstance(value, Mapping):
        for key, held in value.items():
            yield from flat(held, f"{above}.{key}" if above else key)
    elif isinstance(value, list) and isinstance(value[0], Mapping):
        if above.endswith("bend"):
            yield above
            return
        for table in value:
            name = f"{above}.{table['name']}" if above in ("part", "pin") else above
            yield from flat(table, name)
    elif isinstance(value, list) and above.endswith(("holes", "side_view")):
        yield from (f"{above}.{number}" for number in range(1, len(value) + 1))
    else:
        yield above


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_every_key_of_the_blank_sheet_is_on_the_form_in_its_order(arrangement):
    on_form = [line.full for section in sections(arrangement) for line in section.lines]
    wanted = keys_of_the_text(arrangement)

    assert len(wanted) > 15
    assert on_form == wanted


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_every_key_is_drawn_once_or_has_a_reason_not_to_be(arrangement):
    drawn = [mark.key for mark in marks(arrangement)]

    assert len(drawn) == len(set(drawn))
    lines = {line.full: line for line in models(arrangement).lines}
    for key in keys_of_the_text(arrangement):
        if lines[key].unit == "word":
            assert key not in drawn
        else:
            assert (key in drawn) != bool(lines[key].no_place), key
    assert set(drawn) <= set(keys_of_the_text(arrangement))


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_letters_follow_the_order_of_the_sheet(arrangement):
    drawn = {mark.key for mark in marks(arrangement)}
    lettered = [
        section.letters[line.full]
        for section in sections(arrangement)
        for line in section.lines
        if line.full in section.letters
    ]

    assert lettered == [letter(number) for number in range(len(drawn))]


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_every_letter_stands_on_a_drawing_and_in_the_table(arrangement):
    said = [t.get_text() for page in pages(arrangement) for t in page.findobj(Text)]
    for number in range(len(marks(arrangement))):
        assert said.count(letter(number)) == 2, letter(number)


@pytest.mark.parametrize("arrangement", ARRANGEMENTS[:3])
def test_every_calliper_goes_into_a_view_that_its_table_has(arrangement):
    held = models(arrangement)
    for section in {line.section for line in held.lines if line.section}:
        callipers = [facts_at(line.full).calliper for line in held.lines if line.section == section]
        table = table_of(type(held.plain.tables), section.split("."))
        views = {*(table.VIEWS or {""}), *([FLAT] if issubclass(table, Bar) else [])}
        assert {c.view for c in callipers if c} <= views, section


@pytest.mark.parametrize("arrangement", ARRANGEMENTS[:3])
def test_every_number_says_in_its_own_field_where_its_calliper_goes(arrangement):
    """But for what every rod has; no list of tables or keys stands anywhere else."""
    held = models(arrangement)
    for line in held.lines:
        if not line.section or line.unit == "word":
            continue
        table = table_of(type(held.plain.tables), line.section.split("."))
        if issubclass(table, Bar) and line.key in {*Bar.model_fields, "centres"}:
            continue
        assert (facts_at(line.full).calliper is None) == bool(line.no_place), line.full


@pytest.mark.parametrize(("far", "level"), [(20.0, 0.0), (-20.0, 0.0), (200.0, 180.0)])
def test_an_angle_from_the_level_is_drawn_on_the_side_of_its_line(far, level):
    held = models("walschaerts")
    arm = (math.cos(math.radians(far)), math.sin(math.radians(far)))
    points = {**held.lifted.points, "weighshaft": {"shaft": (0.0, 0.0), "arm end": arm}}
    line = next(line for line in held.lines if line.full == "weighshaft.arm_angle")
    (sketch,) = views_of(
        replace(held, lines=(line,), lifted=replace(held.lifted, points=points)), "weighshaft"
    )
    (arc,) = sketch.marks
    assert [math.degrees(a) for a in (arc.begin, arc.end)] == pytest.approx([level, far])


# --- true places ----------------------------------------------------------------------------------


def length_on_paper(mark, line) -> float:
    """Return what is measured between the arrow tips [mm of paper, or degrees]."""
    if isinstance(mark, Arc):
        a, b = (np.subtract(point, line[0]) for point in (line[-1], line[len(line) // 2]))
        chord, half = math.hypot(*a), math.hypot(*b)
        return math.degrees(4 * math.acos(min(1.0, chord / 2 / half)))
    if isinstance(mark, Curve):  # an arc of a circle through its chords
        ends, sag = middle_and_sag(line)
        radius = (ends**2 / 4 + sag**2) / (2 * sag)
        return 2 * radius * math.asin(ends / 2 / radius)
    return math.dist(line[0], line[-1])


def middle_and_sag(line):
    (ax, ay), (bx, by), (mx, my) = line[0], line[-1], line[len(line) // 2]
    ends = math.hypot(bx - ax, by - ay)
    return ends, abs((bx - ax) * (my - ay) - (by - ay) * (mx - ax)) / ends


def asked(arrangement, key) -> float:
    """Return what the sheet drawn from has there; what is 0 is drawn with something to be seen."""
    held = models(arrangement)
    if arrangement == "linkage":
        return next(line.value for line in held.lines if line.full == key)
    model = held.shown if key in held.instead else held.plain
    if key.startswith(("lifting_link.", "weighshaft.")):
        model = held.lifted
    if key.endswith(".bend"):
        model, key = held.bent, f"{key}[1].towards_frames"
    key = re.sub(r"\.holes\.(\d)$", r".holes[\1]", key).replace("fixed.", "fixed[1].")
    return abs(model.sheet.dimensions[model.side][key])


MEASURED = [
    pytest.param(arrangement, mark.key, id=f"{arrangement}: {mark.key}")
    for arrangement in ARRANGEMENTS
    for mark in marks(arrangement)
    if not isinstance(mark, Spot)
]


@pytest.mark.parametrize(("arrangement", "key"), MEASURED)
def test_arrow_tips_on_the_page_are_as_far_apart_as_the_sheet_says(arrangement, key):
    """Read off the finished page, brought back to size by the scale of that sketch."""
    (mark,) = (mark for mark in marks(arrangement) if mark.key == key)
    (line,) = (
        np.column_stack(line.get_data())
        for page in pages(arrangement)
        for line in page.axes[0].lines
        if line.get_label() == key
    )
    scale = 1.0 if isinstance(mark, Arc) else scale_of(arrangement, key)

    assert length_on_paper(mark, line) / scale == pytest.approx(asked(arrangement, key), abs=1e-6)


def scale_of(arrangement, key) -> float:
    (section,) = (s for s in sections(arrangement) if key in s.letters)
    (cell,) = (
        cell
        for cell in arrange(section.detail, 186.0)[0]
        if any(mark.key == key for mark in cell.sketch.marks)
    )
    return cell.layout.scale


COUNTS = list(zip(ARRANGEMENTS, (4, 4, 4, 3), strict=True))


@pytest.mark.parametrize(("arrangement", "count"), COUNTS)
def test_places_stand_where_the_sheet_has_them(arrangement, count):
    lines = {line.full: line.value for line in models(arrangement).lines}
    spots = [mark for mark in marks(arrangement) if isinstance(mark, Spot)]

    assert len(spots) == count
    for spot in spots:
        wanted = lines[spot.key][-1] if spot.key.endswith("joins") else lines[spot.key]
        assert spot.spot == pytest.approx(wanted, abs=1e-9)


def test_rods_lie_between_their_pins():
    """Independent of the sheet: the arrow tips are where the joints hold the rod."""
    model = models("walschaerts").plain
    ends = {
        "connecting_rod": ("crank pin", "little end"),
        "radius_rod": ("die block", "radius rod pin"),
        "eccentric_rod": ("return crank pin", "link foot pin"),
        "union_link": ("drop arm pin", "union pin"),
    }
    for table, joints in ends.items():
        (mark,) = (m for m in marks("walschaerts") if m.key == f"{table}.centres")
        held = [model.joint(name, table.replace("_", " ")) for name in joints]
        assert [mark.start, mark.end] == [pytest.approx(place) for place in held]


# --- what is on the paper -------------------------------------------------------------------------


def boxes(figure):
    """Return the words alone: of a name with a line to its part, not the line."""
    FigureCanvasAgg(figure)
    figure.canvas.draw()
    renderer = figure.canvas.get_renderer()
    return [
        (text.get_text(), Text.get_window_extent(text, renderer))
        for text in figure.findobj(Text)
        if text.get_text().strip() and text.get_visible()
    ]


@pytest.mark.parametrize(
    ("arrangement", "scale"),
    [*((arrangement, "4 mm") for arrangement in ARRANGEMENTS), ("walschaerts", "5 in")],
)
def test_no_words_lie_upon_others_or_off_the_page(arrangement, scale):
    for number, page in enumerate(pages(arrangement, scale), 1):
        found = boxes(page)
        for text, box in found:
            assert page.bbox.x0 < box.x0, (number, text)
            assert box.x1 < page.bbox.x1, (number, text)
            assert page.bbox.y0 < box.y0, (number, text)
            assert box.y1 < page.bbox.y1, (number, text)
        for (one, a), (other, b) in combinations(found, 2):
            assert not a.overlaps(b), (number, one, other)


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_letters_keep_off_one_another(arrangement):
    for section in sections(arrangement):
        for cell in arrange(section.detail, 186.0)[0] if section.detail else ():
            spots = [dimension.letter for dimension in cell.layout.dimensions]
            for a, b in combinations(spots, 2):
                assert math.dist(a, b) > 2 * 2.7, cell.sketch.title


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_lettering_is_legible_at_half_the_paper(arrangement):
    """A5 is 0.71 of A4: nothing is set below 4.5 points there."""
    least = min(
        text.get_fontsize()
        for page in pages(arrangement)
        for text in page.findobj(Text)
        if text.get_text().strip()
    )
    assert least / math.sqrt(2) >= 4.5


@pytest.mark.parametrize("arrangement", ARRANGEMENTS[:3])
def test_every_view_says_where_the_front_is(arrangement):
    sketches = [
        sketch
        for section in sections(arrangement)
        if section.detail
        for row in section.detail.rows
        for sketch in row
    ]
    without = {sketch.title for sketch in sketches if not sketch.front}
    hangs = "side view, lying flat: weighshaft pin to the left, lifting pin to the right"
    assert without <= {hangs}  # its front is a face of it

    said = [text.get_text() for page in pages(arrangement) for text in page.findobj(Text)]
    fronts = [text for text in said if "FRONT" in text]
    assert len(fronts) == len(sketches) - len(without) + 1  # and that of the whole


def test_away_from_the_frames_is_down_in_plan():
    rod, out = Outline([[(0, 1), (2, 1), (2, 2)]]), Span("a", (0, 0), (0, 1), "left")
    sketch = Sketch("", (rod,), (out,), plan=True)
    (dimension,) = lay_out(sketch, 10.0).dimensions
    assert sorted(y for _, y in dimension.line) == [-10.0, 0.0]


@pytest.mark.parametrize("arrangement", ARRANGEMENTS[:3])
def test_the_first_page_has_the_number_of_every_detail(arrangement):
    said = [text.get_text() for text in pages(arrangement)[0].findobj(Text)]
    details = list(sections(arrangement))[1:]
    drawn = [number for number, section in enumerate(details, 1) if section.detail]

    assert len(drawn) >= 6
    for number in drawn:
        assert any(text.startswith(f"{number} ") for text in said), details[number - 1].name


# --- dimension lines ------------------------------------------------------------------------------


def one(span, scale=1.0):
    bar = Outline([[(0.0, -1.0), (30.0, -1.0), (30.0, 1.0), (0.0, 1.0)]])
    layout = lay_out(Sketch("", (bar,), span if isinstance(span, tuple) else (span,)), scale)
    return layout.dimensions


def test_a_long_line_has_its_letter_in_the_middle_and_its_arrows_inside():
    (line,) = one(Span("a", (0.0, 0.0), (30.0, 0.0)))
    assert line.letter[0] == pytest.approx(15.0)
    assert all(tail[0] == pytest.approx(15.0) for tail, _ in line.heads)


def test_a_short_line_has_its_arrows_outside_pointing_in():
    (line,) = one(Span("a", (10.0, 0.0), (12.0, 0.0)))
    (tail, tip), (other_tail, other_tip) = line.heads
    assert tail[0] < tip[0] == pytest.approx(10.0)
    assert other_tail[0] > other_tip[0] == pytest.approx(12.0)
    assert line.letter[0] > 12.0


def test_lines_that_would_meet_take_rows_of_their_own():
    lines = one((Span("a", (0.0, 0.0), (30.0, 0.0)), Span("b", (0.0, 0.0), (20.0, 0.0))))
    levels = {line.key: line.line[0][1] for line in lines}
    assert levels["a"] < levels["b"] < -1.0


def test_a_detail_that_is_aligned_has_one_scale_and_one_origin():
    bar = Outline([[(0.0, -1.0), (30.0, -1.0), (30.0, 1.0)]])
    side = Sketch("", (bar,), (Span("a", (0.0, 0.0), (30.0, 0.0)),))
    plan = Sketch("", (bar,), (Span("b", (0.0, 0.0), (0.0, 1.0), "left"),), plan=True, height=20.0)
    cells, height = arrange(Detail(((side,), (plan,)), aligned=True), 186.0)
    assert cells[0].layout.scale == cells[1].layout.scale
    assert cells[0].origin[0] == cells[1].origin[0]
    assert height < 2 * 50.0
