"""Slow work beside the edits: shows how far it is, can be cancelled, and steps aside while an edit is worked out.

A job is asked for by its kind and the number of the revision it is about; asked twice, it is one job. It lives in the
server, so a page that is loaded again finds it as far as it has come.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import partial
from threading import Condition, Event, Thread
from typing import Final, Literal, Protocol

from tankwright.workspace.arrange_work import worked_out_arrangements
from tankwright.workspace.bringing.work import looked_at, taken_in
from tankwright.workspace.fault_work import worked_out_faults
from tankwright.workspace.glass_work import worked_out_glass, worked_out_maps, worked_out_panes
from tankwright.workspace.opened import Opened
from tankwright.workspace.parts_work import worked_out_parts
from tankwright.workspace.proof_work import worked_out_fit, worked_out_points
from tankwright.workspace.years import worked_out_year

State = Literal["waiting", "running", "done", "cancelled", "failed"]
Progress = Callable[[int, int], None]
Work = Callable[[Opened, Progress], object]
WorkOfOne = Callable[[Opened, str, Progress], object]
KINDS: Final[Mapping[str, Work]] = {
    "assumptions": lambda opened, progress: opened.consequences(progress),
    "year": worked_out_year,
    "faults": worked_out_faults,
    "parts": worked_out_parts,
    "proof": worked_out_points,
    "fit": worked_out_fit,
    "glass": worked_out_glass,
    "arrange": worked_out_arrangements,
}
OF_ONE: Final[Mapping[str, WorkOfOne]] = {
    "glass": worked_out_panes, "hole_map": worked_out_maps, "look": looked_at, "take": taken_in,
}  # fmt: skip
"""Work on one thing alone, asked for as "hole_map:long90": the maps of one kind of tank; "look" and "take" are of a
table that was sent to be brought into the logbook."""
FILES_TOO: Final = frozenset({"parts", "fit", "arrange", "glass", "hole_map", "paper"})
"""Kinds that rest on files beside the plan, or the logbook, too: done for a revision, they may be asked for again."""
REVISIONS_KEPT: Final = 3
LONGEST_THING: Final = 200
ONES_KEPT: Final = 24
"""Jobs on single things that are kept, over all things and revisions."""
_LONGEST_ASIDE: Final = 2.0  # seconds: edits that never end must not stop the work for good
_LOG: Final = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """A job at one moment. `result` is there when it is done; `done` of `of` trials are behind it."""

    id: str
    kind: str
    number: int
    done: int = 0
    of: int = 0
    state: State = "waiting"
    result: object = None


class Plans(Protocol):
    """Where the jobs get their plans from, and how they know that an edit is on its way: the live plan."""

    @property
    def idle(self) -> Event: ...
    def opened_at(self, number: int) -> Opened | None:
        """A revision worked out."""


class _CancelledError(Exception):
    pass


@dataclass(slots=True, kw_only=True)
class _Running:
    id: str
    kind: str
    number: int
    done: int = 0
    of: int = 0
    state: State = "waiting"
    result: object = None
    unwanted: bool = False
    order: int = field(default=0)


class Jobs:
    """The jobs of one plan, one after the other on a thread of their own, which starts with the first."""

    def __init__(
        self, plans: Plans, kinds: Mapping[str, Work] = KINDS, of_one: Mapping[str, WorkOfOne] = OF_ONE
    ) -> None:
        self._plans = plans
        self._kinds = kinds
        self._of_one = of_one
        self._jobs: dict[str, _Running] = {}
        self._changed = Condition()
        self._thread: Thread | None = None
        self._closed = False
        self._asked = 0

    def start(self, kind: str, number: int) -> Job:
        """Have that work done on that revision; the job there is, when it was asked for before.

        What was cancelled or failed starts again, and so does what rests on files too. KeyError for a kind there is
        none of.
        """
        self._work(kind)
        name = f"{kind}-{number}"
        with self._changed:
            job = self._jobs.get(name)
            over = {"cancelled", "failed"} | ({"done"} if kind.partition(":")[0] in FILES_TOO else set())
            if job is None or job.state in over or job.unwanted:
                self._asked += 1
                job = _Running(id=name, kind=kind, number=number, order=self._asked)
                if self._closed:
                    job.state = "cancelled"
                self._jobs[name] = job
                self._forget()
                self._wake()
            return _seen(job)

    def get(self, name: str) -> Job | None:
        """The job of that id, as far as it is."""
        with self._changed:
            job = self._jobs.get(name)
            return None if job is None else _seen(job)

    def list(self) -> tuple[Job, ...]:
        """All jobs, the one asked for last first."""
        with self._changed:
            return tuple(_seen(job) for job in sorted(self._jobs.values(), key=lambda one: -one.order))

    def cancel(self, name: str) -> Job | None:
        """End a job that is not done; None when there is none of that id. It stops at its next trial."""
        with self._changed:
            job = self._jobs.get(name)
            if job is None:
                return None
            _drop(job)
            self._changed.notify_all()
            return _seen(job)

    def wait(self, name: str, timeout: float) -> Job | None:
        """The job once it is at its end, or as far as it is after so many seconds."""
        with self._changed:
            self._changed.wait_for(lambda: self._at_end(name), timeout)
        return self.get(name)

    def close(self) -> None:
        """End all, for good."""
        with self._changed:
            self._closed = True
            for job in self._jobs.values():
                _drop(job)
            self._changed.notify_all()
            thread = self._thread
        if thread is not None:
            thread.join(timeout=2.0)

    def _at_end(self, name: str) -> bool:
        job = self._jobs.get(name)
        return job is None or job.state in ("done", "cancelled", "failed")

    def _wake(self) -> None:
        if self._thread is None and not self._closed:
            self._thread = Thread(target=self._run, name="slow work", daemon=True)
            self._thread.start()
        self._changed.notify_all()

    def _work(self, kind: str) -> Work:
        """What is done for a kind; KeyError for none."""
        if kind in self._kinds:
            return self._kinds[kind]
        of_one, _, thing = kind.partition(":")
        if not thing or len(thing) > LONGEST_THING:
            raise KeyError(kind)
        return partial(_of_one, self._of_one[of_one], thing)

    def _forget(self) -> None:
        """Keep the jobs of the newest few revisions of each kind; what is dropped while it runs is cancelled."""
        newest = sorted(self._jobs.values(), key=lambda one: -one.order)
        kept: dict[str, int] = {}
        for job in newest:
            known = job.kind in self._kinds
            group, most = (job.kind, REVISIONS_KEPT) if known else ("", ONES_KEPT)
            kept[group] = kept.get(group, 0) + 1
            if kept[group] > most:
                _drop(job)
                del self._jobs[job.id]

    def _run(self) -> None:
        while True:
            with self._changed:
                self._changed.wait_for(lambda: self._closed or self._next() is not None)
                job = self._next()
                if self._closed or job is None:
                    return
                job.state = "running"
            self._do(job)

    def _next(self) -> _Running | None:
        waiting = [job for job in self._jobs.values() if job.state == "waiting"]
        return max(waiting, key=lambda one: one.order, default=None)  # the newest is what someone looks at

    def _do(self, job: _Running) -> None:
        state: State = "done"
        result: object = None
        try:
            opened = self._plans.opened_at(job.number)
            if opened is None:
                state = "failed"
            else:
                result = self._work(job.kind)(opened, lambda done, of: self._progress(job, done, of))
        except _CancelledError:
            state = "cancelled"
        except Exception:
            _LOG.exception("slow work failed")
            state = "failed"
        with self._changed:
            if state == "done":
                job.done = job.of
            job.state, job.result = state, result
            self._changed.notify_all()

    def _progress(self, job: _Running, done: int, of: int) -> None:
        with self._changed:
            job.done, job.of = done, of
            self._changed.notify_all()
            if job.unwanted:
                raise _CancelledError
        self._plans.idle.wait(_LONGEST_ASIDE)
        if job.unwanted:
            raise _CancelledError


def _of_one(work: WorkOfOne, thing: str, opened: Opened, progress: Progress) -> object:
    return work(opened, thing, progress)


def _drop(job: _Running) -> None:
    if job.state == "waiting":
        job.state = "cancelled"
    elif job.state == "running":
        job.unwanted = True


def _seen(job: _Running) -> Job:
    return Job(
        id=job.id, kind=job.kind, number=job.number, done=job.done, of=job.of,
        state="cancelled" if job.unwanted and job.state == "running" else job.state, result=job.result,
    )  # fmt: skip
