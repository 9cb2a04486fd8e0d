"""Water tests as rows and JSON: numbers JSON can say, nothing of them lost."""

from __future__ import annotations

import json

from tankwright.finding import Severity
from tankwright.report.trends import json_trends, trend_rows
from tankwright.systems.water_life_model import Span

from ..husbandry.happenings import day
from ..husbandry.test_water_verdicts import design
from ..husbandry.waters import noted, verdicts


def test_rows_say_how_a_test_stands_and_goes() -> None:
    rows = trend_rows(verdicts(40.0, noted("no2", [(0, 0.0), (7, 1.0)]), noted("ph", [(39, 7.1)])).values())
    assert [(row.tank, row.key, row.ago, row.stands, row.severity) for row in rows] == [
        ("A1", "no2", "33 days", "was past what harms, long ago", Severity.PROBLEM),
        ("A1", "ph", "1 day", "within its limits", Severity.NOTE),
    ]
    assert rows[0].low.value <= rows[0].value.value <= rows[0].high.value


def test_json_has_no_number_that_json_cannot_say() -> None:
    plan = design(nitrate=Span(low=0.006, value=0.010, high=float("inf")))
    kh = [(7.0 * n, 9.0 - 0.5 * n) for n in range(8)]
    found = verdicts(
        60.0, noted("kh", kh, method="double sample"), noted("no3", [(number * 7, 10.0) for number in range(9)]),
        noted("gh", [(1, 8.0), (30, 8.0)]), design=plan,
    )  # fmt: skip
    told = json.loads(json.dumps(json_trends(tuple(found.values()), (), ("A2",)), allow_nan=False))
    by_key = {one["quantity"]: one for one in told["verdicts"]}
    assert by_key["kh"]["fall"]["proved"] is True
    assert len(by_key["kh"]["tests"]) == 8
    assert by_key["kh"]["tests"][0]["at"] == day(0).isoformat()
    assert by_key["no3"]["expected"]["expected"]["high"] is None
    assert by_key["gh"]["usual"] is None
    assert told["never_tested"] == ["A2"]
