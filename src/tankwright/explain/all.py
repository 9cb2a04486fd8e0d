"""Every working of a worked-out room, by name."""

from __future__ import annotations

from difflib import get_close_matches

from tankwright.explain.air import workings_air
from tankwright.explain.drain import workings_drain
from tankwright.explain.feed import workings_feed
from tankwright.explain.layout import workings_layout
from tankwright.explain.load import workings_load
from tankwright.explain.model import Working
from tankwright.explain.power import workings_power
from tankwright.explain.totals import workings_totals
from tankwright.study import Study


def workings(study: Study) -> dict[str, Working]:
    """All workings by the name `tankwright explain` takes."""
    room = study.room
    found: list[Working] = []
    if study.layout is not None:
        found += workings_layout(room, study.layout)
    if study.load is not None:
        found += workings_load(room, study.load)
    if study.air is not None:
        found += workings_air(room, study.air)
    if study.feed is not None:
        found += workings_feed(room, study.feed)
    if study.drain is not None:
        found += workings_drain(room, study.drain)
    if study.power is not None:
        found += workings_power(room, study.power)
    found += workings_totals(study)
    return {working.name: working for working in found}


def nearest_workings(known: dict[str, Working], name: str) -> tuple[str, ...]:
    """Names that begin with `name`, or else those spelt most like it.

    >>> nearest_workings({}, "A1.air")
    ()
    """
    wanted = name.casefold()
    beginning = tuple(key for key in known if key.casefold().startswith(wanted))
    return beginning or tuple(get_close_matches(name, known, n=8, cutoff=0.5))
