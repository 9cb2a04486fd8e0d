"""Every number that is listed opens; a name that is not there is answered with near ones."""

from __future__ import annotations

from pathlib import Path

import pytest

from tankwright.display import render_working
from tankwright.explain.all import workings
from tankwright.workspace.opened import open_plan

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.toml"))
CELLAR = str(EXAMPLES[0].with_name("cellar.toml"))


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_every_working_opens_with_formula_source_and_how_each_input_is_known(path: Path) -> None:
    opened = open_plan(path)
    assert opened.study is not None
    known = workings(opened.study)
    assert known
    for name, working in known.items():
        assert working.name == name
        shown = render_working(working, opened.study.room.display)
        assert working.formula
        assert working.source
        assert working.formula.split()[0] in shown
        assert "nan" not in shown.lower().split()
        assert "{" not in shown, shown


def test_every_system_of_the_cellar_has_numbers_to_open(run) -> None:
    listed = run("explain", CELLAR).output
    for name in ("A1.clear_above", "A1.mass", "A1.air", "A1.feed", "A1.overflow_head"):
        assert f"\n{name} " in "\n" + listed, name


def test_a_listed_name_opens(run) -> None:
    names = [line.split("  ")[0].strip() for line in run("explain", CELLAR).output.splitlines()]
    assert len(names) == len(set(names))
    for name in names[:: max(1, len(names) // 12)]:
        result = run("explain", CELLAR, name)
        assert result.exit_code == 0
        assert "source" in result.output


@pytest.mark.parametrize(
    ("wrong", "near"), [("A1.freebord", "A1.freeboard"), ("a1.freeboard", "A1.freeboard")]
)
def test_an_unknown_name_is_answered_with_near_ones(wrong: str, near: str, run) -> None:
    result = run("explain", CELLAR, wrong)
    assert result.exit_code == 2
    assert f'Nothing is called "{wrong}" here.' in result.output
    assert near in result.output


def test_a_name_near_nothing_says_where_the_list_is(run) -> None:
    result = run("explain", CELLAR, "xyzzy")
    assert result.exit_code == 2
    assert "lists every number that can be opened" in result.output
