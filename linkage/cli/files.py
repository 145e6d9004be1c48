"""Files written whole or not at all, and never over one that is there without being told to."""

from __future__ import annotations

import glob
import os
import stat
from collections.abc import Mapping
from pathlib import Path

from linkage.errors import OutputError

_ENDING = ".unfinished"


def check_output(path: Path, force: bool, cure: str = "give --force to write over it") -> None:
    """Refuse a file that stands there already, or whose folder does not.

    `force`: true to write over it. `cure`: what the command can do about one that is there.

    Raises
    ------
    OutputError
        Where it must not or cannot be written.
    """
    if path.is_dir():
        raise OutputError(f"{path}: is a folder; name a file")
    if path.exists() and not force:
        raise OutputError(f"{path}: stands there already; {cure}")
    if not path.parent.is_dir():
        raise OutputError(f"{path}: there is no folder {path.parent}")


def write_whole(path: Path, content: bytes, force: bool) -> None:
    """Write a file by way of a temporary one beside it.

    `force`: true to write over a file that is there.

    Raises
    ------
    OutputError
        Where it must not or cannot be written; nothing is left behind then.
    """
    write_all({path: content}, force)


def write_all(contents: Mapping[Path, bytes], force: bool) -> None:
    """Write several files, all of them or none; where a link stands, what it leads to.

    `contents`: what is to stand where. `force`: true to write over files that are there.

    Raises
    ------
    OutputError
        Where one of them must not or cannot be written; all is as it was then.
    """
    for path in contents:
        check_output(path, force)
    contents = {path.resolve(): content for path, content in contents.items()}
    before = {path: path.read_bytes() if path.exists() else None for path in contents}
    waiting: dict[Path, Path] = {}
    try:
        for path, content in contents.items():
            waiting[path] = _write_beside(path, content)
        for path, temporary in waiting.items():
            temporary.replace(path)
    except OSError as error:
        for path, temporary in waiting.items():
            if temporary.exists():
                temporary.unlink()
            else:  # it stands in its place already
                _put_back(path, before[path])
        raise OutputError(f"{path}: cannot be written ({error.strerror})") from error


def _write_beside(path: Path, content: bytes) -> Path:
    """Write a temporary file in the same folder, and return it; nothing is left where it fails."""
    _clear(path)
    temporary = path.with_name(f".{path.name}.{os.getpid()}{_ENDING}")
    try:
        temporary.write_bytes(content)
        if path.exists():
            temporary.chmod(stat.S_IMODE(path.stat().st_mode))
    except OSError:
        temporary.unlink(missing_ok=True)
        raise
    return temporary


def _clear(path: Path) -> None:
    """Take away what runs that were killed have left beside a file."""
    for left in path.parent.glob(f".{glob.escape(path.name)}.*{_ENDING}"):
        number = left.name.removesuffix(_ENDING).rpartition(".")[2]
        if number.isdigit() and not _runs(int(number)):
            left.unlink(missing_ok=True)


def _runs(process: int) -> bool:
    if process == os.getpid() or os.name != "posix":  # elsewhere asking would end it
        return process == os.getpid()
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except OSError:  # somebody else's
        return True
    return True


def _put_back(path: Path, content: bytes | None) -> None:
    if content is None:
        path.unlink(missing_ok=True)
    else:
        path.write_bytes(content)
