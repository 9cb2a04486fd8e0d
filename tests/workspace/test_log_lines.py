"""Lines out of a logbook, and sets that are tried and made."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tankwright.display import sentence
from tankwright.finding import Finding
from tankwright.husbandry.facts import Tally, came
from tankwright.husbandry.kinship import kinships
from tankwright.husbandry.mating import planned, propose
from tankwright.husbandry.records import Draft, Plain
from tankwright.husbandry.register import BreedingSet
from tankwright.logbook.outcome import By, Recorded, Refused
from tankwright.report.lines import json_line, json_mates, line_lines, planned_lines
from tankwright.report.model import SummaryLine
from tankwright.workspace.log import RoomLog
from tankwright.workspace.log_lines import kept_lines, make_set, typed_set

NOW = datetime(2026, 8, 1, 9, tzinfo=UTC)
BEFORE = NOW - timedelta(days=300)
PAIR = {"stock1": "him", "sex1": "male", "stock2": "her", "sex2": "female"}


def opened(stock: str, line: str = "blue", **details: Plain) -> Draft:
    return Draft(
        kind="stock_opened", happened=BEFORE, stock=stock, line=line,
        details={"label": stock, "kind": "brood", "line": line, **details},
    )  # fmt: skip


def joined(name: str, *members: Mapping[str, Plain]) -> Draft:
    return Draft(kind="set_made", happened=BEFORE, details={"set": name, "members": tuple(members)})


@pytest.fixture
def log(tmp_path: Path) -> RoomLog:
    book = RoomLog(tmp_path / "room.toml", now=lambda: NOW)
    drafts = [
        Draft(kind="place_opened", happened=BEFORE, place="p", details={"label": "A1", "kind": "tank"}),
        Draft(
            kind="line_opened", happened=BEFORE, line="blue",
            details={"name": "Blue", "species": "Fish", "least_breeders": 6, "regenerate_days": 100},
        ),
        Draft(kind="line_opened", happened=BEFORE, line="gold", details={"name": "Gold", "species": "Fish"}),
        opened("him", kind="individual", sex="male"),
        opened("her", kind="individual", sex="female"),
        opened("lone", line="gold", kind="individual", sex="male"),
        joined("s0", {"stock": "him", "count": 1, "sex": "male"}, {"stock": "her", "count": 1, "sex": "female"}),
        opened("g1", born="2025-12-01", origin=({"breeding_set": "s0", "share": 1.0},)),
        *(came("arrived", one, "p", Tally(number=1), BEFORE) for one in ("him", "her", "lone")),
        came("born", "g1", "p", Tally(number=20), BEFORE),
    ]  # fmt: skip
    outcome = book.book.record(drafts, By(who="AB"))
    assert isinstance(outcome, Recorded), outcome
    return book


def said(lines: object) -> list[str]:
    assert not isinstance(lines, str)
    return [sentence(one.text, one.numbers) for one in lines if isinstance(one, SummaryLine)]  # type: ignore[attr-defined]


def test_a_line_is_told_from_the_book(log: RoomLog) -> None:
    kept = kept_lines(log.book)
    standing = kept.standing(kept.lines["blue"])
    told = said(line_lines(standing))
    assert told[0] == "22 fish in 3 stocks"
    assert told[1].startswith("mean inbreeding 0 % if founders are unrelated, 11 % if")
    assert "1 male and 1 female breed now in 1 set" in told
    codes = [one.code for one in kept.findings(standing, NOW)]
    assert {"LINE-09", "LINE-10", "LINE-11", "LINE-12"} <= set(codes)
    found = json_line(standing, kept.findings(standing, NOW), kept.names)
    assert found["fish"] == 22
    assert found["regenerate_by"] == "2026-03-11"


def test_a_line_without_fish_is_told_without_numbers(log: RoomLog) -> None:
    log.book.record(
        [Draft(kind="line_opened", happened=NOW, line="new", details={"name": "New", "species": "Fish"})],
        By(who="AB"),
    )
    kept = kept_lines(log.book)
    assert said(line_lines(kept.standing(kept.lines["new"]))) == [
        "no living fish in the book",
        "no breeding set of it is in the book, so generations left are not computed",
    ]


def test_findings_of_a_line_are_not_those_of_another(log: RoomLog) -> None:
    log.book.record([joined("mixed", {"stock": "lone", "count": 1, "sex": "male"},
                            {"stock": "her", "count": 1, "sex": "female"})], By(who="AB"))  # fmt: skip
    kept = kept_lines(log.book)
    for name in ("blue", "gold"):
        line = kept.lines[name]
        assert "LINE-04" in [one.code for one in kept.findings(kept.standing(line), NOW)]
    log.book.record(
        [opened("old", born="2019-01-01", origin=({"breeding_set": "s0", "share": 1.0},))], By(who="AB")
    )
    kept = kept_lines(log.book)
    gold = kept.lines["gold"]
    assert "LINE-03" not in [one.code for one in kept.findings(kept.standing(gold), NOW)]


def test_mates_and_a_planned_set_are_told(log: RoomLog) -> None:
    kept = kept_lines(log.book)
    thought = typed_set(
        {"stock1": "g1", "sex1": "male", "stock2": "g1", "sex2": "female", "count2": "2"}, kept, NOW
    )
    assert isinstance(thought, BreedingSet)
    told = said(planned_lines(planned(kept.pedigree, thought)))
    assert told[0] == "inbreeding of the young 25 %"
    assert said(planned_lines(None)) == ["not computed: one of them stands in a loop of its pedigree"]
    found = json_mates(propose(kept.pedigree, ("him",), ("her", "g1"), limit=0.5), kept.names)
    assert found == [{"male": "him", "female": "her", "kinship": 0.0}]


def test_trying_a_set_writes_nothing_and_making_it_does(log: RoomLog) -> None:
    before = log.book.count_events()
    typed_set(PAIR, kept_lines(log.book), NOW)
    assert log.book.count_events() == before
    outcome = make_set(
        log, {**PAIR, "label": "Pair 2", "low1": "40 %", "high1": "100"}, By(who="AB", key="k")
    )
    assert isinstance(outcome, Recorded)
    again = make_set(log, {**PAIR, "label": "Pair 2"}, By(who="AB", key="k"))
    assert isinstance(again, Recorded)
    assert again.repeated
    made = next(one for one in log.book.sets() if one.label == "Pair 2")
    assert [(one.stock, one.count, one.sex) for one in made.members] == [
        ("him", 1, "male"),
        ("her", 1, "female"),
    ]
    assert made.members[0].share_low == 0.4
    assert kinships(kept_lines(log.book).pedigree).young_of(made.id) is not None


def test_all_that_is_wrong_with_a_set_is_told_at_once(log: RoomLog) -> None:
    typed = {
        "stock1": "nobody", "stock2": "him", "count2": "3", "sex2": "female",
        "stock3": "g1", "count3": "none", "low3": "200",
    }  # fmt: skip
    before = log.book.count_events()
    outcome = make_set(log, typed, By(who="AB"))
    assert isinstance(outcome, Refused)
    assert [one.subject for one in outcome.findings] == ["fish 1", "him", "him", "g1", "g1"]
    assert log.book.count_events() == before


def test_a_set_of_nobody_is_refused(log: RoomLog) -> None:
    found = typed_set({}, kept_lines(log.book), NOW)
    assert isinstance(found, tuple)
    (one,) = found
    assert isinstance(one, Finding)
    assert one.wanted
