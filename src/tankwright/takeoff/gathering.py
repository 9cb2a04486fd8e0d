"""What generators of a list hand out, put together: needs alike in all but their place of a row are one line."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction
from typing import Final

from tankwright.finding import Finding
from tankwright.takeoff.counted import Counted
from tankwright.takeoff.model import Article, Need
from tankwright.units import Metre

Line = Article | Need | Finding
"""What one part of a list hands out."""

FINE: Final = 6
"""Decimals of a metre to which lengths are kept: a thousandth of what a saw can do."""

INCH: Final = 0.0254
SIXTEENTHS: Final = 16
NEAR: Final = 1.5e-4
"""m from a sixteenth of an inch within which a size is called by it: an inch size that was rounded to millimetres."""


def gathered(lines: Iterable[Line]) -> Counted:
    """Articles once each, as first told; needs alike in all but count and places added up; findings in order."""
    articles: dict[str, Article] = {}
    needs: dict[Need, tuple[int, dict[str, None]]] = {}
    findings: list[Finding] = []
    for line in lines:
        if isinstance(line, Article):
            articles.setdefault(line.key, line)
        elif isinstance(line, Need):
            alike = replace(_tidy(line), count=0, places=(), line=None)
            count, places = needs.get(alike, (0, {}))
            needs[alike] = (count + line.count, places | dict.fromkeys(line.places))
        else:
            findings.append(line)
    return Counted(
        needs=tuple(
            replace(need, count=count, places=tuple(places))
            for need, (count, places) in needs.items()
            if count
        ),
        articles=tuple(articles.values()),
        findings=tuple(findings),
    )


def _tidy(need: Need) -> Need:
    """Without the dust that adding up lengths leaves, so that pieces cut alike are alike."""
    return replace(
        need,
        length=None if need.length is None else round(need.length, FINE),
        size=None if need.size is None else (round(need.size[0], FINE), round(need.size[1], FINE)),
    )


def size_name(size: Metre, display: str) -> str:
    """A size as a shop calls it, part of an article's name: millimetres, or inches where the plan is read in them.

    >>> size_name(0.018, "metric"), size_name(0.0286, "US"), size_name(0.0127, "US"), size_name(0.0995, "US")
    ('18 mm', '1 1/8 in', '1/2 in', '99.5 mm')
    """
    sixteenths = round(size / INCH * SIXTEENTHS)
    if display == "US" and sixteenths and abs(sixteenths * INCH / SIXTEENTHS - size) <= NEAR:
        whole, part = divmod(Fraction(sixteenths, SIXTEENTHS), 1)
        return " ".join(str(one) for one in (whole, part) if one) + " in"
    return f"{round(size * 1000.0, 1):g} mm"
