"""From the plan to the laid-out room: every part in its place, or a finding that says why not."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from tankwright.finding import Finding
from tankwright.plan.models import Plan
from tankwright.room.airs import lay_airs
from tankwright.room.alarms import lay_alarms
from tankwright.room.climates import lay_climate
from tankwright.room.defaults import Defaults
from tankwright.room.drains import lay_drains, lay_outfalls
from tankwright.room.feeds import lay_feeds
from tankwright.room.floors import lay_floors
from tankwright.room.members import Members
from tankwright.room.mistakes import NO_ROOM, Mistakes
from tankwright.room.model import Room
from tankwright.room.people import lay_people, lay_zones
from tankwright.room.powers import lay_power
from tankwright.room.pumps import lay_pumps
from tankwright.room.racks import lay_racks
from tankwright.room.single_tanks import say_what_leads_nowhere
from tankwright.room.spaces import lay_spaces
from tankwright.room.tank_glass import lay_glass_laws
from tankwright.room.tanks import lay_tanks
from tankwright.room.waters import lay_laws, lay_lives, lay_waters, wanted_by


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidOut:
    """The room (None when the plan has no room to lay anything in) and what was met on the way."""

    room: Room | None
    findings: tuple[Finding, ...]


def lay_out(
    plan: Plan, trial: Mapping[str, float] | None = None, systems: frozenset[str] | None = None
) -> LaidOut:
    """Lay a plan out. `trial` gives a value to use instead of an assumption's default, by its key.
    With `systems` the air and feed pipes are left out where none of those systems asks for them.

    Never raises for what a plan says. What cannot be laid out is left out and said; what the plan does not
    draw is derived and marked so.

    >>> room = {"size": {"length": "5 m", "width": "3 m", "height": "2.2 m"}}
    >>> lay_out(Plan.model_validate({"room": {"cellar": room}})).room.spaces[0].box.x1
    5.0
    >>> lay_out(Plan()).findings[0].code
    'LAYOUT-100'
    """
    mistakes = Mistakes()
    defaults = Defaults(plan.assume, trial or {}, mistakes)
    if not plan.room:
        mistakes.say(
            NO_ROOM,
            "plan",
            "has no room",
            reason="there is nothing to lay racks, pipes and tanks in",
            remedy='add [room.cellar] with size = { length = "5 m", width = "3 m", height = "2.2 m" }',
        )
        return LaidOut(room=None, findings=mistakes.all())
    members = Members(plan.section, mistakes)
    rooms = lay_floors(plan.room, lay_spaces(plan.room, defaults), members, mistakes)
    spaces = {space.id: space for space in rooms}
    stands = lay_racks(plan, spaces, defaults, mistakes, members)
    tanks = lay_tanks(plan, stands, defaults, mistakes)
    outfalls = lay_outfalls(plan, spaces, mistakes)
    drained = systems is None or not systems <= {"water", "oxygen", "heat"}
    drains = lay_drains(plan, spaces, outfalls, stands, tanks, defaults, mistakes) if drained else ()
    fed = systems is None or not systems.isdisjoint(("feed", "drain", "water", "heat", "power"))
    feeds = lay_feeds(plan, spaces, stands, tanks, defaults, mistakes) if fed else ()
    pumps = {pump.id: pump for pump in lay_pumps(plan, spaces, defaults, mistakes)}
    aired = systems is None or not systems.isdisjoint(("air", "oxygen", "power"))
    airs = lay_airs(plan, spaces, tanks, pumps, defaults, mistakes) if aired else ()
    say_what_leads_nowhere(plan, tanks, airs if aired else None, mistakes)
    power = lay_power(plan, tanks, defaults, mistakes)
    looks, helper_looks, longest_absence = lay_people(plan, defaults)
    alarms = lay_alarms(plan, tanks, defaults, mistakes)
    racks = tuple(stand.place for stand in stands.values())
    zones = tuple(wanted_by(plan, zone) for zone in lay_zones(plan, racks))
    waters = lay_waters(plan, defaults, mistakes)
    lives = lay_lives(plan, tanks, zones, defaults, mistakes)
    climate = lay_climate(plan, spaces, defaults, mistakes)
    room = Room(
        title=plan.title,
        display=plan.display,
        spaces=tuple(spaces.values()),
        racks=racks,
        tanks=tuple(tanks.values()),
        outfalls=tuple(outfalls.values()),
        drains=drains,
        feeds=feeds,
        airs=airs,
        pumps=tuple(pumps.values()),
        power=power,
        zones=zones,
        waters=waters,
        lives=lives,
        laws=lay_laws(lives, defaults),
        climate=climate,
        looks=looks,
        longest_absence=longest_absence,
        helper_looks=helper_looks,
        alarms=alarms,
        arm=defaults.take("reach.arm") if tanks else None,
        clear_above=defaults.take("reach.clear_above") if tanks else None,
        glass_density=defaults.take("glass.density") if tanks else None,
        glass_laws=lay_glass_laws(defaults) if tanks else None,
        assumed=defaults.used(),
        own=defaults.own(),
    )
    return LaidOut(room=room, findings=mistakes.all())
