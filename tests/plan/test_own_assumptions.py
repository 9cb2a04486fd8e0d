"""[assume] takes a value as said, or as measured with its day and its error."""

from __future__ import annotations

from datetime import date

import pytest

from tankwright.origin import Known, Origin
from tankwright.plan.changes import SetValue, current_value
from tankwright.plan.reading import read_plan_text
from tankwright.room.layout import lay_out

ROOM = '[room.a]\nsize = { length = "4 m", width = "3 m", height = "2 m" }\n[assume]\n'


def own(text: str) -> dict[str, Known]:
    read = read_plan_text(ROOM + text, "x.toml")
    assert read.plan is not None, read.findings
    laid = lay_out(read.plan)
    assert laid.room is not None
    assert laid.findings == ()
    return {one.key: one for one in laid.room.own}


@pytest.mark.parametrize("key", ["air.tap_bore", '"air.tap_bore"'])
def test_a_measured_value_keeps_its_day_and_its_error(key: str) -> None:
    known = own(f'{key} = {{ value = "2.1 mm", measured = 2026-11-28, plus_minus = "0.1 mm" }}')[
        "air.tap_bore"
    ]
    assert (known.origin, known.measured_on, known.value) == (Origin.MEASURED, date(2026, 11, 28), 0.0021)
    assert known.band == pytest.approx((0.0020, 0.0022))


def test_a_number_and_no_error_will_do() -> None:
    known = own('pump.flow_share = { value = 0.9, measured = 2026-11-28 }\nhose.slack = "1.3"')
    assert known["pump.flow_share"].band is None
    assert known["hose.slack"].origin is Origin.GIVEN


@pytest.mark.parametrize(
    "value",
    ['{ value = "2 mm" }', '{ measured = 2026-11-28 }', '{ value = "2 mm", measured = "May" }',
     '{ value = "2 mm", measured = 2026-11-28, of = 1 }', "{ value = [1], measured = 2026-11-28 }"],
)  # fmt: skip
def test_a_table_that_says_too_little_or_too_much_is_told_with_its_line(value: str) -> None:
    read = read_plan_text(f'{ROOM}"air.tap_bore" = {value}\n', "x.toml")
    assert read.plan is None
    assert [one.line for one in read.findings] == [4]
    assert read.findings[0].code in ("PLAN-017", "PLAN-018")


def test_a_measured_value_is_shown_and_typed_over_like_any() -> None:
    text = ROOM + 'air.tap_bore = { value = "2.1 mm", measured = 2026-11-28, plus_minus = "0.1 mm" }\n'
    assert current_value(text, ("assume", "air.tap_bore")) == "2.1 mm"
    changed = SetValue(("assume", "air.tap_bore"), "1.9 mm").apply(text).text
    assert changed is not None
    assert changed.endswith('air.tap_bore = "1.9 mm"\n')
