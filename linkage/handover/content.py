"""All that a report says, as blocks: one page for the owner, and the appendix for the bench."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from linkage.advice import Advice, advise
from linkage.advice.comparison import compare
from linkage.errors import Problem, SheetError
from linkage.examine import Examination
from linkage.handover.bench import (
    caution_blocks,
    number_blocks,
    photograph_blocks,
)
from linkage.handover.dates import created
from linkage.handover.owner import owners_page
from linkage.report.blocks import Block, Heading, Paragraph, Picture, Report
from linkage.report.document import (
    changed_blocks,
    clearance_blocks,
    finding_blocks,
    whole_blocks,
)
from linkage.report.feeling import felt_blocks
from linkage.report.sureness import say_whole
from linkage.report.words import say_free
from linkage.sheet import Sheet

_GONE = ("Gone:", "New:")


def compose(
    before: Examination,
    after: Examination | None = None,
    photographs: Sequence[Picture] = (),
) -> Report:
    """Write the report on a job.

    To be written by `html_bytes` or `pdf_bytes`.

    `before`: what was found out about the engine as it came in; its sheet's job table is the
    report's. `after`: the same after the work; without it what is advised is said as advice.
    `photographs`: from `load_photographs`.

    Raises
    ------
    SheetError
        Where the two sheets are not of one engine.
    """
    if after is not None:
        _check_alike(before.sheet, after.sheet)
    advice = advise(before)
    found = None if after is None else compare(before, after)
    came = ", as it came in" if after is not None else ""
    blocks: list[Block] = [Heading("Appendix, for the bench", 1)]
    blocks += photograph_blocks(photographs)
    blocks += _found(before, advice, came)
    if after is not None and found is not None:
        blocks += _found(after, advise(after), ", after the work")
        blocks += [Heading("What changed"), *changed_blocks(before, after, found, _GONE, past=True)]
    blocks += _clearances(before, came)
    if after is not None:
        blocks += _clearances(after, ", after the work")
    blocks += number_blocks(before.sheet, None if after is None else after.sheet)
    blocks += caution_blocks()
    job = before.sheet.job
    page = owners_page(before, advice, after, found, job)
    title = before.sheet.title or "Report on the motion"
    return Report(title, page, tuple(blocks), created(job))


def _found(examination: Examination, advice: tuple[Advice, ...], when: str) -> Iterator[Block]:
    yield Heading(f"Findings{when}")
    if examination.free:
        yield Paragraph(say_free(examination))
    yield Paragraph(say_whole(examination))
    yield from finding_blocks(examination, advice)
    yield from felt_blocks(examination)
    yield from whole_blocks(examination)


def _clearances(examination: Examination, when: str) -> Iterator[Block]:
    yield Heading(f"Clearances{when}")
    if any(side.survey.compared for side in examination.sides.values()):
        yield from clearance_blocks(examination, everything=True)
    else:
        yield Paragraph("No parts with outlines are on the sheet.")


def _check_alike(before: Sheet, after: Sheet) -> None:
    """Refuse a sheet of another mechanism, or of other sides."""
    for key, one, other in (
        ("arrangement", before.arrangement, after.arrangement),
        ("sides", ", ".join(before.sides), ", ".join(after.sides)),
    ):
        if one != other:
            wrong = f'should be "{one}", as on {before.source}'
            raise SheetError(after.source, [Problem(key, wrong, f'"{other}"')])
