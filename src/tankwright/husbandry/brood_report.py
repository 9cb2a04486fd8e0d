"""What a breeding report tells of one brood: its parents, its spawn, eggs, hatch, numbers at its days, its water."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final, Literal

from tankwright.husbandry.brood_counts import REPORT_DAYS, HatchShare, NumberAt, hatch_share, numbers_at
from tankwright.husbandry.fry_broods import origin_of, spawn_of
from tankwright.husbandry.records import Event, Observed
from tankwright.husbandry.register import BreedingSet, Stock
from tankwright.husbandry.spawning import set_of, spawns_of

WATER_BEFORE: Final = timedelta(days=30)
"""A test that was made so long before a spawn, or less, counts as of its water. Common practice, no source."""

SpawnKnown = Literal["as born", "the last before", "not known"]


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterThen:
    """One thing that was tested around a spawn: the last before it, with the days it lay before, and between what it
    lay from then to the last day that is reported. None where nobody tested."""

    quantity: str
    unit: str
    before: float | None
    days_before: float | None
    tests: int
    least: float | None
    most: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class BroodReport:
    """A brood as it is reported. `origin` is the moment its days are counted from, None when nobody knows when it was
    born. `spawn_known` says how its spawn was found: none is named in the entry of its birth, so the last of its set
    before it is taken. `days_to_hatch` is from spawn to birth."""

    stock: Stock
    parents: tuple[BreedingSet, ...]
    spawn: Event | None
    spawn_known: SpawnKnown
    born: tuple[Event, ...]
    origin: datetime | None
    eggs: Observed | None
    young: Observed | None
    share: HatchShare | None
    days_to_hatch: float | None
    numbers: tuple[NumberAt, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Test:
    """One value of a water test, as the report needs it."""

    __test__ = False

    quantity: str
    happened: datetime
    value: float | None
    unit: str = ""


def brood_report(
    stock: Stock, sets: Mapping[str, BreedingSet], events: Sequence[Event], now: datetime, *,
    days: Sequence[float] = REPORT_DAYS,
) -> BroodReport:  # fmt: skip
    """The report of a brood out of the events that stand: those of its fish and those of the sets it comes from.

    >>> from datetime import UTC
    >>> stock = Stock(id="s", label="S", kind="brood", opened=datetime(2026, 5, 1, tzinfo=UTC))
    >>> brood_report(stock, {}, (), datetime(2026, 7, 1, tzinfo=UTC)).numbers[0].why
    'nobody knows when it was born'
    """
    born = tuple(one for one in events if one.kind == "born" and one.stock == stock.id)
    named = [share.breeding_set for share in stock.origin if share.breeding_set]
    named += [name for one in born if (name := set_of(one)) and name not in named]
    parents = tuple(sets[name] for name in named if name in sets)
    origin = origin_of(stock, [one for one in events if any(flow.stock == stock.id for flow in one.flows)])
    spawn, known = _spawn(born[0] if born else None, origin, parents, events)
    eggs = None if spawn is None else next((one for one in spawn.observed if one.quantity == "eggs"), None)
    young = next((one for event in born for one in event.observed if one.quantity == "count"), None)
    numbers = (
        tuple(NumberAt(day=day, how="not known", why="nobody knows when it was born") for day in days)
        if origin is None
        else numbers_at(events, stock.id, origin=origin, until=now, days=days)
    )
    waited = None if spawn is None or origin is None else (origin - spawn.happened) / timedelta(days=1)
    return BroodReport(
        stock=stock, parents=parents, spawn=spawn, spawn_known=known, born=born, origin=origin, eggs=eggs, young=young,
        share=hatch_share(spawn, born[0]) if spawn is not None and len(born) == 1 else None,
        days_to_hatch=waited, numbers=numbers,
    )  # fmt: skip


def _spawn(
    born: Event | None, origin: datetime | None, parents: Sequence[BreedingSet], events: Sequence[Event]
) -> tuple[Event | None, SpawnKnown]:
    """The spawn of a brood: of its sets the last before it was born, and no longer before than eggs take."""
    if origin is None:
        return None, "not known"
    last = spawn_of(origin, [one for parent in parents for one in spawns_of(events, parent.id)])
    if last is None:
        return None, "not known"
    same = born is not None and bool(born.batch) and born.batch == last.batch
    return last, "as born" if same else "the last before"


def water_then(tests: Sequence[Test], spawn: datetime, until: datetime) -> tuple[WaterThen, ...]:
    """The water of a tank around a spawn, a row a quantity: the last test before it, within `WATER_BEFORE`, and the
    ends from then on. Values of another unit than a quantity's first are left out.

    >>> from datetime import UTC
    >>> at = datetime(2026, 5, 1, tzinfo=UTC)
    >>> row, = water_then([Test(quantity="ph", happened=at, value=7.0)], at + timedelta(days=2), at + timedelta(days=9))
    >>> row.before, row.days_before, row.tests
    (7.0, 2.0, 0)
    """
    rows = []
    for quantity in dict.fromkeys(one.quantity for one in tests):
        some = [one for one in tests if one.quantity == quantity and one.value is not None]
        near = [one for one in some if spawn - WATER_BEFORE <= one.happened <= until]
        if not near:
            continue
        unit = near[0].unit
        before = [one for one in near if one.happened <= spawn and one.unit == unit]
        after = [
            one.value for one in near if one.happened > spawn and one.unit == unit and one.value is not None
        ]
        last = max(before, key=lambda one: one.happened) if before else None
        rows.append(WaterThen(
            quantity=quantity, unit=unit, before=last.value if last else None,
            days_before=(spawn - last.happened) / timedelta(days=1) if last else None, tests=len(after),
            least=min(after, default=None), most=max(after, default=None),
        ))  # fmt: skip
    return tuple(rows)
