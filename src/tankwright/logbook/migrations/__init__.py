"""The steps that bring an older logbook up to date, one file a version (Alembic's form).

None goes back: a backup does."""
