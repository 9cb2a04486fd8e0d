"""What breaks, what it does in time, and how long there is: a fault is a change of the room and a simulation of it."""
