"""Version 0003: the database itself refuses to change or take out what was recorded."""

from __future__ import annotations

from alembic import op

revision = "0003"
down_revision = "0002"

# SQLite's "insert or replace" takes rows out without asking a trigger on delete, so a second row of a name is refused
# before it comes to that.
_SAME = {
    "event": "id = NEW.id OR serial = NEW.serial OR key = NEW.key",
    "flow": "event = NEW.event AND number = NEW.number",
    "observed": "event = NEW.event AND number = NEW.number",
}


def upgrade() -> None:
    """Add the triggers."""
    if op.get_context().dialect.name == "postgresql":
        _postgresql()
    else:
        _sqlite()


def _sqlite() -> None:
    for table, same in _SAME.items():
        for deed, when in (
            ("UPDATE", ""),
            ("DELETE", ""),
            ("INSERT", f"WHEN EXISTS (SELECT 1 FROM {table} WHERE {same})"),
        ):
            op.execute(
                f"CREATE TRIGGER {table}_no_{deed.lower()} BEFORE {deed} ON {table} {when} "
                "BEGIN SELECT RAISE(ABORT, 'what was recorded is never changed'); END"
            )


def _postgresql() -> None:
    op.execute(
        "CREATE FUNCTION logbook_never_changed() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
        "RAISE EXCEPTION 'what was recorded is never changed' USING ERRCODE = 'integrity_constraint_violation'; "
        "END $$"
    )
    for table in _SAME:
        op.execute(
            f"CREATE TRIGGER {table}_never_changed BEFORE UPDATE OR DELETE OR TRUNCATE ON {table} "
            "FOR EACH STATEMENT EXECUTE FUNCTION logbook_never_changed()"
        )
