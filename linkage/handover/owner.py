"""The page for the owner: what was wrong, what was done, how to keep it so."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from linkage.advice import Advice
from linkage.advice.comparison import Comparison
from linkage.examine import Examination
from linkage.handover.certain import say_free, say_nothing_to_do
from linkage.handover.dates import in_words
from linkage.handover.done import say_changes, say_outcome
from linkage.handover.pictures import pictures_of
from linkage.report.blocks import Block, Bullets, Facts, Heading, Paragraph
from linkage.report.cautions import CAUTION, TURNING
from linkage.report.cures import say_cure
from linkage.report.faults import Fault, faults_of, say_fault, say_reading, say_where
from linkage.report.voice import OWNER, explained, to_owner
from linkage.report.words import say_nearest, say_play
from linkage.sheet import Job

TOLD = 2
"""Faults told in full on the owner's page; all of them stand in the appendix."""

KEEPING = (
    "Lift it and hold it by its frames, never by its rods: they bend.",
    "If it stiffens again at one place, stop there: do not drive it past.",
)
"""How to keep a motion free: common practice, no source."""


def owners_page(
    before: Examination,
    advice: Sequence[Advice],
    after: Examination | None,
    found: Comparison | None,
    job: Job,
) -> tuple[Block, ...]:
    """Write the page for the owner.

    In the order in which they are read.

    `after`: what was found out after the work, if any was done. `found`: of the two.
    """
    faults = faults_of(before)
    wrong = _wrong(before, faults, past=after is not None)
    if after is not None and found is not None:
        heading, what = "What was done", _done(before, after, found)
    else:
        heading, what = "What is advised", _advised(before, advice)
    said = explained([*wrong, *what])
    wrong, what = said[: len(wrong)], said[len(wrong) :]
    return (
        *_head(before, job),
        Heading(_title(faults, past=after is not None)),
        *(Paragraph(text) for text in wrong),
        *pictures_of(before, after),
        Heading(heading),
        *([Bullets(tuple(what))] if len(what) > 1 else [Paragraph(text) for text in what]),
        *_own_words(job),
        *_keeping(before, job),
        Paragraph(f"{TURNING} {CAUTION}", "small"),
    )


def _title(faults: tuple[Fault, ...], past: bool) -> str:
    if not faults:
        return "What was found"
    return "What was wrong" if past else "What is wrong"


def _keeping(examination: Examination, job: Job) -> Iterator[Block]:
    """Yield the repairer's advice; where he gives none, what holds for any locomotive."""
    wheels = examination.sheet.engine
    advice = job.advice or (KEEPING if wheels else ())
    yield Heading("To keep it so" if advice else "With care")
    if advice:
        yield Bullets(advice)


def _head(examination: Examination, job: Job) -> Iterator[Block]:
    sheet = examination.sheet
    if job.letterhead:
        yield Paragraph(job.letterhead, "letterhead")
    yield Heading("Report on the motion", 1)
    facts = (
        ("Engine" if sheet.engine else "Mechanism", sheet.title),
        ("Owner", job.owner),
        ("Came in", in_words(job.came_in)),
        ("Date", in_words(job.date)),
    )
    given = tuple((name, text) for name, text in facts if text)
    if given:
        yield Facts(given)
    if job.complaint:
        yield Heading("What came in")
        yield Paragraph(job.complaint)


def _wrong(examination: Examination, faults: tuple[Fault, ...], past: bool) -> list[str]:
    """Say what is wrong; the last sentence tells how it is felt."""
    if not faults:
        said = [say_free(examination)]
        if nearest := say_nearest(examination, to_owner(examination.sheet)):
            said.append(nearest)
        if examination.play is not None:
            said.append(say_play(examination, OWNER))
        return [" ".join(said)]
    told = faults[:TOLD]
    lines = [f"{say_fault(examination, fault, past)} {say_where(fault, past)}" for fault in told]
    reading = say_reading(examination, told, past)
    more = len(faults) - len(told)
    if more:
        places = "One more place stands" if more == 1 else f"{more} more places stand"
        reading += f" {places} in the appendix."
    return [*lines[:-1], f"{lines[-1]} {reading}"]


def _advised(examination: Examination, advice: Sequence[Advice]) -> list[str]:
    """Say the first cure of each of the faults told of, as advice."""
    if not advice:
        return [say_nothing_to_do(examination)]
    parts = [fault.worst for fault in faults_of(examination)[:TOLD]]
    lines = []
    for item in advice:
        if item.spot not in parts:
            continue
        if not item.cures:
            lines.append("No cure was tried for it; it is to be looked at on the bench.")
            continue
        lines.append(say_cure(item.cures[0], to_owner(examination.sheet)))
    advised = "This is advice: none of it has been done yet."
    return [*dict.fromkeys(lines), advised]


def _done(before: Examination, after: Examination, found: Comparison) -> list[str]:
    changes = say_changes(before, after, found)
    if not changes:
        changes = ["Nothing differs between the measurements of before and after."]
    return [*changes, *say_outcome(after, found)]


def _own_words(job: Job) -> Iterator[Block]:
    """Yield what the repairer says himself."""
    lines = (
        *job.other_work,
        *(f"New: {line}" for line in job.parts_replaced),
        *(f"Not original: {line}" for line in job.not_original),
    )
    if lines:
        yield Heading("Other work and parts")
        yield Bullets(lines)
