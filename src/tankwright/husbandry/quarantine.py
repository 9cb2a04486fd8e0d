"""What is shut off: a clock that begins again with every arrival on its water, and what its release needs."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final, Literal

from tankwright.finding import Finding, Number, Severity
from tankwright.husbandry.contacts import WaterSpan, microseconds, moment_of
from tankwright.husbandry.records import Event
from tankwright.husbandry.register import Quarantine

NOT_YET: Final = "SHUT-01"
EARLY: Final = "SHUT-02"

LEAST_DAYS: Final = 30.0
"""For how long one shuts off when nobody says otherwise. Common practice, no source: rules in use run from 14 days to
60, and some add 42 after the last sign of illness."""

RestartKind = Literal["opened", "arrived", "moved in", "water joined"]
WHY: Final[dict[RestartKind, str]] = {
    "opened": "it was shut off",
    "arrived": "fish arrived",
    "moved in": "fish were brought in from elsewhere in the room",
    "water joined": "its water was joined with that of another tank",
}
"""Why a clock began, or began again."""

_BRINGS: Final = frozenset({"arrived", "found", "moved", "regrouped"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Restart:
    """A moment at which the clock began again, and what did it: fish of a stock came to a place, or water was joined
    with that of `place`. `certain` is False where their water only reaches what is shut off when something goes wrong.
    """

    at: datetime
    kind: RestartKind
    place: str = ""
    stock: str = ""
    event: str = ""
    certain: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock:
    """How far a quarantine is at `now`. `restarts` are in order, the first is its opening; `maybe` are those that count
    only if water went a way it goes when something goes wrong. `water` are places outside it whose water certainly
    reaches it, `maybe_water` those whose water could."""

    quarantine: Quarantine
    now: datetime
    restarts: tuple[Restart, ...]
    maybe: tuple[Restart, ...] = ()
    water: tuple[str, ...] = ()
    maybe_water: tuple[str, ...] = ()

    @property
    def began(self) -> datetime:
        """When it began last."""
        return self.restarts[-1].at

    @property
    def ends(self) -> datetime:
        """When its days will have gone by."""
        return self.began + timedelta(days=self.quarantine.least_days)

    @property
    def ends_if_unlucky(self) -> datetime:
        """The same if water went every way it could: never sooner than `ends`."""
        latest = max([self.began, *(one.at for one in self.maybe)])
        return latest + timedelta(days=self.quarantine.least_days)

    @property
    def days_gone(self) -> float:
        """Days since it began last."""
        return (self._until - self.began) / timedelta(days=1)

    @property
    def days_left(self) -> float:
        """Days until its end, none when they have gone by."""
        return max(0.0, (self.ends - self._until) / timedelta(days=1))

    @property
    def is_over(self) -> bool:
        """Whether its days have gone by."""
        return self.ends <= self._until

    @property
    def _until(self) -> datetime:
        return min(self.now, self.quarantine.released or self.now)


def quarantine_clock(
    quarantine: Quarantine, events: Iterable[Event], spans: Sequence[WaterSpan], now: datetime
) -> Clock:
    """The clock of a quarantine: begun when it was opened, and again whenever fish came from outside to any water that
    reaches it, or such water was joined to it. `events` are those that stand; later ones than `now` are left out.

    >>> from datetime import UTC
    >>> day = [datetime(2026, 8, n, tzinfo=UTC) for n in (1, 5, 11)]
    >>> shut = Quarantine(id="q", places=("Q1",), opened=day[0], least_days=30.0)
    >>> came = Event(kind="arrived", happened=day[1], place="Q1", stock="s", id="e", serial=1, recorded=day[1], who="")
    >>> clock = quarantine_clock(shut, [came], (), day[2])
    >>> clock.days_gone, clock.days_left, [one.kind for one in clock.restarts]
    (6.0, 24.0, ['opened', 'arrived'])
    """
    until = min(now, quarantine.released or now)
    inlets = _Inlets(quarantine.places, spans)
    restarts = [Restart(at=quarantine.opened, kind="opened")]
    maybe: list[Restart] = []
    begin, end = microseconds(quarantine.opened), microseconds(until)
    found = [
        *(
            one
            for event in events
            if event.kind in _BRINGS and begin <= microseconds(event.happened) <= end
            for one in _brought(event, inlets)
        ),
        *_joined(inlets, begin, end),
    ]
    for one in sorted(found, key=lambda one: one.at):
        (restarts if one.certain else maybe).append(one)
    water, could = inlets.at(end), inlets.at(end, possible=True)
    return Clock(
        quarantine=quarantine, now=now, restarts=tuple(restarts), maybe=tuple(maybe),
        water=tuple(sorted(water - set(quarantine.places))), maybe_water=tuple(sorted(could - water)),
    )  # fmt: skip


def water_into(
    places: Collection[str], spans: Sequence[WaterSpan], at: int, *, possible: bool = False
) -> frozenset[str]:
    """All places whose water reaches one of these at a moment, themselves too; with `possible` those as well whose
    water only does when something goes wrong.

    >>> span = WaterSpan(source="A1", target="Q1", kind="sump", certain=True, through="", begin=0)
    >>> sorted(water_into(("Q1",), (span,), 5))
    ['A1', 'Q1']
    """
    ways: dict[str, list[str]] = {}
    for span in spans:
        if (span.certain or possible) and span.begin <= at and (span.end is None or at <= span.end):
            ways.setdefault(span.target, []).append(span.source)
    found = set(places)
    waiting = list(found)
    while waiting:
        for source in ways.get(waiting.pop(), ()):
            if source not in found:
                found.add(source)
                waiting.append(source)
    return frozenset(found)


class _Inlets:
    """Whose water comes to these places at any moment: worked out once for all moments between two changes, from spans
    that ever lead to them; most of a large room has nothing to do with them."""

    def __init__(self, places: Collection[str], spans: Sequence[WaterSpan]) -> None:
        self.places = places
        self.spans = _upstream(places, spans)
        ends = {span.end + 1 for span in self.spans if span.end is not None}
        self._changes = sorted({span.begin for span in self.spans} | ends)
        self._known: dict[tuple[int, bool], frozenset[str]] = {}

    def at(self, moment: int, *, possible: bool = False) -> frozenset[str]:
        """`water_into` at a moment."""
        key = bisect_right(self._changes, moment), possible
        if key not in self._known:
            self._known[key] = water_into(self.places, self.spans, moment, possible=possible)
        return self._known[key]


def _upstream(places: Collection[str], spans: Sequence[WaterSpan]) -> tuple[WaterSpan, ...]:
    into: dict[str, list[WaterSpan]] = {}
    for span in spans:
        into.setdefault(span.target, []).append(span)
    seen, waiting, found = set(places), list(places), []
    while waiting:
        for span in into.get(waiting.pop(), ()):
            found.append(span)
            if span.source not in seen:
                seen.add(span.source)
                waiting.append(span.source)
    return tuple(found)


def _brought(event: Event, inlets: _Inlets) -> Iterator[Restart]:
    """Fish that came to water of the quarantine from outside it."""
    at = microseconds(event.happened)
    sure = inlets.at(at)
    into = {flow.place: flow.stock for flow in event.flows if flow.account == "held" and flow.quantity > 0}
    if not event.flows and event.place:
        into = {event.place: event.stock}
    out_of = {flow.place for flow in event.flows if flow.account == "held" and flow.quantity < 0}
    kind: RestartKind = "moved in" if event.kind in {"moved", "regrouped"} else "arrived"
    could = inlets.at(at, possible=True)
    for place, stock in into.items():
        if place in could and not (kind == "moved in" and out_of and out_of <= sure):
            yield Restart(
                at=event.happened, kind=kind, place=place, stock=stock, event=event.id, certain=place in sure
            )  # fmt: skip


def _joined(inlets: _Inlets, begin: int, end: int) -> Iterator[Restart]:
    """Water that began to reach the quarantine while it was shut."""
    for at in sorted({span.begin for span in inlets.spans if span.certain and begin < span.begin <= end}):
        for place in sorted(inlets.at(at) - inlets.at(at - 1)):
            yield Restart(at=moment_of(at), kind="water joined", place=place)


def release_findings(clock: Clock, reason: str) -> tuple[Finding, ...]:
    """What stands against a release now, or is to be said of it: days that have not gone by need a reason, and with one
    the release is written down as early. Nothing when the days have gone by.

    >>> from datetime import UTC
    >>> shut = Quarantine(id="q", places=("Q1",), opened=datetime(2026, 8, 1, tzinfo=UTC), least_days=30.0)
    >>> clock = quarantine_clock(shut, (), (), datetime(2026, 8, 11, tzinfo=UTC))
    >>> [one.code for one in release_findings(clock, "")], [one.code for one in release_findings(clock, "eggs only")]
    (['SHUT-01'], ['SHUT-02'])
    """
    if clock.is_over:
        return ()
    refused = not reason.strip()
    return (
        Finding(
            code=NOT_YET if refused else EARLY,
            severity=Severity.PROBLEM if refused else Severity.WARNING,
            subject="quarantine",
            text="has {left} of its {least} to go"
            + ("" if refused else "; it is opened early, with its reason written down"),
            numbers=(
                ("left", Number(clock.days_left * 86_400.0, "duration")),
                ("least", Number(clock.quarantine.least_days * 86_400.0, "duration")),
            ),
            value=Number(clock.days_gone * 86_400.0, "duration"),
            limit=Number(clock.quarantine.least_days * 86_400.0, "duration"),
            reason="an illness that takes weeks to show would come with the fish",
            remedy="wait until then, or say why it is opened all the same" if refused
            else "look at them daily, and keep their net apart for as long again",
            source="common practice, no source",
            wanted="a reason" if refused else "",
            places=clock.quarantine.places,
        ),
    )  # fmt: skip
