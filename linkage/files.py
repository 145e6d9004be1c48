"""Files written whole or not at all, and never over one that is there without being told to.

What is written goes into a hidden folder beside the first file, and from there to its places::

    .tightspot-XXXX.unfinished/
        lock          held by the run that writes, for as long as it lives
        0, 1, ...     what is to stand somewhere
        old-0, ...    what stood there
        steps         which goes where; put there last, as a whole, by one renaming
        back          there as soon as something could not be put in its place

Before `steps` is there, all is old, and after it all is new: a run that finds such a folder with
nobody holding its lock goes the rest of the way, forward, or back where `back` is there, and takes
the folder away (`finish_killed`). So several files of one command are one.
"""

from __future__ import annotations

import contextlib
import errno
import json
import os
import shutil
import stat
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import IO

try:
    import fcntl
except ImportError:  # not POSIX: there a file that is open cannot be taken away, which does as well
    fcntl = None  # type: ignore[assignment]

from linkage.errors import LinkageError, OutputError

_BEFORE, _AFTER = ".tightspot-", ".unfinished"
_TRIES = 100


def check_output(
    path: Path,
    force: bool,
    sources: Sequence[Path | None] = (),
    cure: str = "give --force to write over it",
) -> None:
    """Refuse a file that stands there already, or whose folder does not.

    Parameters
    ----------
    force : bool
        True to write over it.
    sources : sequence of Path or None
        What the command reads: never written over.
    cure : str
        What the command can do about one that is there.

    Raises
    ------
    OutputError
        Where it must not or cannot be written.
    """
    with _refusing(path):
        finish_killed(path.resolve().parent)
        if path.is_dir():
            raise OutputError(f"{path}: is a folder; name a file")
        if path.exists() and not path.is_file():
            raise OutputError(f"{path}: is no file that can be written over")
        if path.exists() and not force:
            raise OutputError(f"{path}: stands there already; {cure}")
        if any(source is not None and _same(path, source) for source in sources):
            raise OutputError(f"{path}: is what this is made from; name another file")
        if not path.parent.is_dir():
            raise OutputError(f"{path}: there is no folder {path.parent}")


def _same(path: Path, source: Path) -> bool:
    try:
        return path.samefile(source)
    except OSError:  # one of them is not there
        return False


def write_whole(path: Path, content: bytes, force: bool) -> None:
    """Write a file; `force`: true to write over one that is there.

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
    places = {path.resolve(): content for path, content in contents.items()}
    with _refusing(next(iter(contents))), _unfinished(next(iter(places)).parent) as folder:
        folder.go([folder.add(content, place) for place, content in places.items()])


def write_folder(path: Path, files: Mapping[str, bytes], old: Sequence[Path] = ()) -> None:
    """Write a folder's files, all or none, and take away old ones with it.

    `files`: by name. What else is in the folder stays.

    Raises
    ------
    OutputError
        Where it cannot be written; all is as it was then.
    """
    place = path.resolve()
    with _refusing(path):
        if not place.exists():  # a whole folder is put in its place by one renaming
            with _unfinished(place.parent) as folder:
                folder.go([folder.add_folder(files, place)])
            return
        with _unfinished(place) as folder:
            new = [folder.add(content, place / name) for name, content in files.items()]
            gone = [_Step(None, file, stood=True) for file in old if file.name not in files]
            folder.go([*new, *gone])


def finish_killed(parent: Path) -> None:
    """Bring to an end, in a folder, what runs that were killed were about to write there."""
    with contextlib.suppress(OSError):
        for folder in parent.glob(f"{_BEFORE}*{_AFTER}"):
            with contextlib.suppress(OSError, LinkageError):
                with held(folder / "lock", surely=True):
                    _Unfinished(folder).settle()
                shutil.rmtree(folder, ignore_errors=True)


@contextlib.contextmanager
def _refusing(path: Path) -> Iterator[None]:
    """Make our error of what the system will not do with a file."""
    try:
        yield
    except OSError as error:
        raise OutputError(f"{path}: cannot be written ({error.strerror})") from error
    except RuntimeError as error:  # of a link that leads to itself
        raise OutputError(f"{path}: cannot be written ({error})") from error


@contextlib.contextmanager
def _unfinished(parent: Path) -> Iterator[_Unfinished]:
    """Make the hidden folder, and have nothing of it left at the end, whatever happens."""
    with contextlib.ExitStack() as stack:
        path = _begun(parent, stack)
        stack.push(lambda *_: shutil.rmtree(path, ignore_errors=True))
        folder = _Unfinished(path)
        try:
            yield folder
        finally:
            folder.settle()


def _begun(parent: Path, stack: contextlib.ExitStack) -> Path:
    """Return a new hidden folder that is held; another run may take it away before it is."""
    for _ in range(_TRIES):
        folder = Path(tempfile.mkdtemp(_AFTER, _BEFORE, parent))
        with contextlib.suppress(FileNotFoundError, BlockingIOError):
            file = stack.enter_context(held(folder / "lock", surely=False))
            if os.path.samestat(os.fstat(file.fileno()), (folder / "lock").stat()):
                return folder
    raise BlockingIOError(errno.EAGAIN, "another run is writing there")


@contextlib.contextmanager
def held(lock: Path, surely: bool) -> Iterator[IO[bytes]]:
    """Hold a lock for as long as this lasts, or this process lives.

    `surely`: false to do without where the disk knows no locks.

    Raises
    ------
    BlockingIOError
        Where another run holds it.
    OSError
        Where it cannot be held surely.
    """
    with lock.open("ab") as file:
        if fcntl is not None:
            try:
                fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except OSError as error:
                if surely or isinstance(error, BlockingIOError):
                    raise
        yield file


@dataclass(frozen=True)
class _Step:
    """One file to be put in its place; one to be taken away where it has no number.

    `stood`: whether something stands there before.
    """

    number: int | None
    place: Path
    stood: bool


class _Unfinished:
    """The hidden folder of a run that writes."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.count = 0

    def add(self, content: bytes, place: Path) -> _Step:
        """Write what is to stand at a place, with the rights of what stands there."""
        step = self._next(place)
        new = self.path / str(step.number)
        _write(new, content)
        if step.stood:
            new.chmod(stat.S_IMODE(place.stat().st_mode))
        return step

    def add_folder(self, files: Mapping[str, bytes], place: Path) -> _Step:
        """Write a folder that is to stand at a place."""
        step = self._next(place)
        folder = self.path / str(step.number)
        folder.mkdir()
        for name, content in files.items():
            _write(folder / name, content)
        return step

    def _next(self, place: Path) -> _Step:
        self.count += 1
        return _Step(self.count - 1, place, place.exists())

    def go(self, steps: Sequence[_Step]) -> None:
        """Put everything in its place, or nothing.

        Raises
        ------
        OutputError
            Where something could not be; all is as it was then.
        """
        for row, step in enumerate(steps):
            if step.stood:
                _keep(step.place, self.path / f"old-{row}")
        written = [(step.number, str(step.place), step.stood) for step in steps]
        _write(self.path / "said", json.dumps(written).encode())
        (self.path / "said").replace(self.path / "steps")
        self.settle()

    def settle(self) -> None:
        """Go the rest of the way, if it has begun: forward, or back if it is to be back.

        Raises
        ------
        OutputError
            Where something could not be put in its place; all is as it was then.
        """
        said = self.path / "steps"
        if not said.exists():
            return
        steps = [
            _Step(number, Path(place), stood)
            for number, place, stood in json.loads(said.read_text(encoding="utf-8"))
        ]
        if (self.path / "back").exists():
            self._back(steps)
        else:
            self._forward(steps)
        said.unlink()

    def _forward(self, steps: Sequence[_Step]) -> None:
        for step in steps:
            try:
                if step.number is None:
                    step.place.unlink(missing_ok=True)
                elif self._new(step).exists():
                    self._new(step).replace(step.place)
            except OSError as error:
                with contextlib.suppress(OSError):
                    (self.path / "back").touch()
                self._back(steps)
                (self.path / "steps").unlink()
                raise OutputError(f"{step.place}: cannot be written ({error.strerror})") from error

    def _back(self, steps: Sequence[_Step]) -> None:
        for row, step in enumerate(steps):
            kept = self.path / f"old-{row}"
            if step.place.exists() if step.number is None else self._new(step).exists():
                continue  # it was not done yet, or is undone already
            if kept.exists():
                kept.replace(step.place)
            elif not step.stood:
                step.place.replace(self._new(step))

    def _new(self, step: _Step) -> Path:
        return self.path / str(step.number)


def _write(path: Path, content: bytes) -> None:
    with path.open("wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())  # a name may not be on the disk before what it names


def _keep(path: Path, copy: Path) -> None:
    """Keep what stands at a place under another name as well."""
    try:
        copy.hardlink_to(path)
    except OSError:  # another disk, or one that knows no second names
        shutil.copy2(path, copy)
