"""How fast the solver and the commands are: figures to read, no limits to pass.

Machines differ and are shared, so nothing here fails on a time; the ratio to scipy's `root` is
taken in one run. What is asserted is that the timed work was really done. Run with ``-s`` to read
the figures.
"""

from __future__ import annotations

import subprocess
import sys
import time

import numpy as np
import pytest
from scipy.optimize import root

from linkage.arrangements import build, coupled_wheels
from linkage.kinematics import Motion, follow, solve_at, solve_turn, solve_variants
from linkage.mechanism import Mechanism, Pin, Slot
from linkage.play import Turning
from linkage.sheet import change, read_sheet, sheet_from
from linkage.sheet.ready import demonstration, ready_sheets
from linkage.wheels import Axle, CoupledWheels, CouplingRod, CrankPin, Eye

POSITIONS = 3600
CLOSED = 1e-10  # promised of every solved position [mm]


@pytest.fixture(scope="module")
def gear() -> Mechanism:
    """One side of the full gear: the demonstration's, its die held by a lifting link."""
    data = dict(read_sheet(demonstration()).data)
    data.pop("right")
    rod = dict(data["radius_rod"])
    rod.pop("die_above_trunnion")
    data["radius_rod"] = rod
    data["lifting_link"] = {"centres": 8.0, "pin": {"ahead_of_die": 6.0, "above": 0.0}}
    data["weighshaft"] = {
        "ahead": 34.0, "up": 15.0, "arm": 4.0, "arm_angle": 0.0, "arm_points": "back"
    }  # fmt: skip
    return build(sheet_from(data))["right"]


def joint_error(mechanism: Mechanism, motion: Motion) -> float:
    """Return how far any joint's two places are apart, from the poses alone [mm]."""
    worst = 0.0
    for joint in mechanism.joints:
        if not isinstance(joint, Pin | Slot):
            continue
        a = at(motion, joint.a.part, joint.a.x, joint.a.y)
        if isinstance(joint, Pin):
            b = at(motion, joint.b.part, joint.b.x, joint.b.y)
            worst = max(worst, float(np.abs(a - b).max()))
        else:
            # a die in a curved slot keeps the slot's radius from its centre
            radius = 1 / joint.curvature
            x = joint.b.x - np.sin(joint.direction) * radius
            y = joint.b.y + np.cos(joint.direction) * radius
            centre = at(motion, joint.b.part, x, y)
            apart = np.hypot(*np.moveaxis(a - centre, -1, 0))
            worst = max(worst, float(np.abs(apart - abs(radius)).max()))
    return worst


def at(motion, part: str, x: float, y: float):
    return motion.point(part, x, y) if part != "frame" else np.array([x, y])


def best_of(work, runs: int = 7) -> float:
    work()
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return float(np.median(times))


def test_one_side_of_the_full_gear(gear, benchmark):
    crank = np.arange(POSITIONS) * (2 * np.pi / POSITIONS)

    motion = benchmark(solve_turn, gear, crank)

    assert motion.reached.all()
    assert joint_error(gear, motion) <= CLOSED
    spent = benchmark.stats.stats.median / POSITIONS if benchmark.stats else best_of(
        lambda: solve_turn(gear, crank)
    ) / POSITIONS  # fmt: skip
    print(f"\n{spent * 1e6:.2f} microseconds a position, the start included; "
          f"joints closed to {joint_error(gear, motion):.1e} mm")  # fmt: skip


WAYS = {
    "all unknowns at once": lambda course, crank: by_root_at_once(course, crank, "array"),
    "the same, its equations compiled for single numbers": lambda course, crank: by_root_at_once(
        course, crank, "scalar"
    ),
    "so compiled, group by group, Jacobian given": lambda course, crank: by_root_in_groups(
        course, crank
    ),
}


@pytest.mark.parametrize("way", WAYS)
def test_against_scipy_root(gear, way):
    """Position by position, each started from the position before.

    The first way calls the very functions that our solver calls with arrays. The others give
    `root` ever more of what our solver makes for itself; they show how much of the ratio is
    whose.
    """
    course = follow(gear)
    crank = np.arange(POSITIONS) * (2 * np.pi / POSITIONS)
    few = crank[:: POSITIONS // 360]
    by_root = WAYS[way]
    by_root(course, few[:3])
    begin = time.perf_counter()
    found = by_root(course, few)
    theirs = (time.perf_counter() - begin) / len(few)
    ours = best_of(lambda: solve_turn(gear, crank)) / POSITIONS

    motion = solve_at(course, few)
    np.testing.assert_allclose(np.concatenate(motion.unknowns), found, atol=1e-6)
    print(f"\nroot, {way}: {theirs * 1e6:.0f} microseconds a position, "
          f"ours {ours * 1e6:.2f}: {theirs / ours:.0f} times")  # fmt: skip


def close_step(course, index, q, poses, kind="scalar"):
    """Return the residuals of one group, and put its parts' poses where later groups find them."""
    chain, numbers, step = course.chain, course.numbers, course.chain.steps[index]
    k, d = chain.inputs(step, poses, numbers, kind), chain.dims(step, numbers)
    values = step.group.compiled("solved", kind)(q, k, d)
    for number, name in enumerate(step.group.parts):
        first = step.group.size + 3 * number
        poses[name] = values[first : first + 3]
    return values[: step.group.size]


def by_root_at_once(course, crank, kind):
    """Solve all loops of a position as one system, as scipy's `root` is ordinarily called."""
    sizes = np.cumsum([0, *(step.group.size for step in course.chain.steps)])

    def closure(q, angle):
        poses = course.chain.first_poses(angle)
        every = []
        for index in range(len(course.chain.steps)):
            own = q[sizes[index] : sizes[index + 1]].tolist()
            every += close_step(course, index, own, poses, kind)
        return every

    q = np.concatenate([rows[:, 0] for rows in course.arcs[0].unknowns])
    found = []
    for angle in crank:
        q = root(closure, q, args=(float(angle),), tol=1e-12).x
        found.append(q)
    return np.array(found).T


def by_root_in_groups(course, crank):
    """Solve group by group with the same Jacobian as ours: the least that root can take."""
    chain, numbers = course.chain, course.numbers
    guess = [rows[:, 0].tolist() for rows in course.arcs[0].unknowns]
    found = []
    for angle in crank:
        poses = chain.first_poses(float(angle))
        for index, step in enumerate(chain.steps):
            n = step.group.size
            k, d = chain.inputs(step, poses, numbers, "scalar"), chain.dims(step, numbers)
            residual, newton = (step.group.compiled(w, "scalar") for w in ("residual", "newton"))
            guess[index] = root(
                lambda q, f=residual, k=k, d=d: f(q.tolist(), k, d),
                guess[index],
                jac=lambda q, f=newton, k=k, d=d, n=n: np.reshape(f(q.tolist(), k, d)[n:], (n, n)),
                tol=1e-12,
            ).x.tolist()
            close_step(course, index, guess[index], poses)
        found.append(np.concatenate(guess))
    return np.array(found).T


@pytest.mark.parametrize(("arguments", "status"), [(["check"], 1), (["--help"], 0)])
def test_whole_process(arguments, status):
    begin = time.perf_counter()
    done = subprocess.run(
        [sys.executable, "-m", "linkage", *arguments], capture_output=True, check=False
    )
    spent = time.perf_counter() - begin

    assert done.returncode == status
    assert done.stdout
    print(f"\ntightspot {' '.join(arguments)}: {spent:.2f} s, whole process")


def test_a_thousand_variants():
    """All variants of a dimension at once, in one call."""
    sheet = read_sheet(demonstration())
    base = build(sheet)["left"]
    course = follow(base)
    lengths = np.linspace(23.6, 24.6, 40)
    variants = [build(change(sheet, {"eccentric_rod.centres": x}))["left"] for x in lengths]
    variants = (variants * 25)[:1000]
    crank = np.arange(72) * (2 * np.pi / 72)
    spent = best_of(lambda: solve_variants(course, variants, crank), 3)

    motion = solve_variants(course, variants, crank)
    assert motion.reached.all()
    alone = solve_turn(variants[7], crank)
    np.testing.assert_allclose(
        motion.poses["valve spindle"][7], alone.poses["valve spindle"], atol=1e-9
    )
    print(f"\n{spent / 72e3 * 1e6:.2f} microseconds a position, 1000 variants at once")


def ten_axles() -> CoupledWheels:
    """Return ten axles with a rod for each span, one wheel of them a degree out of quarter."""
    names = [f"axle {k}" for k in range(10)]
    axles = tuple(
        Axle(
            name,
            25.0 * k,
            0.0,
            {
                "right": CrankPin(4.33, 0.0),
                "left": CrankPin(4.33, np.radians(-91.0 if k == 4 else -90.0)),
            },
            0.02,
            0.02,
        )
        for k, name in enumerate(names)
    )
    rods = tuple(
        CouplingRod(
            f"{side} {k}",
            side,
            (
                Eye(names[k], (0.0, 0.0), 0.03, 0.03),
                Eye(names[k + 1], (25.0, 0.0), 0.03, 0.03),
            ),
        )
        for side in ("right", "left")
        for k in range(9)
    )
    return CoupledWheels(axles, 4, rods)


WHEELS = {
    "three axles": lambda: coupled_wheels(read_sheet(ready_sheets()["ardmoor-0-6-0-coupled"])),
    "ten axles": ten_axles,
}


@pytest.mark.parametrize("name", WHEELS)
def test_play_at_720_angles(name):
    wheels = WHEELS[name]()
    begin = time.perf_counter()
    crank, found = Turning(wheels).samples
    spent = time.perf_counter() - begin

    assert len(crank) == len(found.used) == 720
    assert np.mean(found.settled) > 0.99
    print(f"\n{name}, both sides, play at 720 angles: {spent:.2f} s")
