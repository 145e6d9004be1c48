"""Radial gears: one moving point gives the valve both its lap and lead and its travel."""

from __future__ import annotations

from linkage.arrangements.radial.hackworth import HACKWORTH
from linkage.arrangements.radial.joy import JOY
from linkage.arrangements.radial.southern import SOUTHERN

__all__ = ["HACKWORTH", "JOY", "SOUTHERN"]
