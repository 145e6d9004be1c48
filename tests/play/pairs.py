"""Two coupled axles with faults put in, for the tests of play."""

from __future__ import annotations

import numpy as np

from linkage.wheels import Axle, CoupledWheels, CouplingRod, CrankPin, Eye

DEGREE = np.pi / 180
SPAN, THROW, PLAY = 29.0, 4.33, 0.1


def pair(rods=(0.0, 0.0), throws=(0.0, 0.0, 0.0, 0.0), quarters=(90.0, 90.0), box=4e-4, play=PLAY):
    """Return two axles; errors of the rods (right, left) and of the throws [mm].

    Throws are those of the driving right, driving left, leading right, leading left wheel;
    quarters how far the right pin leads the left on the driving and the leading axle [degrees].
    """
    axles = []
    for index, (name, ahead) in enumerate((("driving", 0.0), ("leading", SPAN))):
        pins = {
            "right": CrankPin(THROW + throws[2 * index], 0.0),
            "left": CrankPin(THROW + throws[2 * index + 1], -quarters[index] * DEGREE),
        }
        axles.append(Axle(name, ahead, 0.0, pins, box / 2, box / 2))
    made = tuple(
        CouplingRod(
            "coupling rod",
            side,
            (
                Eye("driving", (0.0, 0.0), play / 2, play / 2),
                Eye("leading", (SPAN + error, 0.0), play / 2, play / 2),
            ),
        )
        for side, error in zip(("right", "left"), rods, strict=True)
    )
    return CoupledWheels(tuple(axles), 0, made)
