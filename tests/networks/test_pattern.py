"""The sparse factorisation, beside scipy's dense one."""

from __future__ import annotations

import random

import numpy as np
import pytest
from scipy import linalg

from tankwright.networks.kernel import solve_linear
from tankwright.networks.pattern import factor_pattern


@pytest.mark.parametrize("seed", range(12))
def test_the_factorisation_solves_what_scipy_solves(seed: int) -> None:
    chance = random.Random(seed)
    count = chance.randint(1, 40)
    pairs = [(chance.randrange(i), i) for i in range(1, count)]
    if count > 1:
        pairs += [tuple(chance.sample(range(count), 2)) for _ in range(chance.randint(0, count))]
    matrix = np.zeros((count, count))
    for a, b in pairs:
        gain = 10 ** chance.uniform(-9, -4)
        matrix[a, a] += gain
        matrix[b, b] += gain
        matrix[a, b] -= gain
        matrix[b, a] -= gain
    matrix[np.diag_indices(count)] += 10.0 ** np.array([chance.uniform(-9, -6) for _ in range(count)])
    right = np.array([chance.uniform(-1e-3, 1e-3) for _ in range(count)])
    pattern = factor_pattern(count, pairs)
    back = np.argsort(pattern.place)  # variable standing at each place
    shuffled = matrix[np.ix_(back, back)]
    lower = [0.0] * (len(pattern.row) + 1)
    for (j, i), slot in pattern.slot.items():
        lower[slot] = shuffled[i, j]
    diagonal, answer = list(np.diag(shuffled)), list(right[back])
    solve_linear(count, pattern.column_start, pattern.row, pattern.target, diagonal, lower, answer)
    expected = linalg.solve(matrix, right, assume_a="pos")
    # both lose up to the condition number, here to 1e5 or so, times 1e-16
    assert np.asarray(answer)[pattern.place] == pytest.approx(
        expected, rel=1e-9, abs=1e-9 * abs(expected).max()
    )


def test_a_tree_has_no_fill_and_a_ring_next_to_none() -> None:
    tree = factor_pattern(100, [(i // 2, i) for i in range(1, 100)])
    ring = factor_pattern(100, [(i, (i + 1) % 100) for i in range(100)])
    assert len(tree.row) == 99
    assert len(ring.row) == 99 + 98


def test_no_nodes_and_parallel_pipes_are_patterns_too() -> None:
    assert factor_pattern(0, []).row == []
    assert factor_pattern(2, [(0, 1), (1, 0), (0, 1)]).row == [1]
