"""Findings made by hand, of every kind."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from linkage.clearance import Contact, PairClearance, RunOff, Worn
from linkage.mechanism import Grip, Piece, Travel
from linkage.play import LostMotion, PlayArc, UnlikeTread
from linkage.tightspots import (
    BranchUndecided,
    CannotClose,
    Close,
    Fouls,
    Limps,
    Mistimed,
    Pinched,
    PlayUsedUp,
    PoorTransmission,
    RunsOff,
    TouchesWithPlay,
    Uneven,
    UnlikeWheels,
)
from linkage.valve import Figure, UnlikeValves
from linkage.wheels import CouplingRod

QUARTER = math.pi / 2
ROD = CouplingRod("front coupling rod", "right", ())
_PIECE = Piece(((0.0, 0.0),), 1.0, (0.0,), 1.0)
SIDEWAYS = Contact(("rod", "nut"), (_PIECE, _PIECE), (0, 0), ((0, 0), (0, 0)), -1.0, -0.14, 0)
FROM_THE_SIDE = replace(SIDEWAYS, side_view=-0.14, lateral=-1.0)


def made(kind, amount=0.1234, side="right", parts=("rod", "nut"), **more):
    """Return a finding of a kind: from straight down to straight up, worst straight behind.

    `more` may give its angles, its contact, the clearance wanted, the share of play used, `stop`.
    """
    angles = [
        more.get(name, angle)
        for name, angle in (("begin", QUARTER), ("worst", math.pi), ("end", 3 * QUARTER))
    ]
    return kind(side, parts, *angles, *_rest(kind, amount, more))


def _rest(kind, amount, more):
    """Return what a kind has beside its side, parts and angles."""
    wanted, contact = more.get("wanted", 0.2), more.get("contact", SIDEWAYS)
    pair = PairClearance(("rod", "nut"), 0.2, 0.0, wanted, "proven", (), (), np.zeros(360))
    arc = PlayArc(0.0, 1.0, 2.0, more.get("most", 1.23), (), amount)
    stop, narrows = more.get("stop", False), more.get("narrows", 0.0)
    travel = Travel("slide", "rod", "nut", 10.0, 20.0, stop, narrows)
    kinds = more.get("several", False), (False, False)
    return {
        CannotClose: (amount,),
        PlayUsedUp: (("front coupling rod",), ("leading crank pin", "driving crank pin"), arc),
        Fouls: (pair, contact, *kinds, amount),
        RunsOff: (RunOff(travel, True, 0.0, 1.0, 2.0, amount),),
        BranchUndecided: (),
        Close: (pair, contact, *kinds, amount),
        TouchesWithPlay: (pair, Worn(-amount, 1.0, 0.3, "crank pin")),
        PoorTransmission: (math.radians(7.4),),
        Pinched: (Grip(("rod", "nut"), "crank pin", 0.8 + amount, 0.8, "coupling.bush"),),
        Limps: (LostMotion("right", ROD, ("driving", "leading"), math.radians(6.2), QUARTER),),
        UnlikeWheels: (
            UnlikeTread("leading", ("right", "left"), 22.0, 23.0, "axles.leading.tread"),
        ),
        Mistimed: (
            UnlikeValves(
                "right",
                more.get("figure", Figure.LAP_AND_LEAD),
                1.3,
                1.0,
                4.8,
                "full_forward",
            ),
            0.08,
        ),
        Uneven: (math.radians(20), math.radians(40), more.get("others", (math.nan, math.nan))),
    }[kind]
