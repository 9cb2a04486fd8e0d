"""Growth curves: against printed fits and small fish; what data cannot tell is refused."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import pytest

from tankwright.husbandry.facts import counted
from tankwright.husbandry.growth import (
    Curve,
    GrowthFit,
    Sized,
    daily_gain,
    growth_fit,
    sizes_of,
    specific_rate,
)
from tankwright.husbandry.records import Draft, Observed

from .happenings import FIRST, as_events, day

PUBLISHED = Path(__file__).parent.parent / "published"


def _rows(name: str) -> dict[str, dict[str, str]]:
    with (PUBLISHED / name).open(encoding="utf-8", newline="") as file:
        next(file)
        rows = list(csv.DictReader(file))
    return {row.get("set") or f"{row['what']} {row['fish_per_litre']}": row for row in rows}


CURVES = _rows("growth_curves.csv")


def _fit(name: str, curve: Curve) -> GrowthFit:
    row = CURVES[name]
    points = zip(row["x"].split(), row["y"].split(), strict=True)
    got = growth_fit([Sized(day=float(x), size=float(y)) for x, y in points], curve, spread="even")
    assert isinstance(got, GrowthFit)
    return got


def test_von_bertalanffy_is_the_printed_asymptotic_regression() -> None:
    row, got = CURVES["loblolly_329"], _fit("loblolly_329", "von Bertalanffy")
    asymptote, rate, start = got.values
    assert f"{asymptote:.4f}" == row["asymptote"]
    assert f"{math.log(rate):.4f}" == row["third"]  # printed as the logarithm of the rate
    at_nothing = asymptote * (1 - math.exp(rate * start))
    assert f"{at_nothing:.4f}" == row["second"]
    assert f"{got.errors[0]:.3f}" == row["error_asymptote"]
    assert f"{got.errors[1] / rate:.4f}" == row["error_third"]
    assert f"{got.scatter:.4f}" == row["scatter"]
    assert got.asymptote is None, "trees measured to 60 % of their end, less a hair"


def test_logistic_is_the_printed_one_of_one_chick_whose_end_nobody_can_know() -> None:
    row, got = CURVES["chick_1"], _fit("chick_1", "logistic")
    assert f"{got.values[0]:.2f}" == row["asymptote"]
    assert f"{got.values[1]:.3f}" == row["second"]
    assert f"{got.values[2]:.3f}" == row["third"]
    assert got.asymptote is None
    assert "22%" in got.refused


def test_logistic_is_the_printed_one_of_trees_pooled() -> None:
    row, got = CURVES["orange"], _fit("orange", "logistic")
    printed = [float(row[name]) for name in ("asymptote", "second", "third")]
    # the print stops at a tolerance of 1e-5 (192.687, here .688) and rounds 353.534 to two decimals
    assert got.values == pytest.approx(printed, rel=1.5e-5)
    assert [f"{got.errors[0]:.2f}", f"{got.errors[1]:.1f}", f"{got.errors[2]:.1f}"] == [
        row["error_asymptote"], row["error_second"], row["error_third"],
    ]  # fmt: skip
    assert got.asymptote == got.values[0]


@pytest.mark.parametrize(
    ("curve", "size"),
    [
        ("von Bertalanffy", lambda t: 0.03 * (1 - math.exp(-0.015 * (t + 12)))),
        ("Gompertz", lambda t: 0.028 * math.exp(-2.1 * 0.965**t)),
        ("logistic", lambda t: 0.032 / (1 + math.exp((30 - t) / 14))),
    ],
)
@pytest.mark.parametrize("spread", ["even", "proportional"])
def test_a_curve_without_scatter_is_found_again(curve: Curve, size: object, spread: object) -> None:
    assert callable(size)
    sizes = [Sized(day=t, size=size(t)) for t in range(0, 180, 12)]
    got = growth_fit(sizes, curve, spread=spread)  # type: ignore[arg-type] # one of the two
    assert isinstance(got, GrowthFit)
    assert got.asymptote == pytest.approx(size(1e6), rel=1e-4)
    assert got.at(50) == pytest.approx(size(50), rel=1e-6)


def test_sizes_that_stop_early_tell_no_end() -> None:
    sizes = [Sized(day=t, size=0.004 + 0.0003 * t * (1 + 0.004 * (t % 3))) for t in range(0, 40, 5)]
    got = growth_fit(sizes, "von Bertalanffy")
    assert isinstance(got, GrowthFit)
    assert got.asymptote is None
    assert "do not tell where growth ends" in got.refused


def test_too_few_days_make_no_curve() -> None:
    told = growth_fit([Sized(day=1, size=0.01), Sized(day=1, size=0.02), Sized(day=9, size=0.03)])
    assert told == "a curve needs sizes of at least 4 days; there are 2"


def test_small_fish_grow_as_printed() -> None:
    rows = _rows("zebrafish_growth.csv")
    row = rows["length_mm "]
    days = float(row["days"])
    ends = [Sized(day=0, size=float(row["start"]) / 1e3), Sized(day=days, size=float(row["end"]) / 1e3)]
    gain = daily_gain(ends)
    assert gain is not None
    assert gain * days * 1e3 == pytest.approx(7.7)
    crowded = float(rows["mass 22.5"]["rate_percent_per_day"]) / 100
    grown = specific_rate(Sized(day=0, size=1.0), Sized(day=84, size=math.exp(crowded * 84)))
    assert f"{100 * grown:.2f}" == rows["mass 22.5"]["rate_percent_per_day"]


def test_a_rate_needs_two_days_and_two_sizes() -> None:
    with pytest.raises(ValueError, match="two sizes"):
        specific_rate(Sized(day=3, size=1.0), Sized(day=3, size=2.0))
    assert daily_gain([Sized(day=3, size=1.0)]) is None


def _measured(at: float, value: float, unit: str, quantity: str = "length") -> Draft:
    seen = (Observed(quantity=quantity, value=value, unit=unit),)
    return Draft(kind="measured", happened=day(at), stock="s", observed=seen, details={"number": 12})


def test_sizes_are_read_in_their_own_unit_with_their_age() -> None:
    events = as_events([
        _measured(20, 1.5, "cm"), _measured(10, 9, ""), _measured(30, 3, "ell"), _measured(5, 2, "g", "mass"),
        counted("s", "p", 3, day(4)),
    ])  # fmt: skip
    assert sizes_of(events, "s", FIRST) == (
        Sized(day=10, size=pytest.approx(0.009), number=12),  # type: ignore[arg-type] # stands for a number
        Sized(day=20, size=pytest.approx(0.015), number=12),  # type: ignore[arg-type] # as above
    )
    assert [one.size for one in sizes_of(events, "s", FIRST, "mass")] == [pytest.approx(0.002)]
