"""What day it is where the server stands: the day of whoever builds there."""

from __future__ import annotations

from datetime import date, datetime


def today() -> date:
    """Today by the clock on the wall. Asked for through this module, so that a test can say what day it is."""
    return datetime.now().astimezone().date()


def day_of(moment: datetime) -> date:
    """The day of a moment (with its zone) by the same clock."""
    return moment.astimezone().date()
