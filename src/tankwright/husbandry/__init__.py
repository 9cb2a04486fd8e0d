"""Rules over what happened in the room: counts that balance, lines, quarantine, rounds, trends. No file, no clock."""
