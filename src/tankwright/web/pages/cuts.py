"""How lengths and sheets are cut: each way to cut one, how many to buy, proved or how far from proved."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from markupsafe import Markup

from tankwright.display import figures
from tankwright.documents.model import Measured, said
from tankwright.drawing.cut_screen import cut_bars, cut_sheet_views, sides_words
from tankwright.drawing.measured import measured_off
from tankwright.drawing.screen_svg import to_screen_svg
from tankwright.takeoff.cutting_model import CutPlan, Pattern
from tankwright.takeoff.purchase_model import CutArticle, Purchase, SheetArticle
from tankwright.takeoff.sheet_model import CutSheet
from tankwright.web.known_parts import KIND, parts_of
from tankwright.web.page import Page, View

MOST: Final = 24
"""Bars or sheets shown at once."""

_CODES: Final = ("CUT-", "SHEET-", "PART-90", "PART-91", "PART-92")


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One article that is cut: what is bought of it, how far that is proved, which share is in no piece."""

    article: str
    to_buy: tuple[str, ...]
    proved: bool
    how: str
    waste: str
    assumed: bool
    done: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """One way to cut a stick or a sheet: its words, its picture, its pieces as they are marked, what is left."""

    words: str
    svg: Markup
    pieces: tuple[str, ...]
    rest: str
    cuts: tuple[str, ...] = ()


def show(view: View) -> Mapping[str, object]:
    """Every article that is cut, and the pictures of the one the address names."""
    parts = parts_of(view)
    bought = parts.worked.purchase if parts.worked is not None else None
    cuts: tuple[CutArticle | SheetArticle, ...] = (*bought.cuts, *bought.sheets) if bought is not None else ()
    asked = view.query.get("article", "")
    chosen = next((one for one in cuts if one.article == asked), cuts[0] if cuts else None)
    pictures = _pictures(chosen, view.display) if chosen is not None else ()
    start = _start(view, len(pictures))
    findings = parts.worked.findings if parts.worked is not None else ()
    return {
        "parts_known": parts, "kind": KIND, "bought": bought, "has_tanks": bool(view.room and view.room.racks),
        "lines": tuple(_line(one, view.display) for one in cuts), "chosen": chosen.article if chosen else "",
        "pictures": pictures[start : start + MOST], "count": len(pictures), "start": start, "most": MOST,
        "is_sheet": isinstance(chosen, SheetArticle), "figures": _figures(bought) if bought is not None else (),
        "findings": tuple(one for one in findings if one.code.startswith(_CODES)),
        "us": view.display == "US",
    }  # fmt: skip


def _figures(bought: Purchase) -> tuple[tuple[str, str, str], ...]:
    sticks = sum(one.plan.sticks for one in bought.cuts)
    sheets = sum(count for one in bought.sheets for stock, count in one.plan.counts if not stock.offcut)
    proofs = [one.plan.proved_optimal for one in bought.cuts] + [
        one.plan.proved_optimal for one in bought.sheets
    ]
    return (
        ("cuts.sticks", figures(sticks), "lengths to cut"),
        ("cuts.sheets", figures(sheets), "sheets to cut"),
        ("cuts.proved", f"{sum(proofs)} of {len(proofs)}", "articles proved to need no less"),
    )


def _line(one: CutArticle | SheetArticle, display: str) -> Line:
    plan = one.plan
    if isinstance(one, CutArticle):
        bought = Counter[str]()
        for pattern in one.plan.patterns:
            name = said(Measured((pattern.stock.length,)), display)
            bought[f"offcut {name}" if pattern.stock.offcut else name] += pattern.times
        waste, done = _waste(one.plan), bool(one.plan.patterns)
    else:
        bought = Counter[str]()
        for stock, count in one.plan.counts:
            name = said(Measured((stock.width, stock.height)), display)
            bought[f"offcut {name}" if stock.offcut else name] += count
        whole = sum(sheet.stock.width * sheet.stock.height for sheet in one.plan.sheets)
        done = bool(one.plan.sheets)
        waste = 1.0 - sum(sheet.used for sheet in one.plan.sheets) / whole if done else 0.0
    if plan.proved_optimal:
        how = "no plan needs less"
    else:
        how = f"at most {plan.gap:.1%} over the least there could be" if done else "not cut: see the findings"
    return Line(
        article=one.article, to_buy=tuple(f"{count} × {name}" for name, count in bought.items()),
        proved=plan.proved_optimal, how=how, waste=f"{waste:.0%}" if done else "", assumed=one.assumed, done=done,
    )  # fmt: skip


def _waste(plan: CutPlan) -> float:
    whole = sum(one.stock.length * one.times for one in plan.patterns)
    return sum(one.waste * one.times for one in plan.patterns) / whole if whole else 0.0


def _pictures(one: CutArticle | SheetArticle, display: str) -> tuple[Picture, ...]:
    if isinstance(one, CutArticle):
        drawn = zip(one.plan.patterns, cut_bars(one.plan, display), strict=True)
        return tuple(
            Picture(
                words=_stick_words(pattern, display), svg=_svg(to_screen_svg(bar, name=f"bar-{number}",
                label=_stick_words(pattern, display))), pieces=_pieces(pattern, display),
                rest=said(Measured((pattern.rest,)), display) if pattern.rest > 1e-4 else "",
            )
            for number, (pattern, bar) in enumerate(drawn)
        )  # fmt: skip
    return tuple(
        Picture(
            words=_sheet_words(sheet, times, display), svg=_svg(to_screen_svg(drawing, name=f"sheet-{number}",
            label=_sheet_words(sheet, times, display))),
            pieces=_counted(f"{sides_words(piece, display)} {piece.label}".strip() for piece in sheet.pieces),
            rest=", ".join(said(Measured((left.width, left.height)), display) for left in sheet.offcuts),
            cuts=tuple(_cut_words(cut.upright, cut.at, display) for cut in sheet.cuts),
        )
        for number, (sheet, times, drawing) in enumerate(cut_sheet_views(one.plan, display))
    )  # fmt: skip


def _svg(text: str) -> Markup:
    return Markup(text)  # drawn here, its texts escaped where they are written


def _stick_words(pattern: Pattern, display: str) -> str:
    stock = pattern.stock
    name = said(Measured((stock.length,)), display)
    return f"{pattern.times} × {'offcut ' if stock.offcut else ''}{name}"


def _sheet_words(sheet: CutSheet, times: int, display: str) -> str:
    stock = sheet.stock
    name = said(Measured((stock.width, stock.height)), display)
    return f"{times} × {'offcut ' if stock.offcut else ''}{name}"


def _pieces(pattern: Pattern, display: str) -> tuple[str, ...]:
    return _counted(
        f"{measured_off(one.length, display, fine=True)} {one.label}".strip() for one in pattern.pieces
    )


def _counted(pieces: Iterable[str]) -> tuple[str, ...]:
    return tuple(f"{count} × {text}" if count > 1 else text for text, count in Counter(pieces).items())


def _cut_words(upright: bool, at: float, display: str) -> str:
    return f"{'across' if upright else 'along'} at {measured_off(at, display, fine=True)}"


def _start(view: View, count: int) -> int:
    asked = view.query.get("from", "0")
    start = int(asked) if asked.isascii() and asked.isdigit() and len(asked) < 7 else 0
    start -= start % MOST
    return start if start < count else 0


PAGE = Page(name="cuts", path="/cuts", title="Cuts", template="cuts.html", show=show, group="build")
