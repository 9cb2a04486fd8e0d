"""What README.md shows is what there is: commands, files, and the words of a mistake."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from tankwright.cli.main import COMMANDS
from tankwright.plan.reading import read_plan_text

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
PAGES = [
    ROOT / name for name in ("README.md", "ARCHITECTURE.md", "CONTRIBUTING.md") if (ROOT / name).exists()
]


def fenced(language: str) -> list[str]:
    """The code blocks of README.md in one language; each mark opens a block or closes one, in turn."""
    parts = re.split(r"^```(\w*)\n", README, flags=re.MULTILINE)
    return [parts[place + 1] for place in range(1, len(parts), 4) if parts[place] == language]


def commands() -> list[list[str]]:
    """Every call of tankwright in README.md, in code blocks and within a line."""
    lines = [line for block in fenced("") for line in block.splitlines()]
    lines += re.findall(r"`(tankwright [^`]*)`", README)
    found = []
    for line in lines:
        words = shlex.split(line.split("  #")[0])
        for place, word in enumerate(words):
            if (
                word.endswith("tankwright")
                and place + 1 < len(words)
                and "venv" not in " ".join(words[place + 1 :])
            ):
                found.append(words[place + 1 :])
    return found


def test_every_command_that_is_shown_is_one_and_every_command_is_shown() -> None:
    assert {words[0] for words in commands()} <= set(COMMANDS)
    assert {words[0] for words in commands()} >= {
        "check",
        "explain",
        "draw",
        "formula",
        "verify",
        "new",
        "demo",
        "open",
    }


@pytest.mark.parametrize("words", commands(), ids=" ".join)
def test_every_option_that_is_shown_is_taken(words: list[str], run) -> None:
    helped = run(words[0], "--help").output
    for word in words:
        if word.startswith("--"):
            assert word in helped


def test_the_commands_shown_run_as_they_stand(run, tmp_path) -> None:
    (tmp_path / "examples").symlink_to(ROOT / "examples")
    (tmp_path / "PIECES.csv").write_text("length,count\n90 cm,4\n", encoding="utf-8")
    for words in commands():
        if (
            "PLAN" in words or words == ["formula"] or words[0] == "open"
        ):  # serves until it is stopped: test_open
            continue
        extra = ["--yes"] if words[0] == "new" else []
        assert run(*words, *extra).exit_code == 0, words


def test_every_make_target_that_is_shown_is_one() -> None:
    makefile = (ROOT / "Makefile").read_text(encoding="utf-8")
    for target in re.findall(r"^make (\w+)", README, flags=re.MULTILINE):
        assert re.search(rf"^{target}:", makefile, flags=re.MULTILINE)


def test_the_mistake_that_is_shown_is_what_the_program_prints(run, tmp_path) -> None:
    cellar = (ROOT / "examples" / "cellar.toml").read_text(encoding="utf-8")
    good, bad = 'outside = ["30 cm", "30 cm", "30 cm"]', 'outside = ["30 cm", "30 cm", "54"]'
    assert cellar.count(good) == 1
    (tmp_path / "cellar.toml").write_text(cellar.replace(good, bad), encoding="utf-8")
    printed = run("check", "cellar.toml").output
    shown = next(block for block in fenced("") if "[PLAN-" in block)
    assert printed.split("\n\n")[0].strip() == shown.strip()


def test_the_piece_of_a_plan_that_is_shown_can_be_read() -> None:
    for block in fenced("toml"):
        read = read_plan_text(
            '[room.r]\nsize = { length = "3 m", width = "3 m", height = "2 m" }\n' + block, "x"
        )
        assert read.findings == ()
        assert read.plan is not None


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_every_file_that_is_linked_is_there(page: Path) -> None:
    for link in re.findall(r"\]\(([^)#:]+)\)", page.read_text(encoding="utf-8")):
        assert (page.parent / link).exists(), link


@pytest.mark.parametrize("page", sorted((ROOT / "docs").rglob("*.md")), ids=lambda page: page.name)
def test_every_file_a_page_of_the_docs_links_is_there(page: Path) -> None:
    for link in re.findall(r"\]\(([^)#:]+)(?:#[^)]*)?\)", page.read_text(encoding="utf-8")):
        assert (page.parent / link).exists(), link
