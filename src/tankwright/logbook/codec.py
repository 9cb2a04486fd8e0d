"""An event as plain JSON, as it is exported and as its seal is made of."""

from __future__ import annotations

import json
from collections.abc import Mapping
from hashlib import sha256
from typing import Any, Final

from tankwright.husbandry.records import Event, Flow, Observed, Plain
from tankwright.logbook.ids import micros, moment

FIRST_SEAL: Final = "0" * 64
"""What the seal of the first event is made over."""


def plain_of(event: Event) -> dict[str, Any]:
    """All of an event but its seal, as JSON has it."""
    return {
        "id": event.id, "serial": event.serial, "kind": event.kind, "happened": micros(event.happened),
        "recorded": micros(event.recorded), "offset": event.offset, "who": event.who, "device": event.device,
        "key": event.key, "batch": event.batch, "plan_revision": event.plan_revision, "place": event.place,
        "stock": event.stock, "line": event.line, "note": event.note, "reason": event.reason,
        "voids": event.voids, "details": thawed(event.details),
        "flows": [[one.stock, one.place, one.account, one.quantity] for one in event.flows],
        "observed": [[one.quantity, one.value, one.unit, one.low, one.high, one.method] for one in event.observed],
    }  # fmt: skip


def event_of(plain: Mapping[str, Any], seal: str = "") -> Event:
    """The event of such a record. Raises KeyError, TypeError or ValueError for what is none."""
    rest = {
        key: plain[key]
        for key in ("id", "serial", "kind", "offset", "who", "device", "key", "batch", "plan_revision",
                    "place", "stock", "line", "note", "reason", "voids")
    }  # fmt: skip
    return Event(
        **rest, happened=moment(plain["happened"]), recorded=moment(plain["recorded"]),
        details=frozen(plain["details"]), hash=seal,
        flows=tuple(Flow(stock=s, place=p, account=a, quantity=q) for s, p, a, q in plain["flows"]),
        observed=tuple(
            Observed(quantity=q, value=v, unit=u, low=lo, high=hi, method=m)
            for q, v, u, lo, hi, m in plain["observed"]
        ),
    )  # fmt: skip


def seal_of(event: Event, before: str) -> str:
    """The seal of an event: a hash over the one before it and all that it says.

    Source: NIST FIPS 180-4, SHA-256.
    """
    return sha256(f"{before}\n{as_json(plain_of(event))}".encode("utf-8", "replace")).hexdigest()


def compact(value: Plain) -> str:
    """A value as JSON, always in the same way.

    >>> compact({"b": (1, None), "a": "é"})
    '{"a":"é","b":[1,null]}'
    """
    return as_json(thawed(value))


def as_json(thawn: Any) -> str:
    """The same of what is lists and dicts already."""
    return json.dumps(thawn, sort_keys=True, separators=(",", ":"), ensure_ascii=False)


def thawed(value: Plain) -> Any:
    """A detail as JSON takes it."""
    if isinstance(value, Mapping):
        return {key: thawed(one) for key, one in value.items()}
    return [thawed(one) for one in value] if isinstance(value, tuple) else value


def frozen(value: Any) -> Any:
    """A detail of JSON with its lists as tuples."""
    if isinstance(value, Mapping):
        return {key: frozen(one) for key, one in value.items()}
    return tuple(frozen(one) for one in value) if isinstance(value, list) else value
