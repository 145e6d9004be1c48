"""What may stop a variant: which of its loops does not close."""

from __future__ import annotations

from linkage.cause.sampling import Kind, Variants
from linkage.examine import examine
from linkage.sheet import change
from linkage.tightspots import CannotClose
from tests.ready import ready


def test_the_loop_that_does_not_close_is_named_where_the_sheet_itself_locks():
    """Not the first loop of the chain: with another part off, the sheet would still lock."""
    sheet = change(ready("ardmoor-2-6-0"), {"expansion_link.trunnion.ahead": 24.95})
    told = {frozenset(one.parts) for one in examine(sheet).spots if isinstance(one, CannotClose)}
    open_ = {frozenset(thing.parts) for thing, room in Variants(sheet).base.items()
             if thing.kind is Kind.OPEN and room.min() < 0}  # fmt: skip

    assert len(told) == 1
    assert open_ == told
