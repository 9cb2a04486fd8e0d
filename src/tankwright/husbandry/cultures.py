"""Live food: when a culture or a hatch is ready, how long it can be used, and the limits of hatching brine shrimp."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final, Literal

from tankwright.finding import Finding, Severity
from tankwright.husbandry.records import Draft, Event, Plain

BEYOND: Final = "ROUND-08"
SHRIMP: Final = "brine shrimp"

FAO: Final = "P. Lavens and P. Sorgeloos (1996), FAO Fisheries Technical Paper 361, as restated in public"
PRACTICE: Final = "common practice, no source"

State = Literal["not yet", "may be ready", "ready", "past its best"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Food:
    """A live food: hours from its start until it is ready, at the soonest and at the latest, and how many hours from
    then it can be used; `keep` is what it needs meanwhile."""

    what: str
    ready: tuple[float, float]
    lasts: float
    keep: str
    source: str = PRACTICE


_DAY: Final = 24.0
FOODS: Final = (
    Food(what=SHRIMP, ready=(18.0, 24.0), lasts=8.0, source=FAO,
         keep="air to keep cysts afloat, light for the first hours; harvest soon, the young live on their yolk"),
    Food(what="microworms", ready=(3 * _DAY, 7 * _DAY), lasts=28 * _DAY, keep="start the next before it smells sour"),
    Food(what="vinegar eels", ready=(21 * _DAY, 28 * _DAY), lasts=180 * _DAY, keep="two cultures, so that one stays"),
    Food(what="infusoria", ready=(3 * _DAY, 7 * _DAY), lasts=14 * _DAY, keep="feed little; clear water is a ripe one"),
    Food(what="grindal worms", ready=(14 * _DAY, 28 * _DAY), lasts=120 * _DAY, keep="damp, dark, fed as they eat"),
    Food(what="rotifers", ready=(4 * _DAY, 7 * _DAY), lasts=14 * _DAY, keep="take a part each day and top up"),
    Food(what="water fleas", ready=(10 * _DAY, 21 * _DAY), lasts=90 * _DAY, keep="green water, gentle air, no copper"),
    Food(what="wingless fruit flies", ready=(14 * _DAY, 21 * _DAY), lasts=21 * _DAY, keep="start one every two weeks"),
)  # fmt: skip
"""Foods with their usual times; all but the first are common practice without a source, and yours may differ."""

# Source of all five: FAO, as above. Metabolism stops for good above the highest; below the usual range it is slower.
WARM_USUAL: Final = (25.0, 28.0)
WARM_MOST: Final = 33.0
SALT_USUAL: Final = (5.0, 35.0)
SALT_MOST: Final = 85.0
CYSTS_MOST: Final = (2.0, 5.0)
"""Most cysts, g/L: in any volume, and in less than 20 L. Source: FAO Technical Paper 361."""

COOL_LEAST: Final = 20.0
"""Cooler than this no time is told. Common practice, no source: below 25 °C people wait a day and a half to two."""
_COOL_READY: Final = (24.0, 48.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Hatch:
    """A hatch of brine shrimp: hours until it is ready, None where its water is beyond what times are known for, how
    long it can be used, whose times they are, and what is amiss with its water."""

    ready: tuple[float, float] | None
    lasts: float
    source: str
    findings: tuple[Finding, ...] = ()


def shrimp_hatch(
    celsius: float | None = None,
    salt: float | None = None,
    cysts: float | None = None,
    *,
    litres: float = 1.0,
) -> Hatch:
    """When brine shrimp hatch in water so warm (°C), so salt (g/L), with so many g/L of cysts.

    What is not said counts as within the usual range. Nothing is told of the pH (above 8 is asked for) or of cysts
    themselves, which differ by batch: 18, 24 or 48 h to the peak of one are known.

    Source: FAO, as above; below 25 °C common practice, no source.

    >>> shrimp_hatch(27.0, 25.0).ready, shrimp_hatch(22.0).ready, shrimp_hatch(35.0).ready
    ((18.0, 24.0), (24.0, 48.0), None)
    >>> [one.code for one in shrimp_hatch(35.0).findings]
    ['ROUND-08']
    """
    findings = tuple(_water(celsius, salt, cysts, litres))
    usual = FOODS[0]
    if celsius is not None and (celsius > WARM_MOST or celsius < COOL_LEAST):
        return Hatch(ready=None, lasts=usual.lasts, source=FAO, findings=findings)
    if salt is not None and (salt > SALT_MOST or salt <= 0.0):
        return Hatch(ready=None, lasts=usual.lasts, source=FAO, findings=findings)
    if celsius is not None and celsius < WARM_USUAL[0]:
        return Hatch(ready=_COOL_READY, lasts=usual.lasts, source=PRACTICE, findings=findings)
    return Hatch(ready=usual.ready, lasts=usual.lasts, source=FAO, findings=findings)


def _water(
    celsius: float | None, salt: float | None, cysts: float | None, litres: float
) -> Iterator[Finding]:
    if celsius is not None and celsius > WARM_MOST:
        yield _beyond(f"is {celsius:g} °C warm: above {WARM_MOST:g} °C cysts stop for good", "25 to 28 °C",
                      Severity.PROBLEM)  # fmt: skip
    elif celsius is not None and celsius < COOL_LEAST:
        yield _beyond(
            f"is {celsius:g} °C warm: no time is known for it", "25 to 28 °C", Severity.NOT_COMPUTED
        )
    elif celsius is not None and not WARM_USUAL[0] <= celsius <= WARM_USUAL[1]:
        slow = celsius < WARM_USUAL[0]
        yield _beyond(f"is {celsius:g} °C warm: it hatches {'later' if slow else 'as usual or sooner'}",
                      "25 to 28 °C", Severity.NOTE)  # fmt: skip
    if salt is not None and (salt > SALT_MOST or salt <= 0.0):
        yield _beyond(f"has {salt:g} g/L of salt: cysts do not hatch in it", "5 to 35 g/L", Severity.PROBLEM)
    elif salt is not None and not SALT_USUAL[0] <= salt <= SALT_USUAL[1]:
        yield _beyond(f"has {salt:g} g/L of salt: fewer hatch", "5 to 35 g/L", Severity.WARNING)
    most = CYSTS_MOST[1] if litres < 20.0 else CYSTS_MOST[0]
    if cysts is not None and cysts > most:
        yield _beyond(
            f"has {cysts:g} g/L of cysts: fewer of them hatch", f"at most {most:g} g/L", Severity.WARNING
        )


def _beyond(text: str, wanted: str, severity: Severity) -> Finding:
    return Finding(
        code=BEYOND, severity=severity, subject=SHRIMP, text=text, wanted=wanted, source=FAO,
        remedy=f"aim for {wanted}",
    )  # fmt: skip


# --- what is going on ----------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Culture:
    """A culture that goes on: when it was started, from when to when it may be and is ready (None where no time is
    known), until when it is at its best."""

    id: str
    what: str
    started: datetime
    place: str
    ready_from: datetime | None
    ready_by: datetime | None
    best_until: datetime | None
    note: str = ""

    def state(self, now: datetime) -> State | None:
        """How it stands now; None where no time is known."""
        if self.ready_from is None or self.ready_by is None:
            return None
        if now < self.ready_from:
            return "not yet"
        if now < self.ready_by:
            return "may be ready"
        return "ready" if self.best_until is None or now <= self.best_until else "past its best"


def started(
    culture: str, what: str, happened: datetime, *, place: str = "", ready: tuple[float, float] | None = None,
    lasts: float | None = None, water: dict[str, float] | None = None, note: str = "",
) -> Draft:  # fmt: skip
    """A culture that is started; `ready` and `lasts` are hours, `water` the details celsius, salt, cysts.

    >>> from datetime import UTC
    >>> at = datetime(2026, 8, 2, 20, tzinfo=UTC)
    >>> started("c", SHRIMP, at, ready=(18.0, 24.0), lasts=8.0).details["ready_hours"]
    18.0
    """
    details: dict[str, Plain] = {"culture": culture, "what": what}
    if ready is not None:
        details |= {"ready_hours": ready[0], "ready_latest_hours": ready[1]}
    if lasts is not None:
        details["lasts_hours"] = lasts
    details |= dict(water or {})
    return Draft(kind="culture_started", happened=happened, place=place, note=note, details=details)


def ended(culture: str, what: str, happened: datetime, *, note: str = "") -> Draft:
    """A culture that was used up or thrown away."""
    return Draft(
        kind="culture_ended", happened=happened, note=note, details={"culture": culture, "what": what}
    )


def cultures(events: Iterable[Event]) -> tuple[Culture, ...]:
    """The cultures that go on, what is ready soonest first.

    >>> cultures(())
    ()
    """
    going: dict[str, Culture] = {}
    for event in events:
        name = str(event.details.get("culture", ""))
        if event.kind == "culture_ended":
            going.pop(name, None)
        elif event.kind == "culture_started":
            going[name] = _culture(name, event)
    return tuple(sorted(going.values(), key=lambda one: (one.ready_by or one.started, one.id)))


def _culture(name: str, event: Event) -> Culture:
    soonest, latest, lasts = (
        _hours(event.details.get(key)) for key in ("ready_hours", "ready_latest_hours", "lasts_hours")
    )
    ready_by = None if soonest is None else event.happened + max(latest or soonest, soonest)
    return Culture(
        id=name, what=str(event.details.get("what", "")), started=event.happened, place=event.place,
        ready_from=None if soonest is None else event.happened + soonest, ready_by=ready_by,
        best_until=None if ready_by is None or lasts is None else ready_by + lasts, note=event.note,
    )  # fmt: skip


def _hours(value: Plain) -> timedelta | None:
    return timedelta(hours=float(value)) if isinstance(value, int | float) and 0 <= value < 1e6 else None
