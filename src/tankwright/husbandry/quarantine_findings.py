"""What is wrong around quarantines: water that is not apart, nets that went on wet, fish taken out too early."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Final

from tankwright.finding import Finding, Number, Severity
from tankwright.husbandry.contacts import Contact, contacts_of, moment_of
from tankwright.husbandry.disinfection import WET_HOURS
from tankwright.husbandry.quarantine import Clock
from tankwright.husbandry.records import Event
from tankwright.husbandry.register import Place, Tool

AGAIN: Final = "SHUT-03"
COULD_MIX: Final = "SHUT-04"
MIXES: Final = "SHUT-05"
WENT_ON_WET: Final = "SHUT-06"
OUT_OF_ZONE: Final = "SHUT-07"
TAKEN_OUT: Final = "SHUT-08"
OVER: Final = "SHUT-10"
NO_TOOL: Final = "SHUT-11"

PRACTICE: Final = "common practice, no source"


@dataclass(frozen=True, slots=True, kw_only=True)
class Shut:
    """All that findings about quarantines are made of: their clocks, the events since the first was opened, and the
    places and tools of the register by their ids."""

    clocks: tuple[Clock, ...]
    events: Sequence[Event] = ()
    places: Mapping[str, Place] = field(default_factory=dict)
    tools: Mapping[str, Tool] = field(default_factory=dict)

    def called(self, name: str) -> str:
        """What a place or tool is called."""
        place, tool = self.places.get(name), self.tools.get(name)
        return place.label if place else tool.label if tool else name

    def shut_at(self, place: str, at: datetime) -> str:
        """The quarantine a place was in at a moment, "" for none."""
        for clock in self.clocks:
            one = clock.quarantine
            if place in one.places and one.opened <= at and (one.released is None or at < one.released):
                return one.id
        return ""


def quarantine_findings(shut: Shut) -> tuple[Finding, ...]:
    """Everything to be said, the worst first.

    >>> quarantine_findings(Shut(clocks=()))
    ()
    """
    found = [*_of_clocks(shut), *_of_tools(shut), *_of_zones(shut), *_taken_out(shut)]
    order = list(Severity)
    return tuple(sorted(found, key=lambda one: order.index(one.severity)))


def _of_clocks(shut: Shut) -> Iterator[Finding]:
    for clock in shut.clocks:
        one = clock.quarantine
        if one.released is not None:
            continue
        subject = "quarantine " + ", ".join(shut.called(place) for place in one.places)
        if len(clock.restarts) > 1:
            last = clock.restarts[-1]
            yield Finding(
                code=AGAIN, severity=Severity.NOTE, subject=subject, places=one.places,
                text=f"its clock began again {_times(len(clock.restarts) - 1)}, last for {shut.called(last.place)}; "
                "{left} to go",
                numbers=(("left", Number(clock.days_left * 86_400.0, "duration")),),
                reason="what came last has been looked at for the shortest time",
                remedy="fill a quarantine at one go, and let nobody in after",
                source=PRACTICE,
            )  # fmt: skip
        if clock.water:
            yield _mixing(shut, clock, subject, certain=True)
        if clock.maybe_water:
            yield _mixing(shut, clock, subject, certain=False)
        if clock.is_over:
            yield Finding(
                code=OVER, severity=Severity.NOTE, subject=subject, places=one.places, text="its days have gone by",
                reason="days alone say little about an illness that shows late or never",
                remedy="look at every fish once more, then open it", source=PRACTICE,
            )  # fmt: skip
        zones = {shut.places[place].zone for place in one.places if place in shut.places}
        if not any(tool.zone and tool.zone in zones for tool in shut.tools.values()):
            yield Finding(
                code=NO_TOOL, severity=Severity.NOTE, subject=subject, places=one.places,
                text="no net or siphon is bound to its zone",
                reason="a net that is used everywhere has been everywhere",
                remedy="keep a net and a siphon of its own there, and write them down with their zone", source=PRACTICE,
            )  # fmt: skip


def _times(count: int) -> str:
    return "once" if count == 1 else f"{count} times"


def _mixing(shut: Shut, clock: Clock, subject: str, *, certain: bool) -> Finding:
    others = clock.water if certain else clock.maybe_water
    few = ", ".join(shut.called(one) for one in others[:5]) + (" and others" if len(others) > 5 else "")
    return Finding(
        code=MIXES if certain else COULD_MIX,
        severity=Severity.WARNING if certain else Severity.NOTE, subject=subject, places=clock.quarantine.places,
        text=f"water of {{count}} other tanks {'reaches' if certain else 'could reach'} it: {few}",
        numbers=(("count", Number(len(others), "number")),),
        reason="fish that arrive there begin its clock again" if certain
        else "a drain that blocks, a supply or a pump that stops would do it; its clock does not count that",
        remedy="give it a drain, a feed and air of its own, or shut the others off with it", source=PRACTICE,
    )  # fmt: skip


def _of_tools(shut: Shut) -> Iterator[Finding]:
    """A tool that was in something shut off and then, wet and not cleaned, in something it must not have been in."""
    last: dict[str, tuple[Contact, str]] = {}
    told: set[tuple[str, str]] = set()
    for contact in contacts_of(shut.events):
        if contact.kind == "cleaned":
            last.pop(contact.tool, None)
        if contact.kind != "dipped":
            continue
        at = moment_of(contact.at)
        unit = shut.shut_at(contact.target, at)
        before = last.get(contact.tool)
        tool = shut.tools.get(contact.tool)
        wet = timedelta(hours=tool.wet_hours if tool else WET_HOURS)
        if before and before[1] != unit and at - moment_of(before[0].at) <= wet:
            pair = (contact.tool, contact.target)
            if pair not in told:
                told.add(pair)
                yield _went_on(shut, before[0], contact, unit)
        if unit:
            last[contact.tool] = (contact, unit)


def _went_on(shut: Shut, first: Contact, then: Contact, unit: str) -> Finding:
    hours = (then.at - first.at) / 3.6e9
    return Finding(
        code=WENT_ON_WET, severity=Severity.PROBLEM, subject=shut.called(then.tool),
        text=f"was in {shut.called(first.target)}, which is shut off, and {{after}} later still wet in "
        f"{shut.called(then.target)}" + (", which is shut off with others" if unit else ""),
        numbers=(("after", Number(hours * 3600.0, "duration")),),
        reason="a wet net carries whatever was in the water",
        remedy=f"treat {shut.called(then.target)} as suspect, trace its contacts, and keep a net for each",
        source="how long a net stays wet: common practice, no source", places=(first.target, then.target),
    )  # fmt: skip


def _of_zones(shut: Shut) -> Iterator[Finding]:
    told: set[tuple[str, str]] = set()
    for contact in contacts_of(shut.events):
        tool, place = shut.tools.get(contact.tool), shut.places.get(contact.target)
        if (
            contact.kind != "dipped"
            or tool is None
            or place is None
            or not tool.zone
            or tool.zone == place.zone
        ):
            continue
        if (tool.id, place.id) not in told:
            told.add((tool.id, place.id))
            yield Finding(
                code=OUT_OF_ZONE, severity=Severity.WARNING, subject=tool.label,
                text=f"is kept for zone {tool.zone} and was used in {place.label}",
                reason="what is kept for one zone keeps the others apart",
                remedy="wash and disinfect it before it goes back, or say that it may go anywhere",
                found=place.zone or "no zone", wanted=f"zone {tool.zone}", source=PRACTICE, places=(place.id,),
            )  # fmt: skip


def _taken_out(shut: Shut) -> Iterator[Finding]:
    """Fish moved, sold or given out of something shut off while its days had not gone by, without a word why."""
    for event in shut.events:
        if event.kind not in {"moved", "regrouped", "left"} or event.reason.strip() or event.note.strip():
            continue
        out_of = [one.place for one in event.flows if one.account == "held" and one.quantity < 0]
        into = {one.place for one in event.flows if one.account == "held" and one.quantity > 0}
        for place in dict.fromkeys(out_of):
            unit = shut.shut_at(place, event.happened)
            if unit and (not into or any(shut.shut_at(one, event.happened) != unit for one in into)):
                yield Finding(
                    code=TAKEN_OUT, severity=Severity.WARNING, subject=shut.called(place),
                    text="fish were taken out while it was shut off, and nobody wrote why",
                    reason="whatever was in it went with them",
                    remedy="correct the entry with its reason, or shut off where they went too", source=PRACTICE,
                    places=(place, *sorted(into)),
                )  # fmt: skip


def tools_for(place: Place, tools: Iterable[Tool], *, shut: bool) -> tuple[Tool, ...]:
    """The tools that may be used in a place: those bound to its zone; where it is not shut off those bound to none too.

    >>> net = Tool(id="n", label="net", wet_hours=24.0)
    >>> from datetime import UTC
    >>> place = Place(id="p", label="Q1", kind="tank", opened=datetime(2026, 1, 1, tzinfo=UTC), zone="quarantine")
    >>> tools_for(place, [net], shut=True), len(tools_for(place, [net], shut=False))
    ((), 1)
    """
    return tuple(one for one in tools if (one.zone and one.zone == place.zone) or (not one.zone and not shut))
