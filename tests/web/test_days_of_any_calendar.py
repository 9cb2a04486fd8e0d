"""Days a clock cannot tell, typed into an address: the page says what it can and never falls over."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from tankwright.workspace.keeping import Hand
from tankwright.workspace.keeping_coming import NewFish, arrived
from tankwright.workspace.log import RoomLog
from tankwright.workspace.opened import open_plan

from .test_bad_input import CELLAR, Sender

ADDRESSES = [
    "/trace?tank=A3&since={}", "/happened?since={}", "/happened?until={}", "/fish?at={}", "/waters?since={}",
    "/due?until={}", "/papers/census.pdf?until={}", "/papers/losses.pdf?from={}", "/papers/losses.zip?from={}&until={}",
]  # fmt: skip


@pytest.fixture(scope="module")
def sender(tmp_path_factory: pytest.TempPathFactory) -> Sender:
    folder = tmp_path_factory.mktemp("days")
    made = Sender(folder, CELLAR)
    room = open_plan(folder / "plan.toml").room
    hand = Hand(
        log=RoomLog(folder / "plan.toml", room=lambda: room), who="Ada", at=datetime(2026, 8, 2, tzinfo=UTC)
    )
    arrived(hand, "A3", 12, NewFish(label="Tetras"))
    return made


@pytest.mark.parametrize(
    "day", ["0001-01-01", "0000-00-00", "1850-01-01", "9999-12-31", "99999-01-01", "\u0661\u0662"]
)
@pytest.mark.parametrize("address", ADDRESSES)
def test_no_day_breaks_a_page(address: str, day: str, sender: Sender) -> None:
    answer = sender.ask("GET", address.format(day, day))
    assert answer.status_code in {200, 404, 422}, answer.text[:300]
