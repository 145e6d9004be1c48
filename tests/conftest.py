"""The demonstration, and ways to give it other numbers; and which tests take long."""

from __future__ import annotations

import os
from pathlib import Path

os.environ.setdefault("OMP_NUM_THREADS", "1")  # the tests themselves run side by side

import pytest

from linkage.sheet import change
from tests.ready import ready

SLOW = {
    "advice/test_bending.py",
    "advice/test_bent_coupling_rods.py",
    "advice/test_comparison.py",
    "advice/test_dimensions.py",
    "advice/test_easing.py",
    "advice/test_full_size.py",
    "advice/test_guessed.py",
    "advice/test_map.py",
    "advice/test_offers.py",
    "advice/test_one_figure.py",
    "advice/test_pair_cures.py",
    "advice/test_refitting.py",
    "advice/test_resetting.py",
    "advice/test_side_play.py",
    "advice/test_setting.py",
    "advice/test_several.py",
    "advice/test_slack.py",
    "advice/test_window.py",
    "bench/test_desk.py",
    "bench/test_finding.py",
    "bench/test_jobs.py",
    "bench/test_killed_save.py",
    "bench/test_pool.py",
    "browser",
    "cause",
    "certainty",
    "clearance/test_least.py",
    "clearance/test_places.py",
    "cli/test_animate.py",
    "cli/test_cause.py",
    "cli/test_apply.py",
    "cli/test_bend.py",
    "cli/test_compare.py",
    "cli/test_draw.py",
    "cli/test_ending.py",
    "cli/test_events.py",
    "cli/test_killed.py",
    "cli/test_new.py",
    "cli/test_report.py",
    "cli/test_scale_and_fits.py",
    "cli/test_window.py",
    "configs",
    "draw",
    "events",
    "examine/test_shut.py",
    "faults",
    "film",
    "form",
    "fuzz",
    "gears",
    "handover",
    "kinematics/test_variants.py",
    "outside",
    "page",
    "play/test_least.py",
    "play/test_signatures.py",
    "play/test_variants.py",
    "scene/test_moment.py",
    "second_way",
    "sheet/test_wheel_arrangement.py",
    "speed",
    "viewer",
}
"""Folders and files that take long: `.ci/run` runs them after the others, `pytest -m slow` too.

Of those, sweeps by the hundred, and cases like another's, are marked `long`: they run by
`pytest -m long` alone.
"""


TOGETHER = {"handover"}
"""Folders whose files share what is dear to make: one process runs the whole folder."""


@pytest.hookimpl(tryfirst=True)  # before groups are read
def pytest_collection_modifyitems(items):
    """Mark what takes long, so that the others come back before one has lost the thread.

    And which tests stay together: those of a file, or of a folder.
    """
    for item in items:
        place = Path(item.path).relative_to(Path(__file__).parent)
        folder = place.parts[0]
        long = item.get_closest_marker("long") is not None
        if SLOW & {place.as_posix(), folder} and not long:
            item.add_marker(pytest.mark.slow)
        item.add_marker(pytest.mark.xdist_group(folder if folder in TOGETHER else place.as_posix()))


@pytest.fixture(scope="session")
def demo():
    """Return the demonstration sheet, bent rod and all."""
    return ready("ardmoor-2-6-0")


@pytest.fixture(scope="session")
def straight(demo):
    """Return the demonstration with the bend all but taken out: it turns freely."""
    return change(demo, {"right.radius_rod.bend[1].towards_frames": 0.001})
