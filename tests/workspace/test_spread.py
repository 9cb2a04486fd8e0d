"""Pieces of work over processes: each once, what fails told, nothing lost, stopped when its reader stops."""

from __future__ import annotations

import math
import os
from contextlib import closing

from tankwright.workspace.spread import DIED, Failed, spread


def test_every_piece_comes_once_in_one_process_and_in_two() -> None:
    pieces = tuple(float(one) for one in range(7))
    for workers in (1, 2):
        assert dict(spread(math.sqrt, pieces, workers)) == {
            at: math.sqrt(one) for at, one in enumerate(pieces)
        }


def test_a_piece_that_fails_is_told_and_the_others_are_done() -> None:
    for workers in (1, 2):
        done = dict(spread(math.sqrt, (1.0, -1.0, 9.0, 16.0), workers))
        assert done == {0: 1.0, 1: Failed(reason="ValueError: math domain error"), 2: 3.0, 3: 4.0}


def test_few_pieces_start_no_process() -> None:
    seen = dict(spread(lambda _: os.getpid(), (0, 0), 8))
    assert set(seen.values()) == {os.getpid()}


def test_a_process_that_dies_is_told_and_no_piece_is_lost() -> None:
    assert dict(spread(os._exit, (1, 1, 1, 1, 1), 2)) == dict.fromkeys(range(5), Failed(reason=DIED))


def test_a_reader_that_goes_leaves_no_work_behind() -> None:
    with closing(spread(math.sqrt, tuple(float(one) for one in range(400)), 2)) as news:
        place, done = next(news)
        assert done == math.sqrt(place)
    assert list(news) == []
