"""Tanks: glued, braced, drilled, fitted and tested for leaks on the bench, and only then carried to the rack."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from tankwright.building.model import After, Task, Wait
from tankwright.building.tasks_racks import stands
from tankwright.building.tasks_shared import Work, after, one_lifts, rests, rests_lifting, several
from tankwright.building.waits import SILICONE_SOURCE, silicone_wait
from tankwright.finding import Number
from tankwright.room.model import Tank

BRACE_SOURCE: Final = (
    "common practice, no source: a glued brace is given a further day or two before the tank is filled"
)
DRILL_SOURCE: Final = "common practice, no source; toughened glass breaks to crumbs at the first cut"


def tank_tasks(work: Work) -> Iterator[Task]:
    """What is done to the tanks of each rack, one rack after the other."""
    for rack in work.room.racks:
        tanks = work.on_rack(rack.id)
        if tanks:
            yield from _tanks(work, rack.id, tanks)


def placed(rack: str) -> str:
    """The task after which the tanks of a rack stand on it."""
    return f"tanks.place:{rack}"


def is_drilled_here(tank: Tank) -> bool:
    """True where the owner drills it, not whoever sells the glass."""
    return any(not hole.to_order for hole in tank.holes)


def may_drill(tank: Tank) -> bool:
    """False where the pane of its hole is toughened.

    A pane that nobody has said to be annealed is looked at through crossed polarisers first: its task says so.
    """
    return bool(tank.holes) and all(hole.to_order or hole.pane not in tank.toughened for hole in tank.holes)


def _tanks(work: Work, rack: str, tanks: Sequence[Tank]) -> Iterator[Task]:
    glued = [tank for tank in tanks if work.is_glued(tank)]
    bought = [tank for tank in tanks if work.is_bought(tank)]
    drilled = [tank for tank in tanks if is_drilled_here(tank) and may_drill(tank)]
    braced = [tank for tank in glued if tank.top in {"braced", "rim"}]
    came = [name for name, one in (("order.tanks", bought), ("order.glass", glued)) if one]
    ready: list[After] = [*after(*came)]
    if drilled:
        yield _drill(work, rack, drilled, came)
        ready.append(After(task=f"tanks.drill:{rack}"))
    if glued:
        yield _glue(work, rack, glued, drilled=bool(drilled))
        ready.append(After(task=f"tanks.glue:{rack}"))
    if braced:
        yield _brace(work, rack, braced)
        ready.append(After(task=f"tanks.brace:{rack}"))
    holed = [tank for tank in tanks if tank.holes]
    if holed:
        gentle = tuple(After(task=one.task, until="set") for one in ready)
        yield _bulkheads(work, rack, holed, gentle)
        ready.append(After(task=f"tanks.bulkhead:{rack}"))
    yield _test(work, rack, tanks, tuple(ready))
    yield _place(work, rack, tanks)


def _drill(work: Work, rack: str, tanks: Sequence[Tank], came: Sequence[str]) -> Task:
    unsure = [tank for tank in tanks if tank.temper == "unknown"]
    many = sum(not hole.to_order for tank in tanks for hole in tank.holes)
    polar = (
        " Look at every pane through crossed polarisers first, a screen and sunglasses will do: spots or bands that "
        "move mean toughened glass, and that is never drilled."
        if unsure
        else ""
    )
    return Task(
        id=f"tanks.drill:{rack}", group="drilling", title=f"Drill {several(many, 'hole')} for rack {rack}",
        places=_ids(tanks), labour=work.hours(("build.drill", many)), after=after(*came, "order.pipes"),
        how="By the drill sheet, from the outside, the bulkhead that came in the hand. Water in a dam over the cut, a "
        "guided drill, slow and with hardly any weight, a board behind the pane. Eyes and hands covered; the drill on "
        "a protected socket, its cord dry." + polar,
        hold_point="The first hole takes its bulkhead with a hair of play; no chip at its edge is longer than the pane "
        "is thick; the distance to both edges is as on the sheet.",
        source=DRILL_SOURCE, rests_on=rests(work, "build.drill"), materials=work.articles("tanks", _ids(tanks)),
    )  # fmt: skip


def _glue(work: Work, rack: str, tanks: Sequence[Tank], *, drilled: bool) -> Task:
    depth = max(tank.glass_side.value for tank in tanks)
    before = [After(task="order.glass")]
    if (
        drilled
    ):  # a pane is drilled flat on the bench: through a finished tank one cannot put a board behind it
        before.append(After(task=f"tanks.drill:{rack}"))
    return Task(
        id=f"tanks.glue:{rack}", group="tanks", title=f"Glue {several(len(tanks), 'tank')} for rack {rack}",
        places=_ids(tanks), labour=work.hours(("build.glue_tank", len(tanks))), people=_carriers(work, tanks),
        after=tuple(before),
        how="Edges sanded, degreased and dry, masked on both sides. Each bead in one go, panes set within the time of "
        "the skin, squared by both diagonals, taped, and left. Beads are {depth} deep at most.",
        sets=work.wait("build.silicone_set", "silicone, until the tank may be moved"),
        wait=_silicone(work, depth), hold_point="Both diagonals are alike; no bubble reaches through a bead; a bead "
        "spread beside it and cut open is cured through.", numbers=(("depth", Number(depth, "length")),),
        source=SILICONE_SOURCE, materials=work.articles("tanks", _ids(tanks)),
        rests_on=rests(work, "build.glue_tank", "build.millimetre", "build.silicone_set", "build.silicone_fill"),
    )  # fmt: skip


def _brace(work: Work, rack: str, tanks: Sequence[Tank]) -> Task:
    wait = work.wait("build.brace_wait", "braces cure before any water goes in")
    return Task(
        id=f"tanks.brace:{rack}", group="tanks",
        title=f"Glue the braces of {several(len(tanks), 'tank')} for rack {rack}",
        places=_ids(tanks), labour=work.hours(("build.glue_brace", len(tanks))),
        after=(After(task=f"tanks.glue:{rack}", until="set"),),
        how="When the tank may be moved, not before. Dry, degreased, clamped or weighted without bending a pane.",
        sets=wait, wait=wait, hold_point="No brace gives under a thumb.", source=BRACE_SOURCE,
        rests_on=rests(work, "build.glue_brace", "build.brace_wait"),
    )  # fmt: skip


def _bulkheads(work: Work, rack: str, tanks: Sequence[Tank], before: tuple[After, ...]) -> Task:
    many = sum(len(tank.holes) for tank in tanks)
    return Task(
        id=f"tanks.bulkhead:{rack}", group="tanks", title=f"Fit {several(many, 'bulkhead')} for rack {rack}",
        places=_ids(tanks), labour=work.hours(("build.bulkhead", many)), after=(*before, *after("order.pipes")),
        how="The gasket on the flange's side, in the water; the nut outside, tight by hand. No wrench and no silicone: "
        "both hide a leak and make one later.",
        materials=work.articles("drain", _ids(tanks)), rests_on=rests(work, "build.bulkhead"),
        source="common practice, no source",
    )  # fmt: skip


def _test(work: Work, rack: str, tanks: Sequence[Tank], before: tuple[After, ...]) -> Task:
    return Task(
        id=f"tanks.test:{rack}", group="tanks", title=f"Test {several(len(tanks), 'tank')} for rack {rack} for leaks",
        places=_ids(tanks), labour=work.hours(("build.test_tank", len(tanks))), after=before,
        people=_carriers(work, tanks),
        how="Outside or over a drain, each on a flat board and its foam, dry paper under every seam. Stop the "
        "bulkhead, fill over it to the water line of the plan. Never lift a tank with water in it.",
        wait=work.wait("build.tank_stands", "tanks stand full"),
        hold_point="The paper is dry after the wait, at every seam and under every bulkhead. One that weeps is "
        "emptied, dried and mended now: not on the rack.",
        rests_on=rests(work, "build.test_tank", "build.tank_stands"),
    )  # fmt: skip


def _place(work: Work, rack: str, tanks: Sequence[Tank]) -> Task:
    people = _carriers(work, tanks)
    heaviest = max(tanks, key=lambda tank: tank.empty_mass.value)
    drains = {tank.hose.drain for tank in tanks if tank.hose is not None}
    return Task(
        id=placed(rack), group="tanks", title=f"Set {several(len(tanks), 'tank')} on rack {rack}", places=_ids(tanks),
        labour=work.hours(("build.place", len(tanks) * people)), people=people,
        after=(
            *after(stands(rack), f"tanks.test:{rack}"),
            # whoever hangs a pipe behind a full rack does it by feel
            *(After(task=f"drain.glue:{name}", until="set") for name in sorted(drains)),
        ),
        how="Empty, the lowest shelf first, on foam as wide as its base. The heaviest weighs {mass}: "
        + (f"{people} people lift it." if people > 1 else "one person lifts it.")
        + " Nothing must stand in the way of a hand, a net or the tank's own way out.",
        hold_point="Every tank sits on its foam all round, level to {level}, and can still be lifted out forwards.",
        numbers=(("mass", Number(heaviest.empty_mass.value, "mass")), ("level", Number(0.002, "length"))),
        rests_on=rests(work, "build.place", *rests_lifting(work)),
    )  # fmt: skip


def _carriers(work: Work, tanks: Sequence[Tank]) -> int:
    """Hands for the heaviest of them, by what one person lifts."""
    return max(work.hands(tank.empty_mass.value) for tank in tanks)


def too_heavy(work: Work, hands: int) -> tuple[Tank, ...]:
    """Tanks that so many people cannot lift together."""
    return tuple(tank for tank in work.tanks if tank.empty_mass.value > hands * one_lifts(work))


def _silicone(work: Work, depth: float) -> Wait:
    rate, least = work.known("build.millimetre"), work.wait("build.silicone_fill", "")
    low, high = rate.band or (rate.value, rate.value)
    value, soonest, latest = (
        silicone_wait(
            depth=min(depth, 0.05), millimetre_takes=min(max(takes, 3600.0), 864_000.0), least=floor
        )
        for takes, floor in ((rate.value, least.value), (low, least.least), (high, least.most))
    )
    return Wait(value=value, least=soonest, most=latest, why="silicone, until the tank may be filled")


def _ids(tanks: Sequence[Tank]) -> tuple[str, ...]:
    return tuple(tank.id for tank in tanks)
