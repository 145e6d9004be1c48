"""Questions on their way: asked, followed, stopped, and ended by themselves when they are stale.

There are two lanes, each with a process of its own: what the page asks by itself of a number that
is chosen does not wait for what takes minutes.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import threading
import time
from collections import OrderedDict
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Any

from linkage.bench.telling import Answer, Done, Going, Question

MOST_POLLS = 6
"""At most so many wait for news at once; who asked long ago is told what there is."""
MOST = 30
"""Questions whose answers are kept; and so many may wait."""
STOPPED, STALE, DIED = (
    "Stopped.",
    "The sheet has changed since.",
    "This ended before it was done: there may not be memory enough.",
)


def _help_out(pipe: Connection) -> None:
    from linkage.bench.helper import help_out  # there, not here: the server needs none of it

    help_out(pipe)


@dataclass
class _Job:
    """One question, and how far it is."""

    asked: Question
    done: bool = False
    progress: list[Any] = field(default_factory=lambda: [0, 1, "Waiting"])
    answer: Answer | None = None
    problem: str = ""
    says: dict[str, Any] = field(default_factory=dict)  # the answer for the page
    version: int = 0  # grows with each thing that is heard of it


@dataclass
class _Lane:
    """Questions that wait for one another, and the process that answers them."""

    running: int | None = None
    process: BaseProcess | None = None
    pipe: Connection | None = None


class Jobs:
    """See the module; every method may be called from any thread.

    `finish`: takes a question and its answer, and returns what the page is told of it.
    """

    def __init__(
        self,
        finish: Callable[[Question, Answer], Mapping[str, Any]],
        target: Callable[[Connection], None] = _help_out,
    ) -> None:
        self._finish, self._target = finish, target
        self._lock = threading.Condition(threading.RLock())
        self._jobs: OrderedDict[int, _Job] = OrderedDict()
        self._last = 0
        self._lanes = {quick: _Lane() for quick in (True, False)}
        self._closed = False
        self._waiting = 0

    def ask(self, make: Callable[[int], Question]) -> int:
        """Ask a question, made with the number it gets; return that number."""
        with self._lock:
            self._last += 1
            self._jobs[self._last] = _Job(make(self._last))
            while len(self._jobs) > MOST:
                old = next(iter(self._jobs))
                self.stop(old, STALE)
                del self._jobs[old]
            self._go_on(self._lane_of(self._jobs[self._last]))
            return self._last

    def follow(self, number: int, have: int, wait: float) -> dict[str, Any] | None:
        """Return how far a question is, when that is news; None where there never was such one.

        One that gave way to newer ones is over: a page may still be waiting for it.
        """
        until = time.monotonic() + wait
        with self._lock:
            self._waiting += 1
            mine = self._waiting
            while True:
                job = self._jobs.get(number)
                if job is None:
                    return _given_way(have) if 0 < number <= self._last else None
                left = until - time.monotonic()
                old = self._waiting - mine >= MOST_POLLS
                if job.version > have or job.done or left <= 0 or old or self._closed:
                    return _said(job)
                self._lock.wait(min(left, 1.0))

    def text_of(self, number: int, cure: str, revision: int) -> tuple[str, str] | None:
        """Return the words of a cure and the sheet with it done.

        None where there is none, or it was sought on another sheet: what was typed since would go.
        """
        with self._lock:
            job = self._jobs.get(number)
            if job is None or job.answer is None or job.asked.revision != revision:
                return None
            return job.answer.texts.get(cure)

    def stop(self, number: int, why: str = STOPPED) -> None:
        """Stop a question, if it is not answered yet."""
        with self._lock:
            job = self._jobs.get(number)
            if job is None or job.done:
                return
            self._end(job, why)
            lane = self._lane_of(job)
            if lane.running == number:
                lane.running = None
                _kill(lane)
            self._go_on(lane)

    def drop_stale(self, revision: int, changed: str = "") -> None:
        """Stop all questions about a sheet that is not the newest.

        `changed`: the one number that was changed, if no other was: how far it can go is as it was,
        and so is where the calliper goes.
        """
        with self._lock:
            for number, job in list(self._jobs.items()):
                asked = job.asked
                of_it = asked.what == "window" and asked.given.get("id") == changed
                holds = bool(changed) and (of_it or asked.what == "calliper")
                if asked.revision != revision and not holds:
                    self.stop(number, STALE)

    def close(self) -> None:
        """End the processes."""
        with self._lock:
            self._closed = True
            for lane in self._lanes.values():
                _kill(lane)
            self._lock.notify_all()

    def _lane_of(self, job: _Job) -> _Lane:
        return self._lanes[job.asked.quick]

    def _go_on(self, lane: _Lane) -> None:
        """Have the next question of a lane answered, where none is."""
        if lane.running is not None or self._closed:
            return
        for number, job in self._jobs.items():
            if not job.done and self._lane_of(job) is lane:
                lane.running = number
                if lane.process is None or not lane.process.is_alive():
                    self._begin(lane)
                if lane.pipe is not None:
                    with contextlib.suppress(OSError):  # it died just now: `_listen` says so
                        lane.pipe.send(job.asked)
                return

    def _begin(self, lane: _Lane) -> None:
        context = multiprocessing.get_context("spawn")
        lane.pipe, theirs = context.Pipe()
        lane.process = context.Process(
            target=self._target, args=(theirs,), daemon=True, name="tightspot-helper"
        )
        lane.process.start()
        theirs.close()
        threading.Thread(target=self._listen, args=(lane, lane.pipe), daemon=True).start()

    def _listen(self, lane: _Lane, pipe: Connection) -> None:
        with contextlib.suppress(EOFError, OSError):
            while True:
                self._take(pipe.recv())
        with self._lock:
            # by whom it is read: closed by another, its number may be a new pipe's while it is read
            pipe.close()
            if pipe is not lane.pipe:
                return  # it was ended on purpose
            _kill(lane)
            if lane.running is not None:
                self._end(self._jobs[lane.running], DIED)
                lane.running = None
            self._go_on(lane)

    def _take(self, said: Going | Done) -> None:
        with self._lock:
            job = self._jobs.get(said.number)
            if job is None or job.done:
                return
            match said:
                case Going():
                    job.progress = [said.done, said.of, said.says]
                    job.version += 1
                case Done():
                    lane = self._lane_of(job)
                    lane.running = None
                    self._note(job, said)
                    self._go_on(lane)
            self._lock.notify_all()

    def _note(self, job: _Job, said: Done) -> None:
        if said.answer is None:
            self._end(job, said.problem)
            return
        try:
            job.says = dict(self._finish(job.asked, said.answer))
        except Exception as error:  # a full disk, a folder that is gone
            self._end(job, str(error))
            return
        job.answer = Answer({}, said.answer.texts)
        job.done = True
        job.version += 1

    def _end(self, job: _Job, why: str) -> None:
        job.done, job.problem = True, why
        job.version += 1
        self._lock.notify_all()


def _kill(lane: _Lane) -> None:
    if lane.process is not None:
        lane.process.kill()  # `_listen` sees the end of its pipe, and closes it
        lane.process.join(2.0)
    lane.process = lane.pipe = None


def _given_way(have: int) -> dict[str, Any]:
    """Return what is told of a question whose place newer ones have taken, for the page."""
    return {"done": True, "progress": [1, 1, ""], "version": have + 1, "revision": -1,
            "problem": STALE, "stale": True}  # fmt: skip


def _said(job: _Job) -> dict[str, Any]:
    """Return how far a question is, for the page."""
    found: dict[str, Any] = {"done": job.done, "progress": job.progress, "version": job.version,
                             "revision": job.asked.revision}  # fmt: skip
    if job.problem:
        found["problem"] = job.problem
        found["stale"] = job.problem == STALE
    elif job.done:
        found["answer"] = job.says
    return found
