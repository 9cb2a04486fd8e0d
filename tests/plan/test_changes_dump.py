"""Events of a drain from what a person types."""

from __future__ import annotations

import tomllib

import pytest

from tankwright.plan.changes import current_value
from tankwright.plan.changes_dump import AddDumpEvent

PLAN = '[drain.main]\nto = "gully"  # under the window\ndump = [{ name = "hose", hose_in = "A1", flow = "6 L/min" }]\n'


def events(text: str | None) -> list[dict[str, str]]:
    assert text is not None
    found: list[dict[str, str]] = tomllib.loads(text)["drain"]["main"]["dump"]
    return found


def test_a_hose_joins_the_events_there_are_and_comments_stay() -> None:
    changed = AddDumpEvent(drain="main", hose_in="A2", flow="13 L/min").apply(PLAN).text
    assert events(changed)[1] == {"name": "filling hose left in A2", "hose_in": "A2", "flow": "13 L/min"}
    assert changed is not None
    assert "# under the window" in changed


def test_the_first_event_begins_the_list() -> None:
    changed = AddDumpEvent(drain="main", pulled="A1..A3").apply('[drain.main]\nto = "gully"\n').text
    assert events(changed) == [{"name": "standpipes pulled of A1..A3", "standpipes_pulled": "A1..A3"}]


def test_a_decimal_comma_is_a_point() -> None:
    assert (
        events(AddDumpEvent(drain="main", hose_in="A1", flow="1,5 L/min").apply(PLAN).text)[1]["flow"]
        == "1.5 L/min"
    )


def test_names_with_quotes_stay_names() -> None:
    said = AddDumpEvent(drain="main", hose_in='A"1', flow="1 L/min", name='the "big" one\\').apply(PLAN).text
    assert events(said)[1]["name"] == 'the "big" one\\'
    assert events(said)[1]["hose_in"] == 'A"1'


@pytest.mark.parametrize("flow", ["", "  ", "13", "13 kg", "0 L/min", "-1 L/min", "much", "9" * 400])
def test_what_is_no_flow_changes_nothing_and_is_said(flow: str) -> None:
    result = AddDumpEvent(drain="main", hose_in="A1", flow=flow).apply(PLAN)
    assert result.text is None
    assert len(result.findings) == 1
    assert result.findings[0].subject == "drain main"


@pytest.mark.parametrize("tanks", ["", ",", "A1, A1", "A1..", "A9..A1", "<b>"])
def test_what_names_no_tanks_changes_nothing_and_is_said(tanks: str) -> None:
    result = AddDumpEvent(drain="main", pulled=tanks).apply(PLAN)
    assert result.text is None
    assert result.findings


def test_the_history_says_what_happens() -> None:
    hose = AddDumpEvent(drain="main", hose_in="A2", flow=" 13 L/min")
    assert hose.says(PLAN) == "drain main: filling hose left in A2, 13 L/min, added as an event"
    assert len(AddDumpEvent(drain="d" * 300, pulled="A" * 300).says("")) <= 120


def test_its_path_is_the_list_it_joins() -> None:
    path = AddDumpEvent(drain="main", pulled="A1").path
    assert path == ("drain", "main", "dump")
    assert "hose_in" in (current_value(PLAN, path) or "")
