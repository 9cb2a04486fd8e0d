"""Fry space in words, as JSON and drawn."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date

import pytest

from tankwright.display import sentence
from tankwright.drawing.chart import chart_table, draw_chart
from tankwright.drawing.fry_charts import fry_space_chart, growth_chart, survival_chart
from tankwright.husbandry.brood_course import Bounded
from tankwright.husbandry.fry_backtest import Backtest, PastWeek
from tankwright.husbandry.fry_findings import fry_findings
from tankwright.husbandry.fry_forecast import fry_forecast
from tankwright.husbandry.fry_model import Coming, DensityBand, FryAsk, FryRules, FryTank, Standing
from tankwright.husbandry.fry_rates import FryRates, certain
from tankwright.husbandry.growth import GrowthFit, Sized, growth_fit
from tankwright.husbandry.survival import Survived
from tankwright.report.fry import cause_words, json_fry, past_words, rate_numbers, summary_fry

RULES = FryRules(density=(DensityBand(up_to=None, per_litre=1.0),), gone_days=1000.0)
SURE = FryRates(
    rates={key: certain(key, value) for key, value in FryRates().rates.items() for value in (value.middle,)}
)
ASK = FryAsk(
    start=date(2026, 5, 1), standing=(Standing(id="b", label="Slate 1", line="l", age=40, held=50, low=50, high=50),),
    coming=(Coming(id="c", label="pair", line="l", day=12.0, eggs=(150, 150)),), rules=RULES, rates={"l": SURE},
    tanks=(FryTank(id="t", label="A1", volume=0.06),), draws=60,
)  # fmt: skip


def _said(ask: FryAsk) -> str:
    return "; ".join(sentence(line.text, line.numbers, "metric") for line in summary_fry(fry_forecast(ask)))


def test_what_matters_most_is_said_first() -> None:
    said = _said(ASK)
    assert said.startswith(
        "tanks for fry run out in all of the ways the weeks may go, most of them in the week of 22 May 2026"
    )
    assert "decide by 8 May 2026: sell, split, or part a pair" in said
    assert "of 1 that may hold fry, with" in said
    assert said.endswith("reckoned: 1 brood there, 1 spawn to come")


def test_with_room_enough_or_none_or_no_fry_it_is_said_so() -> None:
    roomy = replace(ASK, tanks=tuple(FryTank(id=f"t{n}", label=f"A{n}", volume=0.1) for n in range(5)))
    assert _said(roomy).startswith("of the ways the 13 weeks may go, tanks for fry run out in none")
    assert _said(replace(ASK, tanks=())).startswith("no tank is free for fry")
    assert _said(replace(ASK, standing=(), coming=())).startswith("no fry are there")


def test_causes_are_told_against_the_chance_as_it_is() -> None:
    told = fry_forecast(ASK)
    assert [cause_words(told, one) for one in told.causes] == [
        "without Slate 1, which is there: all instead of all"
    ] * 0 + ["without spawn of pair expected about 8 May 2026: none instead of all"]


def test_rates_are_told_with_their_ends_and_where_they_are_from() -> None:
    rows = {says: (rate.told, middle.value) for says, rate, middle, _, _ in rate_numbers(FryRates())}
    assert rows["days from spawn to hatching"] == ("default, wide", 3 * 86400.0)
    assert rows["growth in length a day"][1] == 0.3e-3


def _past(came: tuple[int, ...]) -> Backtest:
    return Backtest(
        weeks=tuple(
            PastWeek(made=date(2026, 5, 1), begins=date(2026, 6, 12), low=2, middle=3, high=4, came=one)
            for one in came
        )
    )


def test_past_weeks_are_told_with_their_shares() -> None:
    told = past_words(_past((3,) * 8 + (4, 6)))
    assert "of 10 past weeks, each forecast 6 weeks before, 90% lay in the band" in told
    assert "in 90% the middle was off by one tank at most" in told
    assert past_words(_past((3, 3))).startswith("2 past weeks can be looked at")


@pytest.mark.parametrize(
    ("came", "reason"), [((9,) * 12, "too narrow"), ((3,) * 30, "wider than it need be")]
)
def test_a_band_that_did_not_hold_as_it_should_is_told(came: tuple[int, ...], reason: str) -> None:
    told = fry_findings(fry_forecast(ASK), past=_past(came))
    assert reason in next(one.reason for one in told if one.code == "FRY-08")
    assert not [
        one for one in fry_findings(fry_forecast(ASK), past=_past((3,) * 11 + (9,))) if one.code == "FRY-08"
    ]


def test_findings_say_what_to_do() -> None:
    told = {
        one.code: one
        for one in fry_findings(fry_forecast(ASK), unknown=("B1", "B2"), lines=(("l", "Slate"),))
    }
    assert set(told) == {"FRY-01", "FRY-02", "FRY-05", "FRY-06"}
    assert "pair makes the greatest difference" in told["FRY-01"].text
    assert told["FRY-01"].remedy.startswith("decide by 8 May 2026: ")
    assert told["FRY-02"].text.startswith("without raising 1 of the coming spawns (pair)")
    assert told["FRY-05"].text == "the water of B1, B2 is not known, so they are not counted as free for fry"
    assert told["FRY-06"].text.startswith("Slate: no own brood tells")
    many = replace(ASK.standing[0], held=500, low=500, high=500)
    crowded = {
        one.code
        for one in fry_findings(fry_forecast(replace(ASK, standing=(many,), coming=(), rules=FryRules())))
    }
    assert {"FRY-01", "FRY-03", "FRY-07"} <= crowded
    assert "FRY-04" in {one.code for one in fry_findings(fry_forecast(replace(ASK, tanks=())))}


def test_json_holds_all_of_it() -> None:
    told = json.loads(json.dumps(json_fry(fry_forecast(ASK), _past((3,)), fry_findings(fry_forecast(ASK)))))
    assert told["chance_to_run_out"] == 1.0
    assert len(told["weeks"]) == 13
    assert told["rules"]["density"] == [{"up_to_m": None, "per_litre": 1.0}]
    assert told["hold"] == ["c"]
    assert told["past"]["weeks"][0]["came"] == 3
    assert {one["code"] for one in told["findings"]} >= {"FRY-01"}


def test_the_weeks_are_drawn_with_their_band_and_the_tanks_there_are() -> None:
    chart = fry_space_chart(fry_forecast(ASK))
    assert chart.bands[0].name == "1 there are"
    assert [mark.name for mark in chart.marks] == ["decide"]
    head, rows = chart_table(chart)
    assert head[:2] == ("week beginning", "needed")
    assert len(rows) >= 13
    assert draw_chart(chart).parts


def _at(day: float, worst: float, best: float) -> Bounded:
    def one(share: float) -> Survived:
        return Survived(day=day, share=share, standard_error=0.0, low=share - 0.1, high=min(share + 0.1, 1.0))

    return Bounded(day=day, worst=one(worst), best=one(best))


def test_survival_is_drawn_as_a_staircase_with_both_ends() -> None:
    chart = survival_chart((_at(5, 0.8, 0.9), _at(14, 0.6, 0.9)))
    assert [line.name for line in chart.lines] == ["if all unseen died", "if all unseen left alive"]
    steps = [(point.x, point.y) for point in chart.lines[0].points]
    assert steps == [(0, 1), (5, 1), (5, 0.8), (14, 0.8), (14, 0.6)]
    assert chart.lines[0].points[-1].low == pytest.approx(0.5)
    assert chart.lines[0].points[-1].high == pytest.approx(1.0)
    assert [line.name for line in survival_chart((_at(5, 0.8, 0.8),)).lines] == ["alive"]
    assert draw_chart(survival_chart(())).description == "no count yet"


def test_growth_is_drawn_with_what_was_measured() -> None:
    sizes = [Sized(day=day, size=0.02 * (1 - 0.9 ** (day / 7 + 1)), number=5) for day in range(0, 90, 9)]
    fit = growth_fit(sizes)
    assert isinstance(fit, GrowthFit)
    chart = growth_chart(sizes, fit)
    assert [line.name for line in chart.lines] == ["Gompertz curve", "measured"]
    assert draw_chart(chart).parts
    assert draw_chart(growth_chart((), None)).description == "nothing measured yet"
