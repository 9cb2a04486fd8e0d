"""Every fault of a room worked out, by as many hands as there are, in an order that does not hang on them.

    swept = sweep(study, faults, outcome_of, crew=processes(2), done=known, keep=store.keep, progress=told)

Each fault is worked out by itself from the healthy study, so whoever works it out finds the same. A crew yields what
it is done with, in whatever order; `sweep` puts it into the order of the faults. One that cannot be worked out is told
as failed and stops no other. Raising out of `progress` stops the sweep; what `keep` was given by then is whole.
"""

from __future__ import annotations

import os
import pickle
import signal
from collections.abc import Callable, Generator, Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import closing
from dataclasses import dataclass
from functools import cache
from itertools import islice
from multiprocessing import connection, get_context, parent_process
from threading import Thread
from typing import Final

from tankwright.faults.model import Fault, Outcome, Tried
from tankwright.study import Study

AHEAD: Final = 3
"""Faults handed out for each process, so that none waits for its next and few are given up when one dies."""

FEW: Final = 8
"""With fewer faults than this, other processes would still be starting when one is done with all."""

DIED: Final = "the process that worked it out ended in the middle, twice"

Found = Outcome | tuple[Tried, ...]
"""What is found of one fault: what it comes to, or what was tried against it."""

RunOne = Callable[[Study, Fault], Found]
"""Works one fault out. For more than one process it must be a function of a module, or a `partial` of one."""

Progress = Callable[[int, int], None]
"""Told how many faults of how many are done."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Failed:
    """A fault that could not be worked out, and why."""

    fault: str
    reason: str


Row = Found | Failed
News = Generator[tuple[int, Row], None, None]
Crew = Callable[[Study, Sequence[Fault], RunOne], News]
"""Works faults out and yields each once, with its place in the sequence, in the order they get done."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Swept:
    """What came of all faults, in their order; `failed` are those that could not be worked out, with the reason."""

    outcomes: tuple[Outcome, ...]
    failed: tuple[tuple[str, str], ...] = ()


def sweep(
    study: Study,
    faults: Sequence[Fault],
    run_one: RunOne,
    *,
    crew: Crew | None = None,
    done: Mapping[str, Outcome] | None = None,
    keep: Callable[[Outcome], None] | None = None,
    progress: Progress | None = None,
) -> Swept:
    """Work out the faults that are not `done` yet; `keep` is handed each outcome as soon as there is one."""
    rows: dict[int, Row] = {}
    for index, fault in enumerate(faults):
        if done is not None and fault.name in done:
            rows[index] = done[fault.name]
    places = [index for index in range(len(faults)) if index not in rows]
    if progress is not None:
        progress(len(rows), len(faults))
    with closing(_begun(crew or one_core, study, [faults[index] for index in places], run_one)) as news:
        for index, row in news:
            rows[places[index]] = row
            if keep is not None and isinstance(row, Outcome):
                keep(row)
            if progress is not None:
                progress(len(rows), len(faults))
    told = [rows[index] for index in range(len(faults))]
    return Swept(
        outcomes=tuple(one for one in told if isinstance(one, Outcome)),
        failed=tuple((one.fault, one.reason) for one in told if isinstance(one, Failed)),
    )


def _begun(crew: Crew, study: Study, faults: Sequence[Fault], run_one: RunOne) -> News:
    if faults:
        yield from crew(study, faults, run_one)


def tried(study: Study, fault: Fault, run_one: RunOne) -> Row:
    """One fault worked out, or why it could not be."""
    try:
        return run_one(study, fault)
    except Exception as error:  # whatever it is, the other faults are still wanted
        return Failed(fault=fault.name, reason=f"{type(error).__name__}: {error}".rstrip(": "))


# --- crews ------------------------------------------------------------------------------------------------------


def one_core(study: Study, faults: Sequence[Fault], run_one: RunOne) -> News:
    """A crew of this very process: one after the other."""
    for index, fault in enumerate(faults):
        yield index, tried(study, fault, run_one)


def processes(workers: int) -> Crew:
    """A crew of that many processes of this machine. The study is sent to each once, when it starts."""

    def run(study: Study, faults: Sequence[Fault], run_one: RunOne) -> News:
        if workers < 2 or len(faults) < FEW:
            yield from one_core(study, faults, run_one)
            return
        sent = pickle.dumps((study, run_one), pickle.HIGHEST_PROTOCOL)
        left = dict(enumerate(faults))
        while left:
            out: dict[Future[Row], int] = {}
            try:
                yield from _worked(sent, left, out, workers, AHEAD * workers)
            except BrokenProcessPool:
                yield from _one_by_one(sent, {index: left.pop(index) for index in _doubted(left, out)})

    return run


def _one_by_one(sent: bytes, left: dict[int, Fault]) -> News:
    """Faults of which one ended its process. The one that does it again is told as failed."""
    while left:
        out: dict[Future[Row], int] = {}
        try:
            yield from _worked(sent, left, out, 1, 1)
        except BrokenProcessPool:
            for index in _doubted(left, out):
                yield index, Failed(fault=left.pop(index).name, reason=DIED)


def _doubted(left: dict[int, Fault], out: dict[Future[Row], int]) -> list[int]:
    return sorted(out.values()) or [next(iter(left))]


def _worked(
    sent: bytes, left: dict[int, Fault], out: dict[Future[Row], int], workers: int, ahead: int
) -> News:
    """Take from `left` what is done. `out` are those handed out: when a process dies, one of them was in it."""
    # spawned, for a process with threads does not bear to be forked
    pool = ProcessPoolExecutor(
        min(workers, len(left)), mp_context=get_context("spawn"), initializer=_start, initargs=(sent,)
    )
    waiting = iter(tuple(left))

    def hand_out(count: int) -> None:
        for index in islice(waiting, count):
            out[pool.submit(_one, left[index])] = index

    try:
        hand_out(ahead)
        while out:
            for future in wait(out, return_when=FIRST_COMPLETED).done:
                row = future.result()
                index = out.pop(future)
                del left[index]
                yield index, row
                hand_out(1)
    finally:
        pool.shutdown(cancel_futures=True)


# --- in a process of the crew -----------------------------------------------------------------------------------

_SENT: Final[list[bytes]] = []


def _start(sent: bytes) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the one that hands the work out
    Thread(target=_end_with_parent, daemon=True).start()
    _SENT.append(sent)  # unpacked with the first fault: what goes wrong there is told, and breaks no pool


def _end_with_parent() -> None:
    parent = parent_process()
    if parent is not None:
        connection.wait([parent.sentinel])
        os._exit(1)


@cache
def _unpacked() -> tuple[Study, RunOne]:
    study, run_one = pickle.loads(_SENT[0])
    return study, run_one


def _one(fault: Fault) -> Row:
    study, run_one = _unpacked()
    return tried(study, fault, run_one)
