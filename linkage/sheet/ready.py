"""The ready sheets that come with the program."""

from __future__ import annotations

from pathlib import Path

DEMONSTRATION = "ardmoor-2-6-0"


def ready_folder() -> Path:
    """Return the folder of the ready sheets: within the package, or beside it in a checkout."""
    package = Path(__file__).resolve().parent.parent
    inside = package / "configs"
    return inside if inside.is_dir() else package.parent / "configs"


def ready_sheets() -> dict[str, Path]:
    """Return the ready sheets by name.

    In the order of their names.
    """
    return {path.stem: path for path in sorted(ready_folder().glob("*.toml"))}


def demonstration() -> Path:
    """Return the sheet that is checked when none is named."""
    return ready_sheets()[DEMONSTRATION]
