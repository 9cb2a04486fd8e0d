"""How a figure of glass came about: the pull on a pane and at its hole, its bow, what it may bear, what it needs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Final

from tankwright.explain.model import Input, Working
from tankwright.finding import Number
from tankwright.physics.constants import STANDARD_GRAVITY, WATER_DENSITY
from tankwright.room.model import Room
from tankwright.systems.glass_model import GlassResult, PaneScreen
from tankwright.systems.glass_panes import name_of

LEVY: Final = "M. Levy's series, as in Timoshenko and Woinowsky-Krieger (1959), chapter 5"
RAISER: Final = (
    "Roark's Formulas for Stress and Strain, 7th ed., table 17.1; superposition; what a free edge near by adds by"
    " finite elements of this program"
)
STRENGTHS: Final = "EN 16612 by a public calculator; American practice by duration by a public package"
SCREENING: Final = (
    "a screening: the tank maker's rating, the local code and an engineer stand before it; flanges, scratches, chips"
    " and silicone are not in it"
)
HELD: Final = {
    "free": "both ends and the lower edge are held and may turn, the top is free",
    "held": "all four edges are held and may turn",
    "cross": "taken as if the brace were not there: the top is free",
    "euro": "taken as if the brace were not there: the top is free",
    "bed": "it lies flat",
}


def workings_glass(_room: Room, result: GlassResult) -> Iterator[Working]:
    """The workings of every pane: "glass.mid60.back.stress", ".hole", ".use", ".bow", ".needed".

    Where tanks of a kind are filled to other heights, the first tank of each further case stands in the name.

    >>> from tankwright.systems.glass import solve_glass
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> list(workings_glass(empty, solve_glass(empty)))
    []
    """
    seen: Counter[tuple[str, str]] = Counter()
    for one in result.panes:
        key = (one.case.kind, one.case.pane)
        stem = f"glass.{one.case.kind}.{one.case.pane}" + (f".{one.case.tanks[0]}" if seen[key] else "")
        seen[key] += 1
        yield from _of_pane(stem, one)


def _of_pane(stem: str, one: PaneScreen) -> Iterator[Working]:
    case = one.case
    name = name_of(case.kind, case.pane)
    yield Working(
        name=f"{stem}.stress", title=f"pull in {name}, without its holes", number=_stress(one.plain),
        formula="largest principal tension of both faces, wherever it lies; 60 terms of the series for a pane under"
        + (" an even load" if case.pane == "base" else " water"),
        inputs=(
            *_plate(one),
            Input(name="largest along the free top edge", number=_stress(one.edge)),
            Input(name="across, from the left line that holds it", number=_length(one.plain_at[0])),
            Input(name="up, from the lower one", number=_length(one.plain_at[1])),
        ),
        source=LEVY, note=f"{HELD[case.held]}; {SCREENING}",
    )  # fmt: skip
    for number, hole in enumerate(one.holes):
        yield Working(
            name=f"{stem}.hole" + (str(number + 1) if number else ""), title=f"pull at the rim of the hole in {name}",
            number=_stress(hole.stress),
            formula="(raiser x first + (2 - raiser) x second) x edge near by, the worst round the rim",
            inputs=(
                Input(name="first principal stress of the plain pane there", number=_stress(hole.along),
                      see=f"{stem}.stress"),
                Input(name="second, at right angles", number=_stress(hole.across), see=f"{stem}.stress"),
                Input(name="raiser of one-way bending", number=_number(hole.factor)),
                Input(name="what a free edge near by adds, times", number=_number(hole.edge_factor)),
                Input(name="diameter of the hole", number=_length(hole.hole.diameter.value), known=hole.hole.diameter),
                Input(name="thickness", number=_length(case.thickness.value), known=case.thickness),
                Input(name="across, from the left line that holds the pane", number=_length(hole.hole.x)),
                Input(name="up, from the lower one", number=_length(hole.hole.y)),
            ),
            source=RAISER, note=f"for a small hole some diameters from the edges; {SCREENING}",
        )  # fmt: skip
    yield _use(stem, name, one)
    yield Working(
        name=f"{stem}.bow", title=f"how far {name} bows", number=_length(one.deflection),
        formula="the same series; goes with 1/thickness^3",
        inputs=(
            *_plate(one),
            Input(name="modulus of elasticity", number=_stress(case.stiffness.value), known=case.stiffness),
            Input(name="half its thickness, to which these sums hold", number=_length(case.thickness.value / 2.0)),
        ),
        source=LEVY,
        note="within linear theory" if one.linear else
        "beyond linear theory: the true bow and pull are less than this",
    )  # fmt: skip
    if one.needed is not None:
        yield Working(
            name=f"{stem}.needed", title=f"least thickness of {name} by this screening", number=_length(one.needed),
            formula="thickness x sqrt(use), the raiser of the hole taken again at each thickness",
            inputs=(
                Input(name="thickness", number=_length(case.thickness.value), known=case.thickness),
                Input(name="use", number=_share(one.use), see=f"{stem}.use"),
            ),
            source="stress of a plate goes with 1/thickness^2", note=SCREENING,
        )  # fmt: skip


def _use(stem: str, name: str, one: PaneScreen) -> Working:
    strengths = one.strengths
    edge = one.governs in ("edge", "hole")
    working = strengths.working_edge if edge else strengths.working_surface
    what = {"surface": "away from its edges", "edge": "at its free edge", "hole": "at the rim of its hole"}[
        one.governs
    ]
    return Working(
        name=f"{stem}.use", title=f"share of its strength that {name} uses", number=_share(one.use),
        formula="largest of: pull / what is let bear, on its face, along its free edge, at the rims of its holes",
        inputs=(
            Input(name=f"pull {what}", number=_stress(one.worst),
                  see=f"{stem}.hole" if one.governs == "hole" else f"{stem}.stress"),
            Input(name="what it is let bear there for years", number=_stress(working.value), known=working),
            Input(name="by EN 16612, permanent load, its factor 1.35 taken off",
                  number=_stress(strengths.en_edge if edge else strengths.en_surface)),
            Input(name="by American practice, 50 years, one pane in a thousand",
                  number=_stress(strengths.duration_edge if edge else strengths.duration_surface)),
            Input(name="the same share with water to the rim", number=_share(one.brim_use)),
        ),
        source=STRENGTHS, note=SCREENING,
    )  # fmt: skip


def _plate(one: PaneScreen) -> tuple[Input, ...]:
    case = one.case
    base = case.pane == "base"
    inputs: tuple[Input, ...] = (
        Input(name="length between the lines that hold it", number=_length(case.length)),
        Input(name="depth between them" if base else "height to its top edge", number=_length(case.height)),
        Input(name="thickness", number=_length(case.thickness.value), known=case.thickness),
        Input(name="still water over it" if base else "still water above its lower edge", number=_length(case.head)),
        Input(name="weight of a metre of water on a square metre, Pa",
              number=_number(WATER_DENSITY * STANDARD_GRAVITY)),
        Input(name="Poisson's ratio", number=_number(case.poisson.value), known=case.poisson),
    )  # fmt: skip
    if base:
        inputs += (Input(name="bed and own glass besides, Pa", number=_number(case.pressure)),)
    return inputs


def _stress(value: float) -> Number:
    return Number(value, "stress")


def _share(value: float) -> Number:
    return Number(value, "share")


def _length(value: float) -> Number:
    return Number(value, "length")


def _number(value: float) -> Number:
    return Number(value, "number")
