"""What one part of the takeoff hands back: needs, the articles they name, joints and findings."""

from __future__ import annotations

from dataclasses import dataclass

from tankwright.finding import Finding
from tankwright.takeoff.model import Article, Joint, Need


@dataclass(frozen=True, slots=True, kw_only=True)
class Counted:
    """What one part of the room takes."""

    needs: tuple[Need, ...] = ()
    articles: tuple[Article, ...] = ()
    joints: tuple[Joint, ...] = ()
    findings: tuple[Finding, ...] = ()


def merged(*counted: Counted) -> Counted:
    """All in one, in the order given; an article that several name is kept once, as the first of them has it.

    >>> one = Counted(articles=(Article(key="hose 20 mm", kind="hose", sold_by="metre"),))
    >>> [article.key for article in merged(one, one).articles]
    ['hose 20 mm']
    """
    articles: dict[str, Article] = {}
    for part in counted:
        for article in part.articles:
            articles.setdefault(article.key, article)
    return Counted(
        needs=tuple(need for part in counted for need in part.needs),
        articles=tuple(articles.values()),
        joints=tuple(joint for part in counted for joint in part.joints),
        findings=tuple(finding for part in counted for finding in part.findings),
    )
