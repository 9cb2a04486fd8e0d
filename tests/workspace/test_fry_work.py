"""Fry space of an open plan: rules as they are typed and kept, and the forecast from a logbook."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from tankwright.husbandry.facts import Tally, came, counted, spawned
from tankwright.husbandry.fry_model import DensityBand, FryRules
from tankwright.husbandry.records import Draft
from tankwright.logbook.outcome import By
from tankwright.workspace import fry_work
from tankwright.workspace.fry_rules import NAME, FryKept, read_rules, typed_rules, write_rules
from tankwright.workspace.fry_work import fry_space
from tankwright.workspace.log import RoomLog

NOW = datetime(2026, 11, 1, 20, tzinfo=UTC)
OWN = FryKept(
    rules=FryRules(
        density=(DensityBand(up_to=0.008, per_litre=12.0), DensityBand(up_to=None, per_litre=1.5)), gone_days=75.0,
        lead_days=7.0, limit=0.2, apart="line",
    ),
    tanks=("A1", "A2"), left_out=("s",),
)  # fmt: skip


def test_rules_are_read_as_they_were_kept(tmp_path: Path) -> None:
    assert read_rules(tmp_path / "plan.tankwright") == (FryKept(), None)
    assert write_rules(tmp_path / "plan.tankwright", OWN) is None
    assert read_rules(tmp_path / "plan.tankwright") == (OWN, None)


@pytest.mark.parametrize(
    "text", ["", "[]", '{"density": [{"up_to_m": 1}]}', '{"gone_days": -4}', '{"limit": "much"}', "[" * 5000]
)
def test_a_damaged_file_is_told_and_the_usual_rules_taken(tmp_path: Path, text: str) -> None:
    (tmp_path / NAME).write_text(text, encoding="utf-8")
    kept, wrong = read_rules(tmp_path)
    assert kept == FryKept()
    assert wrong is not None
    assert wrong.code == "FRY-10"
    assert wrong.subject == NAME


def test_rules_that_cannot_be_kept_are_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    wrong = write_rules(tmp_path / "file", OWN)
    assert wrong is not None
    assert wrong.code == "FRY-11"


def test_what_is_typed_is_read_with_its_units() -> None:
    typed = {
        "up_to_0": "8 mm", "per_litre_0": "12", "per_litre_3": "1,5", "gone_days": "75", "lead_days": "7", "limit": "2",
        "apart": "line",
    }  # fmt: skip
    assert typed_rules(typed, ["A1", "A2", "A1"], ["s"]) == OWN
    assert typed_rules({}, None, []) == FryKept()
    last = typed_rules(
        {"up_to_0": "8 mm", "per_litre_0": "12", "up_to_1": "3 cm", "per_litre_1": "1"}, [], []
    )
    assert isinstance(last, FryKept)
    assert last.rules.density[-1].up_to is None, "the last band holds for all longer ones"


def test_all_that_is_wrong_is_told_at_once() -> None:
    typed = {
        "up_to_0": "eight", "per_litre_0": "12", "up_to_1": "9 mm", "per_litre_1": "-3", "up_to_2": "4 mm",
        "per_litre_2": "1", "per_litre_3": "2", "per_litre_4": "1", "gone_days": "2", "limit": "11",
        "lead_days": "soon",
    }  # fmt: skip
    wrong = typed_rules(typed, [], [])
    assert isinstance(wrong, tuple)
    assert [one.subject for one in wrong] == [
        "up_to_0", "per_litre_1", "up_to_2", "up_to_3", "gone_days", "lead_days", "limit",
    ]  # fmt: skip
    assert all(one.wanted for one in wrong)


def _filled(folder: Path, *, quiet: bool = False) -> RoomLog:
    """A book with a line, a pair that spawned five times, four broods of it and three tanks."""
    log = RoomLog(folder / "plan.toml", now=lambda: NOW)
    at = NOW - timedelta(days=200)
    drafts = [
        *(
            Draft(kind="place_opened", happened=at, place=name,
                  details={"label": name, "kind": "tank", **({"litres": 60.0} if name != "A4" else {})})
            for name in ("A1", "A2", "A3", "A4")
        ),
        Draft(kind="line_opened", happened=at, line="l", details={"name": "Slate", "species": "Danio rerio"}),
    ]  # fmt: skip
    for name, sex in (("f", "female"), ("m", "male")):
        drafts += [
            Draft(kind="stock_opened", happened=at, stock=name, line="l",
                  details={"label": name, "kind": "individual", "sex": sex}),
            came("arrived", name, "A3", Tally(number=1), at),
        ]  # fmt: skip
    members = tuple({"stock": name, "count": 1, "sex": sex} for name, sex in (("f", "female"), ("m", "male")))
    drafts.append(
        Draft(
            kind="set_made",
            happened=at,
            place="A3",
            details={"set": "s", "label": "pair", "members": members},
        )
    )
    last = 100 if quiet else 10
    for number in range(5):
        spawn = NOW - timedelta(days=last + 20 * (4 - number))
        drafts.append(spawned("A3", spawn, breeding_set="s", eggs=Tally(number=90)))
        if number < 4:
            born, stock = spawn + timedelta(days=3), f"b{number}"
            drafts += [
                Draft(kind="stock_opened", happened=born, stock=stock, line="l", details={
                    "label": f"Slate {number}", "kind": "brood", "born": born.date().isoformat(),
                    "origin": ({"breeding_set": "s", "share": 1.0},),
                }),
                came("born", stock, "A1", Tally(number=60), born),
                counted(stock, "A1", 45, born + timedelta(days=15)),
            ]  # fmt: skip
    drafts.sort(key=lambda one: one.happened)
    log.book.record(drafts, By(who="AB", key="filled"))
    return log


def test_nothing_is_told_and_no_file_made_while_nothing_was_kept(tmp_path: Path) -> None:
    log = RoomLog(tmp_path / "plan.toml", now=lambda: NOW)
    assert fry_space(log, NOW) is None
    assert not list(tmp_path.iterdir())


def test_the_forecast_stands_on_the_book(tmp_path: Path) -> None:
    space = fry_space(_filled(tmp_path), NOW, back=2)
    assert space is not None
    ask = space.forecast.ask
    assert [one.label for one in space.free] == ["A1", "A2"]
    assert {one.label for one in ask.standing} == {"Slate 0", "Slate 1", "Slate 2", "Slate 3"}
    assert ask.rates_of("l").of("eggs").own == 4
    assert [round(one.day, 3) for one in ask.coming[:1]] == [10.0], "ten days after the last, of twenty"
    assert space.line_name("l") == "Slate"
    codes = {one.code for one in space.findings}
    assert {"FRY-01", "FRY-05", "FRY-07"} <= codes
    assert "A4" in next(one.text for one in space.findings if one.code == "FRY-05")
    assert space.forecast.chance > 0.5
    assert space.forecast.decide == date(2026, 11, 1)


def test_own_rules_are_taken(tmp_path: Path) -> None:
    log = _filled(tmp_path)
    write_rules(log.folder, OWN)
    space = fry_space(log, NOW, back=0)
    assert space is not None
    assert space.kept == OWN
    assert space.forecast.ask.coming == (), "that pair's spawns are not raised"
    assert "FRY-07" not in {one.code for one in space.findings}
    tried = fry_space(log, NOW, kept=FryKept(tanks=("A2",)), back=0)
    assert tried is not None
    assert [one.label for one in tried.forecast.ask.tanks] == ["A2"]


def test_a_pair_gone_quiet_is_told(tmp_path: Path) -> None:
    space = fry_space(_filled(tmp_path, quiet=True), NOW, back=0)
    assert space is not None
    told = next(one for one in space.findings if one.code == "FRY-09")
    assert told.subject == "pair"
    assert told.text == "has not spawned for 3.3 months; its own usual interval is 20 days"


def test_a_large_book_is_read_brood_by_brood_to_the_same_end(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    log = _filled(tmp_path)
    whole = fry_space(log, NOW, back=0)
    monkeypatch.setattr(fry_work, "MANY", 0)
    narrow = fry_space(log, NOW, back=0)
    assert whole is not None
    assert narrow is not None
    assert narrow.forecast == whole.forecast
    assert not narrow.left_unread
    monkeypatch.setattr(fry_work, "MOST_BROODS", 2)
    fewer = fry_space(log, NOW, back=0)
    assert fewer is not None
    assert fewer.left_unread
