"""Findings in plain words: side, pair, where in the turn, how much, and what to do.

Degrees are the right-hand crank's, as everywhere in whole-locomotive results; the clock is the
face of the wheel of the side concerned, seen from outside that side. Never a third decimal.
"""

from __future__ import annotations

import math

from linkage.advice import Cure
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
    "Wear glasses when bending, filing or drilling."
)
BENDING = (
    "Bend once, in small steps, held on both sides of the bend and never at an eye; cast and "
    "free-cutting brass rods break: replace them."
)


def degrees(angle: float) -> str:
    """Return an angle as whole degrees of the turn.

    Parameters
    ----------
    angle : float [rad]
        Crank angle.

    Returns
    -------
    str
        0 to 359, in degrees.
    """
    return f"{round(math.degrees(angle)) % 360}"


def say_where(examination: Examination, spot: TightSpot) -> str:
    """Say where in the turn a tight spot is.

    Parameters
    ----------
    examination : Examination
        What was found out.
    spot : TightSpot
        The spot.

    Returns
    -------
    str
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

    Parameters
    ----------
    spot : TightSpot
        The spot.

    Returns
    -------
    str
        Parts and amount, as a clause.
    """
    names = [f"the {name}" for name in spot.parts]
    if spot.kind == "fouls":
        return f"{names[0]} fouls {names[1]} by {spot.amount:.2f} mm{_view(spot)}"
    if spot.kind == "close":
        return (
            f"{names[0]} passes {names[1]} with {spot.amount:.2f} mm of air, "
            f"{spot.wanted:.2f} wanted{_view(spot)}"
        )
    if spot.kind == "cannot close":
        return f"{_listed(names)} cannot be joined: {spot.amount:.2f} mm short; the wheels lock"
    if spot.play is not None:
        return _say_play(spot, spot.play)
    if spot.kind == "runs off":
        if "cover" in spot.parts[1]:
            return f"{names[0]} meets {names[1]}: {spot.amount:.2f} mm too far"
        return f"{names[0]} runs past the end of {names[1]} by {spot.amount:.2f} mm"
    if spot.kind == "branch undecided":
        return f"{_listed(names)} lie in line: the crank does not decide which way they go on"
    angle = degrees(spot.transmission)
    return f"{_listed(names)} push almost along themselves (transmission angle {angle} degrees)"


def _say_play(spot: TightSpot, arc: PlayArc) -> str:
    """Say how much of their play coupled wheels use, at which pins, and how they bear."""
    pins = _listed([f"the {part}" for part in spot.parts if part.endswith("crank pin")])
    rods = [f"the {part}" for part in spot.parts if not part.endswith("crank pin")]
    verb = "needs" if len(rods) == 1 else "need"
    if spot.amount == 0:
        share = f"{100 * arc.most:.0f} of every 100 parts"
        return f"{_listed(rods)} {verb} {share} of the play there is, at {pins}"
    return (
        f"{_listed(rods)} {verb} {arc.most:.1f} times the play there is, at {pins}: "
        f"{spot.amount:.2f} mm short of turning freely"
    )


def _view(spot: TightSpot) -> str:
    """Say in which view the gap shows that would have to grow."""
    contact = spot.contact
    if contact is None:
        return ""
    return " (seen in plan)" if contact.lateral >= contact.side_view else " (seen from the side)"


def _listed(names: list[str]) -> str:
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"


def say_spot(examination: Examination, spot: TightSpot) -> str:
    """Say one tight spot in a sentence.

    Parameters
    ----------
    examination : Examination
        What was found out.
    spot : TightSpot
        The spot.

    Returns
    -------
    str
        Side, parts, how much, where.
    """
    side = SIDE_WORDS[spot.side]
    what = say_what(spot)
    start = f"{side}: {what}" if side else what[:1].upper() + what[1:]
    return f"{start}, {say_where(examination, spot)}."


def say_cure(cure: Cure) -> str:
    """Say one cure in a sentence.

    Parameters
    ----------
    cure : Cure
        The cure.

    Returns
    -------
    str
        What to do, by how much, and what it leads to.
    """
    return f"{_say_deed(cure)}{_say_outcome(cure)}."


def _say_deed(cure: Cure) -> str:
    place = f", {cure.place}" if cure.place else ""
    if cure.kind == "set" and cure.way == "straight":
        return f"Straighten the {cure.part}{place}: {cure.amount:.2f} mm of bend comes out"
    if cure.kind == "set":
        most = f" ({cure.most:.2f} takes the bend right out)" if cure.most > cure.amount else ""
        return f"Set the {cure.part} {cure.way} by at least {cure.amount:.2f} mm{place}{most}"
    if cure.kind == "washer":
        return f"Move the {cure.part} {cure.way} by {cure.amount:.2f} mm with a washer"
    if cure.kind == "file":
        where = "the outline" if cure.way == "in the side view" else cure.way
        return f"File {cure.amount:.2f} mm off {where} of the {cure.part}, which cannot be undone"
    if cure.kind == "ease":
        return (
            f"Ease the {cure.part} by {cure.amount:.2f} mm on diameter, which cannot be undone and "
            "hides the fault: last of all"
        )
    if cure.kind == "dimension":
        return _say_dimension(cure)
    return f"Measure the {cure.part} again: no small cure was found for what the sheet says"


def _say_dimension(cure: Cure) -> str:
    unit = "degrees" if cure.degrees else "mm"
    name = cure.key.replace("_", " ").replace(".", ", ")
    start = f"{name[:1].upper() + name[1:]}: the sheet has {cure.now:.2f} {unit}"
    if math.isnan(cure.other):
        return f"{start}; {cure.amount:.2f} {cure.way} would do. Measure it again first"
    least = f" ({cure.amount:.2f} {cure.way} is enough)" if cure.amount < cure.most else ""
    return f"{start}, the other side {cure.other:.2f}; made alike, that cures it{least}"


def _say_outcome(cure: Cure) -> str:
    said = ""
    if not math.isnan(cure.leaves):
        whole = "; straight, it leaves" if cure.kind == "set" else "; that leaves"
        said += f"{whole} {max(cure.leaves, 0.0):.2f} mm of air"
        said += "" if cure.spoils else ", and nothing else comes closer than asked"
    if cure.spoils:
        said += ". But then " + "; ".join(say_what(spot) for spot in cure.spoils)
    return said


def say_play(examination: Examination) -> str:
    """Say how much of their play the coupled wheels use.

    Parameters
    ----------
    examination : Examination
        What was found out; with coupled wheels.

    Returns
    -------
    str
        One sentence; empty where the sheet has no coupled wheels.
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
    """Say that nothing was found, and how near it is to it.

    Parameters
    ----------
    examination : Examination
        What was found out.

    Returns
    -------
    str
        One sentence.
    """
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
