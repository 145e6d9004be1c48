"""Findings in plain words: side, pair, where in the turn, how much, and what to do.

Degrees are the right-hand crank's, as everywhere in whole-locomotive results; the clock is the
face of the wheel of the side concerned, seen from outside that side. Never a third decimal.
"""

from __future__ import annotations

import math

from linkage.examine import Examination
from linkage.play import PlayArc
from linkage.tightspots import TightSpot
from linkage.units import clock

SIDE_WORDS = {
    "right": "Right-hand side",
    "left": "Left-hand side",
    "both": "Both sides",
    "only": "",
}
CENTRED = 0.005
"""Wheelsets over by less than this, or with less to do with a spot, are not told [mm]."""
HARDLY = 0.02
"""Play used below this share is not given as a figure: it is measuring and rounding [share]."""
ONE_SIDE = (
    "The rods of one side alone were looked at. At that side's dead centres nothing but your hand "
    "decides which way the undriven wheels go on: steer them past, or a good rod gets the blame."
)

CAUTION = (
    "This looks at geometry only: it is no leave to run or to steam the engine. Disconnect track "
    "power or battery before turning wheels by hand with a tool near; live steam only cold and "
    "with the boiler empty of pressure, and then by the rules of your boiler code and inspector. "
    "Wear glasses when bending, clipping, filing or drilling."
)
TURNING = (
    "Take the motor or its worm out of gear before turning the wheels by hand, and force nothing "
    "past a tight spot."
)
STEAM = (
    "Boiler tests are by the governing body's code, before a licensed or appointed inspector; "
    "nothing said here about the motion clears an engine for steam."
)
BENDING = (
    "Bend once, in small steps, held on both sides of the bend and never at an eye; cast and "
    "free-cutting brass rods break: replace them."
)


def degrees(angle: float) -> str:
    """Return an angle as whole degrees of the turn.

    0 to 359, in degrees.

    Parameters
    ----------
    angle : float [rad]
        Crank angle.
    """
    return f"{round(math.degrees(angle)) % 360}"


def say_where(examination: Examination, spot: TightSpot) -> str:
    """Say where in the turn a tight spot is.

    The clock of its own side, and degrees of the right-hand crank.
    """
    begin, worst, end = (
        degrees(examination.right_hand(spot.side, angle))
        for angle in (spot.begin, spot.worst, spot.end)
    )
    crank = "crank" if spot.side == "only" else "right-hand crank"
    at = clock(spot.side, spot.worst)
    if spot.end - spot.begin >= 2 * math.pi - 1e-9:
        return f"all round the turn, worst with the crank pin at {at} ({crank} {worst} degrees)"
    if spot.end == spot.begin:
        return f"with the crank pin at {at} ({crank} {worst} degrees)"
    first, last = clock(spot.side, spot.begin), clock(spot.side, spot.end)
    return (
        f"from {first} to {last.removeprefix('about ')}, worst at {at} "
        f"({crank} {begin} to {end} degrees, worst {worst})"
    )


def say_what(spot: TightSpot) -> str:
    """Say what is wrong at a tight spot, without where.

    Parts and amount, as a clause.
    """
    names = [named(spot, name) for name in spot.parts]
    if spot.kind == "fouls":
        verb = "foul" if _several(spot.parts[0]) else "fouls"
        return f"{names[0]} {verb} {names[1]} by {spot.amount:.2f} mm{_view(spot)}"
    if spot.kind == "close":
        verb = "pass" if _several(spot.parts[0]) else "passes"
        return (
            f"{names[0]} {verb} {names[1]} with {spot.amount:.2f} mm of air, "
            f"{spot.wanted:.2f} wanted{_view(spot)}"
        )
    if spot.kind == "cannot close":
        return f"{listed(names)} cannot be joined: {spot.amount:.2f} mm short; the wheels lock"
    if spot.play is not None:
        return _say_play(spot, spot.play)
    if spot.clearance is not None:  # touches with play
        return (
            f"{listed(names)}, {spot.clearance.least:.2f} mm apart as measured, overlap by "
            f"{spot.amount:.2f} mm once all the play of the joints is taken up"
        )
    if spot.kind == "runs off":
        if "cover" in spot.parts[1]:
            return f"{names[0]} meets {names[1]}: {spot.amount:.2f} mm too far"
        return f"{names[0]} runs past the end of {names[1]} by {spot.amount:.2f} mm"
    if spot.kind == "branch undecided":
        return f"{listed(names)} lie in line: the crank does not decide which way they go on"
    angle = degrees(spot.transmission)
    return f"{listed(names)} push almost along themselves (transmission angle {angle} degrees)"


def _several(part: str) -> bool:
    """Tell whether a part's name is that of several: "slide bars"."""
    return part.endswith("s")


def say_again(examination: Examination, spot: TightSpot, first: int) -> str:
    """Say a tight spot that is like one said before, but for where it is.

    Parameters
    ----------
    first : int
        Number of the one said in full.
    """
    side = SIDE_WORDS[spot.side]
    start = f"{side}: the same as {first}" if side else f"The same as {first}"
    return f"{start}, {say_where(examination, spot)}."


def named(spot: TightSpot, part: str) -> str:
    """Return a part's name; of what turns with an axle also which piece of it meets the other."""
    contact = spot.contact
    if contact is None or not (part == "crank" or part.endswith(" wheel")):
        return f"the {part}"
    label = contact.pieces[contact.parts.index(part)].label
    return f"the {part}'s {label}" if label and label != "wheel" else f"the {part}"


def _say_play(spot: TightSpot, arc: PlayArc) -> str:
    """Say how much of their play coupled wheels use, at which pins, and how they bear."""
    pins = listed([f"the {part}" for part in spot.parts if part.endswith("crank pin")])
    rods = [f"the {part}" for part in spot.parts if not part.endswith("crank pin")]
    verb = "needs" if len(rods) == 1 else "need"
    if spot.amount == 0:
        share = f"{100 * arc.most:.0f} of every 100 parts"
        return f"{listed(rods)} {verb} {share} of the play there is, at {pins}"
    return (
        f"{listed(rods)} {verb} {arc.most:.1f} times the play there is, at {pins}: "
        f"{spot.amount:.2f} mm short of turning freely"
    )


def _view(spot: TightSpot) -> str:
    """Say in which view the gap shows that would have to grow."""
    contact = spot.contact
    if contact is None:
        return ""
    return " (seen in plan)" if contact.lateral >= contact.side_view else " (seen from the side)"


def listed(names: list[str]) -> str:
    """Return names as a list in words: "a, b and c"."""
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"


def say_spot(examination: Examination, spot: TightSpot) -> str:
    """Say one tight spot in a sentence.

    Side, parts, how much, where.
    """
    side = SIDE_WORDS[spot.side]
    what = say_what(spot)
    start = f"{side}: {what}" if side else what[:1].upper() + what[1:]
    where, worn = say_where(examination, spot), _say_worn(examination, spot)
    return f"{start}, {where}.{_say_wheelsets(spot)}{worn}"


def _say_worn(examination: Examination, spot: TightSpot) -> str:
    """Say what the play of the joints makes of a pair that is too near without it."""
    if spot.contact is None:
        return ""
    worn = examination.sides[spot.side].worn.get((spot.parts[0], spot.parts[1]))
    if worn is None or worn.loss < CENTRED:
        return ""
    left = (
        f"{worn.least:.2f} mm of air" if worn.least >= 0 else f"an overlap of {-worn.least:.2f} mm"
    )
    return f" With all the play of the joints taken up the worst way: {left}."


def _say_wheelsets(spot: TightSpot) -> str:
    """Say which wheelsets must be over for it, where it takes that."""
    contact = spot.contact
    if contact is None or not contact.centred - spot.least >= CENTRED:
        return ""
    over = [(axle, mm) for axle, mm in contact.state if abs(mm) >= CENTRED]
    where = listed([f"the {axle} wheelset {_say_over(spot.side, mm)}" for axle, mm in over])
    left = f"{contact.centred:.2f} mm of air is left"
    if contact.centred < 0:
        left = f"the overlap is {-contact.centred:.2f} mm"
    return f" That is with {where}; with all wheelsets in the middle {left}."


def _say_over(side: str, mm: float) -> str:
    """Say how far over, and to which hand, a wheelset is; away from this side's frames is above 0.

    To the right is away from the frames on the right-hand side.
    """
    if side == "only":
        way = "away from the frames" if mm > 0 else "towards the frames"
    else:
        way = f"over to the {side if mm > 0 else {'right': 'left', 'left': 'right'}[side]}"
    return f"{abs(mm):.2f} mm {way}"


def say_curves(examination: Examination) -> str:
    """Say how sharp a curve the engine takes.

    One or two sentences; empty where wheelsets are too few for it to matter.
    """
    found = [side.curves for side in examination.sides.values() if side.curves is not None]
    if not found:
        return ""
    stands, free = max(c.stands_on for c in found), max(c.free_on for c in found)
    uncounted = "counting no play between flanges and rails"
    if math.isinf(stands):
        return f"Its wheelsets have no side play to stand on a curve with, {uncounted}."
    said = f"Its wheelsets can stand on a curve of {stands:.0f} mm radius, {uncounted}"
    if math.isnan(free):
        curve = max(side.mechanism.curve for side in examination.sides.values())
        if curve < stands:
            return f"{said}; {curve:.0f} is too sharp for it, and no more was looked at."
        return f"{said}; looked at on one of {curve:.0f} mm."
    if math.isinf(free):
        return f"{said}, but it is not free even on the straight."
    if free > stands:
        return f"{said}; it stays free down to {free:.0f} mm."
    return f"{said}; so far it stays free."


def say_key(key: str) -> str:
    """Say a number of the sheet by its place, as words: "radius rod, centres"."""
    return key.replace("_", " ").replace(".", ", ")


def say_play(examination: Examination) -> str:
    """Say how much of their play the coupled wheels use.

    One sentence; empty where the sheet has no coupled wheels.

    Parameters
    ----------
    examination : Examination
        What was found out; with coupled wheels.
    """
    if examination.play is None:
        return ""
    used = examination.play.used
    alone = f" {ONE_SIDE}" if used.one_sided else ""
    if used.most < HARDLY:
        return f"The coupled wheels need hardly any of the play there is.{alone}"
    most = f"{used.most:.1f} times"
    if used.most < 1:
        most = f"{100 * used.most:.0f} of every 100 parts of"
    at = f"{clock('right', used.at)} (right-hand crank {degrees(used.at)} degrees)"
    return f"The coupled wheels need {most} the play there is, most at {at}.{alone}"


def say_free(examination: Examination) -> str:
    """Say that nothing was found, and how near it is to it."""
    nearest = [
        (pair.least, side, pair.parts)
        for side, findings in examination.sides.items()
        for pair in findings.survey.pairs
    ]
    if not nearest:
        return "Free all round the turn."
    least, side, parts = min(nearest)
    where = f" on the {SIDE_WORDS[side].lower()}" if SIDE_WORDS[side] else ""
    return (
        f"Free all round the turn. The least air is {least:.2f} mm, "
        f"between {parts[0]} and {parts[1]}{where}."
    )
