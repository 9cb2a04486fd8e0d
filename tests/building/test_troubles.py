"""What is said of a build before any calendar."""

from __future__ import annotations

import pytest

from tankwright.building.troubles import judge_build
from tankwright.finding import Finding, Severity

from .build_rooms import GOOD_PLAN, example, site


def said(text: str = GOOD_PLAN, build: str = "") -> dict[str, Finding]:
    of = site(text, build)
    return {one.code: one for one in judge_build(of.work, of.crew)}


def test_a_good_plan_with_hands_enough_is_not_complained_of() -> None:
    assert said(build='hands = 2\none_lifts = "25 kg"') == {}


def test_tanks_too_heavy_for_the_hands_are_named_with_how_many_it_takes() -> None:
    heavy = said(build='hands = 1\none_lifts = "9 kg"')["BUILD-02"]
    assert heavy.severity is Severity.WARNING
    assert set(heavy.places) == {"A1", "A2", "A3", "A4"}
    numbers = {name: number.value for name, number in heavy.numbers}
    assert numbers["people"] * 9.0 >= numbers["mass"] > numbers["hands"] * 9.0
    assert heavy.rests_on == ()
    assert set(said()["BUILD-02"].rests_on) == {"build.hands", "build.one_lifts"}


def test_toughened_glass_with_its_hole_drilled_here_is_a_problem() -> None:
    bad = said(GOOD_PLAN.replace('temper = "annealed"', 'temper = "toughened"'), "hands = 2")["BUILD-04"]
    assert bad.severity is Severity.PROBLEM
    assert bad.line is not None


@pytest.mark.parametrize("build", ['temperature = "-25 °C"', 'temperature = "39 °C"'])
def test_gluing_beyond_the_table_is_not_computed_and_waits_longest(build: str) -> None:
    found = said(build=build)["BUILD-05"]
    assert found.severity is Severity.NOT_COMPUTED
    assert site(build=build).task("drain.glue:main").wait.value == 72 * 3600.0


def test_a_delivery_of_nothing_is_told_with_what_may_be_named() -> None:
    found = said(build='deliveries = [{ what = "unicorns", takes = "3 days" }]')["BUILD-10"]
    assert found.found == "unicorns"
    assert "glass" in found.wanted


def test_every_number_of_a_sentence_is_there() -> None:
    for name in ("cellar.toml", "cellar_mended.toml", "garage.toml", "hall.toml"):
        of = example(name)
        for one in (*judge_build(of.work, of.crew), *of.schedule().findings):
            one.text.format(**{key: 0 for key, _ in one.numbers})
            assert one.remedy
            assert one.reason
