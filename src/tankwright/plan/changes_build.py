"""Changes of what a plan says of its building: days without work, how long a thing takes to come."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from tankwright.finding import Finding, Severity
from tankwright.plan.changes import SetRaw, current_value
from tankwright.plan.changes_rows import AddRow
from tankwright.plan.editing import EditResult, quoted
from tankwright.plan.mistakes import WRONG_FORM
from tankwright.plan.typed import MUST_STAND, RefusedError, quantity_toml
from tankwright.plan.values import Path
from tankwright.units import clip

_MOST: Final = 366
"""Days one form sets free: a year off is no holiday but another first day."""
_NOT_ON: Final[Path] = ("build", "not_on")


@dataclass(frozen=True, slots=True, kw_only=True)
class SetDaysOff:
    """Days without work, the first and the last as typed ("" for one day alone); `off` False makes them usual again.

    >>> change = SetDaysOff(first="2026-12-24", last="2026-12-26")
    >>> print(change.apply("[build]\\nnot_on = [2026-12-25]\\n").text)
    [build]
    not_on = [2026-12-24, 2026-12-25, 2026-12-26]
    <BLANKLINE>
    """

    first: str
    last: str = ""
    off: bool = True

    @property
    def path(self) -> Path:
        """The list of days."""
        return _NOT_ON

    def says(self, before: str) -> str:  # noqa: ARG002 - what was there before does not matter
        """The change in words for the history, at most 120 signs."""
        last = self.last.strip()
        days = (
            f"{self.first.strip()} to {last}" if last and last != self.first.strip() else self.first.strip()
        )
        return clip(f"build: {days} {'without work' if self.off else 'with work again'}", 120)

    def apply(self, text: str) -> EditResult:
        """The changed text, or the findings that say why nothing was changed."""
        try:
            meant = self._days()
            standing = {_day(one) for one in (current_value(text, _NOT_ON) or "").split(",") if one.strip()}
        except RefusedError as error:
            return _refused("build", error)
        days = sorted(standing | meant if self.off else standing - meant)
        if days == sorted(standing):
            return EditResult(text=text)
        toml = f"[{', '.join(day.isoformat() for day in days)}]" if days else ""
        return SetRaw(_NOT_ON, toml).apply(text)

    def _days(self) -> set[date]:
        first = _day(self.first)
        last = _day(self.last) if self.last.strip() else first
        count = (last - first).days + 1
        if count < 1:
            raise RefusedError(MUST_STAND, f"{last} comes before {first}", "the first day, then the last")
        if count > _MOST:
            raise RefusedError(
                MUST_STAND, f"{first} to {last} are {count} days", f"at most {_MOST} days at once"
            )
        return {first + timedelta(days=number) for number in range(count)}


@dataclass(frozen=True, slots=True, kw_only=True)
class AddDelivery:
    """How long one kind of thing takes to come, as typed.

    >>> AddDelivery(what="glass", takes="10 days").toml
    '{ what = "glass", takes = "10 days" }'
    """

    what: str
    takes: str

    @property
    def path(self) -> Path:
        """The list of deliveries."""
        return ("build", "deliveries")

    @property
    def toml(self) -> str:
        """The row as it is written; raises RefusedError for what cannot be one."""
        what, takes = self.what.strip(), self.takes.strip()
        if not what:
            raise RefusedError(MUST_STAND, "what comes must be named", "tank, glass, timber, pipe")
        if not takes:
            raise RefusedError(MUST_STAND, "how long it takes must be given", '"10 days", "2 weeks"')
        toml, value = quantity_toml(takes, "duration", None)
        if value <= 0:
            raise RefusedError(MUST_STAND, f'"{clip(takes)}" must be more than zero', "more than zero")
        return f"{{ what = {quoted(what)}, takes = {toml} }}"

    def says(self, before: str) -> str:  # noqa: ARG002 - what was there before does not matter
        """The change in words for the history, at most 120 signs."""
        return clip(f"build: {self.what.strip()} takes {self.takes.strip()} to come", 120)

    def apply(self, text: str) -> EditResult:
        """The changed text, or the findings that say why nothing was changed."""
        try:
            return AddRow(self.path, self.toml).apply(text)
        except RefusedError as error:
            return _refused("build", error)


def _day(typed: str) -> date:
    try:
        return date.fromisoformat(typed.strip())
    except ValueError:
        said = f'"{clip(typed.strip())}" is not a date' if typed.strip() else "a day must be given"
        raise RefusedError(WRONG_FORM, said, "year, month and day: 2026-12-24") from None


def _refused(subject: str, error: RefusedError) -> EditResult:
    finding = Finding(
        code=error.code, severity=Severity.PROBLEM, subject=subject, text=error.text, wanted=error.wanted,
        attempt=error.attempt,
    )  # fmt: skip
    return EditResult(text=None, findings=(finding,))
