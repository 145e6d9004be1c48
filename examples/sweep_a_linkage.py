"""Parts and joints of your own: a four-bar, its rocker's swing and its transmission angle.

Run as a program it prints its results; imported, it only computes them.
"""

import numpy as np

from linkage.kinematics import solve_turn, transmission_angles
from linkage.mechanism import Mechanism, Part, Pin, Place

crank, coupler, rocker, ground = 40.0, 120.0, 80.0, 100.0  # [mm]

four_bar = Mechanism(
    parts=(Part("crank"), Part("coupler"), Part("rocker")),
    joints=(
        Pin("crank pin", Place("crank", crank, 0), Place("coupler", 0, 0)),
        Pin("rocker pin", Place("coupler", coupler, 0), Place("rocker", rocker, 0), near=(130, 80)),
        Pin("pivot", Place("rocker", 0, 0), Place("frame", ground, 0)),
    ),
)

angles = np.radians(np.arange(0.0, 360.0, 0.5))
motion = solve_turn(four_bar, angles)
swing = float(np.degrees(np.ptp(motion.poses["rocker"][:, 2])))
least = float(np.degrees(min(values.min() for values in transmission_angles(motion).values())))

if __name__ == "__main__":
    print(f"The rocker swings {swing:.1f} degrees; least transmission angle {least:.1f} degrees.")
