"""Lines and ancestries as pages show them: worked out once for a state of the logbook, worded, drawn."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from markupsafe import Markup

from tankwright.display import sentence
from tankwright.drawing.pedigree import AncestorWords, draw_ancestry
from tankwright.drawing.screen_svg import to_screen_svg
from tankwright.finding import Finding
from tankwright.husbandry.ancestry import ancestry, completeness
from tankwright.husbandry.kinship import SHOP_SIBLINGS, kinships
from tankwright.husbandry.lines import LineStanding
from tankwright.report.lines import expected_line, known_ancestors_line
from tankwright.report.model import SummaryLine
from tankwright.web.page import View
from tankwright.workspace.log_lines import KeptLines, kept_lines

GENERATIONS = 5
"""How many generations back an ancestry is drawn on a page."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LineShown:
    """A line with what is said of it, worst first."""

    standing: LineStanding
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class AncestryShown:
    """A stock's ancestry: what is said of it, and the drawing."""

    name: str
    stock: str
    lines: tuple[str, ...]
    picture: Markup


def lines_kept(view: View) -> KeptLines | None:
    """All lines of the logbook; None while there is none."""
    book = view.log.kept
    if book is None:
        return None
    made = view.made_once.keep(view.snapshot, ("kept lines", view.log_state[0]), lambda _: kept_lines(book))
    return made if made is not None else kept_lines(book)


def line_shown(view: View, kept: KeptLines, key: str) -> LineShown:
    """How a line of the logbook stands."""
    line = kept.lines[key]
    now = view.log.now()

    def make(_: object) -> LineShown:
        standing = kept.standing(line)
        return LineShown(standing=standing, findings=kept.findings(standing, now))

    name = ("line", key, view.log_state[0], now.date())
    return view.made_once.keep(view.snapshot, name, make) or make(None)


def ancestry_of(view: View, stock: str, *, address: str = "") -> AncestryShown | None:
    """The ancestry of a stock for a page; None when the logbook has no such stock. `address` is where a press on an
    ancestor leads, with "{}" for its id; nowhere when it is "".
    """
    kept = lines_kept(view)
    if kept is None or stock not in kept.pedigree.stocks:
        return None
    known = kept

    def make(_: object) -> AncestryShown:
        return _ancestry(view, known, stock, address)

    name = ("ancestry", stock, address, view.display, view.log_state[0])
    return view.made_once.keep(view.snapshot, name, make) or make(None)


def _ancestry(view: View, kept: KeptLines, stock: str, address: str) -> AncestryShown:
    pedigree, names = kept.pedigree, kept.names
    found, related = (kinships(pedigree, (stock,), unknown=taken) for taken in (0.0, SHOP_SIBLINGS))
    words = {
        key: AncestorWords(
            name=names[key],
            said=f"F {view.words(own.value, 'share')}"
            if (own := found.inbreeding(key)) is not None
            else "F not computed",
            founder=pedigree.founders_of(key),
            link=address.format(key) if address else "",
        )
        for key in pedigree.stocks
    }
    own, other = found.inbreeding(stock), related.inbreeding(stock)
    lines = [expected_line("inbreeding", own)]
    if own is not None and other is not None and other.value - own.value > 1e-9:
        lines.append(expected_line("if founders nobody knows of are half brothers and sisters,", other))
    if pedigree.stocks[stock].kind != "individual":
        lines.append(expected_line("kinship of two of them", found.within(stock)))
    lines.append(known_ancestors_line(completeness(pedigree, (stock,)).get(stock)))
    drawn = draw_ancestry(
        ancestry(pedigree, stock, generations=GENERATIONS), words, title=f"Ancestors of {names[stock]}"
    )
    return AncestryShown(
        name=names[stock],
        stock=stock,
        lines=told(view, lines),
        picture=Markup(to_screen_svg(drawn, classes=("ancestry",), name="ancestry")),
    )


def told(view: View, lines: Iterable[SummaryLine]) -> tuple[str, ...]:
    """Lines in the reader's units."""
    return tuple(sentence(line.text, line.numbers, view.display) for line in lines)
