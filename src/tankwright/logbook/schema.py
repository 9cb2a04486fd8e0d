"""The tables: what was recorded, which nothing changes, and what follows from it, which can be made anew.

Moments are microseconds since 1970, UTC. Events stand in the order of place and moment, so that all of one tank lies
together on the disk.
"""

from __future__ import annotations

from typing import Final

from sqlalchemy import (
    JSON,
    BigInteger,
    Boolean,
    Column,
    Float,
    Index,
    Integer,
    MetaData,
    Table,
    Text,
    text,
)

METADATA: Final = MetaData()

EVENT: Final = Table(
    "event",
    METADATA,
    Column("place", Text, primary_key=True),
    Column("happened", BigInteger, primary_key=True),
    Column("id", Text, primary_key=True),
    Column("serial", BigInteger, nullable=False, unique=True),
    Column("kind", Text, nullable=False),
    Column("recorded", BigInteger, nullable=False),
    Column("stock", Text, nullable=False),
    Column("line", Text, nullable=False),
    Column("who", Text, nullable=False),
    Column("device", Text, nullable=False),
    Column("key", Text, unique=True),
    Column("batch", Text, nullable=False),
    Column("clock_offset", Integer, nullable=False),
    Column("plan_revision", Integer),
    Column("note", Text, nullable=False),
    Column("reason", Text, nullable=False),
    Column("voids", Text, nullable=False),
    Column("details", JSON, nullable=False),
    Column("hash", Text, nullable=False),
    Column("thing", Text, nullable=False),
    Index("event_id", "id", unique=True),
    Index("event_stock", "stock", "happened"),
    Index("event_kind", "kind", "happened"),
    Index("event_happened", "happened"),
    Index("event_batch", "batch", sqlite_where=text("batch != ''"), postgresql_where=text("batch != ''")),
    Index(
        "event_thing",
        "thing",
        "happened",
        sqlite_where=text("thing != ''"),
        postgresql_where=text("thing != ''"),
    ),
    sqlite_with_rowid=False,
)
"""`thing` is what `things.named_by` finds in the details: a task, a tool, a set ...; it stands here again so that all
of one task is found at once."""

FLOW: Final = Table(
    "flow",
    METADATA,
    Column("event", Text, primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("stock", Text, nullable=False),
    Column("place", Text, nullable=False),
    Column("account", Text, nullable=False),
    Column("quantity", BigInteger, nullable=False),
    Column("happened", BigInteger, nullable=False),
    Column("recorded", BigInteger, nullable=False),
    Index("flow_stock", "stock", "place", "happened"),
    Index(
        "flow_place",
        "place",
        "happened",
        sqlite_where=text("place != ''"),
        postgresql_where=text("place != ''"),
    ),
    Index("flow_account", "account", "happened"),
    sqlite_with_rowid=False,
)

OBSERVED: Final = Table(
    "observed",
    METADATA,
    Column("event", Text, primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("place", Text, nullable=False),
    Column("stock", Text, nullable=False),
    Column("quantity", Text, nullable=False),
    Column("happened", BigInteger, nullable=False),
    Column("value", Float),
    Column("low", Float),
    Column("high", Float),
    Column("unit", Text, nullable=False),
    Column("method", Text, nullable=False),
    Index("observed_place", "place", "quantity", "happened"),
    Index("observed_stock", "stock", "quantity", "happened"),
    sqlite_with_rowid=False,
)

RECORDED: Final = (EVENT, FLOW, OBSERVED)
"""What was recorded: rows are added, never changed, never taken out."""

VOIDED: Final = Table(
    "voided", METADATA, Column("event", Text, primary_key=True), Column("by", Text, nullable=False)
)

DERIVED: Final = Table(
    "derived",
    METADATA,
    Column("event", Text, primary_key=True),
    Column("account", Text, primary_key=True),
    Column("stock", Text, primary_key=True),
    Column("place", Text, primary_key=True),
    Column("quantity", BigInteger, nullable=False),
    Column("happened", BigInteger, nullable=False),
    Index("derived_stock", "stock", "place"),
    Index("derived_account", "account", "happened"),
)

BALANCE: Final = Table(
    "balance",
    METADATA,
    Column("stock", Text, primary_key=True),
    Column("place", Text, primary_key=True),
    Column("held", BigInteger, nullable=False),
    Column("low", BigInteger, nullable=False),
    Column("high", BigInteger, nullable=False),
    Column("since", BigInteger),
    Column("first", BigInteger, nullable=False),
    Column("last", BigInteger, nullable=False),
    Column("last_recorded", BigInteger, nullable=False),
    Column("last_event", Text, nullable=False),
    Index("balance_place", "place"),
)
"""One row for every stock in every place it ever was in, with none held too; `first` and `last` are when the first and
the last thing was said of it."""

HELD: Final = Table(
    "held",
    METADATA,
    Column("stock", Text, primary_key=True),
    Column("place", Text, primary_key=True),
    Column("happened", BigInteger, primary_key=True),
    Column("recorded", BigInteger, primary_key=True),
    Column("event", Text, primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("sort", Text, nullable=False),
    Column("quantity", BigInteger, nullable=False),
    Column("low", BigInteger),
    Column("high", BigInteger),
    Column("held", BigInteger, nullable=False),
    Column("held_low", BigInteger, nullable=False),
    Column("held_high", BigInteger, nullable=False),
    Column("since", BigInteger),
    sqlite_with_rowid=False,
)
"""Every standing thing that says something of a number held, in its order, with the number held after it."""

CONFLICT: Final = Table(
    "conflict",
    METADATA,
    Column("stock", Text, primary_key=True),
    Column("place", Text, primary_key=True),
    Column("since", BigInteger, primary_key=True),
    Column("until", BigInteger),
    Column("least", BigInteger, nullable=False),
    Column("event", Text, nullable=False),
)

THING: Final = Table(
    "thing",
    METADATA,
    Column("sort", Text, primary_key=True),
    Column("id", Text, primary_key=True),
    Column("label", Text, nullable=False),
    Column("of", Text, nullable=False),
    Column("closed", Boolean, nullable=False),
    Column("data", JSON, nullable=False),
    Index("thing_id", "id"),
    Index("thing_label", "sort", "label"),
    Index("thing_of", "sort", "of"),
)
"""Places, lines, stocks, sets, tasks, tools, quarantines as they are now; `of` is the line of a stock, the place of a
task, the event of nothing else."""

DUE: Final = Table(
    "due",
    METADATA,
    Column("task", Text, primary_key=True),
    Column("due", BigInteger, nullable=False),
    Column("last", BigInteger),
    Index("due_at", "due"),
)

FOLLOWS: Final = (VOIDED, HELD, DERIVED, BALANCE, CONFLICT, THING, DUE)
"""What follows from what was recorded: it can be thrown away and made anew."""
