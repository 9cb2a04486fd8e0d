"""The same hole at many places."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from tests.plates.panes import GLASS, drilled

from tankwright.plates.places import ANYWHERE, AT_RIM, TOP_EDGE, worst_over_places
from tankwright.plates.solver import COARSE, FULL, solve_plate

PLACES = [(0.3, 0.335), (0.06, 0.335), (0.3, 0.37), (0.1, 0.1), (0.9, 0.1)]


def test_each_place_is_what_the_solver_says_of_it_alone() -> None:
    worst = worst_over_places(GLASS, 0.035, PLACES)
    assert worst.shape == (5, 3)
    for row, (x, y) in zip(worst, PLACES, strict=True):
        solution = solve_plate(drilled(GLASS, (x, y, 0.035)), fineness=COARSE)
        if solution.status == "solved":
            assert row[ANYWHERE] == solution.worst
            assert row[AT_RIM] == solution.holes[0].stress
            assert row[TOP_EDGE] == solution.top_edge
        else:
            assert np.isnan(row).all()
    assert np.isnan(worst[:, ANYWHERE]).tolist() == [False, False, True, False, True]


def test_a_map_in_pieces_is_the_map() -> None:
    whole = worst_over_places(GLASS, 0.035, PLACES)
    pieces = [worst_over_places(GLASS, 0.035, piece) for piece in (PLACES[:2], PLACES[2:], [])]
    assert np.array_equal(np.concatenate(pieces), whole, equal_nan=True)


def test_holes_the_pane_has_stay_in_it() -> None:
    pane = drilled(GLASS, (0.3, 0.335, 0.035))
    both, alone = (
        worst_over_places(pane, 0.03, [(0.1, 0.1), (0.3, 0.32)]),
        worst_over_places(GLASS, 0.03, [(0.1, 0.1)]),
    )
    assert both[0, ANYWHERE] == pytest.approx(solve_plate(pane).worst, rel=0.02)  # the old hole is the worse
    assert alone[0, ANYWHERE] < 0.85 * both[0, ANYWHERE]
    assert both[0, AT_RIM] == pytest.approx(alone[0, AT_RIM], rel=0.03)
    assert np.isnan(both[1]).all()  # over the other


def test_progress_is_told_and_may_end_the_work() -> None:
    told: list[tuple[int, int]] = []
    worst_over_places(GLASS, 0.035, PLACES[:3], progress=lambda done, of: told.append((done, of)))
    assert told == [(1, 3), (2, 3), (3, 3)]

    def enough(done: int, _: int) -> None:
        if done == 2:
            raise InterruptedError

    with pytest.raises(InterruptedError):
        worst_over_places(GLASS, 0.035, PLACES, progress=enough)


def test_coarse_ranks_places_as_fine_does() -> None:
    places = [(0.3, 0.335), (0.15, 0.335), (0.06, 0.335), (0.3, 0.13), (0.1, 0.06)]
    coarse, fine = (
        worst_over_places(GLASS, 0.035, places, fineness=step)[:, AT_RIM] for step in (COARSE, FULL)
    )
    assert coarse == pytest.approx(fine, rel=0.02)
    assert np.argsort(coarse).tolist() == np.argsort(fine).tolist()


def test_thicker_glass_and_lower_water_ease_every_place() -> None:
    now = worst_over_places(GLASS, 0.035, PLACES[:2])[:, AT_RIM]
    assert (worst_over_places(replace(GLASS, thickness=0.008), 0.035, PLACES[:2])[:, AT_RIM] < now).all()
    assert (worst_over_places(replace(GLASS, head=0.33), 0.035, PLACES[:2])[:, AT_RIM] < now).all()
