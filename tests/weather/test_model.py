"""What a year of weather says of itself."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tankwright.weather.model import HOURS, WeatherYear, hour_of_year, month_day_hour


def test_every_hour_has_one_date_and_back() -> None:
    assert [hour_of_year(*month_day_hour(hour)) for hour in range(HOURS)] == list(range(HOURS))


def test_the_year_is_the_mean_of_its_months(greensboro: WeatherYear) -> None:
    days = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
    assert np.average(greensboro.monthly_means, weights=days) == pytest.approx(greensboro.annual_mean)
    assert np.argmin(greensboro.monthly_means) in (0, 1, 11)
    assert np.argmax(greensboro.monthly_means) in (5, 6, 7)


def test_the_coldest_week_is_found_over_the_new_year(greensboro: WeatherYear) -> None:
    cold = np.full(HOURS, 290.0)
    cold[-72:] = cold[:96] = 250.0
    cold[4000] = 320.0
    year = replace(greensboro, dry_bulb=cold)
    assert year.coldest_week.first_hour == HOURS - 72
    assert year.coldest_week.mean == pytest.approx(250.0)
    assert year.hottest_day.first_hour == 3984
    assert year.hottest_week.hours == 168


def test_a_day_is_colder_than_its_week_and_the_design_hour_lies_between(greensboro: WeatherYear) -> None:
    assert greensboro.dry_bulb.min() < greensboro.winter_design < greensboro.annual_mean
    assert greensboro.annual_mean < greensboro.summer_design < greensboro.dry_bulb.max()
    assert greensboro.coldest_day.mean <= greensboro.coldest_week.mean
    above = (greensboro.dry_bulb > greensboro.summer_design).mean()
    assert above <= 0.004 <= (greensboro.dry_bulb >= greensboro.summer_design).mean()  # many hours are alike


def test_a_year_cannot_be_changed(greensboro: WeatherYear) -> None:
    with pytest.raises(ValueError, match="read-only"):
        greensboro.dry_bulb[0] = 300.0


def test_a_year_keeps_nobody_elses_array(greensboro: WeatherYear) -> None:
    mine = np.full(HOURS, 290.0)
    year = replace(greensboro, dry_bulb=mine)
    mine[0] = 0.0
    assert year.dry_bulb[0] == 290.0


def test_years_are_one_when_their_numbers_are(greensboro: WeatherYear, sand_point: WeatherYear) -> None:
    assert replace(greensboro, file="copy.epw") == greensboro
    assert hash(replace(greensboro, file="copy.epw")) == hash(greensboro)
    assert greensboro != sand_point
    assert replace(greensboro, dry_bulb=greensboro.dry_bulb + 0.1) != greensboro


@pytest.mark.parametrize("hours", [np.full(HOURS - 1, 290.0), np.full(HOURS, np.nan)])
def test_a_year_with_holes_is_none(greensboro: WeatherYear, hours: np.ndarray) -> None:
    with pytest.raises(ValueError, match="dry_bulb"):
        replace(greensboro, dry_bulb=hours)
