"""Readings as people write them: all mistakes in one pass, units told, nothing raises."""

from __future__ import annotations

from datetime import date

import pytest

from tankwright.building.comparing import Outcome, compare, worst_first
from tankwright.building.points import expected_points
from tankwright.building.readings import Read, read_readings, test_sheet_csv
from tankwright.display import render_mistake

from .proof_room import shed


def read(rows: str, head: str = "point,value,unit,date,who,note") -> Read:
    return read_readings(f"{head}\n{rows}", shed()[2])


def codes(found: Read) -> list[str]:
    return [one.code for one in found.findings]


def test_values_may_hold_their_unit_or_leave_it_to_its_column() -> None:
    found = read(
        "A1.level,44 mm,,2026-11-28,Kim,by day\nA2.level,4.3,cm,,,\nA1.drip,18 mL/min,,,,\nA3.air,1.1 L/min,,,,"
    )
    assert found.findings == ()
    by_point = {one.point: one for one in found.readings}
    assert by_point["A1.level"].value == pytest.approx(0.044)
    assert (by_point["A1.level"].on, by_point["A1.level"].who) == (date(2026, 11, 28), "Kim")
    assert by_point["A2.level"].value == pytest.approx(0.043)
    assert by_point["A1.drip"].value == pytest.approx(18e-6 / 60)


@pytest.mark.parametrize(
    ("row", "code"),
    [
        ("A1.level,44,,,,", "PROOF-07"),
        ("A1.levle,44 mm,,,,", "PROOF-04"),
        ("A1.drip,-3 mL/min,,,,", "PROOF-09"),
        ("A1.level,-5 mm,,,,", "PROOF-09"),
        ("A1.level,40 cm,,,,", "PROOF-09"),
        ("A1.air,nan,L/min,,,", "PROOF-09"),
        ("A1.air,inf,L/min,,,", "PROOF-09"),
        ("A1.air,900 L/min,,,,", "PROOF-09"),
        ("A1.air,3 mm,,,,", "PROOF-08"),
        ("A1.air,much,,,,", "PROOF-08"),
        ("A1.air,1e999 L/min,,,,", "PROOF-08"),
        ("A1.air,1,2 L/min,,,", "PROOF-03"),
        ("A1.air,1.2,L/min,,,,,x", "PROOF-03"),
        ("A1.air,1.2 L/min,,28.11.26,,", "PROOF-06"),
        ("A1.level,44 mm\nA1.level,45 mm", "PROOF-05"),
    ],
)
def test_each_mistake_is_told_with_its_line(row: str, code: str) -> None:
    found = read(row)
    assert codes(found) == [code]
    assert found.findings[0].line == 1 + len(row.splitlines())


def test_all_mistakes_come_in_one_pass_and_what_is_right_counts() -> None:
    found = read("A1.level,44,,,,\nnone,1 mm,,,,\nA2.drip,-3 mL/min,,,,\nA3.level,41 mm,,,,")
    assert codes(found) == ["PROOF-07", "PROOF-04", "PROOF-09"]
    assert [one.point for one in found.readings] == ["A3.level"]


def test_a_missing_unit_and_an_unknown_point_propose_what_was_meant() -> None:
    found = read("A1.level,44,,,,\nA1.levle,44 mm,,,,")
    assert [one.attempt for one in found.findings] == ["44 mm", "A1.level"]
    assert "readings.csv:2" in render_mistake(found.findings[0], "readings.csv")


@pytest.mark.parametrize("text", ["", "\n\n", "\ufeff", " \n\t\n"])
def test_an_empty_file_is_said_to_be_empty(text: str) -> None:
    assert codes(read_readings(text, shed()[2])) == ["PROOF-01"]


def test_a_file_without_its_columns_is_told_which() -> None:
    assert codes(read_readings("tank,level\nA1,3", shed()[2])) == ["PROOF-02"]


def test_semicolons_with_decimal_commas_are_read() -> None:
    found = read("A1.air;1,2;L/min", head="point;value;unit")
    assert found.findings == ()
    assert found.readings[0].value == pytest.approx(1.2e-3 / 60)


def test_the_sheet_comes_back_as_what_is_expected_once_filled_in() -> None:
    points = expected_points(shed()[1])
    lines = test_sheet_csv(points).splitlines()
    assert codes(read_readings("\n".join(lines), points)) == ["PROOF-01"]
    filled = [lines[0]]
    for line in lines[1:]:
        cells = line.split(",")
        filled.append(",".join([*cells[:4], cells[2].removeprefix("at most "), *cells[5:]]))
    found = read_readings("\n".join(filled), points)
    assert found.findings == ()
    compared = compare(points, found.readings)
    assert {one.outcome for one in compared} == {Outcome.WITHIN}
    assert len(compared) == len(points)


@pytest.mark.parametrize(
    "text", ["\x00,\x00\n", 'point,value\n"A1.level', "point,value\n,,,\n,5", "point,value\n" + "a," * 500]
)
def test_nothing_typed_raises(text: str) -> None:
    read_readings(text, shed()[2])


def test_a_reading_is_told_high_or_low_in_its_readers_unit_worst_first() -> None:
    points = shed()[2]
    found = read("A1.level,60 mm,,,,\nA2.level,1.45 in,,,,\nA3.level,41 mm,,,,")
    rows = worst_first(compare(points, found.readings))
    first, second = rows[:2]
    assert (first.point.id, first.outcome, first.unit) == ("A1.level", Outcome.HIGH, "mm")
    assert first.told == pytest.approx(60.0 - 1000.0 * first.point.value)
    assert (second.point.id, second.outcome, second.unit) == ("A2.level", Outcome.LOW, "in")
    assert rows[-1].outcome is Outcome.WITHIN
    assert sum(one.outcome is Outcome.NOT_READ for one in rows) == len(points) - 3


def test_a_day_still_to_come_is_told_and_the_reading_counts_without_it() -> None:
    rows = "point,value,unit,date\nA1.level,40,mm,2999-01-01\n"
    late = read_readings(rows, shed()[2], date(2026, 12, 5))
    assert codes(late) == ["PROOF-06"]
    assert late.readings[0].on is None
    assert (
        read_readings(rows.replace("2999-01-01", "2026-12-05"), shed()[2], date(2026, 12, 5)).findings == ()
    )
