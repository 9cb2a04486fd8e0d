"""The life of a brood out of a logbook, in words, drawn and on paper."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tankwright.display import sentence
from tankwright.husbandry.between_broods import AcrossBroods
from tankwright.husbandry.brood_counts import HatchShare
from tankwright.husbandry.facts import Tally, came, counted, died, regrouped, spawned
from tankwright.husbandry.growth import GrowthFit
from tankwright.husbandry.records import Draft, Observed
from tankwright.logbook.outcome import By, Recorded
from tankwright.report.brood import growth_lines, hatch_line, kin_line, survival_lines
from tankwright.workspace.brood_work import BroodLife, brood_life
from tankwright.workspace.log import RoomLog

NOW = datetime(2026, 11, 1, 20, tzinfo=UTC)
BORN = NOW - timedelta(days=70)


@pytest.fixture
def log(tmp_path: Path) -> RoomLog:
    """A brood of a pair, counted at 20, 30 and 60 days, measured five times, split once; and one of its kin."""
    made = RoomLog(tmp_path / "plan.toml", now=lambda: NOW)
    at = BORN - timedelta(days=60)

    def day(number: float) -> datetime:
        return BORN + timedelta(days=number)

    def stock(name: str, kind: str, when: datetime, **more: object) -> Draft:
        details = {"label": name, "kind": kind, **more}
        return Draft(kind="stock_opened", happened=when, stock=name, line="l", details=details)  # type: ignore[arg-type] # JSON

    def measured(number: float, mm: float) -> Draft:
        seen = (Observed(quantity="length", value=mm, unit="mm"),)
        return Draft(kind="measured", happened=day(number), stock="b", observed=seen, details={"number": 5})

    origin = ({"breeding_set": "s", "share": 1.0},)
    drafts = [
        *(Draft(kind="place_opened", happened=at, place=name, details={"label": name, "kind": "tank"})
          for name in ("A1", "A2")),
        Draft(kind="line_opened", happened=at, line="l", details={"name": "Slate", "species": "Danio rerio"}),
        stock("hen", "individual", at, sex="female"), stock("cock", "individual", at, sex="male"),
        came("arrived", "hen", "A1", Tally(number=1), at), came("arrived", "cock", "A1", Tally(number=1), at),
        Draft(kind="set_made", happened=at, place="A1", details={"set": "s", "label": "pair", "members": (
            {"stock": "hen", "count": 1, "sex": "female"}, {"stock": "cock", "count": 1, "sex": "male"})}),
        stock("kin", "brood", at + timedelta(days=5), born=(at + timedelta(days=5)).date().isoformat(), origin=origin),
        came("born", "kin", "A2", Tally(number=50), at + timedelta(days=5)),
        counted("kin", "A2", 40, at + timedelta(days=45)),
        spawned("A1", day(-3), breeding_set="s", eggs=Tally(number=100, low=90, high=120)),
        stock("b", "brood", BORN, born=BORN.date().isoformat(), origin=origin),
        came("born", "b", "A1", Tally(number=60), BORN), died("b", "A1", 6, day(5)), counted("b", "A1", 50, day(20)),
        *(measured(number, 26 * (1 - 0.8 * 0.965**number)) for number in (7, 14, 28, 42, 63)),
        Draft(kind="noted", happened=day(29), place="A1", stock="b", note="all well", details={"photo": "b-29.jpg"}),
        counted("b", "A1", 48, day(30)),
        stock("split", "brood", day(40), born=BORN.date().isoformat(), origin=origin),
        regrouped([("split", "A2", 10), ("b", "A1", -10)], day(40)),
        counted("b", "A1", 37, day(60)),
    ]  # fmt: skip
    assert isinstance(made.book.record(drafts, By(who="AB", key="filled")), Recorded)
    return made


def _life(log: RoomLog, name: str = "b") -> BroodLife:
    stock = log.book.stock(name)
    assert stock is not None
    life = brood_life(log.book, stock, NOW)
    assert life is not None
    return life


def test_what_a_breeding_report_asks_for_is_known(log: RoomLog) -> None:
    life = _life(log)
    assert life.parents == ("hen", "cock")
    assert (life.line, life.species) == ("Slate", "Danio rerio")
    assert life.spawn is not None
    assert life.hatched == HatchShare(spawn=life.spawn.id, share=0.6, low=0.5, high=pytest.approx(2 / 3))
    assert [(one.how, one.number) for one in life.numbers] == [("counted", 48), ("counted", 37)]
    assert life.photos == ("b-29.jpg",)
    assert life.age == pytest.approx(70)
    assert isinstance(life.fit, GrowthFit)
    assert life.course.total("withdrawn") == 10, "the split that is told of another stock counts too"
    assert life.kin is not None
    assert life.kin.broods == 2, "the split was not seen at 30 days"


def test_fish_that_are_no_brood_have_no_such_life(log: RoomLog) -> None:
    hen = log.book.stock("hen")
    assert hen is not None
    assert brood_life(log.book, hen, NOW) is None


def test_its_life_is_told_with_what_is_not_known(log: RoomLog) -> None:
    life = _life(log)
    said = [sentence(line.text, line.numbers, "metric") for line in survival_lines(life.course, life.table)]
    assert said[0] == "at first 60; seen dead 6, taken out alive 10"
    assert said[1].startswith("missing, and nobody knows how: 7. Both ends are told")
    assert said[2].startswith("alive after 60 days: 78 % to 90 %, with chance ")
    assert said[2].endswith("of this brood, not of broods like it")
    assert life.kin is not None
    kin = kin_line(life.kin, "Slate", 30)
    assert "over 2 broods" in kin.text
    one = kin_line(AcrossBroods(broods=1, share=0.5), "Slate", 30)
    assert one.text.endswith("one says nothing of how broods differ")
    assert (
        hatch_line(HatchShare(spawn="", share=0.5, low=0.5, high=0.5)).text == "of its eggs {share} hatched"
    )
    assert [line.text for line in growth_lines("too few", None)] == ["too few"]
