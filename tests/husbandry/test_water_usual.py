"""What is usual: limits keep the budget of false alarms they were made for, whatever few tests they rest on."""

from __future__ import annotations

import numpy as np
import pytest

from tankwright.husbandry.water_usual import (
    BUDGET,
    departure,
    false_alarm_chance,
    false_alarms_a_year,
    robust_spread,
    usual_of,
)


def test_three_spreads_cry_wolf_in_a_room_of_sixty_tanks() -> None:
    tests = 60 * 4 * 52
    # worked out with the normal distribution: 34, 6 and 0.8 a year
    assert [round(false_alarms_a_year(tests, width)) for width in (3.0, 3.5, 4.0)] == [34, 6, 1]


def test_the_budget_is_shared_by_all_tests_and_both_charts() -> None:
    assert false_alarm_chance(12480.0) * 12480.0 * 2 == pytest.approx(BUDGET)
    assert false_alarm_chance(0.0) == 0.05, "few tests do not make wild limits"


@pytest.mark.parametrize("tests", [12, 16, 24, 40])
@pytest.mark.parametrize("chance", [1e-2, 1e-3])
def test_false_alarms_are_as_many_as_the_budget_allows(tests: int, chance: float) -> None:
    luck = np.random.default_rng(tests)
    tries = 40_000
    values = luck.standard_normal((tries, tests))
    jumps = drifts = 0
    for row in values.tolist():
        usual = usual_of(row, chance, 1e-9)
        assert usual is not None
        stands = departure(row, usual)
        jumps += stands.jump != 0
        drifts += stands.drift != 0
    most = chance * tries + 4.0 * (chance * tries) ** 0.5
    assert jumps <= 1.15 * most, "the degrees of freedom are within 3 %, the far tail within 15 %"
    assert drifts <= 1.15 * most
    assert jumps >= 0.6 * chance * tries - 4.0 * (chance * tries) ** 0.5, (
        "and not far fewer, or nothing is ever seen"
    )


def test_a_lasting_shift_is_seen_and_dated() -> None:
    luck = np.random.default_rng(3)
    values = (luck.standard_normal(40) + np.where(np.arange(40) >= 32, 6.0, 0.0)).tolist()
    usual = usual_of(values, 1e-3, 1e-9)
    assert usual is not None
    stands = departure(values, usual)
    assert stands.drift == 1
    assert stands.since is not None
    assert abs(stands.since - 32) <= 1
    assert stands.lasting
    assert not departure([*values[:32], 12.0], usual).lasting, "one wild test"


def test_few_tests_have_no_usual_and_the_newest_are_never_in_it() -> None:
    assert usual_of([7.0] * 11, 1e-3, 0.1) is None
    calm = usual_of([7.0] * 8 + [50.0] * 4, 1e-3, 0.1)
    assert calm is not None
    assert (calm.count, calm.centre, calm.spread) == (8, 7.0, 0.1)


def test_one_wild_test_in_the_baseline_moves_neither_centre_nor_spread_much() -> None:
    values = [7.0, 7.1, 6.9, 7.0, 7.2, 6.8, 7.1, 6.9, 7.0, 7.0, 7.1, 7.0]
    wild = [*values[:3], 70.0, *values[4:]]
    assert robust_spread(wild[:8]) < 2.0 * robust_spread(values[:8])


def test_readings_that_never_differ_do_not_alarm_at_the_next_drop() -> None:
    usual = usual_of([4.0] * 20, 5e-4, 0.5)
    assert usual is not None
    assert departure([*[4.0] * 20, 5.0], usual).jump == 0
