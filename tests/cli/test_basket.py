"""`tankwright basket`: the guide's run, mistakes, files."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from tankwright.cli.main import main

EXAMPLE = Path(__file__).parents[1] / "plan" / "good_plan.toml"
GUIDE = Path(__file__).parents[2] / "docs" / "how-to" / "buy-from-several-shops.md"


def run(*words: str | Path) -> Result:
    return CliRunner().invoke(main, ["basket", *map(str, words)], prog_name="tankwright")


def blocks(language: str) -> list[str]:
    parts = GUIDE.read_text("utf-8").split("```")
    return [part.split("\n", 1)[1] for part in parts[1::2] if part.split("\n", 1)[0] == language]


@pytest.fixture
def shops(tmp_path: Path) -> Path:
    for name, text in zip(("needs.csv", "corner.csv", "valley.csv"), blocks("csv"), strict=True):
        (tmp_path / name).write_text(text, "utf-8")
    return tmp_path


def test_the_guide_shows_what_the_command_prints(shops: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(shops)
    monkeypatch.setenv("COLUMNS", "110")
    said = run(
        "--demand", "needs.csv", "--prices", "corner.csv", "--prices", "valley.csv", "--out", "list.csv"
    )
    assert said.exit_code == 1  # the guide wants something that no shop lists
    assert said.output.strip() == blocks("text")[0].strip()
    assert (
        (shops / "list.csv")
        .read_text("utf-8")
        .startswith("shop,article,unit,packs,pack,price,cost,currency,seen\n")
    )


def test_json_has_the_same_to_the_last_coin(shops: Path) -> None:
    words = [
        "--demand",
        shops / "needs.csv",
        "--prices",
        shops / "corner.csv",
        "--prices",
        shops / "valley.csv",
    ]
    said = run(*words, "--json")
    told = json.loads(said.stdout)
    assert told["proved_optimal"] is True
    assert f"In all {told['total']} EUR" in run(*words).output
    assert sum(float(one["cost"]) for one in told["lines"]) + sum(
        float(one["freight"]) for one in told["shops"]
    ) == pytest.approx(float(told["total"]))
    assert [one["article"] for one in told["unoffered"]] == ["bulkhead 25 mm"]


def test_all_mistakes_of_all_lists_are_told_and_nothing_is_written(tmp_path: Path) -> None:
    (tmp_path / "needs.csv").write_text("article,count\ntee,1\n", "utf-8")
    (tmp_path / "a.csv").write_text("article,shop,price\ntee,A,€1\nelbow,A,dear\n", "utf-8")
    (tmp_path / "b.csv").write_text("article,shop,price\ntee,B,£1\ntap,,2\n", "utf-8")
    words = ["--demand", tmp_path / "needs.csv", "--out", tmp_path / "list.csv"]
    said = run(*words, "--prices", tmp_path / "a.csv", "--prices", tmp_path / "b.csv")
    assert said.exit_code == 2
    for place in ("a.csv:3", "b.csv:2", "b.csv:3"):
        assert place in said.output
    assert not (tmp_path / "list.csv").exists()


def test_a_full_basket_leaves_with_0(tmp_path: Path) -> None:
    (tmp_path / "needs.csv").write_text("article,count\ntee,1\n", "utf-8")
    (tmp_path / "a.csv").write_text("article,shop,price\ntee,A,1\n", "utf-8")
    said = run("--demand", tmp_path / "needs.csv", "--prices", tmp_path / "a.csv")
    assert said.exit_code == 0
    assert "In all 1.00, proved the cheapest." in said.output


@pytest.mark.parametrize("missing", ["needs.csv", "a.csv", "both"])
def test_a_file_that_is_not_there_is_named(tmp_path: Path, missing: str) -> None:
    (tmp_path / "needs.csv").write_text("article,count\ntee,1\n", "utf-8")
    (tmp_path / "a.csv").write_text("article,shop,price\ntee,A,1\n", "utf-8")
    if missing == "both":
        said = run("--prices", tmp_path / "a.csv")
        assert "--demand" in said.output
    else:
        (tmp_path / missing).unlink()
        said = run("--demand", tmp_path / "needs.csv", "--prices", tmp_path / "a.csv")
        assert missing in said.output
    assert said.exit_code == 2


def test_a_list_of_needs_with_mistakes_is_refused(tmp_path: Path) -> None:
    (tmp_path / "needs.csv").write_text("article,count\ntee,half\n", "utf-8")
    said = run("--demand", tmp_path / "needs.csv", "--prices", tmp_path / "needs.csv")
    assert said.exit_code == 2
    assert "needs.csv:2" in said.output
    assert "BASKET-12" in said.output


def test_a_plan_is_bought_by_the_lists_given(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text("article,shop,price,currency,unit\n13 mm hose,A,1.10,EUR,m\n", "utf-8")
    said = run(EXAMPLE, "--prices", tmp_path / "a.csv")
    assert said.exit_code == 1
    assert "A: " in said.output
    assert "13 mm hose" in said.output
    assert "On no shop's list" in said.output


def test_a_plan_without_any_list_says_where_to_name_one() -> None:
    said = run(EXAMPLE)
    assert said.exit_code == 2
    assert "--prices" in said.output


def test_a_plan_with_mistakes_is_not_bought(tmp_path: Path) -> None:
    (tmp_path / "plan.toml").write_text("[room\n", "utf-8")
    (tmp_path / "a.csv").write_text("article,shop,price\ntee,A,1\n", "utf-8")
    said = run(tmp_path / "plan.toml", "--prices", tmp_path / "a.csv")
    assert said.exit_code == 2
    assert "plan.toml" in said.output
