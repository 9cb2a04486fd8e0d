"""Rows of the tables to events and back."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import Any

from sqlalchemy import Connection, Row, select

from tankwright.husbandry.records import Event, Flow, Observed
from tankwright.logbook.codec import frozen, thawed
from tankwright.logbook.ids import micros, moment
from tankwright.logbook.schema import FLOW, OBSERVED
from tankwright.logbook.things import named_by

_AT_ONCE = 500


def event_row(event: Event) -> dict[str, Any]:
    """An event as a row of its table."""
    return {
        "place": event.place, "happened": micros(event.happened), "id": event.id, "serial": event.serial,
        "kind": event.kind, "recorded": micros(event.recorded), "stock": event.stock, "line": event.line,
        "who": event.who, "device": event.device, "key": event.key or None, "batch": event.batch,
        "clock_offset": event.offset, "plan_revision": event.plan_revision, "note": event.note,
        "reason": event.reason, "voids": event.voids, "details": thawed(event.details), "hash": event.hash,
        "thing": named_by(event),
    }  # fmt: skip


def flow_rows(event: Event) -> list[dict[str, Any]]:
    """Its flows as rows."""
    return [
        {"event": event.id, "number": number, "stock": one.stock, "place": one.place, "account": one.account,
         "quantity": one.quantity, "happened": micros(event.happened), "recorded": micros(event.recorded)}
        for number, one in enumerate(event.flows)
    ]  # fmt: skip


def observed_rows(event: Event) -> list[dict[str, Any]]:
    """What was read, as rows."""
    return [
        {"event": event.id, "number": number, "place": event.place, "stock": event.stock, "quantity": one.quantity,
         "happened": micros(event.happened), "value": one.value, "low": one.low, "high": one.high, "unit": one.unit,
         "method": one.method}
        for number, one in enumerate(event.observed)
    ]  # fmt: skip


def events_of(connection: Connection, rows: Sequence[Row[Any]]) -> tuple[Event, ...]:
    """Events of rows of the event table, with their flows and what was read, in the rows' order."""
    ids = [row.id for row in rows]
    flows: defaultdict[str, list[Flow]] = defaultdict(list)
    observed: defaultdict[str, list[Observed]] = defaultdict(list)
    for part in _parts(ids):
        for row in connection.execute(
            select(FLOW).where(FLOW.c.event.in_(part)).order_by(FLOW.c.event, FLOW.c.number)
        ):
            flows[row.event].append(
                Flow(stock=row.stock, place=row.place, account=row.account, quantity=row.quantity)
            )
        for row in connection.execute(
            select(OBSERVED).where(OBSERVED.c.event.in_(part)).order_by(OBSERVED.c.event, OBSERVED.c.number)
        ):
            observed[row.event].append(
                Observed(quantity=row.quantity, value=row.value, unit=row.unit, low=row.low, high=row.high,
                         method=row.method)
            )  # fmt: skip
    return tuple(_event(row, tuple(flows[row.id]), tuple(observed[row.id])) for row in rows)


def _event(row: Row[Any], flows: tuple[Flow, ...], observed: tuple[Observed, ...]) -> Event:
    return Event(
        id=row.id, serial=row.serial, kind=row.kind, happened=moment(row.happened), recorded=moment(row.recorded),
        place=row.place, stock=row.stock, line=row.line, who=row.who, device=row.device, key=row.key or "",
        batch=row.batch, offset=row.clock_offset, plan_revision=row.plan_revision, note=row.note,
        reason=row.reason, voids=row.voids, details=frozen(row.details), hash=row.hash, flows=flows,
        observed=observed,
    )  # fmt: skip


def bare_event(row: Row[Any]) -> Event:
    """The event of a row without its flows and what was read, for whoever needs neither."""
    return _event(row, (), ())


def _parts(ids: Sequence[str]) -> Iterable[Sequence[str]]:
    for start in range(0, len(ids), _AT_ONCE):
        yield ids[start : start + _AT_ONCE]
