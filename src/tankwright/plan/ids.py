"""Ids as people write them in a row: "A1..A4" makes four, "A1, A3, B7..B9" makes five."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Final

from tankwright.units import clip

MOST_IDS: Final = 2000
LONGEST_ID: Final = 24
_RANGE: Final = re.compile(r"(.*?)(\d{1,6})\s*\.\.\.?\s*(.*?)(\d{1,6})", re.ASCII)
_NUMBERED: Final = re.compile(r"(.*?)(\d+)", re.ASCII)
_MOST_DIGITS: Final = 6
_ID: Final = re.compile(r"[^\W_][\w .+/-]*")


class IdsError(ValueError):
    """A text that is no list of ids; `text` ends a sentence about it, `attempt` is what to try."""

    def __init__(self, text: str, attempt: str = "") -> None:
        super().__init__(text)
        self.text = text
        self.attempt = attempt


def expand_ids(text: str) -> tuple[str, ...]:
    """The ids a text names, in its order; raises IdsError and nothing else.

    A leading zero is kept: "T01..T03" makes T01, T02, T03.

    >>> expand_ids("A1, A3, B7..B9")
    ('A1', 'A3', 'B7', 'B8', 'B9')
    """
    if len(text) > 20 * MOST_IDS:
        raise IdsError("is too long to be a list of ids")
    ids: list[str] = []
    for part in text.split(","):
        piece = part.strip()
        if not piece:
            raise IdsError("has an empty place between its commas" if "," in text else "names no id")
        ids.extend(_expand(piece))
        if len(ids) > MOST_IDS:
            raise IdsError(f"names more than {MOST_IDS} ids")
    seen: set[str] = set()
    for one in ids:
        if one in seen:
            raise IdsError(f'names "{clip(one)}" twice')
        seen.add(one)
    return tuple(ids)


def ids_text(ids: Iterable[str]) -> str:
    """Ids as people write them: those that follow each other as a range.

    >>> ids_text(("A1", "A2", "A3", "B7", "A5")), ids_text(expand_ids("T09..T11"))
    ('A1..A3, B7, A5', 'T09..T11')
    """
    rows: list[list[str]] = []
    for one in ids:
        if rows and _follows(rows[-1][-1], one):
            rows[-1].append(one)
        else:
            rows.append([one])
    return ", ".join(row[0] if len(row) == 1 else f"{row[0]}..{row[-1]}" for row in rows)


def _follows(first: str, second: str) -> bool:
    """Whether a range that begins with the one id makes the other next."""
    before, after = _NUMBERED.fullmatch(first), _NUMBERED.fullmatch(second)
    if before is None or after is None or before[1] != after[1] or len(before[2]) > _MOST_DIGITS:
        return False
    width = len(before[2]) if before[2].startswith("0") else 0
    return after[2] == f"{int(before[2]) + 1:0{width}d}"


def _expand(piece: str) -> list[str]:
    if ".." not in piece:
        if not _ID.fullmatch(piece) or len(piece) > LONGEST_ID:
            raise IdsError(f'has "{clip(piece)}", which is no id', _dashed(piece))
        return [piece]
    ends = _RANGE.fullmatch(piece)
    if ends is None:
        raise IdsError(f'has "{clip(piece)}", which is no range of ids')
    stem, first, stem_again, last = ends.groups()
    if stem_again not in (stem, ""):
        attempt = f"{stem}{first}..{stem}{last}"
        raise IdsError(f'has "{clip(piece)}", whose ends are of two rows', f'"{clip(attempt)}"')
    if not _ID.fullmatch(stem + first) or len(stem) > LONGEST_ID:
        raise IdsError(f'has "{clip(piece)}", which is no range of ids')
    low, high = int(first), int(last)
    if high < low:
        raise IdsError(f'counts backwards in "{clip(piece)}"', f'"{clip(f"{stem}{last}..{stem}{first}")}"')
    if high - low >= MOST_IDS:
        raise IdsError(f"names more than {MOST_IDS} ids")
    width = len(first) if first.startswith("0") else 0
    return [f"{stem}{number:0{width}d}" for number in range(low, high + 1)]


def _dashed(piece: str) -> str:
    """A range somebody may have meant: "A1 to A4" or "A1 – A4"."""
    ends = re.fullmatch(r"(\w+)\s*(?:to|–|—|-|…)\s*(\w+)", piece)
    return f'"{clip(ends[1])}..{clip(ends[2])}"' if ends else ""
