"""The pages of the measuring diagram, to be printed and filled in at the bench."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from linkage.draw.paint import our_look
from linkage.form.letters import Section, sections_of
from linkage.form.model import Model, Models, models_of
from linkage.form.sketch import Detail, Outline, Sketch, Span
from linkage.form.sketching import Cell, arrange, draw_cell
from linkage.form.table import WIDTH, Table, draw_table, wrap
from linkage.form.whole import draw_whole, whole_moment
from linkage.mechanism import Place, Sort
from linkage.scene.drawing import circle
from linkage.scene.style import SENTENCE, SMALL, TEXT, TITLE
from linkage.sheet.blank import arranged
from linkage.sheet.wheel_arrangement import WheelArrangement

PAPER = (210.0, 297.0)
"""A4 upright [mm]."""
_MARGIN = (PAPER[0] - WIDTH) / 2
_TOP, _BOTTOM = 14.0, 15.0
_HEADING = 8.0  # of a section [mm]
_APART = 5.0  # between sections [mm]
_WHOLE = 92.0  # height of the picture of the whole mechanism [mm]
_PER_INCH = 25.4


@dataclass(frozen=True)
class _Block:
    """A section laid out, and its number on the form."""

    number: int
    section: Section
    cells: Sequence[Cell]
    drawn: float
    columns: Sequence[str]
    key: str  # of its part on the sheet, as far as its table has one
    written: str  # how its table stands there

    @property
    def table(self) -> Table:
        """Its readings."""
        return Table(self.section.lines, self.section.letters, self.columns)

    @property
    def height(self) -> float:
        """What it takes of a page [mm]."""
        return _HEADING + self.drawn + self.table.height


def draw_measuring(
    arrangement: str,
    scale: str | None = None,
    wheels: WheelArrangement | None = None,
    unit: str = "mm",
) -> list[Figure]:
    """Draw the form for an arrangement's blank sheet.

    A4 pages; one unit of each page's first axis is one mm of paper.

    `scale`: a key of `linkage.units.SCALES`; 4 mm to the foot where none is given. `wheels`: the
    coupled axles; as the arrangement has them where not given. `unit`: in which lengths are
    written, "mm" or "in".
    """
    models = models_of(arrangement, scale, wheels, unit)
    head, *sections = sections_of(models)
    columns = ("reading",) if models.plain.side == "only" else ("right", "left")
    blocks = [
        _block(models, number, section, columns) for number, section in enumerate(sections, 1)
    ]
    name = f"{arrangement}, {scale}" if scale and not arranged(arrangement).blank else arrangement
    with our_look():
        first, y = _first_page(models, head, blocks, name)
        pages = [first]
        for block in blocks:
            if y - block.height < _BOTTOM:
                pages.append(_page())
                y = PAPER[1] - _TOP
            y = _draw_block(pages[-1].axes[0], block, y)
        for number, page in enumerate(pages, 1):
            _write_foot(page.axes[0], name, (number, len(pages)))
    return pages


def _page() -> Figure:
    figure = Figure(figsize=(PAPER[0] / _PER_INCH, PAPER[1] / _PER_INCH))
    axis = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axis.set_xlim(0.0, PAPER[0])
    axis.set_ylim(0.0, PAPER[1])
    axis.set_axis_off()
    return figure


def _block(models: Models, number: int, section: Section, columns: Sequence[str]) -> _Block:
    cells, height = arrange(section.detail, WIDTH) if section.detail else ([], 0.0)
    key, written = models.key_of(section.name), _written(models, section.name)
    return _Block(number, section, cells, height, columns, key, written)


def _draw_block(axis: Axes, block: _Block, top: float) -> float:
    """Draw a section from a height down, and return where the next begins [mm]."""
    section = block.section
    words = section.name.replace("_", " ").replace(".", ": ")
    axis.text(_MARGIN, top - 5.0, f"{block.number}  {words}", fontsize=SENTENCE, fontweight="bold")
    axis.text(_MARGIN + WIDTH, top - 5.0, block.written, fontsize=SMALL, ha="right")
    for cell in block.cells:
        draw_cell(axis, cell, (_MARGIN, top - _HEADING), section.letters)
    corner = (_MARGIN, top - _HEADING - block.drawn)
    draw_table(axis, block.table, corner)
    return top - block.height - _APART


def _written(models: Models, name: str) -> str:
    """Return how a table stands on the sheet."""
    first, _, rest = name.partition(".")
    if not models.is_list(first):
        return f"[{name}] on the sheet"
    return f'[[{first}]] name = "{rest}" on the sheet' if rest else f"[[{first}]] on the sheet"


def _write_foot(axis: Axes, name: str, page: tuple[int, int]) -> None:
    for y, text in (
        (9.5, "Drawn from typical numbers: yours differ. "
              "A key in brackets may be left out."),
        (5.5, "Ahead is towards the chimney, back towards the cab; out is outward from the "
              "face of the driving wheel's tyre, in plan down."),
    ):  # fmt: skip
        axis.text(_MARGIN, y, text, fontsize=SMALL)
    axis.text(_MARGIN + WIDTH, 9.5, f"{name}, page {page[0]} of {page[1]}", fontsize=SMALL,
              ha="right")  # fmt: skip


def _first_page(
    models: Models, head: Section, blocks: Sequence[_Block], name: str
) -> tuple[Figure, float]:
    """Return a page with the whole, the two ways to centres and the sheet's head; and its end."""
    figure = _page()
    axis = figure.axes[0]
    y = PAPER[1] - _TOP
    axis.text(_MARGIN, y - 3.0, f"Measuring diagram: {name}", fontsize=TITLE, fontweight="bold")
    said = (
        "Take the parts in the order of the numbers, write each reading into its box, and type "
        "all into the sheet afterwards.",
        "Letters stand where the calliper goes: arrowhead to arrowhead.",
    )
    for number, text in enumerate(said):
        axis.text(_MARGIN, y - 9.0 - 4.0 * number, text, fontsize=TEXT)
    y -= 20.0 + _WHOLE
    place = (_MARGIN / PAPER[0], y / PAPER[1], WIDTH / PAPER[0], _WHOLE / PAPER[1])
    moment = whole_moment(models.lifted)
    draw_whole(figure, place, moment, _numbers(models.lifted, blocks), _places(models.lifted))
    y = _draw_ways(axis, y - 6.0)
    if any(line.unit == "degrees" for line in models.lines):
        y = _draw_angles(axis, y + 1.0)
    table = Table(head.lines, {}, ("once for all",))
    draw_table(axis, table, (_MARGIN, y))
    return figure, y - table.height - _APART


def _numbers(model: Model, blocks: Sequence[_Block]) -> Mapping[str, str]:
    """Return the number of each part's section, by the name of the part or of a piece of it."""
    keys = {block.key: str(block.number) for block in blocks}
    found = {
        name: keys[part.key]
        for part in model.mechanism.parts
        for name in (part.name, *(piece.label for piece in part.pieces))
        if part.key in keys
    }
    numbers = {block.section.name: str(block.number) for block in blocks}
    found |= {name.replace("_", " "): number for name, number in numbers.items()}
    for section, number in numbers.items():
        if section.startswith("part."):
            found[section.removeprefix("part.")] = number
    return found


def _places(model: Model) -> Mapping[str, Place]:
    """Return what has a section of its own but no outline, or none that can be told from others."""
    found: dict[str, Place] = {}
    for part, points in model.points.items():
        held = model.mechanism.part(part)
        if not held.axle or not held.pieces:
            continue
        name = "wheels" if held.sort is Sort.CRANK else part
        x, y = points["crank pin"]
        found[name] = Place(part, -1.5 * y, 1.5 * x)
        found["crank pin" if name == "wheels" else "coupling"] = Place(part, x, y)
    return found


# --- the two ways to read centres ----------------------------------------------------------------


def _draw_ways(axis: Axes, top: float) -> float:
    """Draw how centres are read over the eyes or in the holes, and return where it ends [mm]."""
    said = "Centres: read one of these two ways, and leave the sum to the program"
    axis.text(_MARGIN, top - 4.0, said, fontsize=SENTENCE, fontweight="bold")
    cells, height = arrange(Detail(((_over(), _inside()),)), WIDTH)
    letters = {key: key for cell in cells for key in (m.key for m in cell.sketch.marks)}
    for cell in cells:
        draw_cell(axis, cell, (_MARGIN, top - 6.0), letters)
    y = top - 6.0 - height
    rules = (
        ("{ outside_to_outside = a, ends = [b, c] }", "centres = a - (b + c) / 2"),
        ("{ inside_to_inside = d, holes = [e, f] }", "centres = d + (e + f) / 2"),
    )
    for cell, (written, rule) in zip(cells, rules, strict=True):
        x = _MARGIN + cell.title[0]
        axis.text(x, y, f"centres = {written}", fontsize=SMALL, family="DejaVu Sans Mono")
        axis.text(x, y - 4.0, rule, fontsize=SMALL)
    return y - 10.0


_ANGLES = (
    "Or with a square and a rule, and leave the sum to the program: { rise = g, run = h }, how far "
    "one edge rises over how far along the other.",
    "Of a return crank: set its crank straight ahead. Of two cranks on one axle: set the left one "
    "straight ahead, and take the right one's pin. The rise is then how far that pin stands below "
    "the axle's centre (above it, where it follows), the run how far ahead; behind, it is below 0.",
)


def _draw_angles(axis: Axes, top: float) -> float:
    """Draw how an angle is read, and return where it ends [mm]."""
    said = "Angles: in degrees, by a protractor between the edges that are drawn"
    axis.text(_MARGIN, top - 4.0, said, fontsize=SENTENCE, fontweight="bold")
    cells, height = arrange(Detail(((_slope(), _slope()),)), WIDTH)
    draw_cell(axis, cells[0], (_MARGIN, top - 6.0), {"g": "g", "h": "h"})
    x, wide = _MARGIN + cells[1].title[0], WIDTH - cells[1].title[0]
    lines = [line for text in _ANGLES for line in wrap(text, wide)]
    for number, text in enumerate(lines):
        axis.text(x, top - 9.0 - 4.0 * number, text, fontsize=SMALL)
    return top - 6.0 - height - 4.0


def _slope() -> Sketch:
    far, rise, half = 20.0, 3.0, 0.5
    bar = [(0.0, -half), (far, rise - half), (far, rise + half), (0.0, half)]
    return Sketch(
        "against a square",
        (Outline([bar]),),
        (
            Span("g", (far, -half), (far, rise - half), "right"),
            Span("h", (0.0, -half), (far, -half)),
        ),
        (),
        front="",
        height=24.0,
    )


def _over() -> Sketch:
    eyes = ((0.0, 3.0), (20.0, 2.2))
    (_, rear), (far, front) = eyes
    return Sketch(
        "over both eyes, and each eye by itself",
        _rod(eyes),
        (
            Span("a", (-rear, 0.0), (far + front, 0.0)),
            Span("b", (-rear, 0.0), (rear, 0.0), "above"),
            Span("c", (far - front, 0.0), (far + front, 0.0), "above"),
        ),
        (),
        front="",
    )


def _inside() -> Sketch:
    eyes = ((0.0, 3.0), (20.0, 2.2))
    (_, rear), (far, front) = ((x, r / 2) for x, r in eyes)
    return Sketch(
        "between the holes, and each hole by itself",
        _rod(eyes),
        (
            Span("d", (rear, 0.0), (far - front, 0.0)),
            Span("e", (-rear, 0.0), (rear, 0.0), "above"),
            Span("f", (far - front, 0.0), (far + front, 0.0), "above"),
        ),
        (),
        front="",
    )


def _rod(eyes: Sequence[tuple[float, float]]) -> tuple[Outline, ...]:
    """Return any rod with two eyes and their holes."""
    (start, _), (end, _) = eyes
    bar = [(start, -0.9), (end, -0.9), (end, 0.9), (start, 0.9)]
    return (
        Outline([bar, *(circle((x, 0.0), radius) for x, radius in eyes)]),
        *(Outline([circle((x, 0.0), radius / 2)], "hole") for x, radius in eyes),
    )
