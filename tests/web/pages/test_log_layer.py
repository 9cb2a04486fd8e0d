"""The switch of the drawing: layers of the logbook where there is one."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tankwright.husbandry.facts import water_tested
from tankwright.husbandry.records import Observed
from tankwright.logbook.store import By
from tankwright.workspace.log import RoomLog

from .reader import Reader, example


@pytest.fixture
def cellar(tmp_path: Path) -> Reader:
    return Reader(tmp_path, example("cellar_mended"))


def test_a_test_that_was_entered_colours_its_tank(cellar: Reader) -> None:
    log = RoomLog(cellar.path)
    assert cellar.good.room is not None
    log.follow_plan(cellar.good.room)
    first = cellar.see("/?layer=tests")
    assert re.search(r'<a href="[^"]*layer=tests"[^>]*aria-current="true">tests</a>', first.markup)
    assert "nitrite 0 mg" not in first.markup
    place = log.place("A3")
    assert place is not None
    at = datetime.now(UTC) - timedelta(hours=3)
    seen = (Observed(quantity="no2", value=0.0, unit="mg/L"),)
    log.book.record([water_tested(place.id, at, seen)], By(who="Ada"))
    again = cellar.see("/?layer=tests")
    assert "nitrite 0 mg/L: within its limits" in again.markup, "the plan stood still, the logbook did not"
    assert "never tested" in again.markup
    assert "nitrite 0 mg/L" in cellar.see("/look?layer=tests").markup
