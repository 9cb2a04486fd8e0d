"""The emergency card for the door: what to shut, who is told, what is worst, which tanks first when the power fails.

A card has one page, so every part tells the first things of its kind and how many more there are.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import groupby
from typing import Final

from tankwright.faults.backup import Choice, PowerCutPlan, TankTime, power_cut_plan
from tankwright.faults.judging import WORDS
from tankwright.faults.model import Faults, Harm, Outcome
from tankwright.faults.pairs import GROUP as TOGETHER
from tankwright.finding import Number
from tankwright.report.cards_words import (
    NO_ALARM,
    PHONES,
    Part,
    alarm_lines,
    at_most,
    first_action,
    place_line,
    runs_of,
    short,
)
from tankwright.report.model import SummaryLine
from tankwright.room.model import BoardPlace, Room
from tankwright.study import Study
from tankwright.units import Second

CUT: Final[Second] = 12 * 3600.0
"""The power cut a card is made for where nobody says another."""

AT_ONCE: Final[Second] = 60.0
"""Sooner than this nobody at the door can do anything."""

WORST: Final = 5
_ALIKE: Final = {
    "overflow half blocked": "overflow blocked",
    **dict.fromkeys(("circuit dead", "device tripped", "board dead", "air pump dead"), "power cut"),
}
"""Groups of faults that are one thing to whoever stands at the door."""

NOT_YET: Final = (
    "Not worked out yet: run tankwright faults PLAN, or open the Faults page, then print this card again."
)
CARD_CAUTION: Final = (
    "People first. Water at a plug or board: keep out; main switch off only if you reach it dry. A screening from the"
    " plan, not an approval."
)
DANGERS: Final = (
    "Never feed a wall socket from a generator or inverter: it kills those who mend the line.",
    "Engines run outdoors only, far from every opening: their exhaust kills unseen.",
)
"""What must not be done in a power cut, short. Source: common practice of fire services; the local code decides."""

_KINDS: Final = {
    "air": "air",
    "light": "lights",
    "heat": "heating",
    "cool": "cooling",
    "feed": "feed",
    "pump": "pump",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class WorstFault:
    """One of the worst faults: its name, what comes how soon, what to do first."""

    name: str
    harm: SummaryLine
    action: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DoorCard:
    """Everything on the door card. `worst` is empty where `worst_missing` says why. `phones` are left blank."""

    title: str
    caution: str
    water: Part
    power: Part
    outfalls: Part
    told: Part
    worst: tuple[WorstFault, ...]
    worst_missing: str
    order: Part
    battery: Part
    dangers: tuple[str, ...]
    phones: tuple[str, ...]


def door_card(study: Study, faults: Faults | None, duration: Second = CUT) -> DoorCard:
    """The door card of a worked-out room. `faults` is None while they are not worked out; `duration` is the cut a
    battery that is not there yet is told for."""
    room = study.room
    cut = power_cut_plan(study, duration)
    worst, missing = _worst(faults)
    return DoorCard(
        title=short(room.title, 60),
        caution=CARD_CAUTION,
        water=Part(
            title="Shut the water", lines=at_most(_water(room), 5),
            missing="The plan names nothing that brings water by itself.",
        ),
        power=Part(
            title="Switch off, if you stay dry", lines=at_most(_boards(room), 6),
            missing="The plan does not say what hangs on which board: switch off at the main switch.",
        ),
        outfalls=Part(
            title="Where water goes", lines=at_most(_outfalls(room), 3), missing="The plan names no outfall."
        ),
        told=Part(title="Who is told", lines=alarm_lines(room, 3), missing=NO_ALARM),
        worst=worst,
        worst_missing=missing,
        order=_order(cut),
        battery=_battery(room, cut),
        dangers=DANGERS,
        phones=PHONES,
    )  # fmt: skip


# --- what to shut ------------------------------------------------------------------------------------------------


def _water(room: Room) -> Iterator[SummaryLine]:
    sources = {feed.source: feed for feed in room.feeds}
    for name, feed in sources.items():
        if feed.source_kind == "water point":
            line = place_line(room, f"Water point {name}", feed.source_place)
            yield SummaryLine(f"{line.text}: shut it", line.numbers)
    for name, feed in sources.items():
        if feed.source_kind != "water point":
            yield place_line(
                room, f"{'Vat' if feed.source_kind == 'vat' else 'Tank'} {name}", feed.source_place
            )
    for feed in room.feeds:
        tanks = len({one.tank for one in feed.outlets})
        by = f"pull the plug of pump {short(feed.pump, 20)}" if feed.pump else "shut its valve"
        yield SummaryLine(
            f"Feed {short(feed.id, 20)} ({{tanks}} tanks): {by}", (("tanks", Number(float(tanks), "number")),)
        )


def _boards(room: Room) -> Iterator[SummaryLine]:
    """Boards that carry the same, on the same device, at the same height, in one line; the air last."""
    devices = {one.id: one.device for one in room.power.circuits} if room.power is not None else {}
    alike: dict[tuple[tuple[str, ...], str, float], list[BoardPlace]] = {}
    for board in room.power.boards if room.power is not None else ():
        carries = tuple(dict.fromkeys(_KINDS.get(load.does, "other") for load in board.loads)) or ("nothing",)
        on = devices.get(board.circuit) or board.circuit
        alike.setdefault((carries, on, round(_height(room, board), 2)), []).append(board)
    for (carries, on, up), boards in sorted(alike.items(), key=lambda pair: "air" in pair[0][0]):
        names = short(", ".join(board.id for board in boards), 40)
        racks = [board.rack for board in boards if board.rack]
        where = f"rack {short(', '.join(racks), 16)}" if racks else "wall"
        last = "LAST: " if "air" in carries else ""
        yield SummaryLine(
            f"{last}{names} ({', '.join(carries)}): {where}, {{up}} up; trips with {short(on, 16)}",
            (("up", Number(up, "length")),),
        )


def _height(room: Room, board: BoardPlace) -> float:
    rack = next((one for one in room.racks if one.id == board.rack), None)
    return board.height.value + (rack.box.z0 if rack is not None else 0.0)


def _outfalls(room: Room) -> Iterator[SummaryLine]:
    for one in room.outfalls:
        line = place_line(room, one.id, one.place)
        to = f" ({short(one.to, 24)})" if one.to != "not said" else ""
        yield SummaryLine(f"{line.text}{to}", line.numbers)


# --- what is worst -----------------------------------------------------------------------------------------------


def _worst(faults: Faults | None) -> tuple[tuple[WorstFault, ...], str]:
    if faults is None:
        return (), NOT_YET
    found: dict[str, WorstFault] = {}
    # single faults first: what to do about several at once no card has room for
    for one in sorted(faults.outcomes, key=lambda one: one.group == TOGETHER):
        family = _ALIKE.get(one.group, one.group)
        if one.first is not None and family not in found and len(found) < WORST:
            found[family] = WorstFault(
                name=short(one.fault, 60), harm=_harm(one), action=first_action(one.group, one.first.kind)
            )
    if not found:
        return (
            (),
            "No fault that was tried does harm while it is followed; not every fault can be thought of.",
        )
    return tuple(found.values()), ""


def _harm(one: Outcome) -> SummaryLine:
    """The first harm at the soonest: an end of a band, where there is one."""
    first = one.first
    assert first is not None
    soonest = soonest_of(first)
    if soonest < 1.0:
        return SummaryLine(f"{WORDS[first.kind]} at once")
    return SummaryLine(f"{WORDS[first.kind]} from {{time}}", (("time", Number(soonest, "duration")),))


def soonest_of(harm: Harm) -> Second:
    """The early end of a harm's band; its time where that end stood there before anything broke."""
    return harm.earliest if AT_ONCE <= harm.earliest < harm.time else harm.time


# --- a power cut -------------------------------------------------------------------------------------------------


def _order(cut: PowerCutPlan) -> Part:
    fish = [one for one in cut.tanks if one.reason != "no fish"]
    lines = [_group_line(list(group)) for _, group in groupby(fish, key=_alike)]
    return Part(
        title="Serve tanks in this order",
        lines=at_most(lines, 8),
        missing="The plan says of no tank that fish live in it.",
    )


def _alike(one: TankTime) -> tuple[str, float]:
    """Tanks told in one line: the same reason, and times that a card does not tell apart."""
    if not math.isfinite(one.first):
        return one.reason, 0.0
    return one.reason, float(round(one.first / (1800.0 if one.first < 6 * 3600.0 else 3600.0)))


def _group_line(group: list[TankTime]) -> SummaryLine:
    told = short(runs_of(one.tank for one in group), 52)
    first = min(one.first for one in group)
    numbers = (("time", Number(first, "duration")),)
    match group[0].reason:
        case "holds":
            return SummaryLine(f"{told}: hold, as far as followed")
        case "not known":
            return SummaryLine(f"{told}: not known, look often")
        case reason:
            note = (
                " (breathe air too)" if reason == "oxygen" and all(one.breathes_air for one in group) else ""
            )
            if first < AT_ONCE:
                return SummaryLine(f"{told}: {reason} at once{note}")
            return SummaryLine(f"{told}: {reason} from {{time}}{note}", numbers)


def _battery(room: Room, cut: PowerCutPlan) -> Part:
    backup = room.power.backup if room.power is not None else None
    kept = cut.choice("as the plan says") or cut.choice("air")
    if kept is None:
        missing = "The plan names no pump with its power, so no battery can be told."
        return Part(title="Battery and generator", missing=missing)
    lines: list[SummaryLine] = []
    if kept.lasts is not None:
        lines.append(SummaryLine(
            f"Battery: {_kept_words(kept)} for {{low}} to {{high}}; {_starts(cut)}",
            (("low", Number(kept.lasts.low, "duration")), ("high", Number(kept.lasts.high, "duration"))),
        ))  # fmt: skip
    if backup is not None and backup.generator is not None:
        enough = "carries" if kept.enough else "does NOT carry"
        lines.append(SummaryLine(
            f"Generator, {{has}}: {enough} {_kept_words(kept)}; {_starts(cut)}",
            (("has", Number(backup.generator.value, "power")),),
        ))  # fmt: skip
    if not lines:
        lines += _none_yet(cut, kept)
    return Part(title="Battery and generator", lines=tuple(lines))


def _starts(cut: PowerCutPlan) -> str:
    return "takes over by itself" if cut.by_itself else "start it by hand"


def _kept_words(kept: Choice) -> str:
    if kept.name == "air":
        return "air alone"
    does: Iterable[str] = dict.fromkeys(_KINDS.get(one.does, one.name) for one in kept.loads)
    return short(" and ".join(does), 40)


def _none_yet(cut: PowerCutPlan, kept: Choice) -> Iterator[SummaryLine]:
    yield SummaryLine("None in the plan: air stops with the power.")
    yield SummaryLine(
        "Air alone, {power}, for {hours}: {usual} at {voltage} ({low} to {high}), or a generator of {rating}",
        (
            ("power", Number(kept.mean, "power")), ("hours", Number(cut.duration, "duration")),
            ("usual", Number(kept.capacity.value, "charge")),
            ("low", Number(kept.capacity.low, "charge")), ("high", Number(kept.capacity.high, "charge")),
            ("voltage", Number(cut.voltage, "voltage")), ("rating", Number(kept.generator.value, "power")),
        ),
    )  # fmt: skip
