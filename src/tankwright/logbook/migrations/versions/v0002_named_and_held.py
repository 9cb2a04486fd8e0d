"""Version 0002: what an event names stands in a column of its own, and the number held after every step is kept.

What follows from events is made anew after every step here, so its tables are thrown away and made empty.
"""

from __future__ import annotations

import json

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"

_REGISTER = {"place": "place", "line": "line", "stock": "stock"}
_NAMED_KEYS = ("task", "tool", "set", "quarantine", "culture")
_AT_ONCE = 1000


def upgrade() -> None:
    """Add the columns, fill them from what stands there, and make what follows from events empty."""
    op.add_column("event", sa.Column("thing", sa.Text, nullable=False, server_default=""))
    op.add_column("flow", sa.Column("recorded", sa.BigInteger, nullable=False, server_default="0"))
    connection = op.get_bind()
    _name_things(connection)
    connection.execute(
        sa.text("UPDATE flow SET recorded = (SELECT recorded FROM event WHERE event.id = flow.event)")
    )
    if connection.dialect.name == "postgresql":  # SQLite cannot take a default away; nothing relies on it
        op.alter_column("event", "thing", server_default=None)
        op.alter_column("flow", "recorded", server_default=None)
    for index, table, columns, where in (
        ("event_thing", "event", ["thing", "happened"], "thing != ''"),
        ("flow_place", "flow", ["place", "happened"], "place != ''"),
        ("event_batch", "event", ["batch"], "batch != ''"),
    ):
        op.create_index(index, table, columns, sqlite_where=sa.text(where), postgresql_where=sa.text(where))
    _follows()


def _name_things(connection: sa.Connection) -> None:
    rows = connection.execute(sa.text("SELECT id, kind, place, line, stock, details FROM event"))
    named = []
    for row in rows:
        register, _, deed = row.kind.partition("_")
        if register in _REGISTER and deed in {"opened", "changed", "closed"}:
            thing = getattr(row, _REGISTER[register])
        else:
            details = json.loads(row.details) if isinstance(row.details, str) else row.details
            thing = next((str(details[key]) for key in _NAMED_KEYS if details.get(key)), "")
        if thing:
            named.append({"name": row.id, "thing": thing})
    for start in range(0, len(named), _AT_ONCE):
        connection.execute(
            sa.text("UPDATE event SET thing = :thing WHERE id = :name"), named[start : start + _AT_ONCE]
        )


def _follows() -> None:
    op.create_index("thing_id", "thing", ["id"])
    op.drop_table("derived")
    op.create_table(
        "derived",
        sa.Column("event", sa.Text, primary_key=True),
        sa.Column("account", sa.Text, primary_key=True),
        sa.Column("stock", sa.Text, primary_key=True),
        sa.Column("place", sa.Text, primary_key=True),
        sa.Column("quantity", sa.BigInteger, nullable=False),
        sa.Column("happened", sa.BigInteger, nullable=False),
    )
    op.create_index("derived_stock", "derived", ["stock", "place"])
    op.create_index("derived_account", "derived", ["account", "happened"])
    op.drop_table("balance")
    op.create_table(
        "balance",
        sa.Column("stock", sa.Text, primary_key=True),
        sa.Column("place", sa.Text, primary_key=True),
        sa.Column("held", sa.BigInteger, nullable=False),
        sa.Column("low", sa.BigInteger, nullable=False),
        sa.Column("high", sa.BigInteger, nullable=False),
        sa.Column("since", sa.BigInteger),
        sa.Column("first", sa.BigInteger, nullable=False),
        sa.Column("last", sa.BigInteger, nullable=False),
        sa.Column("last_recorded", sa.BigInteger, nullable=False),
        sa.Column("last_event", sa.Text, nullable=False),
    )
    op.create_index("balance_place", "balance", ["place"])
    op.create_table(
        "held",
        sa.Column("stock", sa.Text, primary_key=True),
        sa.Column("place", sa.Text, primary_key=True),
        sa.Column("happened", sa.BigInteger, primary_key=True),
        sa.Column("recorded", sa.BigInteger, primary_key=True),
        sa.Column("event", sa.Text, primary_key=True),
        sa.Column("number", sa.Integer, primary_key=True),
        sa.Column("sort", sa.Text, nullable=False),
        sa.Column("quantity", sa.BigInteger, nullable=False),
        sa.Column("low", sa.BigInteger),
        sa.Column("high", sa.BigInteger),
        sa.Column("held", sa.BigInteger, nullable=False),
        sa.Column("held_low", sa.BigInteger, nullable=False),
        sa.Column("held_high", sa.BigInteger, nullable=False),
        sa.Column("since", sa.BigInteger),
        sqlite_with_rowid=False,
    )
