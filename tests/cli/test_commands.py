"""Exit codes, files written, JSON of every command."""

from __future__ import annotations

import json
import math
import os
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import pytest

from tankwright.cli.main import COMMANDS
from tankwright.drawing.results import LAYERS
from tankwright.formulas import shelf

EXAMPLES = Path(__file__).parents[2] / "examples"
CELLAR, MENDED = str(EXAMPLES / "cellar.toml"), str(EXAMPLES / "cellar_mended.toml")


def strict(text: str) -> object:
    """JSON as the standard has it: no NaN, no infinity."""

    def refuse(constant: str) -> float:
        raise AssertionError(f"{constant} is not JSON")

    return json.loads(text, parse_constant=refuse)


def numbers(value: object) -> list[float]:
    if isinstance(value, dict):
        return [one for item in value.values() for one in numbers(item)]
    if isinstance(value, list):
        return [one for item in value for one in numbers(item)]
    return [value] if isinstance(value, float) else []


def test_every_command_has_help(run) -> None:
    shown = run("--help").output
    for name, summary in COMMANDS.items():
        assert name in shown
        assert summary.split()[0] in shown
        helped = run(name, "--help")
        assert helped.exit_code == 0
        assert helped.output.startswith(f"Usage: tankwright {name}")


def test_an_unknown_command_and_an_unknown_option_end_with_2(run) -> None:
    assert run("chekc", CELLAR).exit_code == 2
    assert run("check", CELLAR, "--jsno").exit_code == 2
    assert run("check").exit_code == 2


def test_check_ends_with_1_when_problems_stand_and_with_0_when_none_do(run) -> None:
    assert run("check", CELLAR, "--no-assumptions").exit_code == 1
    assert run("check", MENDED, "--no-assumptions").exit_code == 0


def test_notes_are_counted_but_only_shown_when_asked_for(run) -> None:
    short, long = (run("check", MENDED, "--no-assumptions", *flag).output for flag in ((), ("--all",)))
    assert "notes not shown: --all" in short
    assert "notes not shown" not in long
    assert "• note" in long or " note " in long
    assert len(long) > len(short)


def test_every_answer_about_glass_loads_and_mains_defers_to_those_who_decide(run) -> None:
    shown = run("check", CELLAR, "--no-assumptions").output
    assert "A screening, from what the plan says." in shown
    assert "licensed people decide" in shown
    assert "electrician" in shown


def test_json_of_check_is_strict_and_the_same_each_time(run) -> None:
    first, second = (run("check", CELLAR, "--json") for _ in range(2))
    assert first.exit_code == 1
    assert first.output == second.output
    whole = strict(first.output)
    assert all(math.isfinite(one) for one in numbers(whole))


def test_formula_lists_helps_and_evaluates_as_json(run) -> None:
    rows = strict(run("formula", "--json").output)
    assert isinstance(rows, list)
    assert len(rows) == len(shelf())
    for row in rows:
        helped = strict(run("formula", row["name"], "--json").output)
        assert isinstance(helped, dict)
        for item in helped["inputs"]:
            assert set(item) == {"name", "unit", "meaning", "range", "default"}
    words = (
        "inner_diameter=52mm",
        "slope=1%",
        "manning_n=0.009",
        "depth_share=0.5",
        "--unit",
        "L/min",
        "--json",
    )
    answer = strict(run("formula", "part-full-flow", *words).output)
    assert isinstance(answer, dict)
    # Manning by hand: A = pi 0.052^2 / 8, R = 0.052 / 4, V = R^(2/3) 0.01^(1/2) / 0.009
    by_hand = math.pi * 0.052**2 / 8 * 0.013 ** (2 / 3) * 0.1 / 0.009 * 60_000
    assert answer["value"] == pytest.approx(by_hand, rel=1e-6)  # the depth is turned into an angle and back
    assert answer["unit"] == "L/min"
    assert "Manning" in answer["source"] or "Chow" in answer["source"]


@pytest.mark.parametrize(
    "words",
    [
        ("part-ful-flow",),
        ("part-full-flow", "slope"),
        ("part-full-flow", "slope=steep"),
        ("part-full-flow", "inner_diameter=52"),
        ("part-full-flow", "inner_diameter=52mm"),
        ("part-full-flow", "nothing=1"),
        ("part-full-flow", "inner_diameter=52mm", "slope=1%", "manning_n=0.009", "depth_share=7"),
        (
            "part-full-flow",
            "inner_diameter=52mm",
            "slope=1%",
            "manning_n=0.009",
            "depth_share=0.5",
            "--unit",
            "kg",
        ),
    ],
)
def test_a_formula_asked_wrongly_answers_and_ends_with_2(words: tuple[str, ...], run) -> None:
    result = run("formula", *words)
    assert result.exit_code == 2
    assert len(result.output) > 20


@pytest.mark.parametrize("layer", LAYERS)
def test_every_layer_is_drawn_as_svg(layer: str, run, tmp_path) -> None:
    assert run("draw", CELLAR, "--layer", layer, "--out", "out.svg").exit_code == 0
    root = ElementTree.fromstring((tmp_path / "out.svg").read_text(encoding="utf-8"))
    assert root.tag.endswith("svg")
    assert "A1" in "".join(root.itertext())


def test_all_layers_go_into_a_folder(run, tmp_path) -> None:
    assert run("draw", CELLAR, "--layer", "all", "--out", "drawings").exit_code == 0
    names = {path.name for path in (tmp_path / "drawings").iterdir()}
    assert {f"cellar_{layer}.svg" for layer in LAYERS} <= names


def test_sheets_to_build_by_go_into_a_folder_with_their_dxf(run, tmp_path) -> None:
    wanted = ("--sheets", "drill", "--sheets", "valves")
    assert run("draw", CELLAR, *wanted, "--paper", "A4", "--out", "sheets").exit_code == 0
    names = sorted(path.name for path in (tmp_path / "sheets").iterdir())
    assert names == [
        "cellar_drill.dxf", "cellar_sheet_drill_1.svg", "cellar_sheet_drill_2.svg", "cellar_sheet_drill_3.svg",
        "cellar_sheet_valves_1.svg",
    ]  # fmt: skip
    root = ElementTree.fromstring(
        (tmp_path / "sheets" / "cellar_sheet_drill_1.svg").read_text(encoding="utf-8")
    )
    assert (root.get("width"), root.get("height")) == ("297mm", "210mm")


def test_an_address_no_phone_reaches_is_refused_for_codes(run, tmp_path) -> None:
    result = run(
        "draw", CELLAR, "--sheets", "labels", "--address", "http://localhost:8321", "--out", "sheets"
    )
    assert result.exit_code == 2
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("scale", ["big", "1:0", "2:1", "1:99999", "", "1:²"])
def test_a_scale_that_is_none_is_refused(scale: str, run, tmp_path) -> None:
    assert run("draw", CELLAR, "--scale", scale).exit_code == 2
    assert list(tmp_path.iterdir()) == []


def test_the_demo_writes_drawings_data_and_networks_and_says_what_to_look_at(run, tmp_path) -> None:
    result = run("demo", CELLAR, "--into", "out")
    assert result.exit_code == 0
    last = result.output.rstrip().splitlines()[-1]
    looked_at = last.removeprefix("Look at ").removesuffix(" in a browser.")
    assert (tmp_path / looked_at).is_file()
    names = {path.name for path in (tmp_path / "out").iterdir()}
    assert {f"cellar_{layer}.svg" for layer in LAYERS} <= names
    assert {"check.json", "air_ring.inp", "feed_drip.inp"} <= names
    strict((tmp_path / "out" / "check.json").read_text(encoding="utf-8"))


@pytest.mark.parametrize(
    "words",
    [("draw", CELLAR, "--layer", "all", "--out"), ("verify", CELLAR, "--into"), ("demo", CELLAR, "--into")],
)
def test_a_folder_that_is_a_file_is_said(words: tuple[str, ...], run, tmp_path) -> None:
    (tmp_path / "taken").write_text("mine", encoding="utf-8")
    result = run(*words, "taken")
    assert result.exit_code == 2
    assert "could not be written" in result.output
    assert (tmp_path / "taken").read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize(
    "words", [("check", CELLAR, "--no-assumptions"), ("check", CELLAR, "--json"), ("formula",)]
)
@pytest.mark.parametrize("encoding", ["cp1252", "latin-1", "utf-8"])
def test_a_terminal_that_cannot_show_every_sign_gets_the_answer_all_the_same(
    words: tuple[str, ...], encoding: str
) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "tankwright", *words],
        env={**os.environ, "PYTHONIOENCODING": encoding},
        capture_output=True,
        check=False,
    )
    assert done.stderr == b""
    assert done.returncode == (1 if words[0] == "check" else 0)
    text = done.stdout.decode(encoding)
    if "--json" in words:
        assert isinstance(strict(text), dict)
