"""`tankwright lines`: what it says of the logbook's lines, and how it leaves."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from tankwright.cli.main import main
from tankwright.husbandry.facts import Tally, came
from tankwright.husbandry.records import Draft, Plain
from tankwright.logbook.outcome import By, Recorded
from tankwright.workspace.log import RoomLog

EXAMPLE = Path(__file__).parent.parent.parent / "examples" / "garage.toml"
BEFORE = datetime.now(UTC) - timedelta(days=100)


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    path = tmp_path / "plan.toml"
    path.write_text(EXAMPLE.read_text("utf-8"), "utf-8")
    return path


def opened(stock: str, **details: Plain) -> Draft:
    return Draft(
        kind="stock_opened", happened=BEFORE, stock=stock, line="blue",
        details={"label": f"Blue {stock}", "kind": "brood", "line": "blue", **details},
    )  # fmt: skip


def fill(plan: Path, least: int) -> None:
    members: tuple[Plain, ...] = (
        {"stock": "him", "count": 1, "sex": "male"}, {"stock": "her", "count": 1, "sex": "female"},
    )  # fmt: skip
    drafts = [
        Draft(kind="place_opened", happened=BEFORE, place="p", details={"label": "Vat", "kind": "vat"}),
        Draft(kind="line_opened", happened=BEFORE, line="blue",
              details={"name": "Blue", "species": "Fish", "least_breeders": least}),
        opened("him", kind="individual", sex="male", came_from="one"),
        opened("her", kind="individual", sex="female", came_from="another"),
        Draft(kind="set_made", happened=BEFORE, details={"set": "s0", "members": members}),
        opened("g1", origin=({"breeding_set": "s0", "share": 1.0},)),
        *(came("arrived", one, "p", Tally(number=1), BEFORE) for one in ("him", "her")),
        came("born", "g1", "p", Tally(number=20), BEFORE),
    ]  # fmt: skip
    assert isinstance(RoomLog(plan).book.record(drafts, By(who="AB")), Recorded)


def run(*words: str) -> Result:
    return CliRunner().invoke(main, ["lines", *words])


def test_a_plan_without_a_logbook_is_told_so_and_gets_none(plan: Path) -> None:
    found = run(str(plan))
    assert found.exit_code == 2
    assert "no logbook yet" in found.stderr
    assert sorted(one.name for one in plan.parent.iterdir()) == ["plan.toml"]


def test_lines_are_listed_and_what_is_wrong_is_told(plan: Path) -> None:
    fill(plan, 6)
    found = run(str(plan))
    assert found.exit_code == 1
    assert "Blue" in found.stdout
    assert "2.62" in found.stdout
    assert "LINE-09" in found.stdout


def test_one_line_is_told_in_full_with_mates(plan: Path) -> None:
    fill(plan, 2)
    found = run(str(plan), "Blue", "--mates")
    assert "22 fish in 3 stocks" in found.stdout
    assert "Blue him x Blue her: 0 %" in found.stdout
    none = run(str(plan), "Blue", "--mates", "--limit", "0", "--json")
    assert json.loads(none.stdout)[0]["mates"] == [{"male": "Blue him", "female": "Blue her", "kinship": 0.0}]


def test_a_set_is_tried_by_the_labels_of_its_fish(plan: Path) -> None:
    fill(plan, 2)
    before = RoomLog(plan).book.count_events()
    found = run(str(plan), "--try", "Blue g1", "Blue g1")
    assert found.exit_code == 0
    assert "inbreeding of the young 25 %" in found.stdout
    assert run(str(plan), "--try", "Blue g1", "nobody").exit_code == 2
    assert RoomLog(plan).book.count_events() == before


def test_json_has_shares_and_null_for_what_is_not_known(plan: Path) -> None:
    fill(plan, 2)
    (line,) = json.loads(run(str(plan), "--json").stdout)
    assert line["mean_inbreeding"] == 0
    assert line["effective_size"] == pytest.approx(2.618, abs=1e-3)
    assert line["regenerate_by"] is None


def test_an_unknown_line_is_answered_with_those_there_are(plan: Path) -> None:
    fill(plan, 2)
    found = run(str(plan), "Bleu")
    assert found.exit_code == 2
    assert "there are: Blue" in found.stderr
