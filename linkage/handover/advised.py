"""Cures as advice to the owner: the same deeds, in plain words."""

from __future__ import annotations

import math

from linkage.advice import Cure
from linkage.handover.faults import ON_SIDE
from linkage.handover.naming import name_number, side_of
from linkage.handover.plain import measured, millimetres, number, spelled_out
from linkage.report.deeds import say_deed


def say_advice(cure: Cure) -> str:
    """Say what a cure asks to be done, and what it leaves.

    One to three sentences without an abbreviation.
    """
    if cure.kind == "set":
        said = _set(cure)
    elif cure.kind in ("dimension", "replace", "requarter"):
        said = _dimension(cure)
        if cure.kind == "replace":
            said += f" It takes another {cure.part}."
    else:
        said = f"{spelled_out(say_deed(cure))}."
    if cure.leaves > 0:
        said += f" That leaves a gap of {measured(cure.leaves)}."
    if cure.spoils:
        said += " It makes something else too near; that stands in the appendix."
    return said


def _set(cure: Cure) -> str:
    place = f", {spelled_out(cure.place)}" if cure.place else ""
    if cure.way == "straight":
        return f"Straighten the {cure.part}{place}: {measured(cure.amount)}, of bend comes out."
    most = ""
    if cure.most > cure.amount:
        most = f"; {millimetres(cure.most)} makes it straight"
    least = millimetres(cure.amount)
    return f"Bend the {cure.part} back {cure.way} by at least {least}{place}{most}."


def _dimension(cure: Cure) -> str:
    """Say a number that, put right, cures: what it is, and what it should be."""

    def said(x: float) -> str:
        return f"{number(x)} degrees" if cure.degrees else millimetres(abs(x))

    side = ON_SIDE.get(side_of(cure.key), "")
    what = name_number(cure.key)
    start = f"{side[:1].upper()}{side[1:]} {what}" if side else f"{what[:1].upper()}{what[1:]}"
    if math.isnan(cure.other):
        amount = said(cure.amount)
        return (
            f"{start}: {said(cure.now)} as measured; {amount} {cure.way} would do. It is to be "
            "measured again first."
        )
    return f"{start}: {said(cure.now)}; on the other side {said(cure.other)}. Make it like that."
