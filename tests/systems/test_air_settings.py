"""Other openings tried on a solved air run, against the room solved anew with them."""

from __future__ import annotations

import pytest

from tankwright.systems.air import solve_air
from tankwright.systems.air_model import AirRunResult
from tankwright.systems.air_settings import as_it_stands, try_openings

from .air_rooms import make_pump, make_ring, make_tank, turned

TANKS = tuple(make_tank(f"A{number}", water=0.2 + 0.02 * number) for number in range(6))
SOME = {"A0": 0.2, "A3": 0.45, "A5": 0.9}


def test_trying_openings_gives_what_the_room_with_them_gives() -> None:
    room = make_ring(TANKS, taps=24, open_spare=2)
    tried = try_openings(room.airs[0], solve_air(room).runs[0], SOME)
    anew = as_it_stands(solve_air(turned(room, SOME)).runs[0])
    assert tried is not None
    assert {tap.tank: share for tap, share in tried.shares} == pytest.approx(
        {tap.tank: share for tap, share in anew.shares}, rel=1e-6
    )
    assert tried.pressure == pytest.approx(anew.pressure, rel=1e-6)


def test_openings_are_tried_from_taps_that_are_turned_back_already() -> None:
    room = make_ring(TANKS, taps=24)
    before = solve_air(turned(room, {"A0": 0.5, "A1": 0.1})).runs[0]
    tried = try_openings(room.airs[0], before, SOME | {"A1": 1.0})
    anew = as_it_stands(solve_air(turned(room, SOME)).runs[0])
    assert tried is not None
    assert [share for _, share in tried.shares] == pytest.approx(
        [share for _, share in anew.shares], rel=1e-6
    )


def settings_of(run: AirRunResult) -> dict[str, float]:
    return {tap.tank: tap.opening for tap in run.taps if tap.tank and tap.opening}


def test_every_tap_at_its_setting_and_spare_taps_shut_serves_all_alike() -> None:
    small = make_pump(curve=((0.0, 14.0), (10e3, 8.0), (20e3, 2.0)))
    room = make_ring(TANKS, taps=24, open_spare=3, pumps=(small,))
    run = solve_air(room).runs[0]
    tried = try_openings(room.airs[0], run, settings_of(run), shut_spare=True)
    assert tried is not None
    assert run.settled is not None
    assert run.settled.bleed == 0.0
    # the corner of the target law is rounded by 0.5 %
    assert [share for _, share in tried.shares] == pytest.approx([1.0] * len(TANKS), rel=0.01)


def test_a_pump_that_gives_too_much_is_seen_to_climb_over_its_limit() -> None:
    room = make_ring(TANKS, taps=24, open_spare=3)
    run = solve_air(room).runs[0]
    tried = try_openings(room.airs[0], run, settings_of(run), shut_spare=True)
    assert tried is not None
    assert run.settled is not None
    assert run.settled.bleed > 0.0
    assert tried.pressure > run.limit_pressure


def test_without_openings_nothing_changes() -> None:
    room = make_ring(TANKS, taps=24, open_spare=1)
    run = solve_air(room).runs[0]
    tried = try_openings(room.airs[0], run, {})
    assert tried is not None
    assert tried.pressure == pytest.approx(as_it_stands(run).pressure, rel=1e-9)
