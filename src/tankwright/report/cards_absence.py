"""The absence sheet: what a helper who knows nothing looks at, in which order, what to do and what to leave alone.

A guess is told as one: what the plan does not say is marked as assumed, so that the keeper puts it right by hand.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from tankwright.faults.life_harms import least_levels
from tankwright.faults.model import Faults, HarmKind
from tankwright.faults.noticing import absence_of
from tankwright.finding import Number
from tankwright.report.cards import AT_ONCE, NOT_YET, soonest_of
from tankwright.report.cards_words import NO_ALARM, PHONES, Part, alarm_lines, at_most, runs_of, short
from tankwright.report.model import SummaryLine
from tankwright.room.assumed import assumed
from tankwright.room.model import Room, Tank
from tankwright.room.model_water import TankLife
from tankwright.study import Study
from tankwright.systems.water_life_model import span_of
from tankwright.units import Kelvin, Kilogram, Metre, Second

DAY: Final[Second] = 86_400.0
MOST_VISITS: Final = 12
"""Columns of ticks a page has room for."""

MOST_ROWS: Final = {"levels": 8, "warmth": 6, "feeding": 10}
"""Rows of each table a page has room for."""

_TANKS: Final = 110
"""Letters of a row's tanks."""

ROWS: Final = (
    "Floor dry, no drip heard",
    "Bubbles in every tank",
    "Water at its mark in every tank",
    "Temperature, write it down",
    "Fish up and swimming, none gasping",
    "Fed, no more than below",
    "All as before you came, door shut",
    "Your initials",
)
"""What is ticked at each visit, in the order to look."""

_SUPPLY: Final = ("power cut", "board dead", "circuit dead", "device tripped")
_FAILING: Final[Mapping[HarmKind, tuple[str, ...]]] = {
    "oxygen": ("air pump dead", "air line open", "tap fallen out", *_SUPPLY),
    "cold": ("room heating fails", "heater stuck off", *_SUPPLY),
}
"""Groups of faults that look to a helper as missing bubbles or as cold."""

CAUTION: Final = (
    "Water near a plug, a tank that cracks, a smell of burning: touch nothing, do not go in, call. Fish can wait, you"
    " cannot be replaced."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelRow:
    """Tanks of one kind: how far under the rim their water stands, and the mark at which to call, with why."""

    kind: str
    tanks: str
    stands: Number
    call_at: Number
    why: str
    assumed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class WarmRow:
    """Tanks of one zone and the water they are to have."""

    zone: str
    tanks: str
    low: Number
    high: Number
    assumed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedRow:
    """Tanks that get the same: how much a day at the most, None where nothing is fed."""

    tanks: str
    most: Number | None
    assumed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class AbsenceSheet:
    """Everything on the absence sheet. `visits` are times of day, `columns` how many ticks there are of them all,
    `more` where the absence has more visits than the page, `left_out` rows of its tables it has no room for."""

    title: str
    caution: str
    absence: Number
    absence_assumed: bool
    visits: tuple[Number, ...]
    columns: int
    more: bool
    rows: tuple[str, ...]
    levels: tuple[LevelRow, ...]
    warmth: tuple[WarmRow, ...]
    feeding: tuple[FeedRow, ...]
    left_out: int
    by_itself: Part
    leave: tuple[str, ...]
    first: tuple[SummaryLine, ...]
    told: Part
    not_yet: str
    phones: tuple[str, ...]


def absence_sheet(study: Study, faults: Faults | None) -> AbsenceSheet:
    """The sheet for whoever looks in while the keeper is away. `faults` is None while they are not worked out."""
    room = study.room
    absence = room.longest_absence or assumed(room, "people.longest_absence")
    looks = room.helper_looks or room.looks
    levels, warmth, feeding = tuple(_levels(room)), tuple(_warmth(room)), tuple(_feeding(room))
    visits = max(1, math.ceil(absence.value / DAY)) * max(1, len(looks))
    return AbsenceSheet(
        title=short(room.title, 60),
        caution=CAUTION,
        absence=Number(absence.value, "duration"),
        absence_assumed=absence.is_assumed,
        visits=tuple(Number(look, "clock") for look in looks),
        columns=min(visits, MOST_VISITS),
        more=visits > MOST_VISITS,
        rows=ROWS,
        levels=levels[: MOST_ROWS["levels"]],
        warmth=warmth[: MOST_ROWS["warmth"]],
        feeding=feeding[: MOST_ROWS["feeding"]],
        left_out=sum(
            max(len(rows) - MOST_ROWS[name], 0)
            for name, rows in (("levels", levels), ("warmth", warmth), ("feeding", feeding))
        ),
        by_itself=Part(
            title="Runs by itself, leave it", lines=at_most(_by_itself(room), 4),
            missing="The plan has nothing that runs by itself.",
        ),
        leave=tuple(_leave(room)),
        first=tuple(_first(study, faults)),
        told=Part(title="Who else is told", lines=alarm_lines(room, 2), missing=NO_ALARM),
        not_yet=NOT_YET if faults is None else "",
        phones=PHONES[:3],
    )  # fmt: skip


# --- levels ------------------------------------------------------------------------------------------------------


def _levels(room: Room) -> Iterator[LevelRow]:
    lives = {one.tank: one for one in room.lives}
    least = dict(zip((tank.id for tank in room.tanks), least_levels(room)[2].tolist(), strict=True))
    kinds: dict[str, list[Tank]] = {}
    for tank in room.tanks:
        kinds.setdefault(tank.kind, []).append(tank)
    for kind, tanks in kinds.items():
        marks = [(*_mark(tank, lives.get(tank.id), room, least[tank.id]), tank) for tank in tanks]
        lowest, why, guessed, _ = min(
            marks, key=lambda one: one[0]
        )  # the least fall that matters to any of them
        stands = max(tank.rim - tank.level for tank in tanks)
        yield LevelRow(
            kind=short(kind, 16),
            tanks=short(runs_of(tank.id for tank in tanks), _TANKS),
            stands=Number(stands, "length"),
            call_at=Number(max(lowest, stands), "length"),
            why=why,
            assumed=guessed,
        )


def _mark(tank: Tank, life: TankLife | None, room: Room, least: Metre) -> tuple[Metre, str, bool]:
    """How far under the rim the water may fall before something is wrong: why then, and whether that is a guess."""
    halfway = 0.5 * (tank.level + tank.floor_inside)
    found: list[tuple[Metre, str, bool]] = [(tank.rim - halfway, "half its water gone", False)]
    found.append((tank.rim - least, "too shallow to swim", False))
    if life is not None and life.heater is not None:
        said = life.heater.top
        top = said if said is not None else assumed(room, "heater.top")
        high = span_of(top).high if said is None else top.value
        # a heater that reaches over the water by its band's end is one nobody measured: it counts as just under it
        uncovered = min(tank.floor_inside + high, tank.level - 0.02)
        found.append((tank.rim - uncovered, "heater uncovered", said is None))
    return min(found, key=lambda one: one[0])


# --- warmth and food ---------------------------------------------------------------------------------------------


def _warmth(room: Room) -> Iterator[WarmRow]:
    zones = {zone.id: zone for zone in room.zones}
    lives = {one.tank: one for one in room.lives}
    groups: dict[tuple[str, Kelvin, Kelvin, bool], list[str]] = {}
    for tank in room.tanks:
        life = lives.get(tank.id)
        if life is None:
            continue
        zone = zones.get(tank.zone)
        wants = zone.wants.temperature if zone is not None and zone.wants is not None else None
        if wants is not None:
            key = (tank.zone, wants[0].value, wants[1].value, wants[0].is_assumed or wants[1].is_assumed)
        else:
            span = span_of(life.wanted_temperature)
            key = (tank.zone, span.low, span.high, life.wanted_temperature.is_assumed)
        groups.setdefault(key, []).append(tank.id)
    for (name, low, high, guessed), tanks in groups.items():
        yield WarmRow(
            zone=short(name, 20),
            tanks=short(runs_of(tanks), _TANKS),
            low=Number(low, "temperature"),
            high=Number(high, "temperature"),
            assumed=guessed,
        )


def _feeding(room: Room) -> Iterator[FeedRow]:
    """Tanks by what they get in a day; those nobody fed in the plan get nothing."""
    groups: dict[tuple[float | None, bool], list[str]] = {}
    for life in room.lives:
        feed = life.stock.feed if life.stock is not None and not life.stock.is_empty else None
        amount: Kilogram | None = (
            round(feed.value * DAY, 5) if feed is not None and feed.value > 0.0 else None
        )
        guessed = feed is not None and amount is not None and feed.is_assumed
        groups.setdefault((amount, guessed), []).append(life.tank)
    for (amount, guessed), tanks in sorted(groups.items(), key=lambda pair: -(pair[0][0] or 0.0)):
        yield FeedRow(
            tanks=short(runs_of(tanks), _TANKS),
            most=None if amount is None else Number(amount, "mass"),
            assumed=guessed,
        )


# --- what to leave, what to do -----------------------------------------------------------------------------------


def _by_itself(room: Room) -> Iterator[SummaryLine]:
    for feed in room.feeds:
        for program in feed.programs:
            numbers = (
                ("start", Number(program.start, "clock")), ("long", Number(program.duration, "duration")),
                ("runs", Number(program.runs_a_week, "number")),
            )  # fmt: skip
            daily = "every day" if program.runs_a_week == 7.0 else "{runs} times a week"
            yield SummaryLine(f"Feed {short(feed.id, 20)}: {{start}} for {{long}}, {daily}", numbers)
    lit: dict[float, list[str]] = {}
    for board in room.power.boards if room.power is not None else ():
        for load in board.loads:
            if load.does == "light":
                lit.setdefault(load.hours, []).append(board.id)
    for hours, boards in lit.items():
        yield SummaryLine(
            f"Lights on {short(', '.join(dict.fromkeys(boards)), 40)}: {{hours}} a day",
            (("hours", Number(hours * 3600.0, "duration")),),
        )


def _leave(room: Room) -> Iterator[str]:
    yield "Feed no more than the table says. In doubt, feed nothing: grown fish go days without."
    if room.feeds:
        yield "Open and turn no tap or valve; never run a hose into a tank."
    else:
        yield "Add no water; never run a hose into a tank."
    yield "Move no fish, plant or net from one tank to another; keep your hands out of the water."
    yield "Clean nothing, switch nothing at the boards; above all leave the air on."
    yield "Touch no plug with wet hands, and nothing electric that is wet or warm."
    if any(zone.quarantine for zone in room.zones):
        names = [short(zone.id, 20) for zone in room.zones if zone.quarantine]
        yield f"Look at {' and '.join(names[:2])} last, and touch nothing there."


def _first(study: Study, faults: Faults | None) -> Iterator[SummaryLine]:
    """What to do about what a helper can see, and how long there is at the soonest."""
    yield SummaryLine("Water on the floor: shut the water point (see the card at the door), then call.")
    air = _soonest(faults, "oxygen")
    yield SummaryLine(
        "No bubbles: see that the pump runs and its pipe is on, then call" + air[0],
        air[1],
    )
    cold = _soonest(faults, "cold")
    yield SummaryLine("Too cold or too warm: shut doors and windows, then call" + cold[0], cold[1])
    yield SummaryLine("Power off: open and feed nothing, start nothing that burns indoors, call at once.")
    if absence_of(study.room) is None:
        yield SummaryLine("The plan does not say how long nobody may look: come every day.")


def _soonest(faults: Faults | None, kind: HarmKind) -> tuple[str, tuple[tuple[str, Number], ...]]:
    """How long there is at the worst when the air or the warmth fails; nothing told where that is not known."""
    times = [
        soonest_of(one.first)
        for one in (faults.outcomes if faults is not None else ())
        if one.first is not None and one.first.kind == kind and one.group in _FAILING[kind]
    ]
    if not times:
        return ".", ()
    if min(times) < AT_ONCE:
        return " at once.", ()
    return "; at the worst there are {time}.", (("time", Number(min(times), "duration")),)
