"""kill -9 of what saves a sheet."""

import os
import signal
import time
import warnings

import pytest

from linkage.bench.keeping import Kept

KILLS = 24


def save_on_and_on(kept):
    """Save ever other texts, in a process of its own; return its number."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # that other threads are not in the copy: none is needed
        child = os.fork()
    if child:
        return child
    try:
        for number in range(1, 100_000):
            kept = kept.saved(str(number % 10) * 100_000)
    finally:
        os._exit(1)  # never back into the tests


@pytest.mark.skipif(os.name != "posix", reason="kill -9")
def test_killed_in_the_middle_of_a_save_the_file_is_old_or_new(tmp_path):
    path = tmp_path / "engine.toml"
    path.write_text("0" * 100_000)
    for number in range(KILLS):
        before = path.stat().st_mtime_ns
        child = save_on_and_on(Kept(path, path.read_text()))
        until = time.monotonic() + 30
        while path.stat().st_mtime_ns == before and time.monotonic() < until:
            time.sleep(0.0005)  # it has begun when another file stands there
        time.sleep(0.0007 * number)
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        text = path.read_text()
        assert path.stat().st_mtime_ns != before
        assert len(text) == 100_000
        assert len(set(text)) == 1
