"""Waits for cement and silicone against the printed table, and what lies between its rows."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.building.waits import cement_wait, silicone_wait
from tankwright.physics.ranges import OutsideValidRange

PUBLISHED = Path(__file__).parents[1] / "published" / "cement_cure.csv"
ROWS = list(csv.DictReader(PUBLISHED.read_text("utf-8").splitlines()[1:]))
# Outer diameters of these nominal sizes, m. Source: ASTM D1785, from memory.
OUTER = {"1/2": 0.0213, "1-1/4": 0.0422, "1-1/2": 0.0483, "3": 0.0889, "4": 0.1143, "8": 0.2191}


def kelvin(fahrenheit: float) -> float:
    return (fahrenheit - 32.0) / 1.8 + 273.15


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['temperature_low_F']} F, {row['size_low']} in")
def test_every_figure_of_the_printed_table(row: dict[str, str]) -> None:
    low, high = float(row["temperature_low_F"]), float(row["temperature_high_F"])
    for size in (row["size_low"], row["size_high"]):
        for fahrenheit in (low, (low + high) / 2, high - 0.1):
            for until, column in (("moved", "moved_h"), ("filled", "tested_h")):
                wait = cement_wait(
                    outer_diameter=OUTER[size], temperature=kelvin(fahrenheit), humidity=0.60,
                    until="moved" if until == "moved" else "filled",
                )  # fmt: skip
                assert wait / 3600 == float(row[column])


SIZES = st.floats(0.01, 0.225)
AIRS = st.floats(255.38, 310.9)
SHARES = st.floats(0.0, 1.0)
UNTIL: st.SearchStrategy[Literal["moved", "filled"]] = st.sampled_from(("moved", "filled"))


@given(SIZES, AIRS, SHARES, UNTIL)
def test_damp_air_adds_half(outer: float, air: float, damp: float, until: Literal["moved", "filled"]) -> None:
    dry = cement_wait(outer_diameter=outer, temperature=air, humidity=0.0, until=until)
    wait = cement_wait(outer_diameter=outer, temperature=air, humidity=damp, until=until)
    assert wait == dry * (1.5 if damp > 0.60 else 1.0)


@given(st.tuples(SIZES, SIZES), st.tuples(AIRS, AIRS))
def test_thicker_and_colder_is_never_quicker_and_filling_never_before_moving(
    outers: tuple[float, float], airs: tuple[float, float]
) -> None:
    thin, thick = sorted(outers)
    cold, warm = sorted(airs)
    quick = cement_wait(outer_diameter=thin, temperature=warm, humidity=0.5, until="filled")
    slow = cement_wait(outer_diameter=thick, temperature=cold, humidity=0.5, until="filled")
    assert quick <= slow
    assert cement_wait(outer_diameter=thin, temperature=warm, humidity=0.5, until="moved") <= quick


@pytest.mark.parametrize(
    ("name", "value"),
    [("outer_diameter", 0.3), ("temperature", 250.0), ("temperature", 320.0), ("humidity", 1.2)],
)
def test_beyond_the_table_it_refuses(name: str, value: float) -> None:
    usual = {"outer_diameter": 0.05, "temperature": 293.15, "humidity": 0.5} | {name: value}
    with pytest.raises(OutsideValidRange) as caught:
        cement_wait(**usual, until="filled")
    assert caught.value.quantity == name


def test_silicone_cures_two_to_three_millimetres_a_day_and_a_week_at_least_where_it_bears() -> None:
    day = 86_400.0
    assert silicone_wait(depth=0.006, millimetre_takes=day / 3) == pytest.approx(2 * day)
    assert silicone_wait(depth=0.006, millimetre_takes=day / 2) == pytest.approx(3 * day)
    assert silicone_wait(depth=0.006, millimetre_takes=day / 2, least=7 * day) == 7 * day
    with pytest.raises(OutsideValidRange):
        silicone_wait(depth=0.2, millimetre_takes=day)
