"""Control charts give what the handbook prints, and signal as often as simulation says."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Final

import numpy as np
import pytest

from tankwright.husbandry.control_charts import cusum, ewma, ewma_limits, individuals_chart

PUBLISHED: Final = Path(__file__).parent.parent / "published"
# NIST/SEMATECH e-Handbook 6.3.2.2
INDIVIDUALS: Final = (49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1)


def printed(name: str) -> list[dict[str, float]]:
    lines = (PUBLISHED / name).read_text("utf-8").splitlines()[1:]
    return [{key: float(value) for key, value in row.items()} for row in csv.DictReader(lines)]


def test_single_values_have_the_limits_that_are_printed() -> None:
    chart = individuals_chart(INDIVIDUALS)
    assert round(chart.centre, 2) == 50.81
    assert round(chart.mean_range, 4) == 1.8778
    assert (round(chart.upper, 4), round(chart.lower, 4)) == (55.8041, 45.8159)  # printed, from memory
    assert chart.most_range == pytest.approx(3.267 * chart.mean_range)
    assert chart.outside(INDIVIDUALS) == ()
    assert chart.outside((*INDIVIDUALS, 56.0)) == (10,)


def test_one_value_has_no_chart() -> None:
    with pytest.raises(ValueError, match="needs two"):
        individuals_chart((1.0,))


def test_weighted_means_are_those_printed() -> None:
    rows = printed("ewma_nist.csv")
    means = ewma([row["value"] for row in rows], 50.0, 0.3)
    assert [round(one, 2) for one in means] == [row["mean"] for row in rows]


def test_limits_of_weighted_means_are_those_printed() -> None:
    lower, upper = ewma_limits(50.0, 2.0539, 0.3)
    assert round(upper, 4) == 52.5884
    assert round(lower, 4) == pytest.approx(47.4115, abs=1.01e-4)  # printed cut off, not rounded: 47.4116


def test_a_weight_of_one_is_the_value_itself_and_none_is_refused() -> None:
    assert ewma(INDIVIDUALS, 50.0, 1.0) == INDIVIDUALS
    for weight in (0.0, 1.1, float("nan")):
        with pytest.raises(ValueError, match="is none"):
            ewma(INDIVIDUALS, 50.0, weight)


def test_sums_of_departures_are_those_printed() -> None:
    rows = printed("cusum_nist.csv")
    found = cusum([row["value"] for row in rows], 325.0, 0.3175, 4.1959)
    # the handbook rounds halves as it pleases: within half a last digit and a hair
    assert found.high == pytest.approx([row["high"] for row in rows], abs=0.00501)
    assert found.low == pytest.approx([row["low"] for row in rows], abs=0.00501)
    assert found.signals[0] == 13, "the 14th group is the first that signals"
    assert found.since == 12, "the departures begin with the 13th"


@pytest.mark.parametrize(
    ("limit", "shift", "length"),
    # average run lengths, k = 0.5, of standard normal values; NIST/SEMATECH e-Handbook 6.3.2.3.1 gives 168 and 8.4,
    # 465 and 10.4 (from memory)
    [(4.0, 0.0, 168.0), (4.0, 1.0, 8.4), (5.0, 0.0, 465.0), (5.0, 1.0, 10.4)],
)
def test_sums_signal_as_soon_as_is_published(limit: float, shift: float, length: float) -> None:
    chance = np.random.default_rng(7)
    lengths = [_run(chance, limit, shift) for _ in range(400)]
    error = np.std(lengths) / len(lengths) ** 0.5
    assert np.mean(lengths) == pytest.approx(length, abs=4.0 * error)


def _run(chance: np.random.Generator, limit: float, shift: float) -> int:
    """The first signal of values that never end, taken in pieces long enough for nearly all."""
    values = tuple((chance.standard_normal(12 * (40 if shift else 500)) + shift).tolist())
    signals = cusum(values, 0.0, 0.5, limit).signals
    return signals[0] + 1 if signals else len(values)
