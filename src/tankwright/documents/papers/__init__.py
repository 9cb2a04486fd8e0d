"""Papers out of the logbook: what an inspector, a buyer, a club or a successor asks for."""
