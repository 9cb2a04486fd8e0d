"""From one plan of a fish room, work out whether it holds, how to build it, and how to run it."""

__version__ = "0.1.0"
