"""Assumptions ranked by what they would change: both ends tried, none left once it is given or measured."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from tankwright.catalogue.assumptions import ASSUMPTIONS
from tankwright.checks.all import judge
from tankwright.finding import Finding, Number, Severity
from tankwright.plan.models import Plan
from tankwright.plan.reading import read_plan_text
from tankwright.room.layout import lay_out
from tankwright.sensitivity import Consequence, _changes, _shift, _verdicts, rank_assumptions
from tankwright.study import work_out
from tankwright.workspace.opened import open_plan

CELLAR = (Path(__file__).parents[1] / "examples" / "cellar.toml").read_text(encoding="utf-8")


def plan_of(text: str) -> Plan:
    read = read_plan_text(text, "cellar.toml")
    assert read.plan is not None, read.findings
    return read.plan


def ranked(text: str, **options: int) -> tuple[Consequence, ...]:
    plan = plan_of(text)
    room = lay_out(plan).room
    assert room is not None
    return rank_assumptions(plan, room.assumed, **options)


@cache
def of_the_cellar() -> dict[str, Consequence]:
    return {item.assumption.key: item for item in ranked(CELLAR)}


def finding(code: str, severity: Severity, *places: str, value: float | None = None) -> Finding:
    number = None if value is None else Number(value, "length")
    return Finding(code=code, severity=severity, subject="x", text="", places=places, value=number)


def test_the_list_is_what_the_room_assumed_heaviest_first() -> None:
    room = open_plan(Path(__file__).parents[1] / "examples" / "cellar.toml").room
    assert room is not None
    assert set(of_the_cellar()) == {known.key for known in room.assumed}
    order = [(-item.weight, -item.shift, item.assumption.key) for item in of_the_cellar().values()]
    assert order == sorted(order)
    assert order[0][0] < 0


def test_every_assumption_of_the_room_is_in_the_catalogue_within_its_band() -> None:
    for key, item in of_the_cellar().items():
        row = ASSUMPTIONS[key]
        assert row.low <= item.known.value <= row.high
        assert item.tried


@pytest.mark.parametrize(
    ("key", "text"),
    [("air.loss.sponge", "100 Pa"), ("air.tube_slack", "1.3"), ("feed.roughness", "0.007 mm")],
)
def test_an_assumption_given_under_assume_leaves_the_list(key: str, text: str) -> None:
    assert key in of_the_cellar()
    left = {item.assumption.key for item in ranked(f'{CELLAR}\n[assume]\n"{key}" = "{text}"\n', most_tanks=0)}
    assert left == set(of_the_cellar()) - {key}


@pytest.mark.parametrize("value", ['"16 mm"', '{ value = "16 mm", measured = 2026-09-20 }'])
def test_a_value_given_or_measured_in_its_own_table_is_not_assumed(value: str) -> None:
    without = CELLAR.replace(', bore = "16 mm", strainer_open = "60 %" }', ', strainer_open = "60 %" }')
    assert without.count("strainer_open") == 3
    said = CELLAR.replace('bore = "16 mm", strainer', f"bore = {value}, strainer")
    bore = {item.assumption.key for item in ranked(without, most_tanks=0)} - set(of_the_cellar())
    assert len(bore) == 1
    assert not bore & {item.assumption.key for item in ranked(said, most_tanks=0)}


def test_both_ends_of_a_band_are_tried(monkeypatch: pytest.MonkeyPatch) -> None:
    tried: list[dict[str, float]] = []

    def watched(
        plan: Plan, trial: dict[str, float] | None = None, systems: frozenset[str] | None = None
    ) -> object:
        tried.append(dict(trial or {}))
        return lay_out(plan, trial, systems)

    monkeypatch.setattr("tankwright.sensitivity.lay_out", watched)
    for item in ranked(CELLAR):
        row = item.assumption
        ends = [trial[row.key] for trial in tried if row.key in trial]
        assert ends == [end for end in (row.low, row.high) if end != item.known.value]


def test_a_wider_loss_moves_the_air_the_way_it_must() -> None:
    sponge = of_the_cellar()["air.loss.sponge"]
    assert any(change.code.startswith("AIR-") for change in sponge.verdicts)
    assert sponge.shift > 0.0
    assert sponge.weight == pytest.approx(sum(change.weight for change in sponge.verdicts))


def test_a_large_room_is_listed_untried_and_says_so() -> None:
    items = ranked(CELLAR, most_tanks=10)
    assert {item.assumption.key for item in items} == set(of_the_cellar())
    assert not any(item.tried for item in items)
    assert all(item.verdicts == () for item in items)


def test_progress_is_told_once_for_each() -> None:
    plan = plan_of(CELLAR)
    room = lay_out(plan).room
    assert room is not None
    seen: list[tuple[int, int]] = []
    rank_assumptions(plan, room.assumed, most_tanks=0, progress=lambda done, of: seen.append((done, of)))
    assert seen == [(number, len(room.assumed)) for number in range(len(room.assumed))]


def test_the_same_verdict_about_other_places_is_a_smaller_change_than_a_new_one() -> None:
    before = _verdicts((finding("A-01", Severity.PROBLEM, "A1", "A2"),))
    moved = _changes(before, _verdicts((finding("A-01", Severity.PROBLEM, "A2", "A3"),)))
    gone = _changes(before, _verdicts(()))
    assert [(item.comes, item.goes, item.whole) for item in moved] == [(("A3",), ("A1",), False)]
    assert [(item.comes, item.goes, item.whole) for item in gone] == [((), ("A1", "A2"), True)]
    assert 0 < moved[0].weight < gone[0].weight
    assert _changes(before, before) == []


def test_a_problem_weighs_more_than_a_warning_and_a_warning_more_than_a_note() -> None:
    weights = [
        _changes({}, _verdicts((finding("A-01", severity, "A1"),)))[0].weight
        for severity in (Severity.PROBLEM, Severity.WARNING, Severity.NOTE)
    ]
    assert weights == sorted(weights, reverse=True)
    assert weights[-1] > 0


def test_the_shift_is_relative_to_the_larger_number() -> None:
    key = ("A-01", "x")
    assert _shift({key: 2.0}, {key: 1.0}) == pytest.approx(0.5)
    assert _shift({key: 0.0}, {key: 0.0}) == 0.0
    assert _shift({key: 1.0}, {}) == 0.0


def test_leaving_out_pipes_no_judged_system_asks_for_changes_no_verdict() -> None:
    plan = plan_of(CELLAR)
    for only in (
        frozenset({"layout"}),
        frozenset({"layout", "load"}),
        frozenset({"drain"}),
        frozenset({"air"}),
        frozenset({"water"}),
        frozenset({"water", "oxygen"}),
        frozenset({"water", "heat"}),
    ):
        lean, whole = lay_out(plan, {}, only).room, lay_out(plan).room
        assert lean is not None
        assert whole is not None
        assert judge(work_out(lean, only)) == judge(work_out(whole, only))
