"""Docstrings of what is public: the names of the signature, and a unit on each number."""

from __future__ import annotations

import doctest
import importlib
import inspect
import pkgutil
import re
from itertools import zip_longest

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
                yield f"{name}.{label}", thing
            elif inspect.isclass(thing) and not issubclass(thing, Exception):
                for part, member in vars(thing).items():
                    if inspect.isfunction(member) and not part.startswith("_"):
                        yield f"{name}.{label}.{part}", member


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


def numbers_of(function):
    """Return the parameters of a function that are numbers with a unit."""
    taken = inspect.signature(function).parameters
    return {n for n, p in taken.items() if re.match(r"(float|Array)\b", str(p.annotation))}


def names_wrong(function):
    """Yield what is wrong with the names that a docstring tells of."""
    text = inspect.getdoc(function) or ""
    if not text:
        yield "no docstring"
    documented = set(entries(section(text, "Parameters")))
    if not documented:
        return  # the names and types of the signature say it
    if not documented <= set(inspect.signature(function).parameters):
        yield "tells of a parameter that it does not have"
    if not numbers_of(function) <= documented:
        yield "a number among the parameters is not told"


def units_wrong(function):
    """Yield what has no unit in a docstring and needs one."""
    text = inspect.getdoc(function) or ""
    if function.__module__.split(".")[1] in IN_WORDS and numbers_of(function) and "[" not in text:
        yield "a number among the parameters has no unit"
    for title in ("Parameters", "Returns"):
        body = section(text, title)
        kinds = list(entries(body).values())
        kinds += re.findall(r"^(?:float|array)[^:\n]*$", body, re.MULTILINE)
        for kind in kinds:
            if re.match(r"(float|array\b(?! of (int|bool)))", kind) and "[" not in kind:
                yield f"{title}: {kind!r} has no unit"


def wrong(look):
    """Return what a look finds, by the function's name."""
    return [f"{name}: {fault}" for name, function in functions() for fault in look(function)]


def test_documented_names_are_those_of_the_signature():
    assert wrong(names_wrong) == []


def test_each_number_has_a_unit():
    assert wrong(units_wrong) == []


def test_faults_of_a_docstring_are_seen():
    def bare(length: float) -> float: ...

    def other(length: float) -> float:
        """Return it.

        Parameters
        ----------
        width : float
            Of it.
        """

    bare.__module__ = other.__module__ = "linkage.advice.cures"
    assert list(names_wrong(bare)) == ["no docstring"]
    assert len(list(names_wrong(other))) == 2
    assert list(units_wrong(bare)) == ["a number among the parameters has no unit"]
    assert len(list(units_wrong(other))) == 2


def test_examples_run():
    failed = [n for n in MODULES if doctest.testmod(importlib.import_module(n)).failed]
    assert failed == []
