"""Where the calliper goes on any table, from what its fields say of it."""

from __future__ import annotations

import math
from collections.abc import Iterator

from linkage.form.engine import AT_AXLE, AXLE, rod_plan, rod_side
from linkage.form.model import Model, Models
from linkage.form.sketch import Arc, Detail, Mark, Outline, Sketch, Span
from linkage.mechanism import FRAME, Point, Sort
from linkage.tables.facts import Between, Turned, facts_of, fields_by_key, table_of

_ARC = 0.6  # radius of an angle's arc, as a share of its longer leg


def table_detail(models: Models, section: str) -> Detail | None:
    """Return the drawings of a table: of a rod lying flat with its edge, and what its fields say.

    None where nothing of it can be drawn.
    """
    if not section:
        return None
    part = models.plain.mechanism.with_key(section)
    model = models.plain if part else models.lifted
    part = part or model.mechanism.with_key(section)
    rows: list[tuple[Sketch, ...]] = []
    if part is not None and part.sort is Sort.ROD:
        rows.append((rod_side(models, part.name, model),))
        plan = rod_plan(models, part.name, model)
        rows += [(plan,)] if plan.marks else []
    own = _own_marks(models, model, section)
    if own.marks:
        rows.append((own,))
    return Detail(tuple(rows), aligned=not own.marks) if rows else None


def _own_marks(models: Models, model: Model, section: str) -> Sketch:
    """Return where the calliper goes by the fields, over the outlines of the parts they name."""
    marks, places, names = [], dict[str, Point](), dict[str, None]()
    for key, asked in _asked(models, section):
        named = [asked.start, asked.end, *([asked.centre] if isinstance(asked, Turned) else [])]
        for name in named:
            places[name] = _place(model, name)
            names[name.partition(".")[0]] = None
        marks.append(_mark(key, asked, places))
    parts = [part for part in model.mechanism.parts if part.name in names and part.pieces]
    return Sketch(
        f"side view: {', '.join(part.name for part in parts)}" if parts else "side view",
        tuple(Outline(model.seen(part.name), "about") for part in parts),
        tuple(marks),
        tuple(dict.fromkeys(places.values())),
        words=(AT_AXLE,) if "axle" in places else (),
    )


def _asked(models: Models, section: str) -> Iterator[tuple[str, Between | Turned]]:
    """Yield the readings of a table that say where the calliper goes."""
    for line in models.lines:
        if line.section == section:
            *above, last = line.full.split(".")
            table = table_of(type(models.plain.tables), above)
            calliper = facts_of(fields_by_key(table)[last]).calliper if table else None
            if calliper is not None:
                yield line.full, calliper


def _place(model: Model, name: str) -> Point:
    """Return a place by its name [mm]: in the frame's axes, or in those of a part."""
    if name == "axle":
        return AXLE
    part, _, point = name.partition(".")
    return model.points[part][point] if point else model.joint(name, FRAME)


def _mark(key: str, asked: Between | Turned, places: dict[str, Point]) -> Mark:
    start, end = places[asked.start], places[asked.end]
    if isinstance(asked, Between):
        return Span(key, start, end, asked.side)
    x, y = places[asked.centre]
    begin, stop = (math.atan2(q - y, p - x) for p, q in (start, end))
    reach = _ARC * max(math.dist((x, y), start), math.dist((x, y), end))
    return Arc(key, (x, y), begin, stop, reach)
