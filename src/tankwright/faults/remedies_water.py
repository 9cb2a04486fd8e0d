"""What may mend a fault of water: a second way out, a float, shorter runs, less flow, a valve that shuts by itself."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Final, Literal

from tankwright.catalogue.assumptions import ASSUMPTIONS
from tankwright.faults.model import Outcome, Story
from tankwright.faults.remedy import (
    AFTERNOON,
    SETTING,
    SMALL_PART,
    Puts,
    Remedy,
    given,
    listed,
    said,
    stepped,
    with_tanks,
)
from tankwright.finding import Number
from tankwright.room.model import FeedRun, Room, SecondOverflow, Tank
from tankwright.room.model_broken import BrokenKind
from tankwright.study import Study
from tankwright.systems.feed_time import between_looks, longest_run
from tankwright.units import CubicMetre, Metre, Second

SPILLED: Final[CubicMetre] = 1e-5
"""What a tank must have lost to count as one that spills: 10 mL."""

LEAST_STEP: Final[Metre] = 0.003
"""A second lip nearer than this to the first, or to the rim, cannot be set."""

LEAST_SHARE: Final = 0.1
"""A run cut to less than this share of it is no feed any more."""

SPARE: Final = 0.8
"""Share of the free space of a tank a run may fill, so that a wave or a wrong ruler does not spill it."""

FEED_KINDS: Final = frozenset({"feed valve", "feed line", "feed outlet", "mains pressure", "vat pump"})
TANK_KINDS: Final = frozenset({
    "overflow", "second overflow", "drain", "outfall", "feed valve", "feed outlet", "mains pressure", "vat pump",
    "hand hose",
})  # fmt: skip
"""Faults that let water rise in a tank."""

RUN_AGAIN: Final = frozenset({"feed", "drain"})


def water_remedies(study: Study, story: Story, before: Outcome) -> Iterator[Remedy]:
    """What may help against water that comes, stays or runs back."""
    room = study.room
    wet = spilling(room, story)
    kinds = {part.kind for part in story.fault.broken}
    if wet and kinds & TANK_KINDS:
        yield from _second_overflows(wet, kinds)
        yield from _floats(wet)
    if kinds & (TANK_KINDS | {"hose", "carbon", "chloramine"}):
        yield from _shorter_runs(study, story, wet)
    for run in _feeds_of(room, story, wet) if kinds & (TANK_KINDS | {"hose", "pane", "feed line"}) else ():
        if "pane" not in kinds:
            yield from _less_flow(study, run)
            yield from _shut_by_itself(study, run, before.first.time if before.first is not None else 0.0)
        if story.water.floor.size and story.water.floor.max() > SPILLED and not run.shuts_on_floor_water:
            yield _shut_by_a_wet_floor(run)
    if kinds & {"mains off", "feed outlet", "feed line", "power"}:
        yield from _no_way_back(room)


def spilling(room: Room, story: Story) -> tuple[Tank, ...]:
    """The tanks that lose water to the floor while a fault is followed."""
    water = story.water
    wet = {name for index, name in enumerate(water.tanks) if water.spilled[-1, index] > SPILLED}
    return tuple(tank for tank in room.tanks if tank.id in wet)


def _feeds_of(room: Room, story: Story, wet: tuple[Tank, ...]) -> tuple[FeedRun, ...]:
    """The feeds a fault is of, or that bring water where it spills."""
    named = {part.what for part in story.fault.broken if part.kind in FEED_KINDS}
    points = {part.what for part in story.fault.broken if part.kind == "mains pressure"}
    tanks = {tank.id for tank in wet}
    return tuple(
        run
        for run in room.feeds
        if run.id in named or run.source in points or not tanks.isdisjoint(one.tank for one in run.outlets)
    )


# --- the tank -----------------------------------------------------------------------------------------------------


def _kinds_or_tanks(room_tanks: tuple[Tank, ...]) -> tuple[tuple[str, str], ...]:
    """Where a change of some tanks is written: at each, or at their kinds where they are many."""
    if len(room_tanks) <= 3:
        return tuple(("tank", tank.id) for tank in room_tanks)
    return tuple(("tank_kind", kind) for kind in dict.fromkeys(tank.kind for tank in room_tanks))


def _named(wet: tuple[Tank, ...]) -> str:
    """The same in words."""
    if len(wet) <= 3:
        return listed(tank.id for tank in wet)
    return f"every {' and every '.join(dict.fromkeys(tank.kind for tank in wet))}"


def _changed(wet: tuple[Tank, ...], room: Room) -> tuple[str, ...]:
    """The tanks such a change is of."""
    if len(wet) <= 3:
        return tuple(tank.id for tank in wet)
    kinds = {tank.kind for tank in wet}
    return tuple(tank.id for tank in room.tanks if tank.kind in kinds)


def _second_overflows(wet: tuple[Tank, ...], kinds: set[BrokenKind]) -> Iterator[Remedy]:
    """A hose of its own to the outfall, and where the drain is whole one into it: what is blocked is no way out."""
    wanted = tuple(tank for tank in wet if tank.second_overflow is None)
    if not wanted:
        return
    free = min(tank.freeboard for tank in wanted)
    usual = ASSUMPTIONS["second_overflow.above_lip"].value
    above = stepped(min(usual, 0.4 * free), "mm", "m")
    bores = [tank.overflow.bore.value for tank in wanted if tank.overflow is not None]
    bore = stepped(max(bores, default=ASSUMPTIONS["overflow.bore"].value), "mm", "m")
    if above < LEAST_STEP or free - above < LEAST_STEP or bore <= 0.0:
        return
    if "outfall" not in kinds:
        yield _second_overflow(wanted, bore, above, "own hose", "a hose of its own to the outfall")
    if not kinds & {"outfall", "drain"}:
        yield _second_overflow(wanted, bore, above, "drain", "a hose of its own into the drain")


def _second_overflow(
    wanted: tuple[Tank, ...], bore: Metre, above: Metre, to: Literal["own hose", "drain"], how: str
) -> Remedy:
    def second(tank: Tank) -> Tank:
        if tank.second_overflow is not None:
            return tank
        return replace(tank, second_overflow=SecondOverflow(lip=tank.level + above, bore=given(bore), to=to))

    toml = f'{{ bore = {said(bore, "mm", "m")}, above_lip = {said(above, "mm", "m")}, to = "{to}" }}'
    return Remedy(
        words=f"a second overflow in {_named(wanted)}, {{above}} above the first, with {how}",
        numbers=(("above", Number(above, "length")),),
        puts=tuple(((*place, "second_overflow"), toml) for place in _kinds_or_tanks(wanted)),
        cost=AFTERNOON,
        change=lambda room: with_tanks(room, _changed(wanted, room), second),
    )


def _floats(wet: tuple[Tank, ...]) -> Iterator[Remedy]:
    wanted = tuple(tank for tank in wet if tank.float_cutoff is None)
    if not wanted:
        return
    above = stepped(min(0.015, 0.5 * min(tank.freeboard for tank in wanted)), "mm", "m")
    if above < LEAST_STEP:
        return

    def change(room: Room) -> Room:
        return with_tanks(room, _changed(wanted, room), lambda tank: replace(tank, float_cutoff=given(above)))

    yield Remedy(
        words=f"a float in {_named(wanted)} that shuts its feed {{above}} above the lip",
        numbers=(("above", Number(above, "length")),),
        puts=tuple(((*place, "float_cutoff"), said(above, "mm", "m")) for place in _kinds_or_tanks(wanted)),
        cost=SMALL_PART,
        change=change,
    )


# --- the feed -----------------------------------------------------------------------------------------------------


def _shorter_runs(study: Study, story: Story, wet: tuple[Tank, ...]) -> Iterator[Remedy]:
    """Runs so short that what comes between two looks fits above the water; and shorter yet, where that is not it."""
    room = study.room
    if study.feed is None:
        return
    flows = {tank.id: study.feed.inflows().get(tank.id, 0.0) for tank in wet}
    poisoned = {part.kind for part in story.fault.broken} & {"carbon", "chloramine"}
    for run in room.feeds:
        fed = [tank for tank in wet if any(one.tank == tank.id for one in run.outlets)]
        if not run.programs or not (fed or poisoned):
            continue
        runs = between_looks(run.programs, room.looks)
        fits = min(
            (SPARE * tank.freeboard_volume / flows[tank.id] for tank in fed if flows[tank.id] > 0.0),
            default=0.5 * runs,
        )
        for share in (1.0, 0.5, 0.25):
            factor = min(share * fits / runs, 0.95) if runs > 0.0 else 0.0
            minutes = [stepped(factor * one.duration, "min", "s") for one in run.programs]
            least = max(60.0, LEAST_SHARE * longest_run(run.programs))
            if min(minutes) >= least and sum(minutes) < sum(one.duration for one in run.programs):
                yield _shorter(run, minutes)


def _shorter(run: FeedRun, durations: list[Second]) -> Remedy:
    name = run.id

    def change(room: Room) -> Room:
        def shorter(one: FeedRun) -> FeedRun:
            programs = tuple(
                replace(program, duration=duration)
                for program, duration in zip(one.programs, durations, strict=True)
            )
            return replace(one, programs=programs)

        return with_feed(room, name, shorter)

    before = sum(program.duration for program in run.programs)
    puts: Puts = tuple(
        (("feed", name, "program", place, "minutes"), f"{duration / 60.0:.0f}")
        for place, duration in enumerate(durations)
    )
    return Remedy(
        words=f"the runs of feed {name} cut to {{run}} at the longest, {{share}} of the new water they bring now",
        numbers=(
            ("run", Number(max(durations), "duration")),
            ("share", Number(sum(durations) / before, "share")),
        ),
        puts=puts,
        cost=SETTING,
        change=change,
        again=RUN_AGAIN,
    )


def with_feed(room: Room, name: str, change: Callable[[FeedRun], FeedRun]) -> Room:
    """The room with one feed changed."""
    return replace(room, feeds=tuple(change(one) if one.id == name else one for one in room.feeds))


def _less_flow(study: Study, run: FeedRun) -> Iterator[Remedy]:
    """A limiter that lets through little more than the feed takes when all is well."""
    solved = next((one for one in study.feed.runs if one.run == run.id), None) if study.feed else None
    if solved is None or run.limit is not None or not solved.total_flow > 0.0:
        return
    limit = stepped(1.15 * solved.total_flow, "L/min", "m**3/s", step=0.1, up=True)
    yield Remedy(
        words=f"a flow limiter of {{limit}} before the manifold of feed {run.id}",
        numbers=(("limit", Number(limit, "flow")),),
        puts=((("feed", run.id, "limit"), said(limit, "L/min", "m**3/s")),),
        cost=SMALL_PART,
        change=lambda room: with_feed(room, run.id, lambda one: replace(one, limit=given(limit))),
        again=RUN_AGAIN,
    )


def _shut_by_itself(study: Study, run: FeedRun, harm: Second) -> Iterator[Remedy]:
    """Valves that shut a little after what the longest run needs, by time or by volume; and before the harm, where
    that comes sooner, which cuts the run short too."""
    longest = longest_run(run.programs)
    if not longest > 0.0:
        return
    solved = next((one for one in study.feed.runs if one.run == run.id), None) if study.feed else None
    usual = stepped(1.1 * longest, "min", "s", step=5.0, up=True)
    sooner = stepped(0.7 * harm, "min", "s", step=5.0)
    if run.shuts_after is None:
        yield _shut_after(run, usual)
        if LEAST_SHARE * longest < sooner < usual:
            yield _shut_after(run, sooner)
    if run.shuts_after_volume is None and solved is not None and solved.volume_a_run > 0.0:
        most = stepped(1.1 * solved.volume_a_run, "L", "m**3", up=True)
        yield Remedy(
            words=f"a valve on feed {run.id} that shuts by itself after {{most}}",
            numbers=(("most", Number(most, "volume")),),
            puts=((("feed", run.id, "shuts_after_volume"), said(most, "L", "m**3")),),
            cost=SMALL_PART,
            change=lambda room: with_feed(
                room, run.id, lambda one: replace(one, shuts_after_volume=given(most))
            ),
        )


def _shut_after(run: FeedRun, after: Second) -> Remedy:
    share = min(after / longest_run(run.programs), 1.0)
    cut, numbers = "", [("after", Number(after, "duration"))]
    if share < 1.0:
        cut = ", which cuts its longest run to {share}"
        numbers.append(("share", Number(share, "share")))
    return Remedy(
        words=f"a valve on feed {run.id} that shuts by itself after {{after}}{cut}",
        numbers=tuple(numbers),
        puts=((("feed", run.id, "shuts_after"), said(after, "min", "s")),),
        cost=SMALL_PART,
        change=lambda room: with_feed(room, run.id, lambda one: replace(one, shuts_after=given(after))),
    )


def _shut_by_a_wet_floor(run: FeedRun) -> Remedy:
    return Remedy(
        words=f"a sensor on the floor that shuts feed {run.id}",
        numbers=(),
        puts=((("feed", run.id, "shuts_on_floor_water"), "true"),),
        cost=SMALL_PART,
        change=lambda room: with_feed(room, run.id, lambda one: replace(one, shuts_on_floor_water=True)),
    )


def _no_way_back(room: Room) -> Iterator[Remedy]:
    """Nothing runs back: a check valve before the manifold, or outlets that end in the air."""
    for run in room.feeds:
        if not run.check_valve:
            yield Remedy(
                words=f"a check valve on feed {run.id}",
                numbers=(),
                puts=((("feed", run.id, "check_valve"), "true"),),
                cost=SMALL_PART,
                change=lambda room, name=run.id: with_feed(  # type: ignore[misc] # its default keeps the name
                    room, name, lambda one: replace(one, check_valve=True)
                ),
                again=frozenset({"feed"}),
            )
        if any(outlet.gap.value < 0.0 for outlet in run.outlets):
            yield _above_the_rim(run)


def _above_the_rim(run: FeedRun) -> Remedy:
    gap = ASSUMPTIONS["feed.air_gap"].value

    def lifted(one: FeedRun) -> FeedRun:
        outlets = tuple(
            replace(
                out, gap=given(gap), place=(out.place[0], out.place[1], out.place[2] - out.gap.value + gap)
            )
            for out in one.outlets
        )
        return replace(one, outlets=outlets)

    return Remedy(
        words=f"outlets of feed {run.id} that end {{gap}} over the rims",
        numbers=(("gap", Number(gap, "length")),),
        puts=(
            (("feed", run.id, "ends"), '"above rim"'),
            (("feed", run.id, "air_gap"), said(gap, "mm", "m")),
        ),
        cost=AFTERNOON,
        change=lambda room: with_feed(room, run.id, lifted),
        again=RUN_AGAIN,
    )
