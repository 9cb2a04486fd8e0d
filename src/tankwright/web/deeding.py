"""A deed as a phone or a form sends it: when it was tapped, by whom, under which key; then done, or why not."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from importlib import import_module
from typing import Final

from tankwright.display import sentence
from tankwright.finding import Finding
from tankwright.husbandry.treatments import leaving_findings, treatments
from tankwright.logbook.outcome import Recorded, Refused
from tankwright.web.entering import AHEAD
from tankwright.workspace.deeds import AT_ONE_S_MOMENT, DEEDS, Asked, moment_of
from tankwright.workspace.entries_before import place_of
from tankwright.workspace.entry_events import TAKEN_BACK
from tankwright.workspace.keeping import Hand, wrong_value
from tankwright.workspace.keeping_mending import struck
from tankwright.workspace.log import RoomLog
from tankwright.workspace.naming import WrongError

__all__ = ["DEEDS", "Done", "carry_out", "take_back"]

AHEAD_SAID: Final = "The clock it was made by is ahead, so it stands under the time it arrived."


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """The deed stands; `said` is what its sender should be told beside, or ""."""

    outcome: Recorded
    said: str = ""


def carry_out(log: RoomLog, fields: Mapping[str, str], *, who: str, now: datetime) -> Done | Finding:
    """Do a deed, or say why not: the fields are "kind", "tank", "key", "happened", "note" and those of the deed."""
    asked = Asked(fields)
    try:
        moment = moment_of(asked.text("happened", 60))
        late = moment is not None and moment - now > AHEAD
        at = None if late or asked.text("kind") in AT_ONE_S_MOMENT else moment
        hand = Hand(log=log, who=who, at=at, key=asked.text("key", 80), note=asked.text("note", 2000),
                    sent_late=True)  # fmt: skip
        if not hand.key:
            return wrong_value("deed", "has no key", wanted="a text of its sender's own, another for each")
        if log.room is None and asked.text(
            "tank", 40
        ):  # no plan says which tanks there are: none is turned away
            place_of(log.book, asked.text("tank", 40), now)
        outcome = DEEDS[asked.text("kind")](hand, asked.text("tank"), asked)
    except WrongError as wrong:
        return wrong.findings[0]
    if isinstance(outcome, Refused):
        return outcome.findings[0]
    said = [AHEAD_SAID] if late else []
    return Done(outcome=outcome, said=" ".join([*said, *_against(log, outcome)]))


def _against(log: RoomLog, outcome: Recorded) -> list[str]:
    """What stands against fish that left: a treatment that runs, or a withdrawal that is not over."""
    gone = [one for one in outcome.events if one.kind == "left"]
    if not gone:
        return []
    labels = import_module("tankwright.logbook.listing").labels_of(log.book, gone)
    courses = treatments(log.book.events(kinds=["treated"]))
    return [
        f"{labels.get(one.subject, one.subject)} {sentence(one.text, one.numbers, 'metric')}."
        for one in leaving_findings(gone, courses)
    ]


def take_back(log: RoomLog, key: str, undoes: str, *, who: str) -> Done | Finding | None:
    """Strike out what came with a key, all of it; None when nothing did. Twice is once."""
    book = log.kept
    event = book.by_key(undoes) if book is not None and undoes else None
    if book is None or event is None:
        return None
    before = import_module("tankwright.logbook.listing").voided_by(book, [event.id]).get(event.id)
    if before is not None:
        return Done(outcome=Recorded(events=(before,), repeated=True))
    outcome = struck(Hand(log=log, who=who, key=key), event.id, TAKEN_BACK)
    return outcome.findings[0] if isinstance(outcome, Refused) else Done(outcome=outcome)
