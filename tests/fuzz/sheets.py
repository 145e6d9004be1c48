"""Ready sheets with slips, seeded: what may become of one, and whether it did."""

from __future__ import annotations

import contextlib
import json
import random
import re
import resource
import signal
import time
import traceback
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from linkage.advice import Advice, search_cures
from linkage.advice.patience import time_left
from linkage.errors import LinkageError, SheetError
from linkage.examine import Examination, examine
from linkage.report.data import check_data
from linkage.report.document import check_blocks
from linkage.report.terminal import set_blocks
from linkage.sheet import sheet_in
from linkage.sheet.ready import ready_sheets

EXAMINED = 0.05
"""Share of the sheets that can be read that are examined as well, and what is found said."""
ADVISED = 0.2  # share of those for which cures are looked for
PATIENCE = 4.0  # for cures [s]
# of CPU, to examine a sheet, and as much to advise on it; the dearest of 73 examined took 8.4, a
# whole Pacific with two faults in every place of its reverser
SECONDS = 10
MEMORY = 2**20  # that one sheet may take beside what the process holds already [KiB]

_NUMBER = re.compile(r"(?<![\w.\"])-?\d+(?:\.\d+)?(?![\w.\"])")
_VALUE = re.compile(r"= *[^#\n]+")
_SAYS_WHERE = re.compile(r"cannot be read|deep$|\b[a-z]+_[a-z]+\b|\b[a-z]+\.[a-z]+\b")
"""Of what is wrong with a file, or with a whole sheet: that its text has a key in it."""
_WORD = re.compile(r"[A-Za-z_]{3,}")
HOSTILE = (
    "0", "-0.0", "-1", "1e-300", "1e-7", "1e7", "1e308", "-1e308", "inf", "-inf", "nan", "true",
    "1" + "0" * 309, "9" * 4400, '"1/0 in"', '"3/32 in"', '"about 4.33"', '"to be 4.33"',
    '"' + "9" * 400 + '/7"', '"4,33"', '""', '"\\u0000"', '"\\u001b[2J"', '"[/]"', "[]", "[[]]",
    "{}", "{ value = 1 }", "{ value = { value = 1 } }", '{ value = "about 1", measured_to = -1 }',
    "1979-05-27", "07:32:00", "[" * 60 + "]" * 60, "4,33", "4.3 mm", "[1, 2, 3]", '["a", 1]',
    "{ outside_to_outside = 9, ends = [1, 1] }", '"frames"', '"12 deg"', "0x10", "1_000",
)  # fmt: skip
LETTERS = "\x00\x1b\u0085\u202e\ufeff\U0001f600[]{}=\"'#,.\\\n\r\té中"


@dataclass(frozen=True)
class Found:
    """What became of one sheet."""

    kind: str  # refused, read, examined, advised, or fault
    fault: str = ""


@lru_cache
def _texts() -> tuple[str, ...]:
    return tuple(path.read_text(encoding="utf-8") for path in ready_sheets().values())


def _other_value(rng: random.Random, text: str) -> str:
    return _put(rng, text, _VALUE, lambda _: f"= {rng.choice(HOSTILE)}")


def _hostile_number(rng: random.Random, text: str) -> str:
    return _put(rng, text, _NUMBER, lambda _: rng.choice(HOSTILE))


def _near_number(rng: random.Random, text: str) -> str:
    return _put(rng, text, _NUMBER, lambda was: f"{float(was) * rng.uniform(0.5, 2):.3f}")


def _far_number(rng: random.Random, text: str) -> str:
    return _put(rng, text, _NUMBER, lambda was: f"{float(was) * 10 ** rng.uniform(-9, 9):.9f}")


def _sign(rng: random.Random, text: str) -> str:
    return _put(rng, text, _NUMBER, lambda was: was[1:] if was.startswith("-") else f"-{was}")


def _misspelt(rng: random.Random, text: str) -> str:
    return _put(rng, text, _WORD, lambda was: was[:1] + was[2:] + was[1])


def _swapped_word(rng: random.Random, text: str) -> str:
    return _put(rng, text, _WORD, lambda _: rng.choice(_WORD.findall(text)))


def _letter(rng: random.Random, text: str) -> str:
    at = rng.randrange(len(text))
    return text[:at] + rng.choice(LETTERS) + text[at + rng.randrange(2) :]


def _line(rng: random.Random, text: str) -> str:
    lines = text.split("\n")
    at, to = rng.randrange(len(lines)), rng.randrange(len(lines))
    line = lines[at] if rng.random() < 0.5 else lines.pop(at)
    if rng.random() < 0.6:
        lines.insert(to, line)
    return "\n".join(lines)


def _cut(rng: random.Random, text: str) -> str:
    return text[: rng.randrange(len(text))]


def _table(rng: random.Random, text: str) -> str:
    tables = re.split(r"(?m)^(?=\[)", text)
    at = rng.randrange(len(tables))
    other = rng.choice(rng.choice(_texts()).split("\n["))
    tables[at : at + 1] = rng.choice(([], [tables[at]] * 2, [tables[at], f"[{other}\n"]))
    return "".join(tables)


WAYS: tuple[Callable[[random.Random, str], str], ...] = (
    _other_value, _hostile_number, _near_number, _near_number, _far_number, _sign, _misspelt,
    _swapped_word, _letter, _line, _cut, _table,
)  # fmt: skip


def _put(rng: random.Random, text: str, what: re.Pattern[str], new: Callable[[str], str]) -> str:
    places = list(what.finditer(text))
    if not places:
        return text
    place = rng.choice(places)
    return text[: place.start()] + new(place[0]) + text[place.end() :]


def mutated(seed: int) -> str:
    """Return a ready sheet with one to four slips; the same for the same seed."""
    rng = random.Random(seed)
    text = rng.choice(_texts())
    for _ in range(rng.randint(1, 4)):
        text = rng.choice(WAYS)(rng, text) or "\n"
    return text


def _too_long(*_: object) -> None:
    raise TimeoutError(f"over {SECONDS} s of CPU")


@contextlib.contextmanager
def _in_time() -> Iterator[None]:
    """Break off what takes too long, or say so after it has caught that itself."""
    before = signal.signal(signal.SIGPROF, _too_long)
    signal.setitimer(signal.ITIMER_PROF, SECONDS)
    start = time.process_time()
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)
    if time.process_time() - start > SECONDS:
        _too_long()


def trial(seed: int, examined: float = EXAMINED) -> Found:
    """Read one mutated sheet, examine some, and say what is wrong with what became of it."""
    text, rng = mutated(seed), random.Random(-1 - seed)
    held, most = _held(), _most_held()
    try:
        found = _tried(text, rng.random() < examined, rng.random() < ADVISED)
    except Exception as error:  # whatever is none of ours is a fault
        frame = traceback.extract_tb(error.__traceback__)[-1]
        where = f"{frame.filename.rpartition('/')[2]} line {frame.lineno}"
        found = Found("fault", f"{type(error).__name__} in {where}: {str(error)[:200]}")
    # the most is of the whole life of a process: only one that is new is this sheet's
    if most < _most_held() > held + MEMORY and not found.fault:
        found = Found("fault", "over 1 GiB")
    return found


def _held() -> int:
    """Return what memory this process has in use [KiB]; 0 where the system does not say."""
    said = Path("/proc/self/statm")
    pages = int(said.read_text().split()[1]) if said.exists() else 0
    return pages * resource.getpagesize() // 1024


def _most_held() -> int:
    """Return what memory this process has had in use at the most [KiB]."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss


def _tried(text: str, examined: bool, advised: bool) -> Found:
    try:
        with _in_time():
            sheet = sheet_in(text, "engine.toml")
            if not examined:
                return Found("read")
            examination = examine(sheet)
            _say(examination, tuple(Advice(spot) for spot in examination.spots))
        if not advised:
            return Found("examined")
        with _in_time():
            left = time_left(PATIENCE, time.monotonic())
            _say(examination, tuple(search_cures(examination, left)))
    except SheetError as error:
        return _refused(error)
    except LinkageError as error:  # of the whole mechanism: says the sheet and the parts
        named = str(error).startswith("engine.toml")
        return Found("refused") if named else Found("fault", f"names no sheet: {error}")
    return Found("advised")


def _say(examination: Examination, advice: tuple[Advice, ...]) -> None:
    """Say what was found, in words and as JSON; what JSON has no word for is an error."""
    tuple(set_blocks(check_blocks(examination, advice, everything=True)))
    json.dumps(check_data(examination, advice), allow_nan=False)


def _refused(error: SheetError) -> Found:
    """Tell whether a refusal says where: a key, or a line that cannot be read."""
    for problem in error.problems:
        if not (problem.key or _SAYS_WHERE.search(problem.wrong)):
            return Found("fault", f"names no key: {problem}")
        if len(str(problem)) > 1000:
            return Found("fault", f"{len(str(problem))} letters: {str(problem)[:100]}")
    return Found("refused")
