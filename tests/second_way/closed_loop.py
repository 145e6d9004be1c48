"""The closed loop: engines broken at random, and the advice of `check` done until they are free.

The sheet is measured, with errors, and what is advised by it is done to the engine as it really
is, which is examined whole at the end. Where the sheet is then said to be free, the engine either
is, or `check` had said that this may not be so: the chances said are set against what is true.

``python -m tests.second_way.closed_loop --seeds 0:500 --jobs 2`` prints the table. Times are those
of the processor, so that other work on the machine does not count: of a whole `check`, how sure it
is too, but for starting Python and importing.
"""

from __future__ import annotations

import argparse
import signal
import sys
import time
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from multiprocessing import Pool

from linkage.advice import Advice, search_cures
from linkage.advice.applying import Applied, apply_advice
from linkage.advice.cure import Ease, File, changes_of
from linkage.advice.patience import PATIENCE, time_left
from linkage.certainty import how_sure
from linkage.errors import LinkageError
from linkage.examine import Examination, examine
from linkage.sheet import Sheet, rewrite, sheet_in
from linkage.sheet.refitting import refit, rewrite_refitted
from linkage.tightspots import PlayUsedUp, TightSpot
from tests.second_way.broken import Broken, broken_engine

MORE = 2  # rounds more than faults after which it is called endless
LONG = 10.0  # a call should not take longer [s]
SURE = 0.05  # a chance below this is said to be none [1]
ENDLESS = 150  # after so long an engine is given up [s]
OUTCOMES = ("freed", "freed late", "no cure", "round and round", "broke off", "no end in time")


@dataclass(frozen=True)
class Followed:
    """What came of following the advice on one engine."""

    broken: Broken
    outcome: str  # one of `OUTCOMES`
    rounds: int  # how often cures were done
    longest: float  # call, whole [s]
    misled: tuple[str, ...]  # cures that did not do what they say
    irreversible: tuple[str, ...]  # cures first in their list that cannot be undone
    left: tuple[str, ...]  # what was still wrong at the end, and what was said of it
    doubt: float  # the chance, as said at the end, that something is wrong all the same [1]
    wrong: tuple[str, ...]  # what is wrong with the engine as it is, its sheet being free

    @property
    def wrongly_sure(self) -> bool:
        """Whether an engine was said to be free for sure, and is not."""
        return bool(self.wrong) and self.doubt < SURE


class _GivenUpError(Exception):
    pass


def read(text: str) -> Sheet:
    """Return the sheet that a text holds as `check` reads it: what is assumed stays where it is."""
    return sheet_in(text, "engine.toml", ask=False)


def follow_advice(broken: Broken) -> Followed:
    """Do the first cure of every spot, examine again, until it is free or there is none."""
    text, truth, rounds, longest = broken.text, broken.truth, 0, 0.0
    misled: list[str] = []
    drastic: list[str] = []
    left: tuple[str, ...] = ()
    start = time.process_time()
    examination = examine(read(text))
    while True:
        how_sure(examination)  # `check` says it before it looks for cures
        longest = max(longest, time.process_time() - start)
        if examination.free:
            late = rounds > len(broken.faults)
            outcome = "freed late" if late else "freed"
            break
        if rounds == len(broken.faults) + MORE:
            outcome = "round and round"
            left = tuple(_named(spot) for spot in examination.spots)
            break
        left_to_it = time_left(PATIENCE, start, time.process_time)
        advice = tuple(search_cures(examination, left_to_it))
        longest = max(longest, time.process_time() - start)
        left = tuple(_told(item) for item in advice)
        drastic += _irreversible(advice)
        try:
            applied = apply_advice(examination, advice, text)
            truth = _done(truth, applied)
        except LinkageError:
            outcome = "no cure"
            break
        begun = time.process_time()
        try:
            after = examine(read(applied.text))
        except LinkageError as error:
            outcome, left = "broke off", (f"{error}: {applied.changes}",)
            break
        took = time.process_time() - begun
        misled += _misled(examination, advice, after, text)
        text, rounds, examination = applied.text, rounds + 1, after
        start = time.process_time() - took
    doubt, wrong = _as_it_is(examination, truth) if examination.free else (1.0, ())
    return Followed(
        broken, outcome, rounds, longest, tuple(misled), tuple(drastic), left, doubt, wrong
    )


def _done(truth: str, applied: Applied) -> str:
    """Return the engine as it really is with what was advised done to it."""
    sheet = read(truth)
    if applied.refits:
        truth = rewrite_refitted(sheet, truth, applied.refits)
        sheet = refit(sheet, applied.refits)
    return rewrite(sheet, truth, dict(applied.changes))


def _as_it_is(examination: Examination, truth: str) -> tuple[float, tuple[str, ...]]:
    """Return the chance, as said, that something is wrong, and what is wrong with the engine."""
    doubt = how_sure(examination).whole.chance
    try:
        spots = examine(read(truth)).spots
    except LinkageError as error:
        return doubt, (str(error),)
    return doubt, tuple(_named(spot) for spot in spots)


def _named(spot: TightSpot) -> str:
    return f"{type(spot).__name__} {spot.side} {', '.join(spot.parts)}"


def _told(item: Advice) -> str:
    cures = [type(tried.cure).__name__ for tried in item.cures]
    return f"{_named(item.spot)}: {', '.join(cures) or '-'}"


def _irreversible(advice: Iterable[Advice]) -> Iterator[str]:
    for item in advice:
        done = [t.cure for t in item.cures if changes_of(t.cure)] or [t.cure for t in item.cures]
        if done and isinstance(done[0], File | Ease):
            yield f"{_named(item.spot)}: {type(done[0]).__name__}"


def _misled(
    before: Examination, advice: Iterable[Advice], after: Examination, text: str
) -> Iterator[str]:
    """Yield cures after which their own spot is still there, done alone too."""
    there = {_what(spot) for spot in after.spots}
    seen = set()
    for item in advice:
        what = _what(item.spot)
        first = next((t.cure for t in item.cures if changes_of(t.cure)), None)
        if first is None or what not in there or what in seen:
            continue
        seen.add(what)
        try:
            alone = examine(read(rewrite(before.sheet, text, dict(changes_of(first)))))
        except LinkageError as error:
            yield f"{_named(item.spot)}: {changes_of(first)}: {error}"
            continue
        if what in {_what(spot) for spot in alone.spots}:
            yield f"{_named(item.spot)}: {changes_of(first)}"


def _what(spot: TightSpot) -> object:
    """Return what a spot is: its kind, side and parts; all of the play is one."""
    return PlayUsedUp if isinstance(spot, PlayUsedUp) else (spot.side, spot.fault)


def follow_seed(seed: int) -> Followed | None:
    """Break the engine of a seed and follow the advice; None where it is free as it is."""

    def stop(*_: object) -> None:
        raise _GivenUpError

    try:
        broken = broken_engine(seed)
    except Exception as error:
        sys.stderr.write(f"{seed} cannot be broken: {error!r}\n")
        return None
    if broken is None:
        return None
    signal.signal(signal.SIGPROF, stop)
    signal.setitimer(signal.ITIMER_PROF, ENDLESS)
    try:
        return follow_advice(broken)
    except _GivenUpError:
        return Followed(broken, "no end in time", 0, ENDLESS, (), (), (), 1.0, ())
    except Exception as error:  # a bug is counted, and the table still comes
        return Followed(broken, "broke off", 0, 0.0, (), (), (repr(error),), 1.0, ())
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)


def table(every: list[Followed]) -> str:
    """Return the table of what came of it, by how many faults."""
    lines = [f"{'faults':>17s}" + "".join(f"{count:>7d}" for count in (1, 2, 3)) + "    all"]

    def row(name: str, chosen: list[Followed]) -> None:
        counts = Counter(len(one.broken.faults) for one in chosen)
        shares = "".join(f"{counts[k]:>7d}" for k in (1, 2, 3))
        lines.append(f"{name:>17s}{shares}{len(chosen):>7d}")

    row("engines", every)
    for outcome in OUTCOMES:
        row(outcome, [one for one in every if one.outcome == outcome])
    row("misled", [one for one in every if one.misled])
    row("irreversible", [one for one in every if one.irreversible])
    row("surely free, not", [one for one in every if one.wrongly_sure])
    row(f"a call over {LONG:.0f} s", [one for one in every if one.longest > LONG])
    freed = sum(one.outcome == "freed" for one in every)
    share = 100 * freed / len(every) if every else 0.0
    longest = max((one.longest for one in every), default=0.0)
    lines.append(
        f"freed in no more rounds than faults: {share:.1f} %; longest call {longest:.1f} s"
    )
    ended = [one for one in every if one.doubt < 1.0]
    lines.append(
        f"of {len(ended)} said to be free, something wrong: {sum(o.doubt for o in ended):.1f} "
        f"expected by what was said, {sum(bool(o.wrong) for o in ended)} true"
    )
    return "\n".join(lines)


def said(one: Followed) -> str:
    """Return all that is to be known of one engine, on a few lines."""
    broken = one.broken
    lines = [
        f"{broken.seed}: {broken.engine}{', rough' if broken.rough else ''}: {one.outcome} after "
        f"{one.rounds} of {len(broken.faults)}, {one.longest:.1f} s, "
        f"{100 * one.doubt:.0f} % in doubt"
    ]
    lines += [f"    fault {fault}" for fault in broken.faults]
    for name, held in (
        ("misled", one.misled),
        ("drastic", one.irreversible),
        ("left", one.left),
        ("wrong", one.wrong),
    ):
        lines += [f"    {name} {text}" for text in dict.fromkeys(held)]
    return "\n".join(lines)


def main() -> None:
    """Run the loop over some seeds and print what came of it."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", default="0:500", help="from:to")
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--all", action="store_true", help="tell of the freed ones too")
    asked = parser.parse_args()
    first, last = (int(part) for part in asked.seeds.split(":"))
    every: list[Followed] = []
    with Pool(asked.jobs) as pool:
        for one in pool.imap(follow_seed, range(first, last)):
            if one is None:
                continue
            every.append(one)
            plain = one.outcome == "freed" and not one.misled and not one.irreversible
            plain &= not one.wrongly_sure
            if asked.all or not plain or one.longest > LONG:
                sys.stdout.write(said(one) + "\n")
                sys.stdout.flush()
    sys.stdout.write(table(every) + "\n")


if __name__ == "__main__":
    main()
