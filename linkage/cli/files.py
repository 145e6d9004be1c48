"""Files written whole or not at all, and never over one that is there without being told to."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from linkage.errors import OutputError


def check_output(path: Path, force: bool) -> None:
    """Refuse a file that stands there already, or whose folder does not.

    Parameters
    ----------
    path : Path
        Where it is to go.
    force : bool
        True to write over it.

    Raises
    ------
    OutputError
        Where it must not or cannot be written.
    """
    if path.is_dir():
        raise OutputError(f"{path}: is a folder; name a file")
    if path.exists() and not force:
        raise OutputError(f"{path}: stands there already; give --force to write over it")
    if not path.parent.is_dir():
        raise OutputError(f"{path}: there is no folder {path.parent}")


def write_whole(path: Path, content: bytes, force: bool) -> None:
    """Write a file by way of a temporary one beside it.

    Parameters
    ----------
    path : Path
        Where it is to go.
    content : bytes
        All of it.
    force : bool
        True to write over a file that is there.

    Raises
    ------
    OutputError
        Where it must not or cannot be written; nothing is left behind then.
    """
    check_output(path, force)
    try:
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    except OSError as error:
        raise OutputError(f"{path}: cannot be written ({error.strerror})") from error
    temporary = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
        umask = os.umask(0)
        os.umask(umask)
        temporary.chmod(0o666 & ~umask)
        temporary.replace(path)
    except OSError as error:
        temporary.unlink(missing_ok=True)
        raise OutputError(f"{path}: cannot be written ({error.strerror})") from error
