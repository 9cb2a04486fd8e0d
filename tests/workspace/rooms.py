"""Small texts and changes the tests of the workspace share."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from tankwright.plan.changes import SetText, SetValue
from tankwright.workspace.live import Applied, Conflict, LivePlan, Outcome, Refused

ROOM = '[room.a]\nsize = { length = "5 m", width = "3 m", height = "2.2 m" }\n'
TITLED = 'title = "first"  # the owner\'s remark\n' + ROOM


@dataclass
class Clock:
    """A clock that a test sets, and that goes on a second each time it is asked."""

    at: datetime = datetime(2026, 8, 2, 7, 15, tzinfo=UTC)

    def __call__(self) -> datetime:
        self.at += timedelta(seconds=1)
        return self.at


def live(folder: Path, text: str | None = TITLED, name: str = "plan.toml") -> LivePlan:
    """A live plan of a file with that text; of a missing file for None."""
    place = folder / name
    if text is not None:
        place.write_bytes(text.encode("utf-8"))
    return LivePlan(place, now=Clock())


def titled(title: str) -> SetValue:
    return SetValue(("title",), title)


def put(plan: LivePlan, text: str, key: str = "", who: str = "Ada") -> Outcome:
    return plan.edit(SetText(text), base=plan.snapshot.number, key=key, who=who)


def applied(outcome: Outcome) -> Applied:
    assert isinstance(outcome, Applied), _short(outcome)
    return outcome


def refused(outcome: Outcome) -> Refused:
    assert isinstance(outcome, Refused), _short(outcome)
    return outcome


def conflict(outcome: Outcome) -> Conflict:
    assert isinstance(outcome, Conflict), _short(outcome)
    return outcome


def noticed(plan: LivePlan) -> bool:
    """The server looks every half second; a text that cannot be read is taken in at the second look."""
    return any([plan.reread(), plan.reread()])


def _short(outcome: Outcome) -> str:
    findings = outcome.findings if isinstance(outcome, Refused) else ()
    return f"{type(outcome).__name__} at {outcome.snapshot.number}: {[one.text for one in findings]}"
