"""Which version of the program says it: apart, for nobody should have to read all advice to say."""

from __future__ import annotations

from importlib.metadata import PackageNotFoundError, version


def program_version() -> str:
    """Return the version of the installed program."""
    try:
        return version("tightspot")
    except PackageNotFoundError:
        return "not installed"
