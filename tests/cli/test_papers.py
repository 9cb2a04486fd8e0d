"""`tankwright papers`: what it writes, and how it leaves."""

from __future__ import annotations

import csv
import sqlite3
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from tankwright.cli.main import main
from tankwright.documents.papers.all import PAPERS
from tankwright.husbandry.facts import Tally, came, died
from tankwright.husbandry.records import Draft
from tankwright.logbook.outcome import By, Recorded
from tankwright.workspace.log import RoomLog

EXAMPLE = Path(__file__).parent.parent.parent / "examples" / "garage.toml"
BEFORE = datetime.now(UTC) - timedelta(days=100)


@pytest.fixture
def plan(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "plan.toml"
    path.write_text(EXAMPLE.read_text("utf-8"), "utf-8")
    return path


def fill(plan: Path) -> RoomLog:
    log = RoomLog(plan)
    drafts = [
        Draft(kind="place_opened", happened=BEFORE, place="p", details={"label": "Vat", "kind": "vat"}),
        Draft(kind="line_opened", happened=BEFORE, line="blue", details={"name": "Blue", "species": "Fish"}),
        Draft(kind="stock_opened", happened=BEFORE, stock="s", line="blue",
              details={"label": "Blue 1", "kind": "group", "line": "blue"}),
        came("arrived", "s", "p", Tally(number=20), BEFORE), died("s", "p", 3, BEFORE + timedelta(days=9)),
    ]  # fmt: skip
    assert isinstance(log.book.record(drafts, By(who="AB")), Recorded)
    return log


def run(*words: str) -> Result:
    return CliRunner().invoke(main, ["papers", *words])


def test_without_a_paper_they_are_listed_with_what_they_take(plan: Path) -> None:
    told = run(str(plan))
    assert told.exit_code == 0
    for one in PAPERS:
        assert one.purpose in told.stdout
    assert "--brood --until" in told.stdout


def test_a_plan_without_entries_is_told_so_and_gets_no_logbook(plan: Path) -> None:
    told = run(str(plan), "census")
    assert told.exit_code == 2
    assert "PAPER-07" in told.stderr
    assert [one.name for one in plan.parent.iterdir()] == ["plan.toml"]


def test_a_folder_gets_the_pdf_and_every_table(plan: Path) -> None:
    fill(plan)
    told = run(str(plan), "census", "--out", "out")
    assert told.exit_code == 0, told.output
    assert sorted(one.name for one in Path("out").iterdir()) == [
        "census-ages.csv", "census-balance.csv", "census.csv", "census.pdf"
    ]  # fmt: skip
    assert Path("out/census.pdf").read_bytes().startswith(b"%PDF")
    with Path("out/census-balance.csv").open(encoding="utf-8", newline="") as file:
        (blue, whole) = csv.DictReader(file)
    assert (blue["line"], blue["came"], blue["dead"], blue["after"]) == ("Blue", "20", "-3", "17")
    assert whole["after"] == "17"


def test_a_file_gets_the_pdf_or_the_one_table(plan: Path) -> None:
    fill(plan)
    assert run(str(plan), "losses", "--out", "l.pdf").exit_code == 0
    assert run(str(plan), "treatments", "--out", "t.csv").exit_code == 0
    assert Path("t.csv").read_text("utf-8").startswith("began,days,tank")
    assert run(str(plan), "strain", "--line", "blue").exit_code == 0
    assert len(list(plan.parent.glob("plan-strain-*.pdf"))) == 1


@pytest.mark.parametrize("out", ["many.csv", "odd.docx"])
def test_a_file_that_will_not_do_is_refused_and_nothing_written(out: str, plan: Path) -> None:
    fill(plan)
    told = run(str(plan), "losses", "--out", out)
    assert told.exit_code == 2
    assert out in told.stderr
    assert not Path(out).exists()


def test_all_that_is_wrong_is_told_at_once(plan: Path) -> None:
    fill(plan)
    told = run(str(plan), "strain", "--line", "Bleu", "--from", "2026-02-02", "--until", "2026-01-01")
    assert told.exit_code == 2
    assert "PAPER-02" in told.stderr
    assert "PAPER-05" in told.stderr
    assert "try     Blue" in told.stderr


def test_no_plan_is_told_so(tmp_path: Path) -> None:
    told = run(str(tmp_path / "none.toml"), "census")
    assert told.exit_code == 2
    assert list(tmp_path.iterdir()) == []


def test_a_plan_with_mistakes_still_gives_the_papers_of_its_logbook(plan: Path) -> None:
    fill(plan)
    plan.write_text("title = 3\n[room", "utf-8")
    told = run(str(plan), "inspection", "--out", "i")
    assert told.exit_code == 0, told.output
    assert (Path("i") / "inspection.pdf").exists()


def test_a_logbook_changed_from_outside_is_said_to_be_so(plan: Path) -> None:
    log = fill(plan)
    path = log.path
    log.book.close()
    with sqlite3.connect(path) as connection:
        for (name,) in connection.execute("select name from sqlite_master where type = 'trigger'").fetchall():
            connection.execute(f"drop trigger {name}")
        connection.execute("update event set note = 'forged' where serial = 4")
    told = run(str(plan), "census", "--out", "c.pdf")
    assert told.exit_code == 1
    assert "was changed from outside; the paper says so" in told.stderr
    assert Path("c.pdf").exists()
