"""The guides: every piece of a plan that is shown is read, and together they make a plan that is worked out."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest
from click.testing import CliRunner

from tankwright.checks.all import judge
from tankwright.cli.main import COMMANDS, main
from tankwright.finding import Finding, Severity
from tankwright.formulas import shelf
from tankwright.plan.reading import read_plan_text
from tankwright.web.pages.all import PAGES
from tankwright.workspace.opened import Opened, open_text

ROOT = Path(__file__).parent.parent
GUIDES = sorted((ROOT / "docs" / "how-to").glob("*.md"))
EXPLAINED = sorted((ROOT / "docs" / "explanation").glob("*.md"))
GOOD_PLAN = (ROOT / "tests" / "plan" / "good_plan.toml").read_text("utf-8")


def blocks(page: Path, language: str) -> list[str]:
    """The code blocks of a page in one language; each mark opens a block or closes one, in turn."""
    parts = re.split(r"^```(\w*)\n", page.read_text("utf-8"), flags=re.MULTILINE)
    return [parts[place + 1] for place in range(1, len(parts), 4) if parts[place] == language]


def opened(page: Path) -> Opened:
    """The good plan with all that a guide shows."""
    return open_text(Path("plan.toml"), GOOD_PLAN + "\n" + "\n".join(blocks(page, "toml")))


@pytest.mark.parametrize("page", GUIDES, ids=lambda page: page.stem)
def test_each_piece_of_a_plan_that_is_shown_is_read_by_itself_or_after_those_before_it(page: Path) -> None:
    text = GOOD_PLAN
    for block in blocks(page, "toml"):
        text += "\n" + block
        result = read_plan_text(text, "plan.toml")
        assert result.findings == (), block


@pytest.mark.parametrize("page", GUIDES, ids=lambda page: page.stem)
def test_what_is_shown_is_laid_out_without_a_complaint(page: Path) -> None:
    plan = opened(page)
    assert plan.room is not None
    about: list[Finding] = [one for one in plan.findings if re.match(r"LAYOUT-14\d|WEATHER", one.code)]
    assert [one.subject for one in about] in ([], ["water soft"])  # the one that the guide says is noted


def test_with_what_the_first_guide_says_water_oxygen_and_heat_are_worked_out() -> None:
    page = next(one for one in GUIDES if one.stem == "say-water-fish-and-warmth")
    study = opened(page).study
    assert study is not None
    assert study.water is not None
    assert study.oxygen is not None
    assert study.heat is not None
    missing = [one for one in judge(study) if one.severity is Severity.NOT_COMPUTED]
    assert [one.code for one in missing if one.code in {"WATER-01", "HEAT-01"}] == []
    assert {one.tank for one in study.heat.tanks} == {"A1", "A2", "A3", "A4"}


@pytest.mark.parametrize("page", [*GUIDES, *EXPLAINED], ids=lambda page: page.stem)
def test_every_command_formula_page_and_finding_a_guide_names_is_there(page: Path) -> None:
    text = page.read_text("utf-8")
    formulas = {one.name for one in shelf()}
    prose = re.sub(r"^```.*?^```", "", text, flags=re.MULTILINE | re.DOTALL)
    for line in [*re.findall(r"`(tankwright [^`]*)`", prose), *"".join(blocks(page, "")).splitlines()]:
        words = shlex.split(line)
        assert words[0] == "tankwright"
        assert words[1] in COMMANDS
        if words[1] == "formula":
            assert words[2] in formulas
            assert CliRunner().invoke(main, words[1:]).exit_code == 0
    titles = {one.title for one in PAGES}
    assert set(re.findall(r"page \*\*(\w+)\*\*", text)) <= titles
    known = (ROOT / "docs" / "reference" / "findings.md").read_text("utf-8")
    for code in re.findall(r"\b[A-Z]{4,6}-\d\d\b", text):
        assert f"| {code} |" in known, code
