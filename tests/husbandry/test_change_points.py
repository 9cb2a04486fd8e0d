"""When a series changed: the same places as a library for it finds, and none where there is none."""

from __future__ import annotations

import numpy as np
import pytest
import ruptures
from hypothesis import given, settings
from hypothesis import strategies as st

from tankwright.husbandry.change_points import change_points, step_spread


@pytest.mark.parametrize("seed", range(12))
def test_the_places_are_those_another_program_finds(seed: int) -> None:
    chance = np.random.default_rng(seed)
    levels = chance.normal(0.0, 3.0, size=int(chance.integers(1, 5)))
    values = np.concatenate([level + chance.standard_normal(int(chance.integers(6, 30))) for level in levels])
    penalty = 3.0 * np.log(len(values))
    search = ruptures.Dynp(model="l2", min_size=4, jump=1).fit(values)
    ours = change_points(values.tolist(), penalty=penalty)
    pelt = ruptures.Pelt(model="l2", min_size=4, jump=1).fit(values).predict(pen=penalty)[:-1]
    exact = search.predict(n_bkps=len(ours))[:-1] if ours else []
    assert list(ours) == exact, "of as many levels the best"
    assert _cost(values, ours, penalty) <= _cost(values, pelt, penalty) + 1e-9


def _cost(values: np.ndarray, places: object, penalty: float) -> float:
    parts = np.split(values, list(places))  # type: ignore[call-overload]
    return float(sum(((part - part.mean()) ** 2).sum() + penalty for part in parts))


@settings(deadline=None)
@given(st.lists(st.floats(-100, 100), max_size=30), st.floats(-1e3, 1e3))
def test_a_shift_of_all_values_changes_no_place(values: list[float], shift: float) -> None:
    values = [round(value, 3) for value in values]
    moved = [value + round(shift, 3) for value in values]
    assert change_points(values, penalty=50.0) == change_points(moved, penalty=50.0)


def test_a_level_is_no_change_and_a_step_of_a_drop_kit_is_none_either() -> None:
    assert change_points([4.0] * 20) == ()
    assert change_points([4.0, 4.0, 5.0, 4.0, 4.0, 4.0, 5.0, 4.0, 4.0, 4.0], finest=0.5) == ()


def test_a_lasting_step_is_found_where_it_is_and_its_spread_is_not_moved_by_it() -> None:
    values = [10.0, 10.2, 9.9, 10.1, 10.0, 9.8, 25.0, 25.1, 24.8, 25.2, 25.0, 24.9]
    assert change_points(values) == (6,)
    assert step_spread(values) < 0.3
