"""Days without work and deliveries, as forms type them."""

from __future__ import annotations

from datetime import date

import pytest

from tankwright.plan.changes import SetValue
from tankwright.plan.changes_build import AddDelivery, SetDaysOff
from tankwright.plan.models_build import Build
from tankwright.plan.reading import read_plan_text

START = 'title = "A room"\n'
FREE = START + "[build]\nnot_on = [2026-12-24, 2026-12-25, 2026-12-26, 2027-01-01]  # holidays\n"


def build_of(text: str | None) -> Build:
    """[build] of a text, which must be one the plan takes."""
    assert text is not None
    raw = read_plan_text(text, "plan.toml")
    assert raw.plan is not None, raw.findings
    return raw.plan.build or Build()


def test_days_from_one_to_another_join_those_that_are_free_already_in_their_order() -> None:
    change = SetDaysOff(first="2026-12-23", last="2026-12-25")
    found = change.apply(FREE)
    assert build_of(found.text).not_on == (
        *(date(2026, 12, day) for day in (23, 24, 25, 26)),
        date(2027, 1, 1),
    )
    assert "# holidays" in (found.text or "")
    assert change.says(FREE) == "build: 2026-12-23 to 2026-12-25 without work"


def test_the_first_free_day_begins_the_list_and_its_table() -> None:
    assert build_of(SetDaysOff(first=" 2026-12-24 ").apply(START).text).not_on == (date(2026, 12, 24),)


def test_days_become_usual_again_and_the_last_takes_the_list_out() -> None:
    found = SetDaysOff(first="2026-12-24", last="2026-12-26", off=False).apply(FREE)
    assert build_of(found.text).not_on == (date(2027, 1, 1),)
    gone = SetDaysOff(first="2027-01-01", off=False).apply(found.text or "")
    assert build_of(gone.text).not_on == ()
    assert "not_on" not in (gone.text or "")


def test_what_stands_already_changes_nothing() -> None:
    assert SetDaysOff(first="2026-12-25").apply(FREE).text == FREE


@pytest.mark.parametrize(("first", "last", "said"), [
    ("24 Dec", "", '"24 Dec" is not a date'),
    ("", "", "a day must be given"),
    ("2026-12-24", "2026-13-01", '"2026-13-01" is not a date'),
    ("2026-12-24", "2026-12-23", "2026-12-23 comes before 2026-12-24"),
    ("2026-01-01", "2027-12-31", "are 730 days"),
])  # fmt: skip
def test_what_are_no_days_is_refused_with_its_reason(first: str, last: str, said: str) -> None:
    found = SetDaysOff(first=first, last=last).apply(FREE)
    assert found.text is None
    assert said in found.findings[0].text
    assert found.findings[0].wanted


def test_a_list_with_something_else_in_it_is_refused_and_never_raises() -> None:
    found = SetDaysOff(first="2026-12-24").apply(START + '[build]\nnot_on = ["soon"]\n')
    assert found.text is None
    assert "soon" in found.findings[0].text


def test_a_delivery_is_one_more_row() -> None:
    once = AddDelivery(what="glass", takes="10 days").apply(START).text
    twice = AddDelivery(what='odd "pipe"', takes="2 weeks").apply(once or "").text
    rows = build_of(twice).deliveries
    assert [(one.what, one.takes.value) for one in rows] == [
        ("glass", 864_000.0),
        ('odd "pipe"', 1_209_600.0),
    ]


@pytest.mark.parametrize(("what", "takes"), [("", "3 days"), ("glass", ""), ("glass", "3"), ("glass", "0 days"),
                                             ("glass", "-2 days"), ("glass", "3 kg")])  # fmt: skip
def test_what_is_no_delivery_is_refused(what: str, takes: str) -> None:
    found = AddDelivery(what=what, takes=takes).apply(START)
    assert found.text is None
    assert found.findings


def test_a_day_is_typed_as_year_month_and_day_and_written_as_a_date() -> None:
    found = SetValue(("build", "begin"), "2026-12-05").apply(START)
    assert "begin = 2026-12-05\n" in (found.text or "")
    refused = SetValue(("build", "begin"), "5 Dec 2026").apply(START)
    assert refused.text is None
    assert refused.findings[0].wanted == "year, month and day: 2026-09-20"
