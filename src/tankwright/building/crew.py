"""Who builds, when, from when on: what the plan says under [build], and the usual where it says nothing."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from tankwright.building.calendar import Week
from tankwright.origin import Known, Origin
from tankwright.plan.models import Plan
from tankwright.plan.models_build import Build
from tankwright.room.assumed import assumed
from tankwright.room.model import Room
from tankwright.units import Second


@dataclass(frozen=True, slots=True, kw_only=True)
class Crew:
    """Hands and their week. `shortest` and `longest` are weeks at the ends of what is assumed of them."""

    week: Week
    shortest: Week
    longest: Week
    hands: int
    not_on: tuple[date, ...] = ()
    begin: date | None = None
    rests_on: tuple[str, ...] = ()


def crew_of(plan: Plan, room: Room) -> Crew:
    """The crew of a plan."""
    build = plan.build or Build()
    evening = build.evening or assumed(room, "build.evening")
    weekend = build.weekend or assumed(room, "build.weekend")
    hands = assumed(room, "build.hands") if build.hands is None else Known(build.hands, Origin.GIVEN)
    first, second = assumed(room, "build.evening_from"), assumed(room, "build.weekend_from")

    def week(end: int) -> Week:
        return Week(
            evening=_at(evening, end),
            weekend=_at(weekend, end),
            evening_from=first.value,
            weekend_from=second.value,
        )

    return Crew(
        week=Week(
            evening=evening.value, weekend=weekend.value, evening_from=first.value, weekend_from=second.value
        ),
        shortest=week(0), longest=week(1), hands=max(1, round(hands.value)), not_on=build.not_on, begin=build.begin,
        rests_on=tuple(one.key for one in (evening, weekend, hands, first, second) if one.is_assumed),
    )  # fmt: skip


def _at(known: Known, end: int) -> Second:
    return known.value if known.band is None else known.band[end]
