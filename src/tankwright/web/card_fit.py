"""The largest type at which a card still fits its page: its text set in columns as a browser would, by letter widths.

Heights are in ems of the card's own type and follow cards.css; a change there is a change here, and a test prints both.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterable
from typing import Final, Literal

from tankwright.report.cards import DoorCard
from tankwright.report.cards_absence import AbsenceSheet
from tankwright.report.cards_words import Part
from tankwright.report.model import SummaryLine

Paper = Literal["a4", "letter"]
Tell = Callable[[SummaryLine], str]

DOOR_SIZES: Final = (15.0, 14.2, 13.5, 12.8, 12.0, 11.2, 10.5, 9.8, 9.0, 8.2, 7.4, 6.6)
ABSENCE_SIZES: Final = (12.0, 11.2, 10.5, 9.8, 9.2, 8.6, 8.0, 7.4, 6.8, 6.2, 5.6)
"""Type sizes of cards.css (fit-1 and on), points."""

_PAGE: Final[dict[Paper, tuple[float, float]]] = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
_POINT: Final = 25.4 / 72.0  # mm
_SPARE: Final = 0.97  # of the page, for what fonts of another machine take more
_LINE: Final = 1.22
_BOLD: Final = 1.08

# Widths of letters in ems. Source: the metrics of the sans-serif most machines have, rounded up, from memory.
_WIDTHS: Final = {
    **dict.fromkeys(" !,./:;fIt[]()-", 0.31), **dict.fromkeys("ijl'|", 0.23), "r": 0.34,
    **dict.fromkeys("ckstvxyzJ", 0.51), "m": 0.84, "w": 0.73, "M": 0.84, "W": 0.95, "@": 1.02, "%": 0.9,
    **dict.fromkeys("ABCDEGHKNOPQRSUVXY", 0.75), **dict.fromkeys("FLTZ", 0.62),
}  # fmt: skip


def fit_of(card: DoorCard | AbsenceSheet, paper: Paper, tell: Tell) -> int:
    """The number of the largest size at which a card fits; the smallest where none does."""
    sizes = DOOR_SIZES if isinstance(card, DoorCard) else ABSENCE_SIZES
    wide, high = _PAGE[paper]
    for number, points in enumerate(sizes, start=1):
        em = points * _POINT
        width = (wide - 18.0) / em
        gap = 5.0 / em
        used = (
            _door(card, width, gap, tell) if isinstance(card, DoorCard) else _absence(card, width, gap, tell)
        )
        if used * em + 16.0 + 3.2 + 3.5 <= high * _SPARE:  # padding, rules of the head, foot
            return number
    return len(sizes)


def rows(text: str, width: float) -> int:
    """Lines a text takes in a column of so many ems, broken between words and within those that are too long.

    >>> rows("shut the water point", 20.0), rows("shut the water point", 6.0)
    (1, 2)
    """
    lines, used = 1, 0.0
    for word in text.split(" "):
        wide = sum(_wide(letter) for letter in word)
        if used > 0.0 and used + 0.31 + wide > width:
            lines, used = lines + 1, 0.0
        used += wide + (0.31 if used > 0.0 else 0.0)
        while used > width > 1.0:
            lines, used = lines + 1, used - width + 0.5
    return lines


def _wide(letter: str) -> float:
    if letter in _WIDTHS:
        return _WIDTHS[letter]
    return 1.05 if unicodedata.east_asian_width(letter) in "WF" else 0.57 if letter.isascii() else 0.8


def _list(texts: Iterable[str], width: float, scale: float = 1.0) -> float:
    return sum(scale * (_LINE * rows(text, (width - 1.5 * scale) / scale) + 0.12) for text in texts)


def _head(text: str, width: float) -> float:
    return 0.55 * 1.12 + 1.15 * 1.12 * rows(text, width / (1.12 * _BOLD) - 1.5)


def _part(part: Part, width: float, tell: Tell) -> float:
    texts = [tell(line) for line in part.lines] or [part.missing]
    return _head(part.title, width) + _list(texts, width)


def _blank(labels: tuple[str, ...]) -> float:
    return 1.52 * len(labels)


def _top(what: str, title: str, caution: str, width: float) -> float:
    beside = width - 2.0 * _BOLD * sum(_wide(letter) for letter in what) - 2.0
    inline = rows(title, beside / (1.45 * _BOLD)) if beside > 4.0 else 2
    head = 2.1 if inline == 1 else 2.1 + 1.6 * rows(title, width / (1.45 * _BOLD))
    return head + 0.35 + 0.92 * 1.2 * rows(caution, width / (0.92 * _BOLD))


def _table(cells: Iterable[tuple[tuple[str, float], ...]]) -> float:
    """Rows of (text, width of its column)."""
    return sum(max(rows(text, width - 0.5) for text, width in row) * _LINE + 0.32 for row in cells)


_SECTION: Final = 0.5


def _door(card: DoorCard, width: float, gap: float, tell: Tell) -> float:
    half = (width - gap) / 2
    used = _top("EMERGENCY", card.title, card.caution, width)
    used += _SECTION + max(
        _part(card.water, half, tell) + _part(card.outfalls, half, tell), _part(card.power, half, tell)
    )
    used += _SECTION + max(_head("Call", half) + _blank(card.phones), _part(card.told, half, tell))
    used += _SECTION + _head("The worst", width)
    if card.worst:
        used += 1.3 + _table(
            ((one.name, 0.31 * width / _BOLD), (tell(one.harm), 0.26 * width), (one.action, 0.43 * width))
            for one in card.worst
        )
    else:
        used += _LINE * rows(card.worst_missing, width) + 0.2
    right = (width - gap) / 2.2
    orders = [tell(line) for line in card.order.lines] or [card.order.missing]
    left = 1.2 * right
    bold = [one + "m" * (len(one) // 14) for one in card.dangers]  # bold text is wider
    return (
        used
        + _SECTION
        + max(
            _head("Power cut: tanks in this order", left) + _list(orders, left - 0.4),
            _part(card.battery, right, tell) + 0.3 + _list(bold, right, 0.92),
        )
    )


def _absence(card: AbsenceSheet, width: float, gap: float, tell: Tell) -> float:
    half = (width - gap) / 2
    used = _top("While I am away", card.title, card.caution, width)
    used += 0.8 + 1.6 * 2 + 1.6
    used += sum(max(1.8, _LINE * rows(f"{name} mm", 19.0) + 0.3) for name in card.rows)
    used += 1.3 if card.more else 0.0
    levels = _table(
        ((f"{one.kind}: {one.tanks}", half - 16.5), (f"mmmm {one.why}", 6.8)) for one in card.levels
    )
    warm = _table(((f"{one.zone}: {one.tanks}", half - 10.5),) for one in card.warmth)
    fed = _table(((one.tanks, half - 8.0),) for one in card.feeding)
    used += _SECTION + max(
        _head("Water", half) + 1.3 + levels + 2.3,
        2 * _head("Food", half) + (warm or 2.5) + (fed or 2.5) + (4.5 if card.left_out else 2.3),
    )
    bold = [one + "m" * (len(one) // 14) for one in card.leave]
    wrong = [tell(line) for line in card.first]
    used += _SECTION + max(
        _head("Leave", half) + _list(bold, half) + _part(card.by_itself, half, tell),
        2 * _head("Call", half) + _list(wrong, half) + _blank(card.phones) + _part(card.told, half, tell),
    )
    return used
