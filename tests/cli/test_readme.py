"""README kept true: every command stands in it with an example, and its code runs."""

from __future__ import annotations

import contextlib
import io
import re
import tomllib
from pathlib import Path

import pytest

from linkage.cli import COMMANDS

README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
BLOCK = re.compile(r"^```(python|toml)\n(.*?)^```", re.MULTILINE | re.DOTALL)
BLOCKS = [(kind, code, README[: at.start()].count("\n") + 1)
          for at in BLOCK.finditer(README) for kind, code in [at.groups()]]  # fmt: skip


def blocks(wanted):
    return [pytest.param(code, id=f"line {line}") for kind, code, line in BLOCKS if kind == wanted]


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_stands_in_the_readme_with_an_example(name):
    examples = re.findall(rf"^(?: {{4}}|\$ )\S*tightspot {name}\b.*$", README, re.MULTILINE)

    assert examples, f"README.md has no line with an example of tightspot {name}"


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_help_with_an_example(run, name):
    done = run(name, "--help")

    assert done.exit_code == 0
    assert f"Example: tightspot {name}" in " ".join(done.output.split())


def test_every_command_is_listed_with_its_summary(run):
    said = " ".join(run("--help").output.split())

    for name, summary in COMMANDS.items():
        assert f"{name} {summary}" in said


def test_the_readme_has_code_to_run():
    assert {kind for kind, _, _ in BLOCKS} == {"python", "toml"}


@pytest.mark.parametrize("code", blocks("python"))
def test_python_in_the_readme_runs(code, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    said = io.StringIO()
    with contextlib.redirect_stdout(said):
        exec(compile(code, "README.md", "exec"), {"__name__": "__main__"})

    printed = said.getvalue().strip()
    assert printed
    assert f"`{printed}`" in README or printed in README


@pytest.mark.parametrize("code", blocks("toml"))
def test_toml_in_the_readme_is_part_of_a_sheet(run, write, code):
    done = run("check", write(tomllib.loads(code)))

    assert done.exit_code in (0, 1), done.output
