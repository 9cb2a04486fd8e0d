"""Who looks and when, and the zones."""

from __future__ import annotations

from collections.abc import Iterable

from tankwright.origin import Known
from tankwright.plan.models import Plan
from tankwright.room.defaults import Defaults
from tankwright.room.model import RackPlace, ZonePlace
from tankwright.units import Second


def seconds_after_midnight(clock: str) -> Second:
    """A time of day such as "06:45" in seconds after midnight.

    >>> seconds_after_midnight("06:45")
    24300.0
    """
    hours, minutes = clock.split(":")
    return float(hours) * 3600.0 + float(minutes) * 60.0


def lay_people(plan: Plan, defaults: Defaults) -> tuple[tuple[Second, ...], tuple[Second, ...], Known]:
    """The times someone looks, in order, those of a helper during an absence, and the longest absence."""
    looks, helper = (
        tuple(sorted({seconds_after_midnight(clock) for clock in clocks}))
        for clocks in (plan.people.looks, plan.people.helper_looks)
    )
    return looks, helper, defaults.take("people.longest_absence", plan.people.longest_absence)


def lay_zones(plan: Plan, racks: Iterable[RackPlace]) -> tuple[ZonePlace, ...]:
    """Zones as the plan names them, then those a rack is in without a table of their own."""
    zones = {
        name: ZonePlace(id=name, quarantine=zone.quarantine, line=zone.line)
        for name, zone in plan.zone.items()
    }
    for rack in racks:
        zones.setdefault(rack.zone, ZonePlace(id=rack.zone, quarantine=False, line=rack.line))
    return tuple(zones.values())
