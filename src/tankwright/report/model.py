"""What a system says of itself in short: lines whose numbers a view words in the reader's units."""

from __future__ import annotations

from dataclasses import dataclass

from tankwright.finding import Number


@dataclass(frozen=True, slots=True)
class SummaryLine:
    """One line of a system's summary; `{name}` in the text stands for a number of `numbers`.

    >>> SummaryLine("pump works at {p}", (("p", Number(6000.0, "pressure")),)).text
    'pump works at {p}'
    """

    text: str
    numbers: tuple[tuple[str, Number], ...] = ()
