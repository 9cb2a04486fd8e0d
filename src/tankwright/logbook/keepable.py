"""What a database can keep for ever, and give back just as it was: no broken sign, no number that is none."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from math import isfinite
from typing import Any, Final

from tankwright.finding import Finding
from tankwright.husbandry.records import Draft
from tankwright.logbook.outcome import By, trouble

NOT_KEEPABLE: Final = "LOG-30"
LONGEST: Final = 100_000
"""Signs of one text; a note on a phone has some hundred. Our choice, no source."""
_MOST: Final = 2**63 - 1


def keepable_faults(drafts: Sequence[Draft], by: By) -> Iterator[Finding]:
    """All that could not be kept, or would come back as something else."""
    for name in ("who", "device", "key"):
        yield from _text_faults("entry", name, getattr(by, name))
    for draft in drafts:
        for name in ("place", "stock", "line", "note", "reason", "voids"):
            yield from _text_faults(draft.kind, name, getattr(draft, name))
        yield from _detail_faults(draft.kind, "details", draft.details)
        for one in draft.observed:
            for name in ("quantity", "unit", "method"):
                yield from _text_faults(draft.kind, name, getattr(one, name))
            for name in ("value", "low", "high"):
                yield from _number_faults(draft.kind, f"{name} of {one.quantity}", getattr(one, name))
        for flow in draft.flows:
            for name in ("stock", "place"):
                yield from _text_faults(draft.kind, name, getattr(flow, name))
            yield from _number_faults(draft.kind, "number of fish", flow.quantity)


def as_kept(draft: Draft) -> Draft:
    """A draft as it will be read again: a value read as 7 is 7.0, and nothing is -0.0.

    >>> from datetime import UTC, datetime
    >>> from tankwright.husbandry.records import Observed
    >>> draft = Draft(kind="tested", happened=datetime(2026, 8, 2, tzinfo=UTC), place="p",
    ...               observed=(Observed(quantity="ph", value=7),))
    >>> as_kept(draft).observed[0].value
    7.0
    """
    if not draft.observed:
        return draft
    return replace(draft, observed=tuple(
        replace(one, value=_float(one.value), low=_float(one.low), high=_float(one.high))
        for one in draft.observed
    ))  # fmt: skip


def _float(value: float | None) -> float | None:
    return None if value is None else float(value) + 0.0


def _text_faults(subject: str, name: str, text: str) -> Iterator[Finding]:
    if "\x00" in text or not _is_whole(text):
        yield _fault(subject, f"has a sign in its {name} that cannot be kept", found=ascii(text)[:60],
                     wanted="letters, digits and other signs that can be shown")  # fmt: skip
    elif len(text) > LONGEST:
        yield _fault(subject, f"has a {name} that is too long", found=f"{len(text)} signs",
                     wanted=f"at most {LONGEST}")  # fmt: skip


def _is_whole(text: str) -> bool:
    """False for a text with half a sign in it, which no file can hold."""
    if text.isascii():
        return True
    try:
        text.encode("utf-8")
    except UnicodeEncodeError:
        return False
    return True


def _number_faults(subject: str, name: str, value: float | None) -> Iterator[Finding]:
    if value is not None and (not isfinite(value) or abs(value) > _MOST):
        yield _fault(subject, f"has a {name} that is no number", found=str(value)[:40], wanted="a number")


def _detail_faults(subject: str, name: str, value: Any) -> Iterator[Finding]:
    if isinstance(value, str):
        yield from _text_faults(subject, name, value)
    elif isinstance(value, float):
        yield from _number_faults(subject, name, value)
    elif isinstance(value, Mapping):
        for key, one in value.items():
            yield from _text_faults(subject, f'name of "{name}"', str(key))
            yield from _detail_faults(subject, str(key), one)
    elif isinstance(value, tuple | list):
        for one in value:
            yield from _detail_faults(subject, name, one)
    elif value is not None and not isinstance(value, bool | int):
        yield _fault(subject, f'says something in "{name}" that is neither a text nor a number',
                     found=type(value).__name__, wanted="a text, a number, a list")  # fmt: skip


def _fault(subject: str, text: str, *, found: str, wanted: str) -> Finding:
    return trouble(NOT_KEEPABLE, text, subject=subject, found=found, wanted=wanted)
