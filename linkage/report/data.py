"""Findings as plain data for other programs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from linkage.advice import Advice
from linkage.advice.bending import BendAdvice
from linkage.advice.comparison import Changed, Comparison
from linkage.advice.slack import Stop, name_of
from linkage.advice.standing import Left
from linkage.advice.window import Windows
from linkage.certainty import how_sure
from linkage.examine import Examination
from linkage.mechanism import Running
from linkage.report.asked import say_asked
from linkage.report.cures import say_cure
from linkage.report.feeling import felt_data
from linkage.report.program import program_version
from linkage.report.sureness import sure_data
from linkage.report.voice import to_bench
from linkage.riding import OnPin, Over
from linkage.sheet import Sheet
from linkage.tightspots import Close, Fouls, TightSpot, amount_of, kind_of
from linkage.units import clock


def check_data(examination: Examination, advice: tuple[Advice, ...]) -> dict[str, Any]:
    """Return everything found out as one object of plain values.

    ``free``, ``certainty``, ``tight_spots``, ``clearances``, ``felt``, ``asked`` (questions
    about doubtful numbers, in words), ``play_used``, ``curves``, ``sheet``, ``version``; how sure
    each is, see `sure_data`. Degrees
    are the right-hand crank's (the only crank's where there is one), 0 to 360, to 0.01;
    ``amount_mm`` is metal that overlaps (fouls), air left (close), what a loop is short of
    (cannot close) or how far past the end (runs off), null where no length says it;
    ``worn_mm`` is the air with all play of the gear's joints taken up, null where the sheet
    gives no play.
    """
    sure = how_sure(examination)
    return {
        "free": examination.free,
        "certainty": sure_data(sure.whole),
        "tight_spots": [
            {**_spot(examination, item), "certainty": sure_data(judged)}
            for item, judged in zip(advice, sure.spots, strict=True)
        ],
        "clearances": [
            {
                "side": side,
                "parts": list(pair.parts),
                "least_mm": round(pair.least, 3),
                "at_deg": right_hand_degrees(examination.sheet, side, pair.at),
                "between_samples": pair.between_samples,
                "reverser": place_data(_place(examination, side, pair.parts)),
                "worn_mm": round(there.worn[pair.parts].least, 3) if there.worn else None,
                "chance_of_touching": round(sure.pairs[side, pair.parts].chance, 3),
            }
            for side in examination.sides
            for pair, there in examination.nearest_pairs(side)
        ],
        "felt": felt_data(examination),
        "asked": list(say_asked(examination)),
        "reverser": _reverser(examination),
        "play_used": _play(examination),
        "curves": _curves(examination),
        "sheet": examination.sheet.source,
        "version": program_version(),
    }


def comparison_data(before: Examination, after: Examination, found: Comparison) -> dict[str, Any]:
    """Return what differs between two sheets or two sides as one object of plain values.

    ``before``, ``after``: their names; ``gone``, ``new``, ``stayed``: tight spots by ``kind``,
    ``side``, ``parts`` and ``amount_mm``; ``gained``, ``lost``: clearances [mm];
    ``dimensions`` [mm, degrees]; ``certainty`` of either as a whole; ``version``.
    """
    return {
        "before": found.names[0],
        "after": found.names[1],
        "gone": [brief(spot) for spot in found.gone],
        "new": [brief(spot) for spot in found.new],
        "stayed": [{"before": brief(old), "after": brief(new)} for old, new in found.stayed],
        "gained": [_changed(change) for change in found.gained],
        "lost": [_changed(change) for change in found.lost],
        "dimensions": [_changed(change) for change in found.dimensions],
        "certainty": {
            "before": sure_data(how_sure(before).whole),
            "after": sure_data(how_sure(after).whole),
        },
        "version": program_version(),
    }


def windows_data(sheet: Sheet, found: Windows) -> dict[str, Any]:
    """Return how far one number can go as one object of plain values.

    ``key``, ``unit`` ("mm" or "degrees"), ``now``, ``from``, ``to``, ``windows``: each with
    ``low``, ``high``, ``below``, ``above`` (what stops it there, null where the range does),
    ``best``, ``would_do`` (null where it may stay, or is free nowhere), ``as_far_as_it_goes`` and
    ``still_there`` (see `left_data`); ``middle`` of the window nearest to it, ``certainty`` there;
    ``version``.
    """
    return {
        **_windows(sheet, found),
        "middle": round(found.middle, 4) if found.windows else None,
        "certainty": None if found.sure is None else sure_data(found.sure),
        "version": program_version(),
    }


def bends_data(sheet: Sheet, advice: Sequence[BendAdvice]) -> dict[str, Any]:
    """Return how to set the bends of a rod as one object of plain values.

    ``bends``: each with ``side``, ``part``, ``way`` it goes, ``amount_mm``, ``set``: the least and
    the most of it to take out, above ``amount_mm`` the other way (null where no set frees the rod),
    ``left_in_it``: the windows of what may be left, as `windows_data` has them; ``version``.
    """
    return {
        "bends": [
            {
                "side": item.side,
                "part": item.part,
                "way": item.bend.way,
                "amount_mm": round(item.bend.amount, 3),
                "set": None
                if item.setting is None
                else {"least_mm": item.setting[0], "most_mm": item.setting[1]},
                "left_in_it": _windows(sheet, item.windows),
            }
            for item in advice
        ],
        "version": program_version(),
    }


def left_data(left: Left | None) -> dict[str, Any]:
    """Return what is wrong for other reasons than what was asked about, as plain values.

    ``as_far_as_it_goes``: whether more is wrong with the engine than is counted here;
    ``still_there``: the tight spots that are, ``not_counted``: those that are its own (wear).
    """
    return {
        "as_far_as_it_goes": left is not None,
        "still_there": [brief(spot) for spot in left.others] if left else [],
        "not_counted": [brief(spot) for spot in left.own] if left else [],
    }


def _windows(sheet: Sheet, found: Windows) -> dict[str, Any]:
    return {
        "key": found.key,
        "unit": "degrees" if found.degrees else "mm",
        "now": round(found.now, 4),
        "from": round(found.low, 4),
        "to": round(found.high, 4),
        "windows": [
            {
                "low": round(window.low, 4),
                "high": round(window.high, 4),
                "below": stop_data(sheet, window.below),
                "above": stop_data(sheet, window.above),
            }
            for window in found.windows
        ],
        "best": round(found.best, 4),
        "would_do": None if found.would_do is None else round(found.would_do, 4),
        **left_data(found.left),
    }


def stop_data(sheet: Sheet, stop: Stop | None) -> dict[str, Any] | None:
    """Return what stops a number as plain values.

    ``kind``, ``side``, ``parts``, ``at_deg``: null where no angle says it.

    `stop`: what stops it; None where only the range does.
    """
    if stop is None:
        return None
    at = degrees_of(sheet, stop)
    return {"kind": name_of(stop.kind), "side": stop.side, "parts": list(stop.parts), "at_deg": at}


def degrees_of(sheet: Sheet, stop: Stop) -> float | None:
    """Return the right-hand crank's angle at a stop [degrees]; None where no angle says it."""
    if math.isnan(stop.at):
        return None
    return right_hand_degrees(sheet, "right" if stop.side == "both" else stop.side, stop.at)


def _amount(spot: TightSpot) -> float | None:
    amount = amount_of(spot)
    return round(amount, 3) if amount else None


def brief(spot: TightSpot) -> dict[str, Any]:
    """Return the least that tells one tight spot from another, as plain values."""
    return {
        "kind": kind_of(spot).name,
        "side": spot.side,
        "parts": list(spot.parts),
        "amount_mm": _amount(spot),
    }


def _changed(change: Changed) -> dict[str, Any]:
    figures = {
        key: None if math.isnan(x) else round(x, 3)
        for key, x in (("before", change.before), ("after", change.after))
    }
    return {"side": change.side or None, "name": change.name, **figures}


def _play(examination: Examination) -> dict[str, float] | None:
    if examination.play is None:
        return None
    used = examination.play.used
    return {"most": round(used.most, 4), "at_deg": round(math.degrees(used.at) % 360, 2)}


def _curves(examination: Examination) -> dict[str, float | None] | None:
    found = [side.curves for side in examination.sides.values() if side.curves is not None]
    if not found:
        return None
    radii = {
        "stands_on_mm": max(curves.stands_on for curves in found),
        "free_on_mm": max(curves.free_on for curves in found),
    }
    # upward: on a sharper one nothing was promised
    return {key: math.ceil(10 * r) / 10 if math.isfinite(r) else None for key, r in radii.items()}


def _spot(examination: Examination, item: Advice) -> dict[str, Any]:
    spot = item.spot
    return {
        "kind": kind_of(spot).name,
        "side": spot.side,
        "parts": list(spot.parts),
        "from_deg": right_hand_degrees(examination.sheet, spot.side, spot.begin),
        "worst_deg": right_hand_degrees(examination.sheet, spot.side, spot.worst),
        "to_deg": right_hand_degrees(examination.sheet, spot.side, spot.end),
        "amount_mm": _amount(spot),
        "clock": clock(spot.side, spot.worst),
        "reverser": place_data(spot.place),
        "reverser_also": _also(examination, spot),
        "wheelsets_mm": {axle: mm for axle, mm in _over(spot) if isinstance(axle, str)},
        "on_pins_mm": [
            {"part": pin.part, "joint": pin.joint, "mm": mm}
            for pin, mm in _over(spot)
            if isinstance(pin, OnPin)
        ],
        "cure": say_cure(item.cures[0], to_bench(examination.sheet)) if item.cures else None,
    }


def place_data(place: Running) -> str | float | None:
    """Return a place of the reverser: its name, or the angle of its arm [degrees]; None for any."""
    return place if place is None or isinstance(place, str) else round(math.degrees(place), 2)


def _place(examination: Examination, side: str, parts: tuple[str, str]) -> Running:
    """Return the place of the reverser at which a pair is nearest; None where that is any."""
    held = examination.everywhere.get(side)
    return held.nearest[parts][1] if held is not None and parts in held.nearest else None


def _reverser(examination: Examination) -> dict[str, Any] | None:
    """Return at which places of the reverser was looked, and what holds between them."""
    held = next(iter(examination.everywhere.values()), None)
    if held is None:
        return None
    words = {one.survey.between for one in examination.everywhere.values()}
    between = "proven" if words == {"proven"} else "sampled"
    return {"places": [place_data(place) for place in held.at], "between_places": between}


def _also(examination: Examination, spot: TightSpot) -> list[str]:
    """Return the other places with names at which a spot is found too."""
    held = examination.everywhere.get(spot.side)
    return [] if held is None or spot.place is None else list(held.also(spot))


def _over(spot: TightSpot) -> list[tuple[Over, float]]:
    """Return what is over for a spot, and how far, away from that side's frames [mm]."""
    state = spot.contact.state if isinstance(spot, Fouls | Close) else ()
    return [(over, round(mm, 3)) for over, mm in state]


def right_hand_degrees(sheet: Sheet, side: str, angle: float) -> float:
    """Return the right-hand crank's angle [degrees] at a side's own [rad], 0 to 360, to 0.01."""
    return round(math.degrees(sheet.right_hand(side, angle)) % 360, 2) % 360
