"""The first page: what it is of, in which state, and what is open, worst first."""

from __future__ import annotations

from tankwright.documents.cover import CAUTION, MOST_OPEN, cover_sheet
from tankwright.documents.model import Banner, Paragraph, Table
from tankwright.finding import Finding, Severity
from tankwright.room.model import Room

EMPTY = Room(title="Shed", display="metric", spaces=(), racks=(), tanks=())


def blocks(*findings: Finding) -> tuple[object, ...]:
    return cover_sheet(EMPTY, findings, plan_name="shed.toml", revision="plan 41", date="2027-02-01").blocks


def finding(severity: Severity, subject: str = "tank A1") -> Finding:
    return Finding(code="LOAD-01", severity=severity, subject=subject, text="leans", remedy="tie it")


def test_it_names_the_room_the_plan_its_state_and_the_day() -> None:
    banner = blocks()[0]
    assert banner == Banner(over="Build book", text="Shed", under="shed.toml, plan 41; made 2027-02-01")


def test_it_says_that_it_is_a_screening() -> None:
    assert Paragraph(text=CAUTION, caution=True) in blocks()


def test_what_is_open_is_counted_and_listed_as_it_came_without_notes() -> None:
    table = next(
        one for one in blocks(finding(Severity.PROBLEM), finding(Severity.WARNING), finding(Severity.NOTE))
        if isinstance(one, Table) and one.file == "open-findings"
    )  # fmt: skip
    assert table.title == "Open when this was made: 1 problem, 1 warning"
    assert [row[0] for row in table.rows] == ["problem", "warning"]


def test_where_nothing_is_open_it_says_so() -> None:
    said = [one.text for one in blocks(finding(Severity.NOTE)) if isinstance(one, Paragraph)]
    assert any(text.startswith("No problem and no warning is open") for text in said)


def test_more_than_fit_are_counted() -> None:
    many = tuple(finding(Severity.WARNING, f"tank {number}") for number in range(MOST_OPEN + 7))
    assert Paragraph(text="And 7 more: run tankwright check on the plan.") in blocks(*many)
