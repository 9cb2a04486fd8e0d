"""Version 0001: what was recorded (event, flow, observed), and what follows from it."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Make the tables of a new book."""
    _recorded()
    _follows()


def _recorded() -> None:
    op.create_table(
        "event",
        sa.Column("place", sa.Text, primary_key=True),
        sa.Column("happened", sa.BigInteger, primary_key=True),
        sa.Column("id", sa.Text, primary_key=True),
        sa.Column("serial", sa.BigInteger, nullable=False, unique=True),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("recorded", sa.BigInteger, nullable=False),
        sa.Column("stock", sa.Text, nullable=False),
        sa.Column("line", sa.Text, nullable=False),
        sa.Column("who", sa.Text, nullable=False),
        sa.Column("device", sa.Text, nullable=False),
        sa.Column("key", sa.Text, unique=True),
        sa.Column("batch", sa.Text, nullable=False),
        sa.Column("clock_offset", sa.Integer, nullable=False),
        sa.Column("plan_revision", sa.Integer),
        sa.Column("note", sa.Text, nullable=False),
        sa.Column("reason", sa.Text, nullable=False),
        sa.Column("voids", sa.Text, nullable=False),
        sa.Column("details", sa.JSON, nullable=False),
        sa.Column("hash", sa.Text, nullable=False),
        sqlite_with_rowid=False,
    )
    op.create_index("event_id", "event", ["id"], unique=True)
    op.create_index("event_stock", "event", ["stock", "happened"])
    op.create_index("event_kind", "event", ["kind", "happened"])
    op.create_index("event_happened", "event", ["happened"])
    op.create_table(
        "flow",
        sa.Column("event", sa.Text, primary_key=True),
        sa.Column("number", sa.Integer, primary_key=True),
        sa.Column("stock", sa.Text, nullable=False),
        sa.Column("place", sa.Text, nullable=False),
        sa.Column("account", sa.Text, nullable=False),
        sa.Column("quantity", sa.BigInteger, nullable=False),
        sa.Column("happened", sa.BigInteger, nullable=False),
        sqlite_with_rowid=False,
    )
    op.create_index("flow_stock", "flow", ["stock", "place", "happened"])
    op.create_index("flow_account", "flow", ["account", "happened"])
    op.create_table(
        "observed",
        sa.Column("event", sa.Text, primary_key=True),
        sa.Column("number", sa.Integer, primary_key=True),
        sa.Column("place", sa.Text, nullable=False),
        sa.Column("stock", sa.Text, nullable=False),
        sa.Column("quantity", sa.Text, nullable=False),
        sa.Column("happened", sa.BigInteger, nullable=False),
        sa.Column("value", sa.Float),
        sa.Column("low", sa.Float),
        sa.Column("high", sa.Float),
        sa.Column("unit", sa.Text, nullable=False),
        sa.Column("method", sa.Text, nullable=False),
        sqlite_with_rowid=False,
    )
    op.create_index("observed_place", "observed", ["place", "quantity", "happened"])
    op.create_index("observed_stock", "observed", ["stock", "quantity", "happened"])


def _follows() -> None:
    op.create_table(
        "voided",
        sa.Column("event", sa.Text, primary_key=True),
        sa.Column("by", sa.Text, nullable=False),
    )
    op.create_table(
        "derived",
        sa.Column("event", sa.Text, primary_key=True),
        sa.Column("account", sa.Text, primary_key=True),
        sa.Column("stock", sa.Text, nullable=False),
        sa.Column("place", sa.Text, nullable=False),
        sa.Column("quantity", sa.BigInteger, nullable=False),
        sa.Column("happened", sa.BigInteger, nullable=False),
    )
    op.create_index("derived_stock", "derived", ["stock", "place"])
    op.create_index("derived_account", "derived", ["account", "happened"])
    op.create_table(
        "balance",
        sa.Column("stock", sa.Text, primary_key=True),
        sa.Column("place", sa.Text, primary_key=True),
        sa.Column("held", sa.BigInteger, nullable=False),
        sa.Column("low", sa.BigInteger, nullable=False),
        sa.Column("high", sa.BigInteger, nullable=False),
        sa.Column("since", sa.BigInteger),
    )
    op.create_index("balance_place", "balance", ["place"])
    op.create_table(
        "conflict",
        sa.Column("stock", sa.Text, primary_key=True),
        sa.Column("place", sa.Text, primary_key=True),
        sa.Column("since", sa.BigInteger, primary_key=True),
        sa.Column("until", sa.BigInteger),
        sa.Column("least", sa.BigInteger, nullable=False),
        sa.Column("event", sa.Text, nullable=False),
    )
    op.create_table(
        "thing",
        sa.Column("sort", sa.Text, primary_key=True),
        sa.Column("id", sa.Text, primary_key=True),
        sa.Column("label", sa.Text, nullable=False),
        sa.Column("of", sa.Text, nullable=False),
        sa.Column("closed", sa.Boolean, nullable=False),
        sa.Column("data", sa.JSON, nullable=False),
    )
    op.create_index("thing_label", "thing", ["sort", "label"])
    op.create_index("thing_of", "thing", ["sort", "of"])
    op.create_table(
        "due",
        sa.Column("task", sa.Text, primary_key=True),
        sa.Column("due", sa.BigInteger, nullable=False),
        sa.Column("last", sa.BigInteger),
    )
    op.create_index("due_at", "due", ["due"])
