"""`tankwright parts`: the list printed, as files, as JSON; `basket --prices` cuts by the lists it is given."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest
from openpyxl import load_workbook

from .conftest import Run

MENDED = Path(__file__).parents[2] / "examples" / "cellar_mended.toml"
GUIDE = Path(__file__).parents[2] / "docs" / "how-to" / "list-the-parts.md"


@pytest.fixture
def cellar(tmp_path: Path) -> Path:
    place = tmp_path / "cellar.toml"
    place.write_bytes(MENDED.read_bytes())
    return place


def rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


def test_the_list_is_printed_by_shop_with_its_cost_and_what_has_none(run: Run, cellar: Path) -> None:
    said = run("parts", cellar.name)
    assert said.exit_code == 0
    assert "Cellar fish room" in said.output
    assert "pipe 50 mm ISO PN6" in said.output
    assert "EUR for what has a price" in said.output
    assert "have no price: their cost is not computed" in said.output


def test_by_place_each_piece_says_where_it_goes(run: Run, cellar: Path) -> None:
    said = run("parts", cellar.name, "--by", "place")
    assert said.exit_code == 0
    for words in ("Drain", "Racks", "rack A, shelf 1"):
        assert words in said.output


@pytest.mark.parametrize("by", ["shop", "place"])
def test_the_list_is_written_as_csv_with_a_line_each(run: Run, cellar: Path, tmp_path: Path, by: str) -> None:
    assert run("parts", cellar.name, "--by", by, "--csv", "list.csv").exit_code == 0
    told = json.loads(run("parts", cellar.name, "--json").stdout)
    text = (tmp_path / "list.csv").read_text("utf-8")
    if by == "shop":
        bought = {(one["article"], one["buy"]) for one in rows(text)}
        assert bought == {
            (one["article"], str(one["buy"])) for one in told["buy"] if one["needed"] or one["spare"]
        }
    else:
        heads = [line for line in text.splitlines() if line.startswith("mark,article,")]
        assert len(text.splitlines()) - len(heads) == len(told["needs"])


def test_all_lists_stand_in_one_workbook(run: Run, cellar: Path, tmp_path: Path) -> None:
    assert run("parts", cellar.name, "--xlsx", "list.xlsx").exit_code == 0
    book = load_workbook(tmp_path / "list.xlsx")
    assert book.sheetnames[0] == "To buy"
    assert {"Tanks", "Racks", "Drain", "Air", "Feed"} <= set(book.sheetnames)


def test_a_plan_that_cannot_be_read_says_where_and_writes_nothing(run: Run, tmp_path: Path) -> None:
    (tmp_path / "plan.toml").write_text("[buy]\nkerf = 3\n[rack\n", "utf-8")
    said = run("parts", "plan.toml", "--csv", "list.csv")
    assert said.exit_code == 2
    assert "plan.toml:3" in said.output
    assert not (tmp_path / "list.csv").exists()


def test_a_list_that_cannot_be_written_leaves_with_2(run: Run, cellar: Path) -> None:
    said = run("parts", cellar.name, "--csv", ".")
    assert said.exit_code == 2
    assert "is a directory" in said.output


def test_the_lists_of_the_basket_say_in_which_lengths_the_plan_is_cut(
    run: Run, cellar: Path, tmp_path: Path
) -> None:
    (tmp_path / "a.csv").write_text("article,shop,price,unit\npipe 50 mm ISO PN6,Corner,3,2.5 m\n", "utf-8")
    told = json.loads(run("basket", cellar.name, "--prices", "a.csv", "--json").stdout)
    lengths = {one["unit"] for one in told["lines"] if one["article"] == "pipe 50 mm ISO PN6"}
    assert lengths == {"2.5 m"}, "6 m and 3 m are what the plan says"


def test_the_guide_shows_what_the_command_prints(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    blocks = GUIDE.read_text("utf-8").split("```")[1::2]
    plan, printed = (
        next(one.split("\n", 1)[1] for one in blocks if one.startswith(kind)) for kind in ("toml", "text")
    )
    base = (Path(__file__).parents[1] / "plan" / "good_plan.toml").read_text("utf-8")
    (tmp_path / "plan.toml").write_text(f"{base}\n{plan}", "utf-8")
    monkeypatch.setenv("COLUMNS", "100")
    said = run("parts", "plan.toml").output.splitlines()
    for line in printed.splitlines():
        assert line.rstrip() in [one.rstrip() for one in said]
