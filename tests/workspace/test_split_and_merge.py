"""Split and put together again, fish are as many as before and as related, to each other and to all others: the tenth
of the twelve properties."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tankwright.husbandry.kinship import kinships
from tankwright.husbandry.pedigree import pedigree_of
from tankwright.husbandry.register import Member, OriginShare
from tankwright.logbook.outcome import Recorded
from tankwright.workspace import keeping_groups
from tankwright.workspace.keeping import Hand
from tankwright.workspace.keeping_coming import NewFish, arrived, born
from tankwright.workspace.keeping_groups import merged, set_made, split
from tankwright.workspace.log import RoomLog
from tankwright.workspace.opened import Opened, open_plan

from .rooms import Clock

CELLAR = Path(__file__).parent.parent.parent / "examples" / "cellar.toml"
START = datetime(2026, 7, 1, 8, tzinfo=UTC)


@pytest.fixture(scope="module")
def opened() -> Opened:
    return open_plan(CELLAR)


class Keeper:
    """A room with founders in A1, their young in A2, and others of the same set in A3."""

    def __init__(self, folder: Path, opened: Opened) -> None:
        self.log = RoomLog(folder / "plan.toml", now=Clock(), room=lambda: opened.room)
        self.day = 0
        self.did(arrived(self.hand(), "A1", 20, NewFish(label="old", kind="group", came_from="a show")))
        pair = (Member(stock="old", count=2, sex="male"), Member(stock="old", count=6, sex="female"))
        self.did(set_made(self.hand(), "A1", pair, label="first"))
        self.did(born(self.hand(), "A2", 40, label="young", parents="first"))
        self.did(born(self.hand(), "A3", 30, label="others", parents="first"))

    def hand(self) -> Hand:
        self.day += 1
        return Hand(log=self.log, who="Ada", at=START + timedelta(days=self.day))

    def did(self, outcome: object) -> None:
        assert isinstance(outcome, Recorded), outcome

    def kinship_of(self, label: str) -> dict[str, object]:
        """All that is known of how related a stock is, by the labels of the others."""
        book = self.log.book
        stocks = book.stocks(closed=True)
        known = kinships(pedigree_of(stocks, book.sets()), unknown=0.125)
        (own,) = (one.id for one in stocks if one.label == label)
        others = {
            one.label: known.between(own, one.id)
            for one in stocks
            if one.label in {"old", "others"} - {label}
        }
        return {"inbreeding": known.inbreeding(own), "within": known.within(own), **others}

    def split_and_merge(self, tank: str, label: str, number: int) -> None:
        self.did(split(self.hand(), tank, number, stock=label, label="part"))
        self.did(merged(self.hand(), tank, label="whole"))

    def held(self, label: str) -> int:
        fish = self.log.book.stock_labelled(label)
        assert fish is not None
        return sum(one.held for one in self.log.book.holdings(stock=fish.id))


@pytest.mark.parametrize("number", [1, 7, 39])
def test_young_that_are_split_and_put_together_are_as_before(
    tmp_path: Path, opened: Opened, number: int
) -> None:
    keeper = Keeper(tmp_path, opened)
    before, young = keeper.kinship_of("young"), keeper.log.book.stock_labelled("young")
    assert young is not None
    keeper.split_and_merge("A2", "young", number)
    whole = keeper.log.book.stock_labelled("whole")
    assert whole is not None
    assert keeper.held("whole") == 40
    assert [(one.breeding_set, round(one.share, 12)) for one in whole.origin] == [
        (one.breeding_set, one.share) for one in young.origin
    ]
    assert keeper.kinship_of("whole") == pytest.approx(before)
    assert keeper.log.book.conflicts() == ()


def test_founders_that_are_split_and_put_together_stay_those_that_were_bought(
    tmp_path: Path, opened: Opened
) -> None:
    keeper = Keeper(tmp_path, opened)
    old = keeper.log.book.stock_labelled("old")
    assert old is not None
    within = keeper.kinship_of("old")["within"]
    keeper.split_and_merge("A1", "old", 5)
    whole = keeper.log.book.stock_labelled("whole")
    assert whole is not None
    assert whole.origin == (OriginShare(founders=old.id, share=pytest.approx(1.0)),)
    assert keeper.held("whole") == 20
    assert keeper.kinship_of("whole")["within"] == within


def test_a_program_that_forgets_whence_a_part_came_is_caught(
    tmp_path: Path, opened: Opened, monkeypatch: pytest.MonkeyPatch
) -> None:
    keeper = Keeper(tmp_path, opened)
    before = keeper.kinship_of("young")
    monkeypatch.setattr(keeping_groups, "_origin", lambda _fish: ())
    keeper.split_and_merge("A2", "young", 7)
    assert keeper.kinship_of("whole") != before
