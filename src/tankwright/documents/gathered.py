"""Many alike places told in one line: "at A1 to A3, B2"."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import prod
from typing import Final

_NAME: Final = re.compile(r"\b(?:[\w.]*\d[\w.]*\w|[\w.]*\d|[A-Z])\b")
_COUNTED: Final = re.compile(r"(.*?)(\d{1,6})")


def gathered(texts: Iterable[str]) -> str:
    """Texts that differ only in names with a digit, or of one capital, as one each; the rest as they are.

    >>> gathered(["from the overflow of A1", "from the overflow of A2", "from the overflow of A3", "at B"])
    'from the overflow of A1 to A3; at B'
    >>> gathered(["from tap 4 to A1", "from tap 9 to A2"])
    'from tap 4, 9 to A1, A2, in this order'
    >>> gathered(["rack A, shelf 1", "rack A, shelf 2", "rack B, shelf 1", "rack B, shelf 2"])
    'rack A, B, shelf 1, 2'
    """
    shapes: dict[str, list[tuple[str, ...]]] = {}
    for text in dict.fromkeys(texts):
        names = tuple(found[0] for found in _NAME.finditer(text))
        shapes.setdefault(_NAME.sub("\0", text), []).append(names)
    return "; ".join(_one(shape, names) for shape, names in shapes.items())


def _one(shape: str, many: Sequence[tuple[str, ...]]) -> str:
    places = [list(dict.fromkeys(column)) for column in zip(*many, strict=True)]
    each_with_each = len(many) == prod(
        map(len, places)
    )  # one alone varies, or every mix of the names is there
    said = shape
    for number, place in enumerate(places):
        if len(place) == 1:
            told = place[0]
        else:
            told = runs(place) if each_with_each else ", ".join(names[number] for names in many)
        said = said.replace("\0", told, 1)
    return said if each_with_each else f"{said}, in this order"


def runs(names: Sequence[str]) -> str:
    """Names in a row, those that are counted up told by their ends.

    >>> runs(["A1", "A2", "A3", "A5", "B1"]), runs(["1", "2"])
    ('A1 to A3, A5, B1', '1, 2')
    """
    parts: list[list[str]] = []
    for before, name in pairwise(["", *names]):
        if parts and _follows(before, name):
            parts[-1].append(name)
        else:
            parts.append([name])
    return ", ".join(f"{part[0]} to {part[-1]}" if len(part) > 2 else ", ".join(part) for part in parts)


def _follows(before: str, name: str) -> bool:
    first, second = _COUNTED.fullmatch(before), _COUNTED.fullmatch(name)
    return (
        first is not None
        and second is not None
        and first[1] == second[1]
        and int(second[2]) == int(first[2]) + 1
    )
