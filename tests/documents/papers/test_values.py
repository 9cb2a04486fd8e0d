"""What stands on papers is what the logbook says, and every table adds up with the balance sheet of the same time."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Callable, Mapping
from datetime import date, datetime, timedelta
from typing import Final

import pytest

from tankwright.documents.model import Sheet, Table
from tankwright.documents.papers.all import PAPERS, TABLE_WORDS
from tankwright.documents.papers.inspection import MORE
from tankwright.documents.papers.told import NOT_KNOWN
from tankwright.husbandry.balance_sheet import BalanceSheet, balance_sheet
from tankwright.husbandry.brood_counts import numbers_at
from tankwright.husbandry.dispatch import NO_CERTIFICATE
from tankwright.husbandry.treatments import CAUTION

from .conftest import LAST, Lived

Life = Callable[[], Lived]
FROM, UNTIL = "2026-05-01", "2026-08-31"
CHOICES: Final[dict[str, dict[str, str]]] = {
    "strain": {"line": "Amber"}, "breeding": {"brood": "Amber 17"}, "census": {}, "treatments": {}, "losses": {},
    "seller": {}, "inspection": {},
}  # fmt: skip


def rows(lived: Life, what: str, table: str, **said: str) -> list[dict[str, str]]:
    text = lived().made(what, **{**CHOICES[what], **said}).tables[table]
    return list(csv.DictReader(io.StringIO(text)))


def total(some: list[dict[str, str]], column: str) -> int:
    return sum(int(row[column] or 0) for row in some)


def start(day: str) -> datetime:
    return datetime.fromisoformat(day).astimezone()


def sheet_of(lived: Life, since: str = "", until: str = "", stocks: set[str] | None = None) -> BalanceSheet:
    """The balance the logbook gives, by another way than the papers."""
    moved = lived().log.book.moved_around(stocks=stocks or ())
    before = start(since) - timedelta(microseconds=1) if since else None
    end = start(until) + timedelta(days=1) - timedelta(microseconds=1) if until else LAST
    return balance_sheet(moved, stocks=stocks, since=before, until=end)


def said_in(sheets: tuple[Sheet, ...]) -> str:
    return " ".join(getattr(block, "text", "") for sheet in sheets for block in sheet.blocks)


def table_of(sheets: tuple[Sheet, ...], title: str) -> Table:
    return next(
        block
        for sheet in sheets
        for block in sheet.blocks
        if isinstance(block, Table) and block.title.startswith(title)
    )


def facts(sheets: tuple[Sheet, ...], title: str) -> Mapping[str, object]:
    return {str(row[0]): row[1] for row in table_of(sheets, title).rows}


@pytest.mark.parametrize("paper", PAPERS, ids=lambda one: one.what)
def test_a_paper_has_the_tables_it_says(paper: object, lived: Life) -> None:
    one = next(each for each in PAPERS if each is paper)
    made = lived().made(one.what, **CHOICES[one.what])
    assert sorted(made.tables) == sorted(one.tables)
    assert set(one.tables) <= TABLE_WORDS.keys()
    assert not made.broken


# --- census ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("until", ["", "2026-03-15", UNTIL])
def test_the_census_of_a_day_adds_up_with_the_balance(until: str, lived: Life) -> None:
    sheet = sheet_of(lived, until=until)
    census = rows(lived, "census", "census", until=until)
    assert total(census, "fish") == sheet.after > 0
    assert all(int(row["least"]) <= int(row["fish"]) <= int(row["most"]) for row in census)
    assert {row["known"] for row in census} <= {"counted", "guessed"}
    for row in census:
        assert (row["least"] == row["most"]) is (row["known"] == "counted")
    ages = rows(lived, "census", "census-ages", until=until)
    assert total(ages, "in all") == sheet.after
    for row in ages:
        assert int(row["in all"]) == sum(int(row[one]) for one in row if one not in {"line", "in all"})


def test_every_row_of_a_balance_adds_up_and_lines_make_the_whole(lived: Life) -> None:
    every = rows(lived, "census", "census-balance", **{"from": FROM, "until": UNTIL})
    ways = [one for one in every[0] if one not in {"line", "before", "after"}]
    for row in every:
        assert int(row["before"]) + sum(int(row[one]) for one in ways) == int(row["after"])
    lines, whole = every[:-1], every[-1]
    assert whole["line"] == "all"
    for column in ("before", "after", *ways):
        assert total(lines, column) == int(whole[column])
    sheet = sheet_of(lived, FROM, UNTIL)
    assert (int(whole["before"]), int(whole["after"])) == (sheet.before, sheet.after)
    assert (int(whole["dead"]), int(whole["sold"])) == (sheet.fish("dead"), sheet.fish("sold"))


@pytest.mark.parametrize("by", ["tank", "line", "stock"])
def test_a_census_is_the_same_whatever_it_is_listed_by(by: str, lived: Life) -> None:
    census = rows(lived, "census", "census", until=UNTIL)
    printed = table_of(lived().sheets("census", until=UNTIL, by=by), f"By {by}")
    assert {str(row[0]) for row in printed.rows} == {row[by] for row in census}


def test_ages_are_days_from_birth_to_the_day_asked_for(lived: Life) -> None:
    for row in rows(lived, "census", "census", until=UNTIL):
        if row["born"] == NOT_KNOWN:
            assert (row["age days"], row["age"]) == ("", "age not known")
        else:
            assert int(row["age days"]) == (date.fromisoformat(UNTIL) - date.fromisoformat(row["born"])).days


# --- losses ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("since", "until"), [("", ""), (FROM, UNTIL)])
def test_losses_add_up_with_the_balance(since: str, until: str, lived: Life) -> None:
    said = {"from": since, "until": until}
    table = rows(lived, "losses", "losses", **said)
    months, whole = table[:-1], table[-1]
    sheet = sheet_of(lived, since, until)
    known, unknown = total(months, "died, cause known"), total(months, "died, cause not known")
    assert known + unknown == -sheet.fish("dead") > 0
    assert total(months, "culled") == -sheet.fish("culled")
    assert total(months, "missing") == -sheet.fish("lost")
    assert total(months, "found") == sheet.fish("found")
    for column in table[0]:
        if column not in {"month", "tank"}:
            assert total(months, column) == int(whole[column])
    causes = rows(lived, "losses", "loss-causes", **said)
    assert total([row for row in causes if row["how"] == "died"], "fish") == known + unknown
    assert (
        total([row for row in causes if row["cause"] == NOT_KNOWN and row["how"] == "died"], "fish")
        == unknown
    )


def test_losses_of_a_line_are_those_of_its_stocks(lived: Life) -> None:
    book = lived().log.book
    line = next(one for one in book.lines() if one.name == "Slate")
    own = {one.id for one in book.stocks(line=line.id, closed=True)}
    sheet = sheet_of(lived, stocks=own)
    whole = rows(lived, "losses", "losses", line="Slate")[-1]
    assert int(whole["died, cause known"]) + int(whole["died, cause not known"]) == -sheet.fish("dead")
    assert int(whole["missing"]) == -sheet.fish("lost")


# --- what left ----------------------------------------------------------------------------------------------------


def test_what_left_adds_up_with_the_balance_and_is_no_certificate(lived: Life) -> None:
    left = rows(lived, "seller", "left", **{"from": FROM, "until": UNTIL})
    sheet = sheet_of(lived, FROM, UNTIL)
    for how in ("sold", "given"):
        assert total([row for row in left if row["how"] == how], "fish") == -sheet.fish(how) > 0
    assert NO_CERTIFICATE in said_in(lived().sheets("seller"))


def test_what_left_is_narrowed_to_one_who_got_it(lived: Life) -> None:
    every = rows(lived, "seller", "left")
    one = rows(lived, "seller", "left", to="A Friend")
    assert one == [row for row in every if row["to"] == "a friend"]
    assert rows(lived, "seller", "left", to="nobody") == []


# --- treatments ---------------------------------------------------------------------------------------------------


def test_treatments_are_told_with_dose_days_withdrawal_and_on_whose_word(lived: Life) -> None:
    (row,) = rows(lived, "treatments", "treatments")
    (event,) = lived().log.book.events(kinds=("treated",))
    assert row["with"] == event.details["with"]
    assert row["dose"] == event.details["dose"]
    assert float(row["days"]) == event.details["days"]
    assert row["on whose word"] == event.details["by"]
    assert row["entered by"] == event.who
    assert CAUTION in said_in(lived().sheets("treatments"))


def test_no_treatment_is_said_to_be_none_written_down(lived: Life) -> None:
    sheets = lived().sheets("treatments", until="2026-02-01")
    assert table_of(sheets, "What was given").rows == ()
    assert "not known by that" in table_of(sheets, "What was given").note


def test_a_treatment_is_of_the_line_whose_fish_were_in_its_tank(lived: Life) -> None:
    assert len(rows(lived, "treatments", "treatments", line="Amber")) == 1
    assert rows(lived, "treatments", "treatments", line="Slate") == []


# --- strain and brood ---------------------------------------------------------------------------------------------


def test_a_strain_sheet_has_every_living_stock_and_brood_of_its_line(lived: Life) -> None:
    book = lived().log.book
    line = next(one for one in book.lines() if one.name == "Amber")
    own = {one.id: one for one in book.stocks(line=line.id, closed=True)}
    held: Counter[str] = Counter()
    for one in book.holdings():
        if one.stock in own:
            held[own[one.stock].label] += one.held
    stocks = rows(lived, "strain", "strain-stocks")
    assert {row["stock"]: int(row["fish"]) for row in stocks} == {name: n for name, n in held.items() if n}
    broods = rows(lived, "strain", "strain-broods")
    assert {row["brood"] for row in broods} == {one.label for one in own.values() if one.kind == "brood"}
    assert total(broods, "living") == sum(held[one.label] for one in own.values() if one.kind == "brood")
    given = rows(lived, "strain", "strain-given")
    sheet = sheet_of(lived, stocks=set(own))
    assert total(given, "fish") == -sheet.fish("sold", "given", "used", "escaped")
    what = facts(lived().sheets("strain", line="Amber"), "What it is")
    assert (what["species"], what["locality"]) == (line.species, line.locality)


def test_a_strain_sheet_of_a_past_day_knows_nothing_later(lived: Life) -> None:
    stocks = rows(lived, "strain", "strain-stocks", until="2026-03-15")
    assert all(row["born"] == NOT_KNOWN or row["born"] <= "2026-03-15" for row in stocks)
    census = [row for row in rows(lived, "census", "census", until="2026-03-15") if row["line"] == "Amber"]
    assert total(stocks, "fish") == total(census, "fish")


def test_a_breeding_report_has_its_numbers_and_how_each_is_known(lived: Life) -> None:
    book = lived().log.book
    stock = next(one for one in book.stocks(closed=True) if one.label == "Amber 17")
    events = [
        one
        for one in book.events()
        if one.stock == stock.id or any(flow.stock == stock.id for flow in one.flows)
    ]
    (born,) = [one for one in events if one.kind == "born"]
    numbers = rows(lived, "breeding", "breeding-numbers")
    young = next(row for row in numbers if row["what"] == "young")
    assert (float(young["number"]), float(young["least"])) == (born.observed[0].value, born.observed[0].low)
    for one in numbers_at(events, stock.id, origin=born.happened, until=LAST):
        row = next(row for row in numbers if row["what"] == f"day {one.day:.0f}")
        assert row["known"].startswith(one.how)
        assert (row["number"] == "") is (one.number is None)
        if one.number is not None:
            assert float(row["number"]) == pytest.approx(one.number, abs=0.06)
    what = facts(lived().sheets("breeding", brood="Amber 17"), "The brood")
    assert "guessed" in str(what["eggs"])
    assert "Ada" in str(what["spawned"]) or "Ben" in str(what["spawned"])


def test_a_day_that_is_still_to_come_is_not_known(lived: Life) -> None:
    book = lived().log.book
    young = max(
        (one for one in book.stocks() if one.kind == "brood" and one.born),
        key=lambda one: one.born or date.min,
    )
    numbers = rows(lived, "breeding", "breeding-numbers", brood=young.id)
    last = next(row for row in numbers if row["what"] == "day 60")
    assert (last["number"], last["known"]) == ("", "not known: that day is still to come")


# --- inspection ---------------------------------------------------------------------------------------------------


def test_the_inspection_pack_has_every_tank_with_what_lives_there_beside_the_design(lived: Life) -> None:
    room = lived().opened.room
    assert room is not None
    tanks = rows(lived, "inspection", "inspection-tanks")
    assert [row["tank"] for row in tanks] == [tank.id for tank in room.tanks]
    assert total(tanks, "fish") == sheet_of(lived).after
    designed = {one.tank: one.stock for one in room.lives}
    for row in tanks:
        stock = designed[row["tank"]]
        assert (row["design fish"] == "") is (stock is None or stock.count is None)
        if stock is not None and stock.count is not None and row["beside the design"] == MORE:
            assert int(row["least"]) > stock.count
    species = rows(lived, "inspection", "inspection-species")
    assert total(species, "fish") == sheet_of(lived).after


def test_the_inspection_pack_says_who_wrote_and_since_when(lived: Life) -> None:
    book = lived().log.book
    wrote = Counter(one.who for one in book.events() if one.who != "plan")
    people = rows(lived, "inspection", "inspection-people")
    assert {row["who"]: int(row["entries"]) for row in people} == dict(wrote)
    said = said_in(lived().sheets("inspection"))
    first = min(one.happened for one in book.events() if one.who != "plan")
    assert f"Records are kept since {first:%Y-%m-%d}" in said
    assert "not an approval" in said
    assert "06:45" in said


def test_every_paper_ends_with_the_newest_seal(lived: Life) -> None:
    looked = lived().log.book.verify()
    for what, said in CHOICES.items():
        if what != "inspection":
            assert f"{looked.serial}:{looked.seal}" in said_in(lived().sheets(what, **said))
