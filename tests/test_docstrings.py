"""Docstrings of what is public: the names of the signature, and a unit on each number."""

from __future__ import annotations

import doctest
import importlib
import inspect
import pkgutil
import re
from itertools import zip_longest

import pytest

import linkage

MODULES = sorted(
    name for _, name, _ in pkgutil.walk_packages(linkage.__path__, "linkage.")
    if not name.startswith(("linkage.configs", "linkage.__main__"))
)  # fmt: skip
IN_WORDS = {"advice", "report", "handover", "cli", "tightspots", "examine"} | {
    "scene",
    "draw",
    "film",
    "form",
    "page",
}  # rooms whose docstrings have no sections
SECTION = re.compile(r"^(\w[\w ]*)\n-+$", re.MULTILINE)


def functions():
    for name in MODULES:
        module = importlib.import_module(name)
        for label, thing in vars(module).items():
            if label.startswith("_") or getattr(thing, "__module__", None) != name:
                continue
            if inspect.isfunction(thing):
                yield pytest.param(thing, id=f"{name}.{label}")
            elif inspect.isclass(thing) and not issubclass(thing, Exception):
                for part, member in vars(thing).items():
                    if inspect.isfunction(member) and not part.startswith("_"):
                        yield pytest.param(member, id=f"{name}.{label}.{part}")


def section(text: str, title: str) -> str:
    """Return the body of a numpydoc section, empty where there is none."""
    found = list(SECTION.finditer(text))
    for match, after in zip_longest(found, found[1:]):
        if match[1] == title:
            return text[match.end() : after.start() if after else len(text)]
    return ""


def entries(body: str) -> dict[str, str]:
    """Return the type line of each documented name."""
    lines = re.findall(r"^(\*{0,2}\w[\w, *]*?)(?: : (.*))?$", body, re.MULTILINE)
    return {name.strip(): kind for names, kind in lines for name in names.split(",")}


@pytest.mark.parametrize("function", list(functions()))
def test_documented_names_are_those_of_the_signature(function):
    text = inspect.getdoc(function) or ""
    assert text, "no docstring"
    documented = set(entries(section(text, "Parameters")))
    if not documented:
        return  # the names and types of the signature say it
    taken = inspect.signature(function).parameters
    numbers = {n for n, p in taken.items() if re.match(r"(float|Array)\b", str(p.annotation))}
    assert documented <= set(taken)
    assert numbers <= documented, "a number among the parameters is not told"


@pytest.mark.parametrize("function", list(functions()))
def test_each_number_has_a_unit(function):
    text = inspect.getdoc(function) or ""
    taken = inspect.signature(function).parameters.values()
    if function.__module__.split(".")[1] in IN_WORDS and any(
        re.match(r"(float|Array)\b", str(p.annotation)) for p in taken
    ):
        assert "[" in text, "a number among the parameters has no unit"
    for title in ("Parameters", "Returns"):
        body = section(text, title)
        kinds = list(entries(body).values())
        kinds += re.findall(r"^(?:float|array)[^:\n]*$", body, re.MULTILINE)
        for kind in kinds:
            if re.match(r"(float|array\b(?! of (int|bool)))", kind):
                assert "[" in kind, f"{title}: {kind!r} has no unit"


@pytest.mark.parametrize("name", MODULES)
def test_examples_run(name):
    result = doctest.testmod(importlib.import_module(name))
    assert result.failed == 0
