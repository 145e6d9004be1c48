"""What must be said before somebody takes a tool to it."""

from __future__ import annotations

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
