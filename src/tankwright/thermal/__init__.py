"""Heat and moisture over time: heat stores, links, gains and thermostats. No tanks of a room, no plan here."""
