"""The root finder and the integral, where they could go wrong."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.physics.numerics import integral, root


@given(st.floats(1e-9, 1e9), st.floats(0.2, 5))
def test_powers_are_inverted_to_the_last_digits(value: float, power: float) -> None:
    found = root(lambda x: x**power - value, 0.0, max(1.0, value) ** (1.0 / power) * 2.0)
    assert found == pytest.approx(value ** (1.0 / power), rel=1e-12)


def test_it_ends_soon_even_on_a_stubborn_curve() -> None:
    calls = 0

    def stubborn(x: float) -> float:
        nonlocal calls
        calls += 1
        return math.expm1(60.0 * (x - 0.9))

    assert root(stubborn, 0.0, 2.0) == pytest.approx(0.9, rel=1e-12)
    assert calls < 80


def test_ends_that_are_roots_are_given_back() -> None:
    assert root(lambda x: x, 0.0, 1.0) == 0.0
    assert root(lambda x: x - 1.0, 0.0, 1.0) == 1.0


def test_no_change_of_sign_is_refused() -> None:
    with pytest.raises(ValueError, match="sign"):
        root(lambda x: 1.0 + x * x, -1.0, 1.0)


def test_polynomials_are_integrated_exactly() -> None:
    # 24 points integrate every polynomial up to the 47th degree
    assert integral(lambda x: x**47 + x**46, -1.0, 1.0) == pytest.approx(2.0 / 47.0, rel=1e-12)
    assert integral(math.exp, 0.0, 1.0) == pytest.approx(math.e - 1.0, rel=1e-14)
