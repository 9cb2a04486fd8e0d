"""What happened in the real room, kept for ever: the database, the only SQL of the program."""
