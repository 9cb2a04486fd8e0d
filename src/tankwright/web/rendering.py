"""Pages to HTML: the templates, escaped throughout, with the texts of the reader's language."""

from __future__ import annotations

import gettext
import hashlib
import secrets
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Final

from jinja2 import Environment, PackageLoader, StrictUndefined, select_autoescape
from markupsafe import Markup, escape

from tankwright.display import assumption_words, origin_words, sentence, words
from tankwright.finding import Finding, Number, Severity
from tankwright.web.page import View
from tankwright.web.pages.all import PAGES, shown_in

STATIC: Final = Path(__file__).parent / "static"
LOCALE: Final = Path(__file__).parent / "locale"
_SHAPES: Final = {
    Severity.PROBLEM: "problem",
    Severity.WARNING: "warning",
    Severity.NOTE: "note",
    Severity.NOT_COMPUTED: "unknown",
}


@cache
def build() -> str:
    """The name of this state of the static files; a new one is a new address, so they may be kept for ever."""
    told = hashlib.sha256()
    for file in sorted(STATIC.rglob("*")):
        if file.is_file():
            told.update(file.relative_to(STATIC).as_posix().encode() + b"\0" + file.read_bytes())
    return told.hexdigest()[:16]


def asset(name: str) -> str:
    """The address of a static file.

    >>> asset("core.js").endswith("/core.js")
    True
    """
    return f"/static/{build()}/{name}"


def languages() -> tuple[str, ...]:
    """The languages there are texts in, English first: it needs no catalogue.

    >>> languages()[0]
    'en'
    """
    found = {file.parent.parent.name for file in LOCALE.glob("*/LC_MESSAGES/tankwright.mo")}
    return ("en", *sorted(found - {"en"}))


@cache
def environment(language: str = "en") -> Environment:
    """The templates in a language; texts without a translation stay English."""
    made = Environment(
        loader=PackageLoader("tankwright.web", "templates"),
        autoescape=select_autoescape(default=True, default_for_string=True),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,  # templates of a newer version do not fit the program that is running
        extensions=["jinja2.ext.i18n", "jinja2.ext.do"],
    )
    catalogue = gettext.translation("tankwright", LOCALE, languages=[language], fallback=True)
    texts = _Texts(catalogue)
    made.globals.update(_=texts.one, gettext=texts.one, ngettext=texts.of_number)
    made.globals.update(asset=asset, PAGES=PAGES, shown_in=shown_in, assumption_words=assumption_words)
    made.globals.update(
        said=said,
        shape=shape,
        key=lambda: secrets.token_hex(10),
        words=words,
        origin_words=origin_words,
        Number=Number,
    )
    return made


class _Texts:
    """The texts of a language as the templates ask for them: never markup, whatever a text or its parts hold.

    Jinja's own take every text for markup and for a pattern with per cent signs; a label that names a thing of the
    plan is neither.

    >>> _Texts(gettext.NullTranslations()).one("Floor of <b> at 5 %")
    Markup('Floor of &lt;b&gt; at 5 %')
    """

    def __init__(self, catalogue: gettext.NullTranslations) -> None:
        self._catalogue = catalogue

    def one(self, text: str, /, **parts: object) -> Markup:
        """A text, with its parts put in where it names them: "%(name)s"."""
        return self._filled(self._catalogue.gettext(text), parts)

    def of_number(self, one: str, many: str, number: int, /, **parts: object) -> Markup:
        """The text for that number of things, which it may name "%(num)s"."""
        return self._filled(self._catalogue.ngettext(one, many, number), {"num": number, **parts})

    def _filled(self, text: str, parts: Mapping[str, object]) -> Markup:
        escaped = escape(text)
        return escaped % parts if parts else escaped.replace("%%", "%")


def said(finding: Finding, text: str, display: str) -> str:
    """A sentence of a finding in the reader's units."""
    return sentence(text, finding.numbers, display)


def shape(severity: Severity) -> str:
    """The name of a severity's sign."""
    return _SHAPES[severity]


def render(view: View, *, language: str = "en", theme: str = "", part: str = "", **more: object) -> str:
    """A page as HTML, or one part of it by the name of its template.

    Raises ValueError for a page that gives its template something under a name that every template has.
    """
    made = environment(language)
    template = made.get_template(part or view.page.template)
    shown = dict(view.page.show(view)) | more
    hidden = shown.keys() & made.globals.keys()
    if hidden:
        raise ValueError(f"page {view.page.name} hides {', '.join(sorted(hidden))}")
    html = template.render(view=view, language=language, theme=theme, untold=(), **shown)
    untold = [one for one in view.errors.values() if str(escape(one.text)) not in html]
    if untold:  # their fields are not on the page as it is now: what was wrong must be told all the same
        html = template.render(view=view, language=language, theme=theme, untold=untold, **shown)
    return html


def safe_svg(text: str) -> Markup:
    """SVG of our own drawing, whose texts are escaped where they are written."""
    return Markup(text)
