"""Lines: every line that is kept, how many live of it, how inbred they are, how long it lasts, what is to be done."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from tankwright.finding import Finding, Severity
from tankwright.husbandry.calendar_words import date_words
from tankwright.report.lines import EXPLAINED
from tankwright.web.lines_shown import LineShown, line_shown, lines_kept
from tankwright.web.page import Page, View


@dataclass(frozen=True, slots=True, kw_only=True)
class LineRow:
    """A line in the list. Numbers are texts in the reader's units; "" is what is not known."""

    id: str
    name: str
    species: str
    fish: str
    inbreeding: str
    size: str
    left: str
    by: str
    worst: Finding | None


def show(view: View) -> Mapping[str, object]:
    """The list, and all findings of the pedigree that are problems or warnings."""
    kept = lines_kept(view)
    if kept is None or not kept.lines:
        return {"rows": (), "explained": EXPLAINED, "findings": ()}
    found = [line_shown(view, kept, key) for key in kept.lines]
    return {
        "rows": tuple(_row(view, one) for one in found),
        "explained": EXPLAINED,
        "findings": tuple(
            dict.fromkeys(
                finding
                for one in found
                for finding in one.findings
                if finding.severity in (Severity.PROBLEM, Severity.WARNING)
            )
        ),
    }


def _row(view: View, one: LineShown) -> LineRow:
    standing = one.standing
    inbreeding = ""
    if standing.inbreeding is not None:
        inbreeding = view.words(standing.inbreeding, "share")
        if standing.related is not None and standing.related - standing.inbreeding > 1e-9:
            inbreeding += f" – {view.words(standing.related, 'share')}"
    left = "" if standing.left is None else str(standing.left)
    worst = one.findings[0] if one.findings else None
    return LineRow(
        id=standing.line.id,
        name=standing.line.name,
        species=standing.line.species,
        fish=str(standing.fish),
        inbreeding=inbreeding,
        size=view.words(standing.effective.size, "number") if standing.effective is not None else "",
        left="500+" if standing.lasting else left,
        by=date_words(standing.regenerate_by) if standing.regenerate_by is not None else "",
        worst=worst if worst is not None and worst.severity is not Severity.NOTE else None,
    )


PAGE = Page(name="lines", path="/lines", title="Lines", template="lines.html", show=show, group="life")
