"""What the oxygen means: which tanks are short of it, and which do not last until somebody looks.

A screening: the transfer through still water is known to a factor of four, so each verdict says whether it holds over
the whole band or only at its low end, and which measurement decides.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Final

from tankwright.checks.grouping import count, listed, rests_of_all, verb
from tankwright.finding import Finding, Number, Severity
from tankwright.origin import Known
from tankwright.room.model import Room
from tankwright.systems.oxygen_model import Banded, OxygenResult, TankOxygen

SCREENING: Final = (
    "a screening, not a promise: fish that gasp at the surface are short of oxygen, whatever it says"
)
BALANCE: Final = "oxygen balance of stirred water, textbook form; breathing by Clarke and Johnston (1999)"
STILL_SOURCE: Final = f"{BALANCE}; still water by Chin (2006), 0.6 m a day"
TROUBLE_SOURCE: Final = "trouble: one-day minimum for warm water fish, EPA 440/5-86-003 (1986), from memory"
DROP_TEST: Final = (
    "with the air off and someone watching, measure its oxygen every half hour until it has fallen by a third,"
    " then write what still water brings under [assume] as oxygen.still"
)

EARLY_LIFE: Final = 5.0e-3
"""kg/m3, the one-day minimum for eggs and fry of warm water fish. Source: EPA 440/5-86-003 (1986), from memory."""

SURELY: Final = 0.99
"""How much of the mass that just does is told, so that the rounded number does too."""

Check = Callable[[Room, OxygenResult], Iterator[Finding]]


def check_oxygen(room: Room, result: OxygenResult) -> tuple[Finding, ...]:
    """Everything there is to say about the oxygen.

    >>> from tankwright.systems.oxygen import solve_oxygen
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> check_oxygen(empty, solve_oxygen(empty, {}))
    ()
    """
    return tuple(finding for check in CHECKS for finding in check(room, result))


def every_tank_has_enough_with_its_air_on(room: Room, result: OxygenResult) -> Iterator[Finding]:
    """OXYGEN-01: With its air as it is, every tank keeps more oxygen than the trouble level."""
    if result.laws is None:
        return
    limit = result.laws.trouble
    short = [one for one in result.tanks if one.steady is not None and one.steady.low <= limit.value]
    for severity, group in (
        (Severity.PROBLEM, [one for one in short if one.steady and one.steady.high <= limit.value]),
        (Severity.WARNING, [one for one in short if one.steady and one.steady.high > limit.value]),
    ):
        if not group:
            continue
        worst = min(group, key=lambda one: (one.steady or _NOTHING).value)
        steady, names = worst.steady or _NOTHING, [one.tank for one in group]
        aired = worst.stirring > 0.0
        kept = SURELY * (worst.aired.low + worst.bubbles) * (worst.saturation - limit.value) / worst.each_kg
        sure = severity is Severity.PROBLEM
        yield Finding(
            code="OXYGEN-01", severity=severity, subject=listed(names),
            text=verb(names, "has", "have") + (" too little oxygen" if sure else " little oxygen")
            + (" though the air is on" if aired else " without air") + f": {worst.tank} comes to {{level}}"
            + _of(steady) + ", and trouble begins at {limit}",
            numbers=(("level", _level(steady.value)), *_ends(steady, "concentration"), ("limit", _level(limit.value)),
                     ("saturation", _level(worst.saturation)), ("temperature", _warmth(worst)),
                     ("demand", _demand(worst)), ("mass", _mass(worst)), ("kept", Number(kept, "mass")),
                     ("count", count(len(group)))),
            value=_level(steady.value), limit=_level(limit.value),
            reason="fish, filter and mulm use {demand} of oxygen, and water of {temperature} holds no more than"
            f" {{saturation}}; {SCREENING}",
            remedy=("give it more air" if aired else "give it air")
            + f", or keep no more than {{kept}} of fish in {worst.tank}, which is to have {{mass}}, and feed them in"
            " proportion: that holds over the whole band. An oxygen test at the end of the night says how it"
            " really stands",
            source=f"{BALANCE}; {TROUBLE_SOURCE}", line=_line(room, worst.tank), places=tuple(names),
            rests_on=_rests(room, result, group, with_air=aired),
        )  # fmt: skip


def tanks_last_until_the_next_look(room: Room, result: OxygenResult) -> Iterator[Finding]:
    """OXYGEN-02: Should the air stop, every tank lasts until the next look.

    A problem when that fails over the whole band of still water, a warning when it fails for the value taken.
    """
    falling, gap = _falling(result), result.gap
    sure = [one for one in falling if one.trouble and one.trouble.high <= gap]
    likely = [one for one in falling if one.trouble and one.trouble.value <= gap < one.trouble.high]
    for severity, group, how in ((Severity.PROBLEM, sure, ""), (Severity.WARNING, likely, " likely")):
        if group:
            yield _stops(room, result, group, "OXYGEN-02", severity, "between looks",
                         f"{verb(_names(group), 'is', 'are')}{how} in trouble before anyone looks, should the air stop:"
                         f" {{tank}} after {{time}}{{of}}, while {_unseen(room)}")  # fmt: skip


def tanks_last_even_if_little_comes_back(room: Room, result: OxygenResult) -> Iterator[Finding]:
    """OXYGEN-06: Should the air stop, every tank lasts until the next look even if still water brings the least."""
    gap = result.gap
    group = [one for one in _falling(result) if one.trouble and one.trouble.low <= gap < one.trouble.value]
    if group:
        yield _stops(room, result, group, "OXYGEN-06", Severity.WARNING, "between looks",
                     f"may be in trouble before anyone looks, should the air stop: {{tank}} after {{low}} if its"
                     f" surface takes up as little as under a film or a tight lid, while {_unseen(room)};"
                     " an oxygen drop test decides")  # fmt: skip


def tanks_last_the_longest_absence(room: Room, result: OxygenResult) -> Iterator[Finding]:
    """OXYGEN-03: Should the air stop, every tank that lasts until the next look lasts the longest absence."""
    away = result.span("absence")
    if away is None:
        return
    falling = [one for one in _falling(result) if one.trouble and one.trouble.low > result.gap]
    likely = [one for one in falling if one.trouble and one.trouble.value <= away.duration]
    perhaps = [one for one in falling if one.trouble and one.trouble.low <= away.duration < one.trouble.value]
    if likely:
        yield _stops(room, result, likely, "OXYGEN-03", Severity.WARNING, "absence",
                     f"{verb(_names(likely), 'is', 'are')} in trouble within your longest absence of {{span}}, should"
                     " the air stop as you leave: {tank} after {time}{of}")  # fmt: skip
    if perhaps:
        yield _stops(room, result, perhaps, "OXYGEN-03", Severity.NOTE, "absence",
                     "may be in trouble within your longest absence of {span}, should the air stop as you leave:"
                     " {tank} after {low} if its surface takes up as little as under a film or a tight lid;"
                     " an oxygen drop test decides")  # fmt: skip


def what_was_not_worked_out(room: Room, result: OxygenResult) -> Iterator[Finding]:
    """OXYGEN-04: The fish of every tank are described, and every tank is within reach of the formulas."""
    reasons: dict[str, list[str]] = {}
    for subject, reason in dict.fromkeys(result.not_computed):
        reasons.setdefault(reason, []).append(subject.removeprefix("tank "))
    for reason, names in reasons.items():
        if result.laws is None:
            yield Finding(
                code="OXYGEN-04", severity=Severity.NOT_COMPUTED, subject="oxygen", text="was not worked out",
                reason=reason,
                remedy='say what lives where: [[stock]] with tanks = "A1..A4", count = 20, each = "0.8 g"',
            )  # fmt: skip
            continue
        first = result.tank(names[0])
        held = first.held("between looks") if first is not None else None
        guess = ""
        numbers: tuple[tuple[str, Number], ...] = (("count", count(len(names))),)
        if first is not None and held is not None and first.assumed_fish:
            guess = (f"; {first.tank} could hold {{held}} of fish for {{gap}} without air ({{low}} to {{high}} by its"
                     " surface), if they weigh {each} each and get {share} of their mass of feed a day")  # fmt: skip
            numbers += (
                ("held", Number(held.value, "mass")), ("low", Number(held.low, "mass")),
                ("high", Number(held.high, "mass")), ("gap", Number(result.gap, "duration")),
                ("each", Number(result.laws.each.value, "mass")),
                ("share", Number(result.laws.feed_share.value, "share")),
            )  # fmt: skip
        yield Finding(
            code="OXYGEN-04", severity=Severity.NOT_COMPUTED, subject=listed(names),
            text=f"{verb(names, 'has', 'have')} no time without air worked out{guess}", numbers=numbers,
            reason=f"{reason}; {SCREENING}",
            remedy='write [[stock]] with its tanks, count = 20 and each = "0.8 g"; count = 0 for a tank without fish'
            if first is not None else "bring the value named inside the range, or measure instead",
            source=STILL_SOURCE if guess else "", line=_line(room, names[0]), places=tuple(names),
            rests_on=rests_of_all((result.laws.still, result.laws.trouble, result.laws.each, result.laws.activity,
                                   result.laws.feed_share, result.laws.mulm)) if guess else (),
        )  # fmt: skip


def eggs_and_fry_have_enough(room: Room, result: OxygenResult) -> Iterator[Finding]:
    """OXYGEN-05: Every tank has the oxygen that eggs and fry are to have."""
    low = [
        one for one in result.tanks
        if one.steady is not None and result.laws is not None
        and result.laws.trouble.value < one.steady.low and one.steady.value < EARLY_LIFE
    ]  # fmt: skip
    if low:
        worst = min(low, key=lambda one: (one.steady or _NOTHING).value)
        steady, names = worst.steady or _NOTHING, [one.tank for one in low]
        yield Finding(
            code="OXYGEN-05", severity=Severity.NOTE, subject=listed(names),
            text=f"{verb(names, 'has', 'have')} less oxygen than eggs and fry are to have: {worst.tank} comes to"
            " {level}" + _of(steady) + ", of {saturation} that water of {temperature} holds",
            numbers=(("level", _level(steady.value)), *_ends(steady, "concentration"), ("limit", _level(EARLY_LIFE)),
                     ("saturation", _level(worst.saturation)), ("temperature", _warmth(worst)),
                     ("count", count(len(low)))),
            value=_level(steady.value), limit=_level(EARLY_LIFE),
            reason=f"{{limit}} is the one-day minimum for early life; {SCREENING}",
            remedy="more air, fewer fish, less feed, or raise fry elsewhere until they are grown",
            source=f"{BALANCE}; EPA 440/5-86-003 (1986), from memory",
            line=_line(room, worst.tank), places=tuple(names),
            rests_on=_rests(room, result, low, with_air=True),
        )  # fmt: skip


def fish_that_breathe_air_are_named(_room: Room, result: OxygenResult) -> Iterator[Finding]:
    """OXYGEN-07: No tank that may run short holds fish that take air at the surface too."""
    away = max((span.duration for span in result.spans), default=0.0)
    names = [
        one.tank for one in _falling(result) if one.breathes_air and one.trouble and one.trouble.low <= away
    ]
    if names:
        yield Finding(
            code="OXYGEN-07", severity=Severity.NOTE, subject=listed(names),
            text=f"{verb(names, 'holds', 'hold')} fish that take air at the surface too, so the risk is lower than the"
            " time to trouble says",
            numbers=(("count", count(len(names))),),
            reason="labyrinth fishes, mailed and suckermouth catfishes breathe air; their eggs and fry may not, and"
            " they must be able to reach the surface",
            remedy="leave a gap of air between water and lid, and serve the other tanks first",
            source="from memory", places=tuple(names),
        )  # fmt: skip


CHECKS: Final[tuple[Check, ...]] = (
    every_tank_has_enough_with_its_air_on, tanks_last_until_the_next_look,
    tanks_last_even_if_little_comes_back, tanks_last_the_longest_absence,
    what_was_not_worked_out, eggs_and_fry_have_enough, fish_that_breathe_air_are_named,
)  # fmt: skip

_NOTHING: Final = Banded(low=0.0, value=0.0, high=0.0)


def _falling(result: OxygenResult) -> list[TankOxygen]:
    """Tanks that have air and are well with it, first those that are in trouble first: only they can lose anything."""
    return [
        one for one in result.in_order
        if one.stirring > 0.0 and one.trouble is not None and one.trouble.value > 0.0
    ]  # fmt: skip


def _stops(
    room: Room, result: OxygenResult, group: Sequence[TankOxygen], code: str, severity: Severity, span: str, text: str
) -> Finding:  # fmt: skip
    """One finding about tanks whose air stops; `text` may name {tank}, {time}, {of}, {low}, {span}."""
    worst = min(group, key=lambda one: ((one.trouble or _NOTHING).value, (one.trouble or _NOTHING).low))
    time, held, names = worst.trouble or _NOTHING, worst.held(span) or _NOTHING, _names(group)
    limit = next(one.duration for one in result.spans if one.name == span)
    shown = time.value if time.value <= limit else time.low
    return Finding(
        code=code, severity=severity, subject=listed(names),
        text=text.replace("{tank}", worst.tank).replace("{of}", _of(time)),
        numbers=(("time", Number(shown, "duration")), *_ends(time, "duration"), ("span", Number(limit, "duration")),
                 ("demand", _demand(worst)), ("mass", _mass(worst)), ("held", Number(SURELY * held.value, "mass")),
                 ("held_low", Number(SURELY * held.low, "mass")), ("held_high", Number(SURELY * held.high, "mass")),
                 ("count", count(len(group)))),
        value=Number(shown, "duration"), limit=Number(limit, "duration"),
        reason="fish, filter and mulm use {demand} of oxygen and a still surface brings less; a pump, a breaker or the"
        f" mains stop without a word; {SCREENING}",
        remedy="a second air pump on a battery that starts by itself, an alarm that reaches you, or fewer fish:"
        f" {worst.tank} is to have {{mass}} and lasts {{span}} with {{held}} of them, fed in proportion, with"
        " {held_low} over the whole band of still water."
        f" To know it better: {DROP_TEST}",
        source=f"{STILL_SOURCE}; {TROUBLE_SOURCE}", line=_line(room, worst.tank), places=tuple(names),
        rests_on=_rests(room, result, group),
    )  # fmt: skip


def _unseen(room: Room) -> str:
    return f"up to {{span}} pass {'between two looks' if room.looks else 'unseen (the plan names no looks)'}"


def _names(group: Sequence[TankOxygen]) -> list[str]:
    return [one.tank for one in group]


def _of(band: Banded) -> str:
    """The band beside a value, in braces to be filled; nothing when it is no band."""
    if band.low == band.high:
        return ""
    return " ({low} to {high})" if band.high < float("inf") else " ({low} at the least, perhaps never)"


def _ends(band: Banded, dimension: str) -> tuple[tuple[str, Number], ...]:
    return tuple(
        (name, Number(value, dimension))
        for name, value in (("low", band.low), ("high", band.high)) if value < float("inf")
    )  # fmt: skip


def _level(value: float) -> Number:
    return Number(value, "concentration")


def _warmth(one: TankOxygen) -> Number:
    return Number(one.temperature.value, "temperature")


def _demand(one: TankOxygen) -> Number:
    return Number(one.demand.total if one.demand is not None else 0.0, "mass_per_time")


def _mass(one: TankOxygen) -> Number:
    return Number(one.demand.mass if one.demand is not None else 0.0, "mass")


def _line(room: Room, tank: str) -> int | None:
    """The line of its stock, or of the tank itself."""
    stock = next((life.stock for life in room.lives if life.tank == tank), None)
    if stock is not None and stock.line is not None:
        return stock.line
    return next((one.line for one in room.tanks if one.id == tank), None)


def _rests(
    room: Room, result: OxygenResult, group: Sequence[TankOxygen], *, with_air: bool = False
) -> tuple[str, ...]:
    """What a verdict on some tanks stands on that nobody has said."""
    laws, names = result.laws, {one.tank for one in group}
    if laws is None:
        return ()
    knowns: list[Known | None] = [laws.stirred, laws.bubbles] if with_air else [laws.still]
    knowns += [laws.trouble, laws.mulm]
    for life in room.lives:
        if life.tank in names:
            knowns.append(life.wanted_temperature)
            if life.stock is not None:
                knowns += [life.stock.activity, life.stock.each, life.stock.mass, life.stock.feed]
    return rests_of_all(knowns)
