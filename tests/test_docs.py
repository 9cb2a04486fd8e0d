"""The pages that are made from the program are the program's."""

import importlib.util
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
_spec = importlib.util.spec_from_file_location("docs_generate", ROOT / "docs" / "generate.py")
assert _spec is not None
assert _spec.loader is not None
generate = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(generate)


@pytest.mark.parametrize("name", sorted(generate.PAGES))
def test_a_reference_page_is_up_to_date(name: str) -> None:
    written = (ROOT / "docs" / "reference" / name).read_text(encoding="utf-8")
    assert written == generate.PAGES[name](), "run: make docs"


def test_every_key_of_the_plan_is_described() -> None:
    for line in generate.plan_page().splitlines():
        if line.startswith("| `"):
            assert line.rstrip(" |").count("|") >= 3, line


def test_the_pictures_are_what_the_program_draws_now() -> None:
    for name, picture in generate.pictures().items():
        kept = (ROOT / "docs" / "images" / name).read_text(encoding="utf-8")
        assert kept == picture, f"{name}: look at it, then run: make docs"


def test_every_picture_a_page_shows_is_there() -> None:
    pages = [ROOT / "README.md", *(ROOT / "docs").rglob("*.md")]
    shown = [
        page.parent / target
        for page in pages
        for target in re.findall(r"!\[[^\]]*\]\(([^)]+)\)", page.read_text(encoding="utf-8"))
    ]
    assert shown
    for picture in shown:
        assert picture.is_file(), picture
