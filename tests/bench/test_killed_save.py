"""kill -9 of what saves a sheet."""

import os
import signal
import subprocess
import sys
import time

import pytest

SAVING = """
import sys
from pathlib import Path
from linkage.bench.keeping import Kept
path = Path(sys.argv[1])
kept = Kept(path, "0" * 100_000)
print("go", flush=True)
for number in range(1, 10_000):
    kept = kept.saved(str(number % 10) * 100_000)
"""


@pytest.mark.skipif(os.name != "posix", reason="kill -9")
def test_killed_in_the_middle_of_a_save_the_file_is_old_or_new(tmp_path):
    path = tmp_path / "engine.toml"
    path.write_text("0" * 100_000)
    for number in range(8):
        run = subprocess.Popen([sys.executable, "-c", SAVING, str(path)], stdout=subprocess.PIPE)
        run.stdout.readline()
        time.sleep(0.003 * number + 0.002)
        run.send_signal(signal.SIGKILL)
        run.wait()
        run.stdout.close()
        text = path.read_text()
        assert len(text) == 100_000
        assert len(set(text)) == 1
