"""What generators of a list hand out, put together: needs alike in all but their place of a row are one line."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Final

from tankwright.finding import Finding
from tankwright.takeoff.counted import Counted
from tankwright.takeoff.model import Article, Need

Line = Article | Need | Finding
"""What one part of a list hands out."""

FINE: Final = 6
"""Decimals of a metre to which lengths are kept: a thousandth of what a saw can do."""


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
