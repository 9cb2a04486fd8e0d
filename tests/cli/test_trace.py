"""`tankwright trace` on a plan with a logbook."""

from __future__ import annotations

import json
from datetime import timedelta
from pathlib import Path

from tankwright.husbandry.facts import Tally, came, moved
from tankwright.husbandry.records import Draft
from tankwright.logbook.outcome import By
from tankwright.workspace.log import RoomLog
from tankwright.workspace.opened import open_plan

from ..web.pages.reader import SMALL
from .conftest import Run


def lived(folder: Path) -> None:
    """Fish bought into A1 ten days ago, moved to A2 five days ago."""
    plan = folder / "plan.toml"
    plan.write_text(SMALL, "utf-8")
    room = open_plan(plan).room
    log = RoomLog(plan, room=lambda: room)
    one, two = (log.book.place_labelled(name) for name in ("A1", "A2"))
    assert one is not None
    assert two is not None
    now = log.now()
    log.book.record(
        [
            Draft(kind="stock_opened", happened=now - timedelta(days=10), stock="s",
                  details={"label": "guppies", "kind": "group"}),
            came("arrived", "s", one.id, Tally(number=6), now - timedelta(days=10)),
            moved("s", one.id, two.id, 2, now - timedelta(days=5)),
        ],
        By(who="AB"),
    )  # fmt: skip


def since(days: int, folder: Path) -> str:
    return (RoomLog(folder / "plan.toml").now() - timedelta(days=days)).strftime("%Y-%m-%d")


def test_it_names_tanks_with_their_chains(run: Run, tmp_path: Path) -> None:
    lived(tmp_path)
    told = run("trace", "plan.toml", "A1", "--since", since(8, tmp_path))
    assert told.exit_code == 1
    assert "A1 could have reached 1 tank" in told.output
    assert "fish (guppies) were moved from A1 to A2" in told.output
    back = run("trace", "plan.toml", "A2", "--since", since(8, tmp_path), "--back")
    assert "A2 could have it from 1 tank" in back.output


def test_after_the_move_nobody_is_named(run: Run, tmp_path: Path) -> None:
    lived(tmp_path)
    told = run("trace", "plan.toml", "A1", "--since", since(2, tmp_path))
    assert told.exit_code == 0
    assert "nothing that is written down" in told.output


def test_as_json_it_has_every_hop(run: Run, tmp_path: Path) -> None:
    lived(tmp_path)
    told = json.loads(run("trace", "plan.toml", "A1", "--since", since(8, tmp_path), "--json").output)
    (one,) = told["reached"]
    assert (one["place"], one["certain"], one["chain"][0]["carrier"]) == ("A2", True, "fish")


def test_what_is_not_there_is_told(run: Run, tmp_path: Path) -> None:
    (tmp_path / "plan.toml").write_text(SMALL, "utf-8")
    assert run("trace", "plan.toml", "A1", "--since", "2026-01-01").exit_code == 2
    assert not (tmp_path / "plan.toml.tankwright").exists()
    lived(tmp_path)
    told = run("trace", "plan.toml", "A9", "--since", since(8, tmp_path))
    assert told.exit_code == 2
    assert "is not in the logbook" in told.output
    assert run("trace", "plan.toml", "A1", "--since", "2999-01-01").exit_code == 2
    assert run("trace", "none.toml", "A1", "--since", "2026-01-01").exit_code == 2
