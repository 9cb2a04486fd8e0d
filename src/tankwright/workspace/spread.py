"""Alike pieces of work spread over the processes of this machine; each is handed back as soon as it is done.

The function must be one of a light module: every process imports it anew.
"""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Generator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from itertools import islice
from multiprocessing import connection, get_context, parent_process
from threading import Thread
from typing import Final, TypeVar

AHEAD: Final = 2
"""Pieces handed out for each process, so that none waits for its next."""
FEW: Final = 3
"""With fewer pieces than this other processes would still be starting when one is done with all."""
DIED: Final = "a process that worked on it ended in the middle"

Piece = TypeVar("Piece")
Done = TypeVar("Done")


@dataclass(frozen=True, slots=True, kw_only=True)
class Failed:
    """A piece that could not be worked out, and why."""

    reason: str


def spread(
    run: Callable[[Piece], Done], pieces: Sequence[Piece], workers: int
) -> Generator[tuple[int, Done | Failed], None, None]:
    """Every piece once, with its place in the sequence, in the order they get done. Close it to stop.

    >>> sorted(spread(abs, (-3, 4), workers=1))
    [(0, 3), (1, 4)]
    """
    if workers < 2 or len(pieces) < FEW:
        for place, piece in enumerate(pieces):
            yield place, _tried(run, piece)
        return
    # spawned, for a process with threads does not bear to be forked
    pool = ProcessPoolExecutor(min(workers, len(pieces)), mp_context=get_context("spawn"), initializer=_start)
    out: dict[Future[Done | Failed], int] = {}
    left = set(range(len(pieces)))
    waiting = iter(range(len(pieces)))

    def hand_out(count: int) -> None:
        for place in islice(waiting, count):
            out[pool.submit(_tried, run, pieces[place])] = place

    try:
        hand_out(AHEAD * workers)
        while out:
            for future in wait(out, return_when=FIRST_COMPLETED).done:
                done = future.result()
                place = out.pop(future)
                left.discard(place)
                yield place, done
                hand_out(1)
    except BrokenProcessPool:
        for place in sorted(left):
            yield place, Failed(reason=DIED)
    finally:
        pool.shutdown(cancel_futures=True)


def _tried(run: Callable[[Piece], Done], piece: Piece) -> Done | Failed:
    try:
        return run(piece)
    except Exception as error:  # whatever it is, the other pieces are still wanted
        return Failed(reason=f"{type(error).__name__}: {error}".rstrip(": "))


def _start() -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the one that hands the work out
    Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    parent = parent_process()
    if parent is not None:
        connection.wait([parent.sentinel])
        os._exit(1)
