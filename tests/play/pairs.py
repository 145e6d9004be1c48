"""Coupled axles with faults put in, for the tests of play."""

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


def random_locomotive(rng):
    """Return two to four axles with random faults, a rod for each span of each side."""
    count = int(rng.integers(2, 5))
    ahead = np.cumsum([0.0, *rng.uniform(20.0, 34.0, count - 1)])
    axles = tuple(
        Axle(
            f"axle {k}",
            ahead[k],
            float(rng.normal(0, 0.05)),
            {
                "right": CrankPin(THROW + rng.normal(0, 0.05), rng.normal(0, 1) * DEGREE),
                "left": CrankPin(THROW + rng.normal(0, 0.05), (rng.normal(0, 1) - 90) * DEGREE),
            },
            *rng.uniform(0.01, 0.05, 2),
        )
        for k in range(count)
    )
    rods = tuple(
        CouplingRod(
            f"rod {k}",
            side,
            (
                Eye(f"axle {k}", (0.0, 0.0), *rng.uniform(0.02, 0.1, 2)),
                Eye(
                    f"axle {k + 1}",
                    (float(ahead[k + 1] - ahead[k] + rng.normal(0, 0.1)), 0.0),
                    *rng.uniform(0.02, 0.1, 2),
                ),
            ),
        )
        for side in ("right", "left")
        for k in range(count - 1)
    )
    return CoupledWheels(axles, int(rng.integers(0, count)), rods)
