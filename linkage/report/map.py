"""The map of two numbers in words, as plain data and as a table for a spreadsheet."""

from __future__ import annotations

import csv
import io
import math
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Any

from linkage.advice.map import Axis, SlackMap
from linkage.advice.slack import Stop, name_of
from linkage.report.advising import say_left, say_reason, say_stop
from linkage.report.blocks import Block, Bullets, Paragraph
from linkage.report.cautions import CAUTION
from linkage.report.data import degrees_of, left_data, stop_data
from linkage.report.program import program_version
from linkage.report.voice import to_bench
from linkage.sheet import Sheet
from linkage.tightspots import KINDS, Close, PoorTransmission, TightSpot
from linkage.units import hour

COLUMNS = (
    "free",
    "slack",
    "slack in",
    "what stops it, or would first",
    "side",
    "parts",
    "clock",
)
"""Heads of the table after those of the two numbers, and before the crank's angle."""


def unit_of(sheet: Sheet, axis: Axis) -> str:
    """Return the unit in which a number is said."""
    return "degrees" if axis.degrees else sheet.lengths.unit


def say_answer(sheet: Sheet, found: SlackMap) -> list[str]:
    """Say whether today's pair of two numbers is free, and which free pair is nearest to it."""
    free = int(found.free.sum())
    said = [f"Of {found.free.size} pairs looked at, {free or 'none'} {_are(free)} free."]
    where = "" if found.holds(found.now) else ", which lies outside what was looked at,"
    if found.here:
        said.append(f"Today's pair{where} is free.")
        if not _clear(found.today):
            said.append(f"What would stop it first: {say_stop(sheet, found.today)}.")
        return said
    said.append(f"Today's pair{where} is not free: {say_stop(sheet, found.today)}.")
    if found.nearest is not None:
        changes = [
            _say_change(sheet, axis, value)
            for axis, value in zip(found.axes, found.nearest, strict=True)
        ]
        said.append(f"The nearest free pair: {'; '.join(changes)}.")
    return said


def _clear(stop: Stop) -> bool:
    """Tell whether nothing comes near its limit."""
    return stop.kind is Close and not stop.parts


def _are(count: int) -> str:
    return "is" if count < 2 else "are"


def _say_change(sheet: Sheet, axis: Axis, value: float) -> str:
    voice = to_bench(sheet)
    by = value - axis.now
    if abs(by) < 5e-3:
        return f"{axis.key} as it is"
    way = "more" if by > 0 else "less"
    to = voice.number(value, axis.degrees, axis.key)
    return f"{axis.key} {to}, {voice.again(abs(by), axis.degrees)} {way}"


def _say_alone(sheet: Sheet, found: SlackMap) -> list[str]:
    """Say whether one of the numbers alone would do."""
    said = []
    for axis, other, value in zip(found.axes, found.axes[::-1], found.alone, strict=True):
        pair = (value, other.now) if axis is found.axes[0] else (other.now, value)
        if pair == found.nearest:
            continue  # said already
        if value is not None:
            said.append(f"With {other.key} as it is: {_say_change(sheet, axis, value)}.")
        elif other.values[0] <= other.now <= other.values[-1]:
            said.append(f"With {other.key} as it is, no {axis.key} looked at would do.")
    return said


def map_blocks(sheet: Sheet, found: SlackMap, files: Sequence[str]) -> Iterator[Block]:
    """Yield which pairs of two numbers are free."""
    voice = to_bench(sheet)
    for axis in found.axes:
        first, last = (
            voice.number_again(x, axis.degrees, axis.key) for x in axis.values[[0, -1]].tolist()
        )
        yield Paragraph(
            f"{axis.key} is {voice.number(axis.now, axis.degrees, axis.key)} now; looked at from "
            f"{first} to {last}.",
            "strong",
        )
    alone = [] if found.here else _say_alone(sheet, found)
    yield from map(Paragraph, [*say_answer(sheet, found), *alone])
    kinds = found.stoppers
    if kinds:
        yield Paragraph("What stops those that are not free, the commonest first:")
    counts = Counter(stop.what for row in found.stops for stop in row if stop.slack < 0)
    yield Bullets(
        tuple(
            f"{counts[what]} pair{'s' if counts[what] > 1 else ''}: {say_reason(Stop(0.0, *what))}."
            for what in kinds
        )
    )
    yield from say_left(sheet, found.left, "pair")
    yield from (Paragraph(f"{file} is written") for file in files)
    yield Paragraph(CAUTION, "small")


def slack_of(stop: Stop) -> float | None:
    """Return the slack in its kind's unit, rounded; None where nothing measures it."""
    if not _unit(stop.kind):
        return None
    return round(math.degrees(stop.slack) if stop.kind is PoorTransmission else stop.slack, 4)


def _unit(kind: type[TightSpot] | None) -> str:
    return KINDS[kind].unit if kind is not None else ""


def map_csv(sheet: Sheet, found: SlackMap) -> bytes:
    """Return the map as a table: one line a pair, the heads first.

    Comma-separated, UTF-8. The slack is empty where nothing measures it, as where the parts
    cannot be joined.
    """
    page = io.StringIO()
    table = csv.writer(page, lineterminator="\n")
    first, second = found.axes
    numbers = [f"{axis.key} [{unit_of(sheet, axis)}]" for axis in found.axes]
    crank = "crank" if "only" in sheet.sides else "right-hand crank"
    table.writerow([*numbers, *COLUMNS, f"{crank} [degrees]"])
    for value, row in zip(first.values.tolist(), found.stops, strict=True):
        for other, stop in zip(second.values.tolist(), row, strict=True):
            table.writerow(
                [_cell(sheet, first, value), _cell(sheet, second, other), *_cells(sheet, stop)]
            )
    return page.getvalue().encode("utf-8")


def _cell(sheet: Sheet, axis: Axis, value: float) -> str:
    return f"{value:.4f}" if axis.degrees else sheet.lengths.precisely(value)


def _slack(sheet: Sheet, stop: Stop) -> tuple[str, str]:
    """Return the slack and its unit; empty where nothing measures it."""
    slack, unit = slack_of(stop), _unit(stop.kind)
    if slack is None:
        return "", unit
    if unit == "mm":
        return sheet.lengths.precisely(slack), sheet.lengths.unit
    return f"{slack:.4f}", unit


def _cells(sheet: Sheet, stop: Stop) -> list[str]:
    at = degrees_of(sheet, stop)
    side = "right" if stop.side == "both" else stop.side
    return [
        "yes" if stop.slack >= 0 else "no",
        *_slack(sheet, stop),
        "nothing: no parts come near one another" if _clear(stop) else say_reason(stop),
        "" if stop.side == "only" else stop.side,
        " and ".join(stop.parts),
        "" if at is None else hour(side, stop.at),
        "" if at is None else f"{at:.2f}",
    ]


def map_data(sheet: Sheet, found: SlackMap) -> dict[str, Any]:
    """Return the map of two numbers as one object of plain values.

    ``numbers``: both, with ``key``, ``unit`` ("mm" or "degrees"), ``now`` and the ``values``
    looked at; ``today``: ``free`` and the ``stop`` nearest to its limit there; ``free_pairs``,
    ``pairs``; ``nearest``: the free pair nearest to today's, null where none is free;
    ``stops``: all that stop or would first, with ``kind``, ``side``, ``parts`` and the
    ``unit`` of slack; ``stop``: which of them, from 0, by the first number's value, then by
    the second's; ``slack`` in its unit, null where nothing measures it, and ``free``
    likewise; ``as_far_as_it_goes`` and ``still_there`` as `left_data` has them; ``version``.
    """
    kinds = list(dict.fromkeys(stop.what for row in found.stops for stop in row))
    return {
        "numbers": [
            {
                "key": axis.key,
                "unit": "degrees" if axis.degrees else "mm",
                "now": round(axis.now, 4),
                "values": [round(value, 4) for value in axis.values.tolist()],
            }
            for axis in found.axes
        ],
        "today": {"free": found.here, "stop": stop_data(sheet, found.today)},
        "free_pairs": int(found.free.sum()),
        "pairs": int(found.free.size),
        "nearest": found.nearest and [round(value, 4) for value in found.nearest],
        "stops": [
            {
                "kind": name_of(kind),
                "side": side,
                "parts": list(parts),
                "unit": _unit(kind) or None,
            }
            for kind, side, parts in kinds
        ],
        "stop": [[kinds.index(stop.what) for stop in row] for row in found.stops],
        "slack": [[slack_of(stop) for stop in row] for row in found.stops],
        "free": found.free.tolist(),
        **left_data(found.left),
        "version": program_version(),
    }
