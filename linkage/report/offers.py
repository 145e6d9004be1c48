"""Whether parts that are offered will do, in plain words and as data for other programs."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, assert_never

from linkage.advice.concern import Nearest
from linkage.advice.cure import bends
from linkage.advice.offers import (
    CannotBeTold,
    CannotBeUsed,
    Fits,
    GoesOn,
    Judged,
    Verdict,
    WillNotDo,
)
from linkage.advice.shifts import Shift
from linkage.examine import Examination
from linkage.lengths import Lengths
from linkage.report.blocks import Block, Bullets, Column, Gap, Grid, Heading, Paragraph
from linkage.report.cautions import BENDING, CAUTION
from linkage.report.cures import say_deed
from linkage.report.data import brief, right_hand_degrees
from linkage.report.naming import name_number, part_words
from linkage.report.program import program_version
from linkage.report.spots import say_spot
from linkage.report.sureness import say_free, say_sure, sure_data
from linkage.report.voice import ON_SIDE, SIDE_WORDS, capital, degrees, listed, to_bench
from linkage.tightspots import CannotClose
from linkage.units import clock
from linkage.valve import FIGURES, Figure

_UNSEEN = 0.005  # of what changes by less no change is printed [mm]
_UNSEEN_ANGLE = math.radians(0.05)


@dataclass(frozen=True)
class FigureWords:
    """What a figure is called, and how its change is said."""

    name: str
    changed: str
    ways: tuple[str, str] = ("", "")  # of a change to more, and to less


_AHEAD = ("ahead", "back")
_GROWS = ("grows", "shrinks")
FIGURE_WORDS: Mapping[Figure, FigureWords] = {
    Figure.SWING: FigureWords("link's swing", "the link swings {after} instead of {before}"),
    Figure.SWING_MIDDLE: FigureWords(
        "middle of the swing from upright",
        "the middle of the link's swing goes {by} with the foot {way}",
        _AHEAD,
    ),
    Figure.TRAVEL: FigureWords("valve's travel", "the valve travels {after} instead of {before}"),
    Figure.MIDDLE: FigureWords(
        "valve's mid-position", "the valve's mid-position goes {by} {way}", _AHEAD
    ),
    Figure.LAP_AND_LEAD: FigureWords(
        "lap and lead together", "lap and lead together are {after} instead of {before}"
    ),
    Figure.LEAD_FRONT: FigureWords(
        "lead at the front", "the lead at the front {way} by {by}", _GROWS
    ),
    Figure.LEAD_BACK: FigureWords("lead at the back", "the lead at the back {way} by {by}", _GROWS),
    Figure.AT_FRONT: FigureWords(
        "valve at the front dead centre",
        "at the front dead centre the valve stands {by} farther {way}",
        _AHEAD,
    ),
    Figure.AT_BACK: FigureWords(
        "valve at the back dead centre",
        "at the back dead centre the valve stands {by} farther {way}",
        _AHEAD,
    ),
    Figure.STROKE: FigureWords("stroke", "the stroke is {after} instead of {before}"),
    Figure.FRONT: FigureWords(
        "crosshead, front dead centre",
        "the crosshead stands {by} farther {way} at the front dead centre",
        _AHEAD,
    ),
    Figure.BACK: FigureWords(
        "crosshead, back dead centre",
        "the crosshead stands {by} farther {way} at the back dead centre",
        _AHEAD,
    ),
}


def offers_blocks(verdicts: Sequence[Verdict]) -> Iterator[Block]:
    """Yield whether parts that are offered will do, one after another."""
    for verdict in verdicts:
        yield Heading(_heading(verdict), 2)
        yield Paragraph(say_offer(verdict), "strong")
        if not isinstance(verdict, CannotBeUsed | CannotBeTold):
            yield from _grounds(verdict)
        yield Gap()
    if any(isinstance(v, Fits | GoesOn) and v.alteration and bends(v.alteration) for v in verdicts):
        yield Paragraph(BENDING)
    yield Paragraph(CAUTION, "small")


def _heading(verdict: Verdict) -> str:
    """Return what is offered, and for where."""
    offer = verdict.offer
    parts = listed([part_words(part.key) for part in offer.parts])
    sides = () if isinstance(verdict, CannotBeUsed | CannotBeTold) else verdict.sides
    where = listed([SIDE_WORDS[side].lower() for side in sides if SIDE_WORDS[side]])
    return f"{offer.title}: {parts}{f', {where}' if where else ''}"


def say_offer(verdict: Verdict) -> str:
    """Say whether a part that is offered will do, and why not.

    A sentence or two.
    """
    match verdict:
        case CannotBeUsed(refused=refused):
            return f"It will not do: {refused.rstrip('.')}."
        case CannotBeTold(refused=refused):
            return (
                "It cannot be told, for the engine as it stands cannot be put together, and not "
                f"for want of this: {refused.rstrip('.')}."
            )
        case WillNotDo(after=after, against=against):
            return f"It will not do. {say_spot(after, against)}"
        case Fits():
            said = f"{_opening(verdict, 'fits')}."
            if verdict.heals:
                said += f" {_say_healed(verdict)}"
            return said
        case GoesOn():
            return f"{_opening(verdict, 'goes on')}, but changes the motion: {_changes(verdict)}."
        case _:
            assert_never(verdict)


def _opening(verdict: Fits | GoesOn, does: str) -> str:
    """Say how it goes in: turned, altered, on an engine with other faults."""
    alone = len(verdict.offer.parts) == 1
    said = f"{'It' if alone else 'The set'} {does}"
    if verdict.turned:
        turned = listed([f"the {part_words(key)}" for key in sorted(verdict.turned)])
        way = "turned end for end it" if alone else f"with {turned} turned end for end the set"
        said = f"{capital(way)} {does}"
    if verdict.remains:
        said += f", free as far as {'this part is' if alone else 'these parts are'} concerned"
    if verdict.alteration is not None:
        deed = say_deed(verdict.alteration, to_bench(verdict.after.sheet)).rstrip(".")
        said += f", once altered: {deed[:1].lower()}{deed[1:]}"
    return said


def _say_healed(verdict: Fits) -> str:
    """Say what it puts right in the motion."""
    healed = [shift for shift in verdict.shifts if not shift.kept and shift.like_other]
    sides = listed(list(dict.fromkeys(SIDE_WORDS[s.side].lower() for s in healed)))
    changes = "; ".join(_say_change(verdict.after.sheet.lengths, shift) for shift in healed)
    return f"It makes the motion of the {sides} what it is on the other: {changes}."


def _changes(verdict: GoesOn) -> str:
    """Say what it makes of the motion, once where two sides are alike."""
    said: dict[str, list[str]] = {}
    for shift in verdict.shifts:
        if not shift.right:
            said.setdefault(_say_change(verdict.after.sheet.lengths, shift), []).append(shift.side)
    alike = all(len(sides) == len(verdict.sides) for sides in said.values())
    return "; ".join(
        text if alike else f"{text} {listed([ON_SIDE[side] for side in sides])}"
        for text, sides in said.items()
    )


def _say_change(lengths: Lengths, shift: Shift) -> str:
    """Say how one figure changes, against what it was or, where nobody knows, the other side."""
    words = FIGURE_WORDS[shift.figure]
    before = shift.other if math.isnan(shift.before) else shift.before
    by = shift.after - before
    return words.changed.format(
        before=_say(lengths, shift.figure, before),
        after=_say(lengths, shift.figure, shift.after),
        by=_say(lengths, shift.figure, abs(by)),
        way=words.ways[0 if by > 0 else 1],
    )


def _say(lengths: Lengths, figure: Figure, value: float) -> str:
    """Say a figure with its unit [mm or rad]."""
    if FIGURES[figure].degrees or math.isnan(value):
        return f"{_figure(lengths, figure, value)} degrees"
    return lengths.number(value)


def _figure(lengths: Lengths, figure: Figure, value: float, sign: str = "") -> str:
    """Say a figure without its unit [mm or rad]."""
    if math.isnan(value):
        return "none"
    if FIGURES[figure].degrees:
        return f"{math.degrees(value):{sign}.1f}"
    return lengths.figure(value, sign)


def _grounds(verdict: Judged) -> Iterator[Block]:
    """Yield what a verdict rests on, how sure it is, what remains, what becomes of the motion."""
    if verdict.nearest is not None:
        yield Paragraph(_say_nearest(verdict.after, verdict.nearest))
    elif not isinstance(verdict, WillNotDo):
        lengths = verdict.after.sheet.lengths
        reach = min(side.survey.reach for side in verdict.after.sides.values())
        what = "it" if len(verdict.offer.parts) == 1 else "them"
        yield Paragraph(f"Nothing comes within {lengths.small(reach)} of {what}.")
    if verdict.sure is not None:
        what = "it" if len(verdict.offer.parts) == 1 else "the set"
        bad, voice = isinstance(verdict, WillNotDo), to_bench(verdict.after.sheet)
        yield Paragraph(
            say_sure(verdict.sure, voice) if bad else say_free(verdict.sure, voice, what)
        )
    if verdict.remains:
        yield Paragraph("What remains; it was there before, and is no fault of what is offered:")
        yield Bullets(tuple(say_spot(verdict.after, spot) for spot in verdict.remains))
        if any(isinstance(spot, CannotClose) for spot in verdict.remains):
            yield Paragraph("Where the wheels lock nothing could be looked at.")
    yield from _play(verdict)
    yield from _motion(verdict)


def _say_nearest(found: Examination, nearest: Nearest) -> str:
    """Say on which pair a verdict rests."""
    pair = nearest.pair
    names = listed([f"the {part}" for part in pair.parts])
    lengths = found.sheet.lengths
    air = f"{lengths.small(abs(pair.least))} of {'air' if pair.least >= 0 else 'overlap'}"
    turn = f"right-hand crank {degrees(found.right_hand(nearest.side, pair.at))} degrees"
    turn = f" ({turn})" if nearest.side != "only" else f", crank {degrees(pair.at)} degrees"
    where = f"{clock(nearest.side, pair.at)}{turn}"
    on = f" {ON_SIDE[nearest.side]}" if ON_SIDE[nearest.side] else ""
    return f"Nearest: {names}{on}, {air}, {where}; {lengths.small(pair.asked)} is asked for."


def _play(verdict: Judged) -> Iterator[Block]:
    """Yield how much of their play coupled wheels use, where that changes."""
    before = verdict.before.play if verdict.before is not None else None
    now = verdict.after.play
    if now is None or before is None:
        return
    was, share = (round(100 * found.used.most) for found in (before, now))
    if was != share:
        yield Paragraph(
            f"The coupled wheels need {share} of every 100 parts of the play there is; {was} "
            "before."
        )


def _motion(verdict: Judged) -> Iterator[Block]:
    """Yield what it makes of the motion, before against after and one side against the other."""
    if not verdict.shifts:
        return
    if all(math.isnan(shift.after) for shift in verdict.shifts):
        yield Paragraph("What becomes of the motion cannot be told: it does not go round.")
        return
    if all(math.isnan(shift.before) for shift in verdict.shifts):
        yield Paragraph("What the motion was cannot be told: as it stands it does not go round.")
    yield from _guessed(verdict.shifts)
    rows = [shift for shift in verdict.shifts if not abs(shift.by) < _least(shift.figure)]
    if not rows:
        yield Paragraph("The motion stays what it was.")
        return
    if isinstance(verdict, Fits) and all(shift.kept for shift in rows):
        yield Paragraph("The motion stays what it was, within what measuring errors explain:")
    lengths = verdict.after.sheet.lengths
    columns = [
        Column(f"motion, {lengths.head} or degrees", 3.6),
        Column("side", 0.9),
        Column("now", 1.1, right=True),
        Column("with it", 1.1, right=True),
        Column("change", 1.1, right=True),
        Column("error +-", 1.1, right=True),
    ]
    other = any(not math.isnan(shift.other) for shift in rows)
    if other:
        columns.append(Column("other side", 1.3, right=True))
    yield Grid(
        tuple(columns), tuple(dict.fromkeys(_row(lengths, shift, rows, other) for shift in rows))
    )


def _guessed(shifts: Sequence[Shift]) -> Iterator[Paragraph]:
    """Yield which numbers of what is fitted nobody measured, though the motion hangs on them."""
    most = (shift.most_by for shift in shifts if shift.explained > _least(shift.figure))
    vague = [n.key for n in most if n is not None and n.fitted is not None and not n.fitted.known]
    if vague:
        names = listed([name_number(key) for key in dict.fromkeys(vague)])
        yield Paragraph(
            f"What the motion was is not well known, for nobody measured it of what is fitted now: "
            f"{names}."
        )


def _least(figure: Figure) -> float:
    return _UNSEEN_ANGLE if FIGURES[figure].degrees else _UNSEEN


def _row(lengths: Lengths, shift: Shift, rows: Sequence[Shift], other: bool) -> tuple[str, ...]:
    """Return a figure's row in the table; one for both sides where they are alike."""
    figure = shift.figure
    places = (shift.before, shift.after, shift.other)
    told = ["", "", ""] if FIGURES[figure].change else [_figure(lengths, figure, x) for x in places]
    by, error = _figure(lengths, figure, shift.by, "+"), _figure(lengths, figure, shift.explained)
    cells = (*told[:2], by, error)
    alike = [
        one.side
        for one in rows
        if one.figure is figure and _figure(lengths, figure, one.by, "+") == by
    ]
    side = "both" if len(alike) > 1 else "" if shift.side == "only" else shift.side
    return (FIGURE_WORDS[figure].name, side, *cells, *(told[2:] if other else ()))


# --- for other programs ---------------------------------------------------------------------------


def offers_data(verdicts: Sequence[Verdict]) -> dict[str, Any]:
    """Return whether parts that are offered will do as one object of plain values.

    ``offers``, each with ``verdict`` ("fits", "goes on", "will not do", "cannot be used", "cannot
    be told"), and ``version``. Of ``motion`` lengths are in mm and angles in degrees, ``errors``
    what the measuring errors explain; null where the motion does not go round, or only the change
    tells.
    """
    return {"offers": [_offer(verdict) for verdict in verdicts], "version": program_version()}


def _offer(verdict: Verdict) -> dict[str, Any]:
    offer = verdict.offer
    told: dict[str, Any] = {
        "source": offer.source,
        "title": offer.title,
        "parts": [part.key for part in offer.parts],
        "verdict": _word(verdict),
        "said": say_offer(verdict),
    }
    if isinstance(verdict, CannotBeUsed | CannotBeTold):
        return {**told, "refused": verdict.refused}
    alteration = None if isinstance(verdict, WillNotDo) else verdict.alteration
    return {
        **told,
        "sides": list(verdict.sides),
        "turned": sorted(verdict.turned),
        "alteration": None
        if alteration is None
        else say_deed(alteration, to_bench(verdict.after.sheet)),
        "against": brief(verdict.against) if isinstance(verdict, WillNotDo) else None,
        "remains": [brief(spot) for spot in verdict.remains],
        "nearest": _nearest(verdict.after, verdict.nearest),
        "certainty": None if verdict.sure is None else sure_data(verdict.sure),
        "motion": [_shift(shift) for shift in verdict.shifts],
    }


def _word(verdict: Verdict) -> str:
    match verdict:
        case Fits():
            return "fits"
        case GoesOn():
            return "goes on"
        case WillNotDo():
            return "will not do"
        case CannotBeUsed():
            return "cannot be used"
        case CannotBeTold():
            return "cannot be told"
        case _:
            assert_never(verdict)


def _nearest(found: Examination, nearest: Nearest | None) -> dict[str, Any] | None:
    if nearest is None:
        return None
    pair = nearest.pair
    return {
        "side": nearest.side,
        "parts": list(pair.parts),
        "least_mm": round(pair.least, 3),
        "asked_mm": round(pair.asked, 3),
        "at_deg": right_hand_degrees(found.sheet, nearest.side, pair.at),
    }


def _shift(shift: Shift) -> dict[str, Any]:
    measure = FIGURES[shift.figure]

    def plain(value: float) -> float | None:
        if math.isnan(value):
            return None
        return round(math.degrees(value), 2) if measure.degrees else round(value, 3)

    places = {"before": shift.before, "after": shift.after, "other_side": shift.other}
    return {
        "side": shift.side,
        "figure": shift.figure.value,
        "unit": "degrees" if measure.degrees else "mm",
        **{name: None if measure.change else plain(value) for name, value in places.items()},
        "change": plain(shift.by),
        "errors": plain(shift.explained),
        "kept": shift.kept,
        "as_on_other_side": shift.like_other,
    }
