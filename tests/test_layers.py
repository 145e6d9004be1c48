"""The house: imports run one way only, and nothing sits where it must not."""

from __future__ import annotations

import ast
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "linkage"
RANKS = [
    {"errors", "units", "arrays", "letters"},
    {"files", "geometry", "lengths", "riding", "search", "standards"},
    {"mechanism", "wheels"},
    {"kinematics", "tables"},
    {"arrangements", "clearance", "play", "valve"},
    {"sheet"},
    {"tightspots", "events"},
    {"examine"},
    {"certainty"},
    {"advice"},
    {"cause"},
    {"report"},
    {"scene"},
    {"draw"},
    {"film", "form", "handover", "page"},
    {"bench"},
    {"cli"},
    {"__main__"},
]
RANK = {room: rank for rank, rooms in enumerate(RANKS) for room in rooms}
MODULES = sorted(path for path in PACKAGE.rglob("*.py") if path != PACKAGE / "__init__.py")
SCRIPTS = sorted(path for path in PACKAGE.rglob("*") if path.suffix in {".js", ".mjs", ".ts"})
LONGEST = {".py": 500, ".js": 250, ".mjs": 250, ".ts": 250}
SLOW = ("matplotlib", "scipy", "jinja2", "flask", "waitress", "fpdf", "pandas")


def room_of(path: Path) -> str:
    first = path.relative_to(PACKAGE).parts[0]
    return first.removesuffix(".py")


def imports(path: Path) -> list[str]:
    found = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found += [name.name for name in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path.name}: relative import"
            found.append(node.module or "")
    return found


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_imports_run_from_lower_ranks_only(path):
    own = room_of(path)
    for name in imports(path):
        parts = name.split(".")
        if parts[0] != "linkage" or len(parts) < 2:
            continue
        other = parts[1]
        assert other == own or RANK[other] < RANK[own], f"{own} must not import {other}"


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_only_the_command_line_prints_and_only_drawings_draw(path):
    source = path.read_text(encoding="utf-8")
    calls = [n for n in ast.walk(ast.parse(source)) if isinstance(n, ast.Call)]
    printed = any(isinstance(call.func, ast.Name) and call.func.id == "print" for call in calls)
    assert not printed
    if room_of(path) not in {"draw", "film", "form", "cli"}:
        assert not any(name.startswith("matplotlib") for name in imports(path))


PICTURES = {"scene", "draw", "film", "page"}
ASKED = {"solve_at", "find_contact", "transmission_angles"}


@pytest.mark.parametrize(
    "path",
    [p for p in MODULES if room_of(p) in PICTURES],
    ids=lambda p: str(p.relative_to(PACKAGE)),
)
def test_pictures_ask_for_the_motion_at_one_place(path):
    if path != PACKAGE / "scene" / "motion.py":
        tree = ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        taken = {a.name for n in tree if isinstance(n, ast.ImportFrom) for a in n.names}
        assert not taken & ASKED


@pytest.mark.parametrize("path", [*MODULES, *SCRIPTS], ids=lambda p: str(p.relative_to(PACKAGE)))
def test_modules_are_short_enough_to_read(path):
    assert len(path.read_text(encoding="utf-8").splitlines()) <= LONGEST[path.suffix]


CHECK = "from linkage.cli import main; main(['check', '--json'], standalone_mode=False)"


@pytest.mark.parametrize("statement", ["import linkage", "import linkage.cli", CHECK])
def test_slow_libraries_wait_until_they_are_needed(statement):
    names = f"print([m for m in {SLOW} if m in sys.modules], file=sys.stderr)"
    done = subprocess.run(
        [sys.executable, "-c", f"import sys\ntry:\n  {statement}\nfinally:\n  {names}"],
        capture_output=True,
        text=True,
        check=False,
        cwd=PACKAGE.parent,
    )
    assert done.stderr.splitlines()[-1:] == ["[]"]


@pytest.mark.skipif(not (PACKAGE.parent / ".git").exists(), reason="what is kept is not known")
def test_nothing_but_the_house_stands_at_the_top():
    """Of what is kept: a sheet tried out beside the code is soon kept with it."""
    listed = subprocess.run(
        ["git", "ls-files"], capture_output=True, text=True, check=True, cwd=PACKAGE.parent
    )
    tops = {name.partition("/")[0] for name in listed.stdout.splitlines()}
    house = {"README.md", "DEVELOPERS.md", "pyproject.toml"}
    assert {name for name in tops if not name.startswith(".")} == house | {
        "linkage", "configs", "tests", "examples"
    }  # fmt: skip


def test_no_computer_algebra_is_needed():
    """It is there for the tests alone."""
    assert not any(name.startswith("sympy") for path in MODULES for name in imports(path))


def test_every_room_is_in_the_wheel():
    """What a checkout imports is not yet what is installed."""
    settings = tomllib.loads((PACKAGE.parent / "pyproject.toml").read_text(encoding="utf-8"))
    rooms = {".".join(path.parent.relative_to(PACKAGE.parent).parts) for path in MODULES}
    assert set(settings["tool"]["setuptools"]["packages"]) == rooms | {"linkage", "linkage.configs"}
