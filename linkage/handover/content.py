"""All that a report says, as blocks: one page for the owner, and the appendix for the bench."""

from __future__ import annotations

from collections.abc import Sequence

from linkage.advice import advise
from linkage.advice.comparison import compare
from linkage.errors import Problem, SheetError
from linkage.examine import Examination
from linkage.handover.bench import (
    caution_blocks,
    changed_blocks,
    clearance_blocks,
    found_blocks,
    number_blocks,
    photograph_blocks,
)
from linkage.handover.blocks import Block, Heading, Picture, Report
from linkage.handover.dates import created
from linkage.handover.owner import owners_page
from linkage.sheet import Sheet


def compose(
    before: Examination,
    after: Examination | None = None,
    photographs: Sequence[Picture] = (),
) -> Report:
    """Write the report on a job.

    To be written by `html_bytes` or `pdf_bytes`.

    Parameters
    ----------
    before : Examination
        What was found out about the engine as it came in; its sheet's job table is the report's.
    after : Examination, optional
        The same after the work; without it what is advised is said as advice.
    photographs : sequence of Picture
        From `load_photographs`.

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
    blocks += found_blocks(before, advice, f"Findings{came}")
    if after is not None and found is not None:
        blocks += found_blocks(after, advise(after), "Findings, after the work")
        blocks += changed_blocks(before, after, found)
    blocks += clearance_blocks(before, f"Clearances{came}")
    if after is not None:
        blocks += clearance_blocks(after, "Clearances, after the work")
    blocks += number_blocks(before.sheet, None if after is None else after.sheet)
    blocks += caution_blocks()
    job = before.sheet.job
    page = owners_page(before, advice, after, found, job)
    title = before.sheet.title or "Report on the motion"
    return Report(title, page, tuple(blocks), created(job))


def _check_alike(before: Sheet, after: Sheet) -> None:
    """Refuse a sheet of another mechanism, or of other sides."""
    for key, one, other in (
        ("arrangement", before.arrangement, after.arrangement),
        ("sides", ", ".join(before.sides), ", ".join(after.sides)),
    ):
        if one != other:
            wrong = f'should be "{one}", as on {before.source}'
            raise SheetError(after.source, [Problem(key, wrong, f'"{other}"')])
