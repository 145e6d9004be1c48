"""The three gears: what the link hangs by, and what its die moves.

Both eccentrics have the throw r and the advance e, so that each is ``h = r cos e`` above or below
the axle at a dead centre; their rods, of length l, take pins c above and below the middle of the
link. With the middle Y above the axle, the middle's place ahead and the link's lean are, to the
second order and with the fore rod on top, at the front (upper sign) and the back dead centre ::

    X = -+ r sin e + l - (Y**2 + (c +- h)**2) / 2 l,    lean = Y (c +- h) / c l

A die u above the middle of a slot of curvature k, its centre ahead, is at
``X - u lean + k u**2 / 2``. Half of what the valve goes from one dead centre to the other is
lap and lead:

- Stephenson: the die stays level, Y = -u, k = -1/l: ``r sin e + (c**2 - u**2) h / c l``, which
  grows by c h / l from full gear, u = c, to mid-gear. Crossed rods: less by as much.
- Gooch: Y = 0, and the die goes round the valve's pin, k = 1 / the radius rod:
  ``r sin e + c h / l`` in every gear.
- Allan: k = 0, and Y = -a: ``r sin e + (c**2 - u a) h / c l``, between the two. The valve's middle
  stays where ``(2 u a - a**2) / l = (u - a)**2 / radius rod``, which is what its two arms are for.

References
----------
Textbook kinematics, from memory: G. Zeuner, *Treatise on Valve Gears* (1884), has all three.
"""

from __future__ import annotations

import math

from linkage.arrangements.assembly import Assembly, bar
from linkage.arrangements.eccentric_links.parts import (
    LIFTING_LINK,
    SUSPENSION_PIN,
    WEIGHSHAFT,
    Hangs,
    add_direct_die,
    add_hanger,
    add_radius_rod,
    finish_valve,
    gear_without_die,
    hang_link,
    hangs_from,
)
from linkage.arrangements.eccentric_links.radius import TwoArmedShaft
from linkage.arrangements.eccentric_links.side import (
    AllanSide,
    GoochSide,
    HungLinkSide,
    StephensonSide,
)
from linkage.arrangements.rods import eye_to_eye
from linkage.arrangements.weighshaft import (
    add_weighshaft,
    arm_end,
    reverser_of,
    weighshaft_angle,
)
from linkage.mechanism import FRAME, Place, Point, Running

_SUSPENSION = "suspension link"
_SUSPENSION_LINK_PIN = "suspension link pin"


def stephenson(side: StephensonSide, running: Running = None) -> Assembly:
    """Return one side with its whole gear.

    Joints, besides those of the slider-crank: "fore eccentric", "back eccentric", "top link pin",
    "bottom link pin", "suspension pin", "weighshaft pin", "die block" and "valve spindle slide".

    Parameters
    ----------
    running : str or float or None
        Position of the reverser: a name of ``weighshaft.gear``, or the arm's angle [rad].
    """
    assembly, hangs = hung_from_shaft(side, running)
    add_direct_die(assembly, side, hangs)
    return finish_valve(assembly, side)


def hung_from_shaft(side: HungLinkSide, running: Running) -> tuple[Assembly, Hangs]:
    """Return engine, eccentrics and a link that is lifted itself, and how it hangs; no die yet."""
    shaft = side.weighshaft
    end = arm_end(shaft, running)
    hangs = hangs_from(side, end, eye_to_eye(side.lifting_link))
    assembly = gear_without_die(side, hangs)
    add_weighshaft(assembly, shaft, end)
    held = assembly.place(WEIGHSHAFT, "arm end")
    add_hanger(assembly, (LIFTING_LINK, "weighshaft pin", SUSPENSION_PIN), side.lifting_link, held)
    hang_link(assembly, LIFTING_LINK, hangs, side)
    assembly.reverser = reverser_of(shaft, running)
    return assembly, hangs


def gooch(side: GoochSide, running: Running = None) -> Assembly:
    """Return one side with its whole gear.

    Joints, besides those of the slider-crank: "fore eccentric", "back eccentric", "top link pin",
    "bottom link pin", "suspension link pin", "suspension pin", "die block", "lifting pin",
    "weighshaft pin", "valve pin" and "valve spindle slide".

    `running`: position of the reverser: a name of ``weighshaft.gear``, or the arm's angle [rad].
    """
    pivot = side.suspension_link.pivot
    held = Place(FRAME, pivot.ahead, pivot.up)
    hangs = hangs_from(side, (pivot.ahead, pivot.up), eye_to_eye(side.suspension_link))
    assembly = gear_without_die(side, hangs)
    add_hanger(
        assembly, (_SUSPENSION, _SUSPENSION_LINK_PIN, SUSPENSION_PIN), side.suspension_link, held
    )
    hang_link(assembly, _SUSPENSION, hangs, side)
    add_weighshaft(assembly, side.weighshaft, arm_end(side.weighshaft, running))
    assembly.reverser = reverser_of(side.weighshaft, running)
    add_radius_rod(assembly, side, hangs, assembly.place(WEIGHSHAFT, "arm end"))
    return finish_valve(assembly, side)


def allan(side: AllanSide, running: Running = None) -> Assembly:
    """Return one side with its whole gear.

    Joints as in a Gooch gear; "suspension link pin" is on the weighshaft's other arm.

    `running`: position of the reverser: a name of ``weighshaft.gear``, or the arm's angle [rad].
    """
    shaft = side.weighshaft
    link_end = link_arm_end(shaft, running)
    hangs = hangs_from(side, link_end, eye_to_eye(side.suspension_link))
    assembly = gear_without_die(side, hangs)
    add_weighshaft(assembly, shaft, arm_end(shaft, running))
    assembly.points[WEIGHSHAFT]["link arm end"] = link_end
    centre = (shaft.ahead, shaft.up)
    arm = bar((centre, link_end), shaft.width, shaft.out, shaft.thickness, "link arm")
    assembly.pieces[WEIGHSHAFT].append(arm)
    held = assembly.place(WEIGHSHAFT, "link arm end")
    add_hanger(
        assembly, (_SUSPENSION, _SUSPENSION_LINK_PIN, SUSPENSION_PIN), side.suspension_link, held
    )
    hang_link(assembly, _SUSPENSION, hangs, side)
    assembly.reverser = reverser_of(shaft, running)
    add_radius_rod(assembly, side, hangs, assembly.place(WEIGHSHAFT, "arm end"))
    return finish_valve(assembly, side)


def link_arm_end(shaft: TwoArmedShaft, running: Running) -> Point:
    """Return where the pin of the weighshaft's arm for the link stands [mm]."""
    angle = weighshaft_angle(shaft, running) + math.pi
    return shaft.ahead + shaft.link_arm * math.cos(angle), shaft.up + shaft.link_arm * math.sin(
        angle
    )
