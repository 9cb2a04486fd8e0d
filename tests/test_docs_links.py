"""The pages a person reads: their links lead somewhere, and what they list is what is there."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
PAGES = sorted([*ROOT.glob("*.md"), *(ROOT / "docs").rglob("*.md")])
DECISIONS = sorted((ROOT / "docs" / "decisions").glob("*.md"))
EXTRAS = {"verify", "bench", "cluster", "test", "postgresql"}
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]


def _anchors(page: Path) -> set[str]:
    headings = re.findall(r"^#+ (.+)$", page.read_text("utf-8"), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-") for heading in headings}


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.relative_to(ROOT).as_posix())
def test_every_link_of_a_page_leads_somewhere(page: Path) -> None:
    for target in re.findall(r"\]\(([^)\s]+)\)", page.read_text("utf-8")):
        if target.startswith(("http://", "https://", "mailto:")):
            continue
        place, _, anchor = target.partition("#")
        led_to = (page.parent / place).resolve() if place else page
        assert led_to.exists(), target
        if anchor:
            assert anchor in _anchors(led_to), target


def test_decisions_are_numbered_without_gaps_and_say_their_number() -> None:
    for number, page in enumerate(DECISIONS, 1):
        assert page.name.startswith(f"{number:04d}-")
        assert page.read_text("utf-8").startswith(f"# {number}. ")


def test_the_page_of_dependencies_lists_each_one_and_no_other() -> None:
    wanted = [PROJECT["dependencies"], *PROJECT["optional-dependencies"].values()]
    names = {re.split(r"[<>=\[]", one)[0] for group in wanted for one in group}
    rows = [line.split("|") for line in DECISIONS[0].read_text("utf-8").splitlines() if line.startswith("| ")]
    run_time = {name for row in rows if len(row) == 5 and row[1].strip("` ") not in EXTRAS
                for name in row[1].strip().split(", ")} - {"package", "extra"}  # fmt: skip
    extras = {name for row in rows if row[1].strip("` ") in EXTRAS
              for name in row[2].strip().split(", ")}  # fmt: skip
    assert run_time | extras == names


def test_how_it_is_built_names_every_package() -> None:
    text = (ROOT / "ARCHITECTURE.md").read_text("utf-8")
    for part in (ROOT / "src" / "tankwright").iterdir():
        if part.name.startswith("_") or part.suffix not in {"", ".py"}:
            continue
        assert f"`{part.name}{'/' if part.is_dir() else ''}`" in text, part.name
