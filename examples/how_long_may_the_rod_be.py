"""Many variants at once: the eccentric rod's length against how the link swings.

The link's two extremes are compared for forty lengths of the rod, solved in one call.
Run as a program it prints its results; imported, it only computes them.
"""

import numpy as np

from linkage.arrangements import build
from linkage.kinematics import follow, solve_variants
from linkage.sheet import change, read_sheet
from linkage.sheet.ready import demonstration

sheet = read_sheet(demonstration())
lengths = np.linspace(23.6, 24.6, 41)  # [mm]
variants = [build(change(sheet, {"eccentric_rod.centres": x}))["left"] for x in lengths]
course = follow(build(sheet)["left"])
motion = solve_variants(course, variants, np.radians(np.arange(0.0, 360.0, 1.0)))
link = np.degrees(motion.poses["expansion link"][..., 2])
lopsided = link.max(axis=1) + link.min(axis=1)  # 0 where it swings evenly [degrees]
even = float(np.interp(0.0, lopsided[np.argsort(lopsided)], lengths[np.argsort(lopsided)]))

if __name__ == "__main__":
    print(f"The link swings evenly with an eccentric rod of {even:.2f} mm between centres.")
