"""Each property is shown to catch a program that has its fault: a life is found in which it does not hold."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from typing import Any

import pytest
from sqlalchemy import Connection, Engine

from tankwright.finding import Finding
from tankwright.husbandry import ledger
from tankwright.husbandry.ledger import Running, Step
from tankwright.husbandry.records import Event
from tankwright.logbook import census, exchange, following, queries, series, store
from tankwright.logbook.rows import flow_rows

from .life import lives

Patch = pytest.MonkeyPatch


def without_signs(patch: Patch) -> None:
    """Fish that leave are written as fish that come."""
    patch.setattr(
        store,
        "flow_rows",
        lambda event: [row | {"quantity": abs(row["quantity"])} for row in flow_rows(event)],
    )


def without_losses(patch: Patch) -> None:
    """What counts miss is written nowhere."""
    patch.setattr(series, "derived_rows", lambda *_: [])


def without_voids(patch: Patch) -> None:
    """What is voided goes on to count."""
    keep = series.keep_series

    def kept(connection: Connection, one: Any, events: Sequence[Event], _voided: Sequence[Event] = ()) -> Any:
        return keep(connection, one, events, ())

    patch.setattr(following, "keep_series", kept)


def with_half_a_refusal(patch: Patch) -> None:
    """What is refused has been written before, and stays."""
    faults_of = store.entry_faults

    def faults(connection: Connection, events: Sequence[Event], *rest: Any, **more: Any) -> Iterator[Finding]:
        found = tuple(faults_of(connection, events, *rest, **more))
        if found:
            store.insert_events(connection, events)
        return iter(found)

    @contextmanager
    def writing(engine: Engine) -> Iterator[Connection]:
        with engine.connect() as connection:
            connection.execution_options(writes=True)
            try:
                yield connection
            finally:
                connection.commit()

    patch.setattr(store, "entry_faults", faults)
    patch.setattr(store, "writing", writing)


def without_keys(patch: Patch) -> None:
    """What is sent again is recorded again."""
    event_of = store._event
    number = iter(range(10**9))
    patch.setattr(store, "_repeated", lambda *_: ())
    patch.setattr(
        store, "_event", lambda *rest, **more: event_of(*rest, **more | {"key": f"m{next(number)}"})
    )


def with_counts_added(patch: Patch) -> None:
    """A count is taken for fish that came."""

    def added(self: Running, _at: int, _event: str, quantity: int, low: int, high: int) -> None:
        self.held, self.low, self.high = self.held + quantity, self.low + low, self.high + high

    patch.setattr(Running, "_pin", added)


def in_the_order_recorded(patch: Patch) -> None:
    """What is entered last is taken for what happened last."""

    def order(steps: Any) -> list[Step]:
        return sorted(steps, key=lambda one: (one.recorded, one.at, one.event))

    patch.setattr(series, "in_order", order)
    patch.setattr(ledger, "in_order", order)
    patch.setattr(series, "_key", lambda step: (step.recorded, step.at, step.event))
    known_of = series.known_of

    def known(connection: Connection, one: Any) -> Any:
        folded, last = known_of(connection, one)
        return folded, None if last is None else (last[1], last[0], last[2])

    patch.setattr(series, "known_of", known)


def without_conflicts(patch: Patch) -> None:
    """What cannot have been is listed nowhere."""
    patch.setattr(series, "conflict_rows", lambda *_: [])


def with_the_present_for_the_past(patch: Patch) -> None:
    """Whoever asks for a past day is told of today."""

    def now(connection: Connection, _at: Any) -> Any:
        return census.holdings_then(connection, store.moment(2**52))

    patch.setattr(queries, "holdings_then", now)


def with_an_export_that_forgets(patch: Patch) -> None:
    """Readings leave the book without their bounds."""
    line_of = exchange.line_of

    def forgetful(event: Event) -> bytes:
        return line_of(
            replace(event, observed=tuple(replace(one, low=None, high=None) for one in event.observed))
        )

    patch.setattr(exchange, "line_of", forgetful)


def without_a_last_word(patch: Patch) -> None:
    """The number held is of the state before the last step."""
    folded = Running.folded

    def late(self: Running) -> Any:
        found = folded(self)
        return (
            found if not found.derived else ledger.Folded(held=found.held + 1, low=found.low, high=found.high)
        )

    patch.setattr(Running, "folded", late)


MUTANTS: tuple[tuple[str, Callable[[Patch], None]], ...] = (
    ("P1", without_signs),
    ("P2", without_losses),
    ("P2", without_signs),
    ("P3", without_voids),
    ("P3", in_the_order_recorded),
    ("P3", without_a_last_word),
    ("P4", with_half_a_refusal),
    ("P5", without_keys),
    ("P6", with_counts_added),
    ("P6", in_the_order_recorded),
    ("P7", in_the_order_recorded),
    ("P8", in_the_order_recorded),
    ("P9", without_voids),
    ("P11", without_conflicts),
    ("P12", with_the_present_for_the_past),
    ("P12", with_an_export_that_forgets),
)


@pytest.mark.parametrize(
    ("name", "mutant"), MUTANTS, ids=[f"{name} {mutant.__name__}" for name, mutant in MUTANTS]
)
def test_a_program_with_the_fault_is_caught(name: str, mutant: Callable[[Patch], None]) -> None:
    with pytest.MonkeyPatch.context() as patch:
        mutant(patch)
        with pytest.raises(AssertionError, match=rf"^{name} "):
            lives(name, examples=80, only_to_find=True)
