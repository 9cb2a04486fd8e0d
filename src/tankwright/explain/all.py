"""Every working of a worked-out room, by name."""

from __future__ import annotations

from difflib import get_close_matches

from tankwright.explain.air import workings_air
from tankwright.explain.drain import workings_drain
from tankwright.explain.feed import workings_feed
from tankwright.explain.glass import workings_glass
from tankwright.explain.heat import workings_heat
from tankwright.explain.layout import workings_layout
from tankwright.explain.load import workings_load
from tankwright.explain.model import Working
from tankwright.explain.oxygen import workings_oxygen
from tankwright.explain.power import workings_power
from tankwright.explain.racks import workings_racks
from tankwright.explain.totals import workings_totals
from tankwright.explain.water import workings_water
from tankwright.study import Study


def workings(study: Study) -> dict[str, Working]:
    """All workings by the name `tankwright explain` takes."""
    return {working.name: working for found in workings_by_system(study).values() for working in found}


def workings_by_system(study: Study) -> dict[str, list[Working]]:
    """The workings of each system that was worked out, in the order of the house; sums over them last.

    >>> from tankwright.room.model import Room
    >>> from tankwright.study import work_out
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> list(workings_by_system(work_out(empty, frozenset({"load"}))))
    ['load', 'totals']
    """
    room = study.room
    found: dict[str, list[Working]] = {}
    if study.layout is not None:
        found["layout"] = [*workings_layout(room, study.layout)]
    if study.load is not None:
        found["load"] = [*workings_load(room, study.load)]
    if study.glass is not None:
        found["glass"] = [*workings_glass(room, study.glass)]
    if study.racks is not None:
        found["racks"] = [*workings_racks(room, study.racks)]
    if study.air is not None:
        found["air"] = [*workings_air(room, study.air)]
    if study.feed is not None:
        found["feed"] = [*workings_feed(room, study.feed)]
    if study.drain is not None:
        found["drain"] = [*workings_drain(room, study.drain)]
    if study.power is not None:
        found["power"] = [*workings_power(room, study.power)]
    if study.water is not None:
        found["water"] = [*workings_water(room, study.water)]
    if study.oxygen is not None:
        found["oxygen"] = [*workings_oxygen(room, study.oxygen)]
    if study.heat is not None:
        found["heat"] = [*workings_heat(room, study.heat)]
    found["totals"] = [*workings_totals(study)]
    return found


def nearest_workings(known: dict[str, Working], name: str) -> tuple[str, ...]:
    """Names that begin with `name`, or else those spelt most like it.

    >>> nearest_workings({}, "A1.air")
    ()
    """
    wanted = name.casefold()
    beginning = tuple(key for key in known if key.casefold().startswith(wanted))
    return beginning or tuple(get_close_matches(name, known, n=8, cutoff=0.5))
