"""Radial gears, and Baker's: reversed by a slide, a block or a yoke that is set."""

from __future__ import annotations

from linkage.arrangements.radial.baker import BAKER
from linkage.arrangements.radial.hackworth import HACKWORTH
from linkage.arrangements.radial.joy import JOY
from linkage.arrangements.radial.southern import SOUTHERN

__all__ = ["BAKER", "HACKWORTH", "JOY", "SOUTHERN"]
