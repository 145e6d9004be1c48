"""Voices in either unit, for what is said without a sheet."""

from __future__ import annotations

from linkage.lengths import MILLIMETRES, Inches
from linkage.report.voice import Voice

MM_BENCH, MM_OWNER = (Voice(owner, MILLIMETRES) for owner in (False, True))
INCH_BENCH, INCH_OWNER = (Voice(owner, Inches()) for owner in (False, True))
