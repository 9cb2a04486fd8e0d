"""`tankwright cut`: a plain table, stock on the command line, a cut list, JSON, diagrams, refusals."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner, Result

from tankwright.cli.main import main

ROOT = Path(__file__).parents[2]
SCHEMA = json.loads((ROOT / "src" / "tankwright" / "report" / "cut.schema.json").read_text("utf-8"))
TABLE = "length,count,label\n1240 mm,4,main\n86 cm,6,riser\n0.4 m,7,leg\n"


@pytest.fixture
def table(tmp_path: Path) -> Path:
    file = tmp_path / "pieces.csv"
    file.write_text(TABLE, "utf-8")
    return file


def run(*words: str, given: str | None = None) -> Result:
    return CliRunner().invoke(main, ["cut", *words], input=given)


def test_a_cut_list_says_each_stick_and_that_it_is_proved(table: Path) -> None:
    told = run(str(table), "--stock", "6 m", "--kerf", "3 mm")
    assert told.exit_code == 0
    assert (
        told.output
        == (
            "3 x 6 m\n"
            "3 sticks to buy, 18 m; 28 % of what is cut up is waste\n"
            "saw cut 3 mm\n"
            "proved optimal (by the length of the pieces)\n"
            "\n"
            "  all measures in millimetres\n"
        )
        + told.output.partition("millimetres\n")[2]
    )
    rows = told.output.partition("millimetres\n")[2].splitlines()
    assert rows[0] == "    1  1 x 6 m:  4 x 1240 main + 860 riser;  rest 165"


def test_the_json_has_the_keys_that_are_described(table: Path) -> None:
    told = run(str(table), "--stock", "6 m", "--stock", "4 m@8.20", "--json")
    assert told.exit_code == 2
    assert [one["code"] for one in json.loads(told.output)["findings"]] == ["CUT-07"]
    told = run(
        str(table),
        "--stock",
        "6 m@11",
        "--stock",
        "4 m@8.20",
        "--offcut",
        "1 m x 2",
        "--kerf",
        "3 mm",
        "--json",
    )
    assert told.exit_code == 0
    found = json.loads(told.output)
    jsonschema.validate(found, SCHEMA)
    assert set(found) == set(SCHEMA["required"])
    assert found["proved_optimal"] is True
    assert found["lower_bound"] == found["cost"] == found["value"]
    assert found["sticks"] == sum(one["times"] for one in found["patterns"] if not one["offcut"])
    assert sum(one["times"] * len(one["pieces"]) for one in found["patterns"]) == 17


def test_one_stock_without_a_price_is_bounded_in_sticks(table: Path) -> None:
    found = json.loads(run(str(table), "--stock", "6 m", "--kerf", "0 mm", "--json").output)
    assert (found["sticks"], found["lower_bound"], found["lower_bound_unit"]) == (3, 3, "sticks")


def test_the_table_may_come_from_standard_input() -> None:
    told = run("-", "--stock", "2.5 m", "--kerf", "3 mm", given="1.2 m,4")
    assert told.exit_code == 0
    assert "2 sticks to buy" in told.output


def test_a_table_in_inches_is_answered_in_inches() -> None:
    told = run("-", "--stock", "8 ft", "--kerf", "1/8 in", given='40",3,top\n23 7/8",9,shelf')
    assert "all measures in feet and inches" in told.output
    assert '4 x 1\' 11 7/8" shelf;  rest 0"' in told.output
    metric = run("-", "--stock", "8 ft", "--kerf", "1/8 in", "--units", "metric", given='40",3,top')
    assert "all measures in millimetres" in metric.output


def test_a_saw_cut_that_is_not_said_is_assumed_and_told(table: Path) -> None:
    assert "saw cut 3 mm (assumed: --kerf)" in run(str(table), "--stock", "6 m").output


def test_all_mistakes_are_told_in_one_go(tmp_path: Path) -> None:
    file = tmp_path / "p.csv"
    file.write_text("length,count\n1200,4\n2 m,some\n", "utf-8")
    told = run(str(file), "--stock", "6", "--offcut", "none", "--kerf", "-1 mm", "--trim", "wide")
    assert told.exit_code == 2
    for code in ("p.csv:2", "p.csv:3", "CUT-03", "CUT-04", "6 mistakes; nothing was cut."):
        assert code in told.output
    assert told.output.count("[CUT-06]") == 4


def test_a_piece_over_every_stick_is_named_with_a_joint(tmp_path: Path) -> None:
    file = tmp_path / "p.csv"
    file.write_text("7 m,1,main\n1 m,1,leg\n", "utf-8")
    told = run(str(file), "--stock", "6 m")
    assert told.exit_code == 2
    assert "CUT-01  piece main: 7 m long, which is 100 cm more than the longest stick holds" in told.output
    assert "join 2 pieces of 3.5 m with a coupling in the middle" in told.output


@pytest.mark.parametrize("words", [["gone.csv"], ["."]])
def test_a_file_that_cannot_be_read_is_said(words: list[str]) -> None:
    told = run(*words, "--stock", "6 m")
    assert told.exit_code == 2
    assert "CUT-02" in told.output


def test_without_any_stock_it_asks_for_one(table: Path) -> None:
    told = run(str(table))
    assert told.exit_code == 2
    assert "CUT-06" in told.output


def test_the_diagrams_are_written_page_by_page(table: Path, tmp_path: Path) -> None:
    assert run(str(table), "--stock", "6 m", "--svg", str(tmp_path / "out" / "cuts.svg")).exit_code == 0
    assert (tmp_path / "out" / "cuts.svg").read_text("utf-8").startswith("<?xml")
    many = "".join(f"{300 + place} mm,1,part {place}\n" for place in range(120))
    told = run("-", "--stock", "1 m", "--svg", str(tmp_path / "many.svg"), "--seconds", "0.5", given=many)
    assert told.exit_code == 0
    pages = {file.name for file in tmp_path.glob("many_*.svg")}
    assert {"many_1.svg", "many_2.svg"} <= pages


def test_a_job_that_is_proved_at_once_loads_no_solver(table: Path) -> None:
    program = (
        "import sys\nfrom tankwright.cli.main import main\n"
        f"main(['cut', {str(table)!r}, '--stock', '6 m'], standalone_mode=False)\n"
    )
    watched = "import atexit, sys\natexit.register(lambda: sys.stderr.write(' '.join(sorted(sys.modules))))\n"
    done = subprocess.run(
        [sys.executable, "-c", watched + program], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0
    loaded = set(done.stderr.split())
    assert not loaded & {"scipy", "ortools", "numpy", "numba", "tankwright.study"}
