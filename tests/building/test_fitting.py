"""The loop that makes the plan true: rooms with hidden values, read with noise, give those values back."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date
from functools import cache
from random import Random

import pytest

from tankwright.building.fitted import Fitted
from tankwright.building.fitting import fit
from tankwright.building.measurable import measurable
from tankwright.building.point import TestPoint
from tankwright.building.points import expected_points
from tankwright.building.writing_back import fitted_changes
from tankwright.origin import Origin

from .proof_room import TEXT, drawn, plan_of, readings_of, shed, study_of

SEEDS = 12


@cache
def fitted_room(seed: int) -> tuple[dict[str, float], Fitted]:
    plan, study, points = shed()
    chance = Random(seed)
    hidden = drawn(chance)
    return hidden, fit(plan, study, points, readings_of(plan, points, hidden, chance))


def off(hidden: dict[str, float], fitted: Fitted) -> list[float]:
    """How far each fitted value lies from the truth, in standard uncertainties to that side."""
    away = []
    for one in fitted.values:
        true = hidden[one.row.key]
        side = one.high - one.value if true > one.value else one.value - one.low
        away.append(abs(true - one.value) / (side / 1.96))
    return away


def test_hidden_values_are_given_back_within_their_stated_uncertainty() -> None:
    away = [one for seed in range(SEEDS) for one in off(*fitted_room(seed))]
    assert len(away) >= 3 * SEEDS
    inside = sum(one <= 1.96 for one in away) / len(away)
    assert inside >= 0.85  # 95 % are meant; of 45 values a fair draw has more than 85 % inside
    assert max(away) < 3.5  # the least of 45 Gaussian draws beyond 3.5 comes once in 50 sets


def test_every_fit_comes_to_rest_and_scatters_as_its_tolerances_say() -> None:
    for seed in range(SEEDS):
        fitted = fitted_room(seed)[1]
        assert fitted.converged, fitted.why_not
        assert fitted.chi_square < fitted.freedom + 4.0 * math.sqrt(2.0 * fitted.freedom)
        assert fitted.misfit[1] < 1.6


def test_without_noise_the_hidden_values_come_back_themselves() -> None:
    plan, study, points = shed()
    hidden = {"air.tap_bore": 0.00155, "pump.flow_share": 0.85, "feed.rate": 1.5e-6, "drain.fall": 0.02}
    fitted = fit(plan, study, points, readings_of(plan, points, hidden, Random(1), noise=0.0))
    assert {one.row.key for one in fitted.values} == set(hidden)
    for one in fitted.values:
        assert one.value == pytest.approx(hidden[one.row.key], rel=2e-3)


def test_twice_as_many_readings_shrink_the_uncertainty() -> None:
    plan, study, points = shed()
    hidden = {"feed.rate": 1.5e-6}
    readings = readings_of(plan, points, hidden, Random(5))
    drips = [one for one in readings if one.point.endswith(".drip")]
    few, all_of_them = (
        fit(plan, study, points, some, keys=["feed.rate"]).values[0].standard for some in (drips[:3], drips)
    )
    assert all_of_them == pytest.approx(
        few / math.sqrt(2.0), rel=0.1
    )  # 6 for 3; the drippers are not quite alike


def test_what_the_readings_do_not_tell_stays_assumed_and_says_what_would_tell() -> None:
    plan, study, points = shed()
    readings = readings_of(plan, points, {"drain.fall": 0.02}, Random(2))
    drips = [one for one in readings if one.point.endswith(".drip")]
    fitted = fit(plan, study, points, [one for one in readings if one.point.endswith(".depth")] + drips)
    assert "drain.fall" not in {one.row.key for one in fitted.values}
    fall = next(one for one in fitted.kept if one.row.key == "drain.fall")
    assert fall.would == "drain main.fall"


def test_two_values_that_do_the_same_are_not_told_apart() -> None:
    plan = plan_of(TEXT.replace(', loss = "150 Pa"', ""))
    study = study_of(plan)
    points = expected_points(study)
    hidden = {"air.tap_bore": 0.0014, "air.loss.sponge": 250.0}
    air = [one for one in readings_of(plan, points, hidden, Random(4), 0.0) if "drip" not in one.point]
    fitted = fit(plan, study, points, air)
    kept = {one.row.key: one for one in fitted.kept}
    assert kept["air.loss.sponge"].beside == "air.tap_bore"
    tap = next(one for one in fitted.values if one.row.key == "air.tap_bore")
    assert tap.low < 0.0014 < tap.high  # its interval allows for the whole band of the sponge


def test_one_clogged_tap_is_set_aside_and_named_and_pulls_nothing() -> None:
    plan, study, points = shed()
    hidden = {"air.tap_bore": 0.0015, "pump.flow_share": 0.9}
    readings = readings_of(plan, points, hidden, Random(7))
    clogged = [replace(one, value=0.3 * one.value) if one.point == "A6.air" else one for one in readings]
    fitted = fit(plan, study, points, clogged)
    assert fitted.set_aside == ("A6.air",)
    assert "PROOF-31" in {one.code for one in fitted.findings}
    clean = fit(plan, study, points, [one for one in readings if one.point != "A6.air"])
    assert [one.value for one in fitted.values] == pytest.approx(
        [one.value for one in clean.values], rel=1e-3
    )


def test_readings_coarser_than_they_say_widen_the_intervals() -> None:
    plan, study, points = shed()
    fine, coarse = (
        fit(plan, study, points, readings_of(plan, points, {}, Random(3), noise), keys=["feed.rate"])
        for noise in (1.0, 3.0)
    )
    assert coarse.widened > 1.5
    assert "PROOF-32" in {one.code for one in coarse.findings}
    assert coarse.values[0].standard > 1.4 * fine.values[0].standard


@pytest.mark.parametrize("keys", [[], ["glass.sides"]])
def test_a_fit_without_anything_to_fit_says_so(keys: list[str]) -> None:
    plan, study, points = shed()
    fitted = fit(plan, study, points, readings_of(plan, points, {}, Random(3)), keys=keys)
    assert not fitted.converged
    assert fitted.values == ()
    assert [one.code for one in fitted.findings] == ["PROOF-30"]


def test_readings_no_value_explains_give_no_value_in_silence() -> None:
    plan, study, points = shed()
    readings = [
        replace(one, value=20.0 * one.value) if one.point.endswith(".drip") else one
        for one in readings_of(plan, points, {}, Random(3))
    ]
    fitted = fit(plan, study, points, readings, keys=["feed.rate"])
    assert fitted.findings
    assert {one.code for one in fitted.findings} & {"PROOF-30", "PROOF-32", "PROOF-33", "PROOF-34"}


def _ids(points: tuple[TestPoint, ...]) -> list[str]:
    return [one.id for one in points]


def test_the_plan_that_is_written_reads_as_measured_and_gives_the_fitted_room() -> None:
    _, fitted = fitted_room(3)
    text, day = TEXT, date(2026, 11, 28)
    for change in fitted_changes(fitted, day):
        made = change.apply(text)
        assert made.text is not None, made.findings
        text = made.text
    assert text.startswith(TEXT)  # every sign of the owner's stands, comments too
    plan = plan_of(text)
    room = study_of(plan).room
    own = {one.key: one for one in room.own}
    assert set(own) == {one.row.key for one in fitted.values}
    for one in fitted.values:
        known = own[one.row.key]
        assert (known.origin, known.measured_on) == (Origin.MEASURED, day)
        assert known.value == pytest.approx(one.value, abs=one.standard / 50)
        assert known.band is not None
        wider = 0.01 * one.standard  # what is written is rounded
        assert known.band[0] <= one.low + wider
        assert known.band[1] >= one.high - wider
    assert not {known.key for known in room.assumed} & set(own)
    by_trial = study_of(plan_of(TEXT), {one.row.key: own[one.row.key].value for one in fitted.values})
    ours = {one.id: one.value for one in measurable(study_of(plan))}
    theirs = {one.id: one.value for one in measurable(by_trial)}
    assert ours == pytest.approx(theirs, rel=1e-6)


def test_writing_again_replaces_what_was_measured_before() -> None:
    _, first = fitted_room(3)
    _, second = fitted_room(4)
    text = TEXT
    for fitted, day in ((first, date(2026, 11, 28)), (second, date(2027, 2, 1))):
        for change in fitted_changes(fitted, day):
            made = change.apply(text)
            assert made.text is not None, made.findings
            text = made.text
    own = {one.key: one for one in study_of(plan_of(text)).room.own}
    rate = next(one for one in second.values if one.row.key == "feed.rate")
    assert own["feed.rate"].value == pytest.approx(rate.value, rel=1e-3)
    assert own["feed.rate"].measured_on == date(2027, 2, 1)
