"""The first sheet: which room, which state of its plan, and what was still open when the book was made."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Final

from tankwright.display import SEVERITY_WORDS, sentence
from tankwright.documents.model import Banner, Block, Paragraph, Sheet, Table, columns
from tankwright.finding import Finding, Severity
from tankwright.room.model import Room

CAUTION: Final = (
    "A screening from what the plan says, not an approval. Mains electricity near water, loads on floors and racks,"
    " glass, pressure and chemicals are for your local code, the makers' instructions and licensed people."
)
MOST_OPEN: Final = 40
"""Findings listed on the cover; the rest are counted."""


def cover_sheet(
    room: Room, findings: tuple[Finding, ...], *, plan_name: str, revision: str, date: str
) -> Sheet:
    """The cover. `findings` are those of the plan, worst first; `revision` names its state ("plan 41")."""
    return Sheet(
        name="cover",
        title=f"{room.title}: build book",
        part="cover",
        blocks=tuple(_blocks(room, findings, plan_name, revision, date)),
    )


def _blocks(
    room: Room, findings: tuple[Finding, ...], plan_name: str, revision: str, date: str
) -> Iterator[Block]:
    yield Banner(over="Build book", text=room.title, under=f"{plan_name}, {revision}; made {date}")
    kinds = Counter(tank.kind for tank in room.tanks)
    yield Table(
        title="",
        columns=columns("", "*"),
        rows=(
            ("tanks", ", ".join(f"{count} {kind}" for kind, count in kinds.items()) or "none"),
            ("racks", ", ".join(rack.id for rack in room.racks) or "none"),
            ("rooms", ", ".join(space.id for space in room.spaces) or "none"),
        ),
    )
    yield from _open(findings, room.display)
    yield Paragraph(text=CAUTION, caution=True)


def _open(findings: tuple[Finding, ...], display: str) -> Iterator[Block]:
    standing = [one for one in findings if one.severity is not Severity.NOTE]
    notes = len(findings) - len(standing)
    if not standing:
        yield Paragraph(
            text=f"No problem and no warning is open, nothing was left uncomputed; {notes} notes are in the check."
        )
        return
    counts = Counter(one.severity for one in standing)
    told = ", ".join(
        f"{counts[one]} {one.value}{'s' if counts[one] > 1 and one is not Severity.NOT_COMPUTED else ''}"
        for one in Severity
        if counts[one]
    )
    more = len(standing) - MOST_OPEN
    yield Table(
        title=f"Open when this was made: {told}",
        note="Build nothing that a problem names before it is settled.",
        columns=columns("", "of what*", "what**", "do**", "code"),
        rows=tuple(
            (
                SEVERITY_WORDS[one.severity], one.subject, sentence(one.text, one.numbers, display),
                sentence(one.remedy, one.numbers, display) if one.remedy else None, one.code,
            )
            for one in standing[:MOST_OPEN]
        ),
        file="open-findings",
    )  # fmt: skip
    if more > 0:
        yield Paragraph(text=f"And {more} more: run tankwright check on the plan.")
