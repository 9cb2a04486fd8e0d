"""People's own spreadsheets taken into the logbook: read, understood column by column, shown, then recorded."""
