"""Ends of pipes, hoses and fittings: what they are, how they are written, and which go together."""

from tankwright.takeoff.end_mating import Mating, mates
from tankwright.takeoff.end_model import End, Family, Form, families, family_of, insertion_depth
from tankwright.takeoff.end_reading import pipe_end, read_end

__all__ = [
    "End",
    "Family",
    "Form",
    "Mating",
    "families",
    "family_of",
    "insertion_depth",
    "mates",
    "pipe_end",
    "read_end",
]
