"""One line: how it stands, its living stocks, an ancestry drawn, mates proposed, a set tried before it is made."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final
from urllib.parse import quote

from tankwright.finding import Finding
from tankwright.husbandry.ancestry import completeness
from tankwright.husbandry.line_findings import set_findings
from tankwright.husbandry.mating import MOST_KINSHIP, Proposal, may_father, planned, propose
from tankwright.husbandry.register import BreedingSet, Stock
from tankwright.report.lines import EXPLAINED, line_lines, planned_lines
from tankwright.web.lines_shown import LineShown, ancestry_of, line_shown, lines_kept, told
from tankwright.web.page import Page, View
from tankwright.workspace.log_lines import KeptLines, typed_set

ROWS: Final = 4
"""Members a set can be tried with on the page."""

MOST_PROPOSED: Final = 60
"""Living stocks of a line up to which mates are proposed on the page; of more, those of least mean kinship."""

MOST_LISTED: Final = 200

LIMITS: Final = (0.0, 0.0625, 0.125, 0.25)
"""Limits of kinship that can be chosen: none, cousins, half brother and sister, brother and sister."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StockRow:
    """A living stock of the line. `kin` is the mean kinship with all that live of it."""

    id: str
    name: str
    fish: str
    sex: str
    where: str
    inbreeding: str
    kin: str
    known: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MateRow:
    """Two stocks proposed for each other, with the address that tries them."""

    male: str
    female: str
    kinship: str
    address: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TriedRow:
    """A row of the form, as it was sent or empty."""

    number: int
    stock: str = ""
    sex: str = ""
    count: str = ""
    low: str = ""
    high: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """What came of trying: what is said of it, or what is wrong with what was sent."""

    lines: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()
    wrong: tuple[Finding, ...] = ()


def show(view: View) -> Mapping[str, object]:
    """The line the address names, by its id or its name."""
    kept = lines_kept(view)
    asked = view.params.get("line", "")
    found = None
    if kept is not None:
        found = kept.lines.get(asked) or next((one for one in kept.lines.values() if one.name == asked), None)
    if kept is None or found is None:
        return {"line": None, "asked": asked}
    shown = line_shown(view, kept, found.id)
    here = f"/lines/{quote(found.id, safe='')}"
    rows = _stock_rows(view, kept, shown)
    chosen = view.query.get("stock", "") or next((one.id for one in rows), "")
    error = view.errors.get("set")
    return {
        "line": found,
        "lines": told(view, line_lines(shown.standing)),
        "explained": EXPLAINED,
        "findings": shown.findings,
        "rows": rows[:MOST_LISTED],
        "more": max(len(rows) - MOST_LISTED, 0),
        "ancestry": ancestry_of(view, chosen, address=f"{here}?stock={{}}#ancestry"),
        **_mates(view, kept, shown, here),
        "choices": tuple((key, _choice(kept, one)) for key, one in _candidates(kept, shown)),
        "tried_rows": _tried_rows(dict(error.sent) if error is not None else view.query),
        "tried": _tried(view, kept, dict(error.sent) if error is not None else view.query),
        "label": error.sent.get("label", "") if error is not None else "",
        "error": error,
        "here": here,
        "made": view.query.get("made", "") == "1",
    }


def _stock_rows(view: View, kept: KeptLines, shown: LineShown) -> tuple[StockRow, ...]:
    """The living stocks, those least related to all others first: they are most worth breeding from."""
    standing = shown.standing
    means = dict(standing.diversity.of) if standing.diversity is not None else {}
    whole = completeness(kept.pedigree, (one.stock for one in standing.held))
    known = kept.kinships_of(standing)
    rows = []
    for one in sorted(standing.held, key=lambda held: means.get(held.stock, 9.0)):
        stock = kept.pedigree.stocks[one.stock]
        own = known.inbreeding(one.stock) if known is not None else None
        bounds = "" if one.low == one.high else f" ({one.low} – {one.high})"
        rows.append(
            StockRow(
                id=one.stock,
                name=kept.names[one.stock],
                fish=f"{one.fish}{bounds}",
                sex=stock.sex,
                where=", ".join(kept.places.get(place, place) for place in one.places[:4]),
                inbreeding=view.words(own.value, "share") if own is not None else "",
                kin=view.words(means[one.stock], "share") if one.stock in means else "",
                known=view.words(whole[one.stock].equivalent, "number") if one.stock in whole else "",
            )
        )
    return tuple(rows)


def _candidates(kept: KeptLines, shown: LineShown) -> tuple[tuple[str, Stock], ...]:
    """Living stocks that a set can be tried with: of this line, then of those it may be mixed with."""
    line = shown.standing.line
    mixed = {line.id, *line.may_mix, *(one.id for one in kept.lines.values() if line.id in one.may_mix)}
    found = [
        (key, one)
        for key, one in kept.pedigree.stocks.items()
        if one.line in mixed and key in kept.held and kept.held[key].fish > 0
    ]
    return tuple(sorted(found, key=lambda pair: (pair[1].line != line.id, pair[1].label)))


def _choice(kept: KeptLines, stock: Stock) -> str:
    held = kept.held[stock.id]
    sex = f", {stock.sex}" if stock.sex else ""
    where = ", ".join(kept.places.get(place, place) for place in held.places[:2])
    return f"{kept.names[stock.id]} ({held.fish}{sex}{', ' + where if where else ''})"


def _mates(view: View, kept: KeptLines, shown: LineShown, here: str) -> Mapping[str, object]:
    """Mates of least kinship, below the limit the address asks for."""
    limit = _limit(view.query.get("limit", ""))
    standing = shown.standing
    means = dict(standing.diversity.of) if standing.diversity is not None else {}
    best = sorted(means, key=lambda key: means[key])[:MOST_PROPOSED]
    stocks = [kept.pedigree.stocks[key] for key in best]
    males, females = may_father(stocks, {key: kept.held[key].fish for key in best})

    def make(_: object) -> Proposal:
        return propose(kept.pedigree, males, females, limit=limit)

    name = ("mates", standing.line.id, limit, view.log_state[0])
    found = view.made_once.keep(view.snapshot, name, make) or make(None)
    return {
        "limit": limit,
        "limits": tuple((f"{one:g}", view.words(one, "share")) for one in LIMITS),
        "mates": tuple(
            MateRow(
                male=kept.names[one.male],
                female=kept.names[one.female],
                kinship=view.words(one.kinship, "share"),
                address=f"{here}?stock1={quote(one.male, safe='')}&sex1=male"
                f"&stock2={quote(one.female, safe='')}&sex2=female#try",
            )
            for one in found.mates
        ),
        "alone": tuple(kept.names[one] for one in found.alone),
        "left_out": max(len(means) - MOST_PROPOSED, 0),
    }


def _limit(text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        return MOST_KINSHIP
    return value if 0 <= value <= 1 else MOST_KINSHIP


def _tried_rows(sent: Mapping[str, str]) -> tuple[TriedRow, ...]:
    usual = {1: "male", 2: "female"}
    return tuple(
        TriedRow(
            number=number,
            stock=sent.get(f"stock{number}", ""),
            sex=sent.get(f"sex{number}", usual.get(number, "")),
            count=sent.get(f"count{number}", ""),
            low=sent.get(f"low{number}", ""),
            high=sent.get(f"high{number}", ""),
        )
        for number in range(1, ROWS + 1)
    )


def _tried(view: View, kept: KeptLines, sent: Mapping[str, str]) -> Tried | None:
    """What would come of the set the address or the form names; None when it names none."""
    if not any(sent.get(f"stock{number}", "").strip() for number in range(1, ROWS + 1)):
        return None
    made = typed_set(sent, kept, view.log.now())
    if not isinstance(made, BreedingSet):
        return Tried(wrong=made)
    return Tried(
        lines=told(view, planned_lines(planned(kept.pedigree, made))),
        findings=set_findings(kept.pedigree, kept.lines, made),
    )


PAGE = Page(name="line", path="/lines/{line}", title="Line", template="line.html", show=show)
