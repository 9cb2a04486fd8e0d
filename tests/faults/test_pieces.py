"""Time in pieces: what is cut, what straight laws make of a start, and when a limit is passed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from tankwright.faults.pieces import LONGEST, WARMEST_STEP, Pieces, crossed, followed, passed, pieces_of

from .life_rooms import still_water, study_of, warmth_of

STUDY = study_of("cellar.toml")
NAMES = tuple(tank.id for tank in STUDY.room.tanks)
STILL = (
    np.array([tank.water_volume for tank in STUDY.room.tanks]),
    np.array([tank.level for tank in STUDY.room.tanks]),
    np.full(len(NAMES), 297.15),
)


def test_no_piece_is_longer_than_an_hour_or_warms_a_tank_by_more_than_a_quarter_kelvin() -> None:
    warmth = warmth_of(STUDY, {"A3": np.array([297.15, 287.15, 290.15])})
    pieces = pieces_of(NAMES, STILL, still_water(STUDY, rows=3), warmth)
    assert pieces.lengths.max() <= LONGEST
    assert np.abs(np.diff(pieces.warmth, axis=0)).max() <= WARMEST_STEP + 1e-9
    assert pieces.times[0] == 0.0
    assert pieces.times[-1] == 216_000.0


def test_rows_said_twice_for_a_sudden_change_are_cut_once() -> None:
    water = still_water(STUDY, rows=4)
    pieces = pieces_of(NAMES, STILL, replace(water, times=np.array([0.0, 0.0, 10.0, 1000.0])), None)
    assert pieces.times.tolist() == [0.0, 10.0, 1000.0]
    assert np.isfinite(pieces.mean_volume).all()


def test_a_tank_no_course_follows_keeps_what_it_has() -> None:
    pieces = pieces_of(
        ("nowhere",), (np.array([0.05]), np.array([1.0]), np.array([300.0])), still_water(STUDY), None
    )
    assert np.all(pieces.volume == 0.05)
    assert np.all(pieces.warmth == 300.0)
    assert not pieces.inflow.any()


def test_a_course_of_no_tanks_leaves_all_as_it_is_kept() -> None:
    none = replace(warmth_of(STUDY, {}), tanks=(), water=np.zeros((2, 0)))
    pieces = pieces_of(NAMES, STILL, still_water(STUDY), none)
    assert np.all(pieces.warmth == 297.15)


def _one_tank(volume: np.ndarray, rows: int = 5) -> Pieces:
    """One tank over a thousand seconds."""
    first, last = volume[:-1], volume[1:]
    mean = np.where(first == last, first, (last - first) / np.log(np.where(first == last, 2.0, last / first)))
    times = np.linspace(0.0, 1000.0, rows)
    steady = np.full((rows, 1), 297.15)
    return Pieces(
        times=times, lengths=np.diff(times), tanks=("one",), volume=volume[:, None], level=volume[:, None],
        mean_volume=mean[:, None], warmth=steady, mean_warmth=steady[1:], by_feed={},
        hand=np.zeros((rows - 1, 1)),
    )  # fmt: skip


def test_water_that_only_runs_in_dilutes_what_was_there_by_the_volumes_to_rounding() -> None:
    volume = np.linspace(0.05, 0.2, 5)
    pieces, inflow = _one_tank(volume), 0.15 / 1000.0
    rate = np.full((1, 4, 1), inflow) / pieces.mean_volume
    course = followed(np.array([[3.0]]), np.zeros((1, 4, 1)), rate, pieces.lengths)
    assert course[0, :, 0] == pytest.approx(3.0 * 0.05 / volume, rel=1e-12)
    limit = np.full((5, 1), 1.7)
    when = crossed(pieces, course, np.zeros((1, 4, 1)), rate, limit, falling=True)
    assert when[0, 0] == pytest.approx((3.0 * 0.05 / 1.7 - 0.05) / inflow, rel=1e-12)


def test_a_course_and_the_moment_it_passes_a_limit_are_those_of_an_integrator() -> None:
    pieces = _one_tank(np.full(5, 0.1))
    gain, rate = (
        np.array([2.0, 5.0, 1.0, 0.0])[None, :, None] * 1e-3,
        np.array([1.0, 3.0, 2.0, 1.0])[None, :, None] * 1e-3,
    )
    course = followed(np.array([[0.2]]), gain, rate, pieces.lengths)
    begun, found = 0.2, []
    for number in range(4):
        run = solve_ivp(
            lambda _t, y, n=number: gain[0, n, 0] - rate[0, n, 0] * y,
            (0.0, 250.0),
            [begun],
            rtol=1e-10,
            atol=1e-12,
        )
        begun = float(run.y[0, -1])
        found.append(begun)
    assert course[0, 1:, 0] == pytest.approx(found, rel=1e-8)
    passing = crossed(pieces, course, gain, rate, np.full((5, 1), 0.9), falling=False)[0, 0]
    assert 250.0 < passing < 500.0
    inside = followed(course[:, 1], gain[:, 1:2], rate[:, 1:2], np.array([passing - 250.0]))
    assert inside[0, 1, 0] == pytest.approx(0.9, rel=1e-12)


def test_what_is_past_its_limit_at_once_is_so_at_nought_and_what_never_is_at_no_time() -> None:
    pieces = _one_tank(np.full(5, 0.1))
    nothing = np.zeros((2, 4, 1))
    course = followed(np.array([[0.5], [2.0]]), nothing, nothing, pieces.lengths)
    assert crossed(pieces, course, nothing, nothing, np.ones((5, 1)), falling=False).ravel().tolist() == [
        np.inf,
        0.0,
    ]
    values = np.array([[1.0, 1.0], [0.5, 1.0], [0.0, 1.0]])
    assert passed(np.array([0.0, 10.0, 20.0]), values, np.array([0.25, 0.25]), falling=True).tolist() == [
        15.0,
        np.inf,
    ]
