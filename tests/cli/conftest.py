"""The command run on real files in a folder of its own."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest
import tomlkit
from click.testing import CliRunner, Result

from linkage.cli import main
from linkage.sheet.ready import demonstration


@pytest.fixture
def run(tmp_path, monkeypatch) -> Callable[..., Result]:
    """Run the command in an empty folder, 80 columns wide."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")

    def runner(*words: str) -> Result:
        return CliRunner().invoke(main, list(words), prog_name="tightspot")

    return runner


@pytest.fixture
def write(tmp_path) -> Callable[..., str]:
    """Write the demonstration with tables changed; a value of None takes a key out."""

    def writer(changes: Mapping[str, Any], name: str = "engine.toml") -> str:
        data = tomllib.loads(demonstration().read_text(encoding="utf-8"))
        for key, value in changes.items():
            *path, last = key.split(".")
            table = data
            for step in path:
                table = table.setdefault(step, {})
            if value is None:
                del table[last]
            else:
                table[last] = value
        Path(tmp_path, name).write_text(tomlkit.dumps(data), encoding="utf-8")
        return name

    return writer
