"""The two cards for paper as HTML: in the app's pages, and each as a file that stands by itself."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, Literal

from markupsafe import Markup

from tankwright.display import sentence, words
from tankwright.faults.model import Faults
from tankwright.finding import Number
from tankwright.report.cards import DoorCard, door_card
from tankwright.report.cards_absence import AbsenceSheet, absence_sheet
from tankwright.report.model import SummaryLine
from tankwright.study import Study
from tankwright.web.card_fit import Paper, fit_of

CardName = Literal["door", "absence"]

TITLES: Final[dict[CardName, str]] = {"door": "Emergency card", "absence": "Absence sheet"}


@dataclass(frozen=True, slots=True, kw_only=True)
class CardShown:
    """A card ready for its template: what it holds, how its lines and numbers are told, its paper and type."""

    name: CardName
    title: str
    card: DoorCard | AbsenceSheet
    paper: Paper
    fit: int
    tell: Callable[[SummaryLine], str]
    told: Callable[[Number], str]


def card_shown(name: CardName, study: Study, faults: Faults | None) -> CardShown:
    """A card of a worked-out plan. `faults` is None while they are not worked out."""
    display = study.room.display

    def tell(line: SummaryLine) -> str:
        return sentence(line.text, line.numbers, display)

    def told(number: Number) -> str:
        return words(number, display)

    card: DoorCard | AbsenceSheet
    card = door_card(study, faults) if name == "door" else absence_sheet(study, faults)
    paper: Paper = "letter" if display == "US" else "a4"
    return CardShown(
        name=name,
        title=TITLES[name],
        card=card,
        paper=paper,
        fit=fit_of(card, paper, tell),
        tell=tell,
        told=told,
    )


def card_file(name: CardName, study: Study, faults: Faults | None, note: str) -> str:
    """A card as one HTML file, its style within it; `note` says of which plan it is and when it was made."""
    from tankwright.web.rendering import STATIC, environment  # noqa: PLC0415 - it knows every page, this one too

    style = (STATIC / "cards.css").read_text(encoding="utf-8")
    html: str = (
        environment()
        .get_template("card_file.html")
        .render(shown=card_shown(name, study, faults), note=note, style=Markup(style))
    )
    return html
