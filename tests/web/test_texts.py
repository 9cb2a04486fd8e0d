"""Every text of the pages goes through the catalogue of the reader's language."""

from __future__ import annotations

import gettext
import html
import importlib.util
import re
import struct
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, Final

import pytest
from jinja2 import Environment
from jinja2.runtime import Macro
from markupsafe import Markup

from tankwright.web import rendering
from tankwright.web.access import Access, PeopleInMemory
from tankwright.web.page import Page
from tankwright.web.pages.all import PAGES

from .pages.reader import Reader, example

ROOT: Final = Path(__file__).parent.parent.parent
MADE_UP: Final = "xx"
_spec = importlib.util.spec_from_file_location("docs_texts", ROOT / "docs" / "texts.py")
assert _spec is not None
assert _spec.loader is not None
collected = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(collected)

# What a template shows beside its texts that is the same in every language: names, kinds of file, units.
EVERYWHERE: Final = {
    "tankwright", "csv", "toml", "utc", "mb", "m", "mm", "cm", "l", "min", "kpa", "kg", "a", "fishroom.local",
}  # fmt: skip


def test_the_collected_texts_are_up_to_date() -> None:
    assert collected.POT.read_text("utf-8") == collected.catalogue(), "run: make docs"


def test_the_collected_texts_can_be_read_back() -> None:
    written = collected.POT.read_text("utf-8")
    read = [_text(block) for block in re.findall(r'^msgid ("(?:[^"\\]|\\.)*")$', written, re.MULTILINE)]
    assert read[0] == ""
    assert read[1:] == list(collected.texts())
    assert len(set(read)) == len(read) > 200


def _text(quoted: str) -> str:
    return re.sub(r"\\(.)", lambda found: {"n": "\n", "t": "\t"}.get(found[1], found[1]), quoted[1:-1])


# --- a made-up language: each text in brackets --------------------------------------------------------------------


def compiled(catalogue: Mapping[str, str]) -> bytes:
    """A catalogue as gettext reads it. Source: the MO format in the GNU gettext manual, chapter 10."""
    texts = {"": "Content-Type: text/plain; charset=UTF-8\n", **catalogue}
    pairs = [(text.encode(), texts[text].encode()) for text in sorted(texts, key=str.encode)]
    start = 28 + 16 * len(pairs)
    body, tables = b"", (b"", b"")
    for column in (0, 1):
        for pair in pairs:
            tables = (
                tables[0] + struct.pack("<II", len(pair[0]), start + len(body)) if column == 0 else tables[0],
                tables[1] + struct.pack("<II", len(pair[1]), start + len(body)) if column == 1 else tables[1],
            )
            body += pair[column] + b"\0"
    head = struct.pack("<7I", 0x950412DE, 0, len(pairs), 28, 28 + 8 * len(pairs), 0, 28 + 16 * len(pairs))
    return head + tables[0] + tables[1] + body


class FromMacro(Markup):
    """What a macro of our templates gave: template text, not data."""


@pytest.fixture(scope="module")
def made_up(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """The folder of catalogues with one of a made-up language, in which each text stands in brackets."""
    folder = tmp_path_factory.mktemp("locale")
    place = folder / MADE_UP / "LC_MESSAGES"
    place.mkdir(parents=True)
    (place / "tankwright.mo").write_bytes(compiled({text: f"⟦{text}⟧" for text in collected.texts()}))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(rendering, "LOCALE", folder)
        rendering.environment.cache_clear()
        yield folder
    rendering.environment.cache_clear()


def test_the_made_up_catalogue_is_one_gettext_reads(made_up: Path) -> None:
    catalogue = gettext.translation("tankwright", made_up, languages=[MADE_UP])
    assert catalogue.gettext("Settings") == "⟦Settings⟧"
    assert catalogue.gettext("not in it") == "not in it"


def test_a_language_with_a_catalogue_is_offered_and_chosen_in_the_settings(
    made_up: Path, tmp_path: Path
) -> None:
    reader = Reader(tmp_path, example("cellar_mended"))
    assert '<option value="xx"' in reader.see("/settings").markup
    assert "⟦" not in reader.see("/settings").markup
    assert reader.post("/settings/language", {"language": MADE_UP}).status == 303
    page = reader.see("/settings")
    assert '<html lang="xx"' in page.markup
    assert "⟦Settings⟧" in page.markup
    assert "⟦Room⟧" in reader.see("/").text
    assert reader.post("/settings/language", {"language": "en"}).status == 303
    assert "⟦" not in reader.see("/").markup


def test_the_page_to_log_in_speaks_it_too(made_up: Path, tmp_path: Path) -> None:
    access = Access(PeopleInMemory(), secret=bytes(32))
    reader = Reader(tmp_path, example("cellar_mended"), access)
    assert "⟦" not in reader.see("/login").markup
    access.language = lambda: MADE_UP
    page = reader.see("/login")
    assert '<html lang="xx"' in page.markup
    assert "⟦" in page.markup


@pytest.fixture
def only_own_words(made_up: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Pages in the made-up language from which all data is left out: what stays are the words of the templates."""
    made = rendering.environment.__wrapped__(MADE_UP)
    invoke = Macro._invoke

    def told(macro: Macro, arguments: list[Any], autoescape: bool) -> str:
        given = invoke(macro, arguments, autoescape)
        return FromMacro(given) if isinstance(given, Markup) else given

    def finalize(value: object) -> object:
        return value if isinstance(value, FromMacro) or "⟦" in str(value) else ""

    monkeypatch.setattr(Macro, "_invoke", told)
    bare: Environment = made.overlay(finalize=finalize)
    monkeypatch.setattr(rendering, "environment", lambda *_: bare)


_SHOWN: Final = ("aria-label", "title", "placeholder", "alt", "aria-description")


def own_words(markup: str) -> list[str]:
    """The texts of a page, and of its attributes that are read or heard, outside of the brackets."""
    body = re.sub(
        r"<(script|style)\b.*?</\1>|<!--.*?-->|<!doctype[^>]*>", "", markup, flags=re.DOTALL | re.IGNORECASE
    )
    heard = re.findall(rf'\b(?:{"|".join(_SHOWN)})="([^"]*)"', body)
    heard += re.findall(r'<input[^>]*\btype="(?:submit|button)"[^>]*\bvalue="([^"]*)"', body)
    seen = re.sub(r"<[^>]*>", "\n", body).split("\n")
    found = []
    for text in (*heard, *seen):
        plain = html.unescape(text)
        while "⟦" in plain:  # one may stand in another
            shorter = re.sub(r"⟦[^⟦⟧]*⟧", "", plain)
            if shorter == plain:
                break
            plain = shorter
        words = [one for one in re.findall(r"[^\W\d_][\w.]*", plain) if one.casefold() not in EVERYWHERE]
        if words:
            found.append(" ".join(words))
    return found


ADDRESSES: Final = {"tank": "A3", "rack": "A", "drain": "main", "feed": "drip", "air": "ring", "board": "air"}
MORE: Final = {
    "room": ("/?at=A3&why=A3.air", "/?at=A", "/?lost=X9", "/?layer=drain"),
    "history": ("/history?from=1&to=1",),
    "text": ("/text?line=4",),
    "settings": ("/settings?saved=lan-name",),
}


@pytest.mark.parametrize("which", PAGES, ids=lambda page: page.name)
def test_a_page_has_no_word_of_its_own_that_is_not_in_the_catalogue(
    which: Page, only_own_words: None, tmp_path: Path
) -> None:
    reader = Reader(tmp_path, example("cellar_mended"))
    address = re.sub(r"\{(\w+)\}", lambda brace: ADDRESSES.get(brace[1], "1"), which.path)
    for one in (address, *MORE.get(which.name, ())):
        page = reader.see(one)
        assert page.status == 200
        assert "⟦" in page.markup
        assert own_words(page.markup) == [], one


@pytest.mark.parametrize("file", sorted(collected.TEMPLATES.rglob("*.html")), ids=lambda file: file.name)
def test_no_branch_of_a_template_has_a_word_that_is_not_in_the_catalogue(file: Path) -> None:
    """The pages above do not come through every branch; this reads them all."""
    text = re.sub(r"\{#.*?#\}|\{\{.*?\}\}|\{%.*?%\}", "", file.read_text("utf-8"), flags=re.DOTALL)
    assert own_words(re.sub(r'\baria-[a-z]+="[^"]*"(?=[^<>]*$)', "", text, flags=re.MULTILINE)) == []


def test_the_first_run_has_no_word_of_its_own_that_is_not_in_the_catalogue(
    only_own_words: None, tmp_path: Path
) -> None:
    reader = Reader(tmp_path, "")
    for asked in ("", "?length=4+m&width=3+m&tanks=5", "?length=4&height=x"):
        assert own_words(reader.see(f"/start{asked}").markup) == []


def test_a_fixed_word_would_be_found() -> None:
    shown = '<p title="Not this">⟦this⟧ and ⟦that ⟦inside⟧⟧ 3 m</p><img alt="x1 picture">'
    assert own_words(shown) == ["Not this", "x1 picture", "and"]
