"""`tankwright log` and `tankwright census`: what happened goes in with words, what lives where comes out."""

from __future__ import annotations

import csv
import io
import json
import re
from pathlib import Path

import pytest
from click.testing import Result

from tankwright.workspace.log import RoomLog

from .conftest import Run

EXAMPLE = Path(__file__).parents[2] / "examples" / "cellar_mended.toml"


@pytest.fixture
def log(run: Run, tmp_path: Path) -> Run:
    """Write something down in the cellar's logbook."""
    (tmp_path / "room.toml").write_bytes(EXAMPLE.read_bytes())

    def call(*words: str) -> Result:
        return run("log", "room.toml", *words)

    return call


CREEK = ("--stock", "Tetras", "--line", "Creek", "--species", "Hyphessobrycon amandae", "--from", "a friend")


def said(result: Result) -> str:
    assert result.exit_code == 0, result.output
    return result.output


def census(run: Run, *words: str) -> str:
    return said(run("census", "room.toml", *words))


def test_fish_go_through_their_life_in_words(log: Run, run: Run) -> None:
    assert "12 Tetras came from a friend, 24 EUR" in said(
        log("A3", "arrived", "12", *CREEK, "--price", "24", "--currency", "EUR", "--at", "2026-10-01 08:00")
    )
    said(log("A3", "pair", "1+1", "--label", "The pair", "--at", "2026-10-02"))
    assert "Spawn of The pair, 80 eggs" in said(log("a3", "spawn", "80", "60-100", "--at", "2026-10-03"))
    assert "about 30 (20 to 40) Brood 1 born" in said(
        log("A3", "born", "30", "20-40", "--label", "Brood 1", "--at", "2026-10-05")
    )
    said(log("A3", "move", "4", "--stock", "Tetras", "--to", "A4", "--at", "2026-10-06"))
    said(log("A3", "died", "--stock", "Tetras", "--cause", "old age", "--at", "2026-10-07"))
    said(log("A4", "count", "3", "--at", "2026-10-08"))
    said(
        log("A4", "sold", "1", "--by", "a club", "--price", "3.50", "--currency", "EUR", "--at", "2026-10-09")
    )
    said(log("A3", "split", "2", "--stock", "Tetras", "--label", "Two", "--to", "B1", "--at", "2026-10-10"))
    assert "about 26, 13 to 52" in said(log("A3", "guess", "26", "--stock", "Brood 1", "--at", "2026-10-11"))
    said(log("A3", "guess", "25", "20-30", "--stock", "Brood 1", "--at", "2026-10-11 18:00"))
    said(log("A3", "measured", "2.1 cm", "--stock", "Tetras", "--at", "2026-10-12"))
    rows = {(one["tank"], one["stock"]): one["fish"] for one in json.loads(census(run, "--json"))}
    assert rows == {("A3", "Tetras"): 5, ("A3", "Brood 1"): 25, ("A4", "Tetras"): 2, ("B1", "Two"): 2}
    told = census(run)
    assert "about 25 (20 to 30)" in told
    assert re.search(r"^  A3 +Brood 1", told, re.MULTILINE)


def test_a_past_day_is_counted_as_it_was_and_put_together_otherwise(log: Run, run: Run) -> None:
    said(log("A3", "arrived", "12", *CREEK, "--at", "2026-10-01"))
    said(log("A3", "died", "5", "--at", "2026-10-05"))
    assert "12 fish" in census(run, "--at", "2026-10-04")
    assert "7 fish" in census(run, "--at", "2026-10-05", "--by", "line")
    assert "No fish were written down by then." in census(run, "--at", "2026-09-01")
    rows = list(csv.DictReader(io.StringIO(census(run, "--csv", "--by", "stock"))))
    assert [(one["stock"], one["fish"], one["line"], one["from"]) for one in rows] == [
        ("Tetras", "7", "Creek", "a friend")
    ]


def test_water_looks_and_notes_are_written_too(log: Run, tmp_path: Path) -> None:
    assert "pH 7.2" in said(log("A3", "ph", "7,2"))
    assert "KH 4 °dH" in said(log("A3", "kh", "4 °dH", "--note", "drops"))
    assert "KH 3 to 4 °dH" in said(log("A3", "kh", "3-4"))
    said(log("A3", "looked"))
    said(log("A3", "fed", "flakes"))
    said(log("A3", "note", "a", "torn", "fin"))
    (tmp_path / "leak.png").write_bytes(b"\x89PNG\r\n\x1a\n....")
    assert "Incident: leak" in said(log("A3", "incident", "leak", "--photo", "leak.png"))
    kinds = [one.kind for one in RoomLog(tmp_path / "room.toml").book.events() if one.kind != "place_opened"]
    assert kinds == ["tested", "tested", "tested", "looked", "fed", "noted", "incident"]


def test_what_was_wrong_is_voided_or_corrected_with_a_reason(log: Run, run: Run) -> None:
    number = said(log("A3", "arrived", "12", *CREEK)).strip().splitlines()[-1].split()[0]
    second = said(log("A3", "correct", number, "13", "one hid")).strip().splitlines()[-1].split()[0]
    assert "13 fish" in census(run)
    assert log("A3", "void", second).exit_code == 1
    assert "voided: wrong tank" in said(log("A3", "void", second, "wrong", "tank"))
    assert "No fish are written down." in census(run)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("A3", "died", "13"), "Tetras in A3 has 12 and cannot give 13"),
        (("A3", "move", "4", "--to", "Q99"), 'there is no place "Q99"'),
        (("Q99", "count", "4"), 'there is no place "Q99"'),
        (("A3", "danced"), 'cannot be of "danced"'),
        (("A3", "count", "four"), 'cannot be "four"'),
        (("A3", "count", "4", "5"), 'does not take "5"'),
        (("A3", "ph", "72"), "ph of 72 is beyond what can be read"),
        (("A3", "count", "4", "--at", "soon"), 'cannot be "soon"'),
        (("A3", "count", "4", "--at", "2199-01-01"), "lies ahead of now"),
        (("A3", "pair", "two"), "does not say how many males and females"),
        (("A3", "arrived", "4", "--line", "Crek"), 'there is no line "Crek"'),
        (("A3", "measured", "long"), 'cannot be "long"'),
        (("A3", "correct", "1"), "says too little"),
    ],
)
def test_what_cannot_be_is_refused_in_words_and_changes_nothing(
    words: tuple[str, ...], told: str, log: Run, run: Run
) -> None:
    said(log("A3", "arrived", "12", *CREEK))
    result = log(*words)
    assert result.exit_code == 1
    assert told in result.output
    assert "12 fish" in census(run)


def test_a_plan_that_is_not_there_is_said_and_one_that_is_broken_keeps_what_is_written(
    run: Run, tmp_path: Path
) -> None:
    for command in (("log", "none.toml", "A3", "looked"), ("census", "none.toml")):
        result = run(*command)
        assert (result.exit_code, "there is no such plan" in result.output) == (2, True)
    (tmp_path / "room.toml").write_text("title = ", "utf-8")
    said(run("log", "room.toml", "Z9", "arrived", "3", "--stock", "Ricefish"))
    assert "3 fish" in census(run)


def test_a_census_of_a_plan_without_a_logbook_makes_none(run: Run, tmp_path: Path) -> None:
    (tmp_path / "room.toml").write_bytes(EXAMPLE.read_bytes())
    assert "No fish are written down." in census(run)
    assert not (tmp_path / "room.tankwright").exists()
