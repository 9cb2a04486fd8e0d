"""Collects every text of the pages into the template of the catalogues; a test fails when it is out of date.

To add a language `xx`: copy `tankwright.pot` to `xx/LC_MESSAGES/tankwright.po` beside it, translate each `msgstr`,
and compile it with `msgfmt tankwright.po -o tankwright.mo`. The settings then offer it.
"""

from __future__ import annotations

import ast
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path
from typing import get_args

from tankwright.documents.papers.all import PAPERS, TABLE_WORDS
from tankwright.documents.papers.asked import BYS
from tankwright.drawing.results import LAYERS, LOG_LAYERS
from tankwright.plan.models_room import RoomTable
from tankwright.web.pages.all import PAGES
from tankwright.web.rendering import LOCALE, environment

WEB = Path(__file__).parent.parent / "src" / "tankwright" / "web"
TEMPLATES = WEB / "templates"
POT = LOCALE / "tankwright.pot"
_HEAD = """\
# Every text of tankwright's pages. Made by docs/texts.py; do not edit.
msgid ""
msgstr ""
"Content-Type: text/plain; charset=UTF-8\\n"
"Content-Transfer-Encoding: 8bit\\n"
"""


def texts() -> dict[str, list[str]]:
    """Each text with the files it stands in, in the order of the alphabet."""
    found: dict[str, set[str]] = defaultdict(set)
    for where, text in (*_in_templates(), *_in_program(), *_of_the_program()):
        found[text].add(where)
    return {text: sorted(found[text]) for text in sorted(found)}


def _in_templates() -> Iterator[tuple[str, str]]:
    made = environment()
    for file in sorted(TEMPLATES.rglob("*.html")):
        for _, _, message in made.extract_translations(file.read_text("utf-8")):  # type: ignore[attr-defined]
            for text in message if isinstance(message, tuple) else (message,):
                if text:
                    yield f"templates/{file.relative_to(TEMPLATES).as_posix()}", text


def _in_program() -> Iterator[tuple[str, str]]:
    """Texts marked with `N_()`."""
    for file in sorted(WEB.rglob("*.py")):
        for node in ast.walk(ast.parse(file.read_text("utf-8"))):
            named = isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "N_"
            if named and isinstance(node.args[0], ast.Constant):
                yield file.relative_to(WEB).as_posix(), str(node.args[0].value)


def _of_the_program() -> Iterator[tuple[str, str]]:
    """Words the templates show that are names in the program: titles of pages, layers, kinds of floor."""
    yield from (("pages/all.py", page.title) for page in PAGES)
    yield from (("templates/room.html", layer) for layer in (*LAYERS, *LOG_LAYERS))
    yield from (
        ("templates/load.html", floor) for floor in get_args(RoomTable.model_fields["floor"].annotation)
    )
    papers = (*(text for one in PAPERS for text in (one.title, one.purpose)), *TABLE_WORDS.values(), *BYS)
    yield from (("templates/papers.html", text) for text in papers)


def _quoted(text: str) -> str:
    return (
        '"' + text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n").replace("\t", "\\t") + '"'
    )


def catalogue() -> str:
    """The template of the catalogues, in the format of gettext's PO files."""
    parts = [_HEAD]
    for text, files in texts().items():
        flag = "#, python-format\n" if "%(" in text or "%%" in text else ""
        places = "".join(f"#: {file}\n" for file in files)
        parts.append(f'{places}{flag}msgid {_quoted(text)}\nmsgstr ""\n')
    return "\n".join(parts)


if __name__ == "__main__":
    POT.parent.mkdir(exist_ok=True)
    POT.write_text(catalogue(), encoding="utf-8")
