"""What takes longer than a turn: questions about a sheet, and what goes with the engine.

Each is a function from what was asked to its answer, run in a process of its own (`helper`), so
that it can be ended at any time. What a person is told is made here, the page only shows it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from linkage.bench.changes import say_number
from linkage.bench.telling import Answer, Question, Unanswerable

Progress = Callable[[int, int, str], None]
"""Takes how many are done, of how many, and what they are."""


def _window(asked: Question, progress: Progress) -> Answer:
    """Answer how far one number can go, and what stops it there."""
    from linkage.advice.window import find_windows
    from linkage.report.advising import say_stop
    from linkage.report.document import windows_blocks
    from linkage.report.hypertext import set_hypertext

    progress(0, 1, "Looking how far it can go")
    key, sheet = _key(asked), asked.sheet
    found = find_windows(sheet, key)

    def typed(value: float) -> str:
        return f"{value:.2f}" if found.degrees else sheet.lengths.typed(value, key, sheet.unit)

    return Answer({
        "id": key,
        "now": found.now,
        "low": found.low,
        "high": found.high,
        "unit": "degrees" if found.degrees else "mm",
        "windows": [
            {
                "low": window.low,
                "high": window.high,
                "lowTyped": typed(window.low),
                "highTyped": typed(window.high),
                "lowSays": say_stop(sheet, window.below),
                "highSays": say_stop(sheet, window.above),
            }
            for window in found.windows
        ],
        "here": found.here is not None,
        "wouldDo": None if found.would_do is None else typed(found.would_do),
        "says": str(set_hypertext(windows_blocks(sheet, found), above=2)),
    })  # fmt: skip


def _cures(asked: Question, progress: Progress) -> Answer:
    """Answer which cures each tight spot has, tried."""
    from linkage.advice.cure import changes_of, refits_of
    from linkage.advice.cures import search_cures
    from linkage.examine import examine
    from linkage.report.cures import say_cure
    from linkage.report.spots import say_spot
    from linkage.report.voice import to_bench

    progress(0, 1, "Examining")
    found = examine(asked.sheet)
    voice, spots = to_bench(asked.sheet), []
    texts: dict[str, tuple[str, str]] = {}
    for number, item in enumerate(_counted(found.spots, search_cures(found), progress)):
        cures = []
        for place, tried in enumerate(item.cures):
            cure, says = f"{number}.{place}", say_cure(tried, voice)
            done = bool(changes_of(tried.cure) or refits_of(tried.cure))
            if done:
                texts[cure] = _cured(asked, tried.cure)
            cures.append({"id": cure if done else None, "says": says})
        spots.append({"says": say_spot(found, item.spot), "cures": cures})
    return Answer({"spots": spots}, texts)


def _counted(spots: Any, search: Any, progress: Progress) -> Any:
    for number, item in enumerate(search):
        yield item
        progress(number + 1, len(spots), "Trying cures")


def _cured(asked: Question, cure: Any) -> tuple[str, str]:
    """Return what a cure changes, in words, and the sheet's text with it done."""
    from linkage.advice.cure import changes_of, refits_of
    from linkage.sheet import rewrite
    from linkage.sheet.refitting import refit, rewrite_refitted

    text, sheet = asked.text, asked.sheet
    refits = refits_of(cure)
    if refits:
        text, sheet = rewrite_refitted(sheet, text, refits), refit(sheet, refits)
    changes = dict(changes_of(cure))
    says = ", ".join(map(say_number, changes)) or "parts put on another way"
    return f"cure: {says}", rewrite(sheet, text, changes)


def _cause(asked: Question, progress: Progress) -> Answer:
    """Answer what may be wrong, by what was felt."""
    from linkage.cause import Weighing
    from linkage.report.causes import cause_blocks
    from linkage.report.hypertext import set_hypertext

    if not (asked.sheet.felt or asked.sheet.seen):
        raise Unanswerable("Nothing that was felt is on the sheet yet: say it first.")
    weighing = Weighing(asked.sheet, lambda done, of: progress(done, of, "Weighing faults"))
    blocks = cause_blocks(weighing, weighing.causes, page=True)
    return Answer({"says": str(set_hypertext(blocks, above=2))})


def _elsewhere(asked: Question, progress: Progress) -> Answer:
    """Answer what makes wheels stick that is not in the motion, and how each is told."""
    from linkage.report.elsewhere import elsewhere_blocks
    from linkage.report.hypertext import set_hypertext

    return Answer({"says": str(set_hypertext(elsewhere_blocks(), above=2))})


def _part(asked: Question, progress: Progress) -> Answer:
    """Answer whether an offered part will do."""
    from linkage.advice.offers import Fits, judge_offer
    from linkage.advice.standing import Engine
    from linkage.report.hypertext import set_hypertext
    from linkage.report.offers import offers_blocks
    from linkage.sheet.offers import offer_in

    progress(0, 1, "Trying it")
    side, typed = asked.given.get("side", "both"), asked.given.get("typed", "")
    sides = [name for name in asked.sheet.sides if side in ("both", name)] or [*asked.sheet.sides]
    offer = offer_in(str(typed), "offered part", asked.sheet)
    verdict = judge_offer(Engine(asked.sheet), offer, sides)
    return Answer({
        "fits": isinstance(verdict, Fits),
        "says": str(set_hypertext(offers_blocks([verdict]), above=2)),
    })  # fmt: skip


def _bend(asked: Question, progress: Progress) -> Answer:
    """Answer how a bent rod is to be set, each of its bends."""
    from linkage.advice.bending import bend_advice
    from linkage.report.document import bend_blocks
    from linkage.report.hypertext import set_hypertext

    progress(0, 1, "Looking how far it may be set")
    key = _key(asked)
    side, _, bare = key.partition(".")
    table, bend, _ = (bare if side in asked.sheet.sides else key).partition(".bend")
    table = table if bend else table.rpartition(".")[0]
    try:
        advice = bend_advice(asked.sheet, table)
    except ValueError as error:
        raise Unanswerable(f"{error}.") from error
    return Answer({
        "bends": [
            {
                "side": item.side,
                "part": item.part,
                "way": item.bend.way,
                "amount": item.bend.amount,
                "set": None if item.setting is None else list(item.setting),
                "left": [[window.low, window.high] for window in item.windows.windows],
            }
            for item in advice
        ],
        "says": str(set_hypertext(bend_blocks(asked.sheet, advice), above=2)),
    })  # fmt: skip


def _compare(asked: Question, progress: Progress) -> Answer:
    """Answer what is otherwise than in a sheet that was kept, the two in step to be looked at."""
    from linkage.advice.comparison import compare
    from linkage.examine import examine
    from linkage.page.data import viewer_data
    from linkage.report.document import comparison_blocks
    from linkage.report.hypertext import set_hypertext
    from linkage.sheet import sheet_in

    name = str(asked.given.get("snapshot", ""))
    before_sheet = sheet_in(str(asked.given["before"]), name)
    progress(0, 2, "Examining")
    before = examine(before_sheet)
    progress(1, 2, "Examining")
    after = examine(asked.sheet, known=before)
    try:
        found = compare(before, after)
    except ValueError as error:
        raise Unanswerable(f"{error}.") from error
    return Answer({
        "data": viewer_data(before, after),
        "says": str(set_hypertext(comparison_blocks(before, after, found), above=2)),
    })  # fmt: skip


def _calliper(asked: Question, progress: Progress) -> Answer:
    """Answer where the calliper goes for a number: the picture of the measuring form."""
    from linkage.bench.numbers import wheels_of
    from linkage.draw import picture_bytes
    from linkage.form.callipers import draw_calliper

    progress(0, 1, "Drawing")
    sheet, key = asked.sheet, _key(asked)
    side, _, bare = key.partition(".")
    bare = bare if side in ("right", "left", "only") else key
    _, wheels = wheels_of(sheet)
    figure = draw_calliper(sheet.arrangement, sheet.scale, wheels, sheet.unit, bare)
    svg = None if figure is None else picture_bytes(figure, ".svg").decode("utf-8")
    return Answer({"id": key, "svg": svg})


def _key(asked: Question) -> str:
    key = asked.given.get("id")
    if not isinstance(key, str):
        raise Unanswerable("Which number is not said.")
    return key


QUESTIONS: Mapping[str, Callable[[Question, Progress], Answer]] = {
    "window": _window,
    "cures": _cures,
    "cause": _cause,
    "elsewhere": _elsewhere,
    "part": _part,
    "bend": _bend,
    "compare": _compare,
    "calliper": _calliper,
}
"""What can be asked, by name."""
QUICK = frozenset({"window", "calliper"})
"""Those that the page asks by itself, of a number that is chosen: they wait for no other."""
