"""Version 0003: the database itself refuses to change or take out what was recorded."""

from __future__ import annotations

from alembic import op

revision = "0003"
down_revision = "0002"

_TABLES = ("event", "flow", "observed")


def upgrade() -> None:
    """Add the triggers."""
    if op.get_context().dialect.name == "postgresql":
        _postgresql()
    else:
        _sqlite()


def _sqlite() -> None:
    # "insert or replace" asks the trigger on delete only where recursive triggers are on, as they are for this program;
    # a trigger on insert too would make every write dearer by a tenth of a millisecond, and the seals show it anyhow
    for table in _TABLES:
        for deed in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER {table}_no_{deed.lower()} BEFORE {deed} ON {table} "
                "BEGIN SELECT RAISE(ABORT, 'what was recorded is never changed'); END"
            )


def _postgresql() -> None:
    op.execute(
        "CREATE FUNCTION logbook_never_changed() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
        "RAISE EXCEPTION 'what was recorded is never changed' USING ERRCODE = 'integrity_constraint_violation'; "
        "END $$"
    )
    for table in _TABLES:
        op.execute(
            f"CREATE TRIGGER {table}_never_changed BEFORE UPDATE OR DELETE OR TRUNCATE ON {table} "
            "FOR EACH STATEMENT EXECUTE FUNCTION logbook_never_changed()"
        )
