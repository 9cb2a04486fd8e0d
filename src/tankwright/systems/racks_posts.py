"""Uprights of a rack: what each carries, storey by storey, and what it may carry before it buckles; how a rack leans
and tips.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Literal

from tankwright.catalogue.sections import Section
from tankwright.catalogue.strength import post_capacity
from tankwright.physics.constants import STANDARD_GRAVITY
from tankwright.room.model import RackBuilt, RackPlace
from tankwright.room.model_structure import Member
from tankwright.systems.racks_beams import damp_of
from tankwright.systems.racks_loads import Grid, Standing, upright_loads
from tankwright.systems.racks_model import PostResult, Use
from tankwright.units import Metre, Newton

Side = Literal["front", "back"]
CANTILEVER = 2.0
"""A post held at its foot alone buckles like one twice as long that is held at both ends. Source: Euler."""


def leans(rack: RackPlace, built: RackBuilt | None) -> bool | None:
    """Whether nothing keeps a rack from racking sideways; None where that is not known: neither a brace nor whether
    it is tied to a wall is said, or it is bought, and its maker's word goes.
    """
    if rack.tied_to_wall or (built is not None and built.brace != "none"):
        return False
    return True if built is not None and rack.tied_to_wall is False else None


def posts_of(
    rack: RackPlace, grid: Grid, shelves: Mapping[int, Sequence[Standing]]
) -> tuple[PostResult, ...]:
    """Every upright, front and back, with what comes down in it; judged where its section and grade are known."""
    built = rack.built
    come = {shelf: upright_loads(grid, standing) for shelf, standing in shelves.items()}
    loaded = [shelf for shelf, standing in shelves.items() if any(one.tank for one in standing)]
    heights = dict(enumerate(rack.shelves, start=1))
    top = max((heights[shelf] for shelf in loaded), default=0.0)
    storeys = _storeys(rack.shelves, top)
    sways = leans(rack, built) is not False
    uprights = built.uprights if built else None
    found = []
    for upright in range(len(grid.uprights)):
        for side in ("front", "back"):
            forces = {shelf: of_shelf[upright, side] for shelf, of_shelf in come.items()}
            free = max((length for _, length in storeys), default=0.0)
            found.append(
                PostResult(
                    rack=rack.id,
                    upright=upright,
                    side=side,
                    member=uprights,
                    force=sum(forces.values()),
                    free_length=free,
                    loose_length=CANTILEVER * top if sways else free,
                    uses=tuple(_uses(rack, uprights, forces, storeys, CANTILEVER * top if sways else 0.0)),
                )
            )
    return tuple(found)


def _storeys(shelves: tuple[Metre, ...], top: Metre) -> list[tuple[int, Metre]]:
    """(lowest shelf above it, free length) of each storey that carries a loaded shelf, from the floor."""
    found, below = [], 0.0
    for number, height in enumerate(shelves, start=1):
        if height - below > 0.0 and height <= top + 1e-9:
            found.append((number, height - below))
        below = height
    return found


def _uses(
    rack: RackPlace,
    member: Member | None,
    forces: Mapping[int, Newton],
    storeys: Sequence[tuple[int, Metre]],
    loose: Metre,
) -> Iterator[Use]:
    """The worst storey between its shelves, and the whole upright where it may lean."""
    if member is None or member.section is None or member.grade is None:
        return
    damp = damp_of(rack.built)
    uses = []
    for number, length in storeys:
        force = sum(one for shelf, one in forces.items() if shelf >= number)
        uses.append(_use(member, force, length, length, damp))
    worst = max((use for use in uses if use), key=lambda use: use.share, default=None)
    if worst is not None:
        yield worst
    if loose > 0.0 and storeys:
        held = max(length for _, length in storeys)
        lengths = (loose, held) if leans_over_thin(member.section, rack) else (held, loose)
        leaning = _use(member, sum(forces.values()), *lengths, damp)
        if leaning is not None:
            yield leaning


def _use(member: Member, force: Newton, free: Metre, free_wide: Metre, damp: int) -> Use | None:
    if member.section is None or member.grade is None or force <= 0.0:
        return None
    capacity = post_capacity(
        member.grade, member.section, free_length=free, free_length_wide=free_wide, service_class=damp
    )
    allowed = capacity.force
    if allowed is None:
        return None
    return Use(check="buckling", demand=force, allowed=allowed, share=force / allowed, dimension="force")


def leans_over_thin(section: Section, rack: RackPlace) -> bool:
    """Whether an upright leaning along the front bends over its thin side: the side one sees is then the thin one."""
    seen = rack.uprights[0][1] - rack.uprights[0][0]
    return abs(section.thin - seen) <= abs(section.wide - seen)


def deep_of(rack: RackPlace) -> Metre:
    """An upright from front to back, as wide as it is seen where its section is not known."""
    seen = rack.uprights[0][1] - rack.uprights[0][0] if rack.uprights else 0.0
    member = rack.built.uprights if rack.built else None
    if member is None or member.section is None:
        return seen
    return member.section.wide if leans_over_thin(member.section, rack) else member.section.thin


def tipping(
    rack: RackPlace, shelves: Mapping[int, Sequence[Standing]]
) -> tuple[Newton | None, Newton | None]:
    """Level pull at the highest loaded shelf that begins to tip a rack over its front or its back: as it stands, and
    with that shelf alone full. None where nothing stands on it.

    Source: statics: the weight times the lever of its middle over the edge, over the height of the pull.
    """
    heights = dict(enumerate(rack.shelves, start=1))
    loaded = [shelf for shelf, standing in shelves.items() if any(one.tank for one in standing)]
    top = max(loaded, key=lambda shelf: heights[shelf], default=None)
    if top is None or heights[top] <= 0.0:
        return None, None
    height = heights[top]
    own = rack.mass.value * STANDARD_GRAVITY
    full = _holds_down(rack, [one for standing in shelves.values() for one in standing if one.tank], own)
    worst = _holds_down(rack, [one for one in shelves[top] if one.tank], own)
    return full / height, worst / height


def _holds_down(rack: RackPlace, standing: Sequence[Standing], own: Newton) -> float:
    weight = own + sum(one.weight for one in standing)
    about_front = own * rack.depth / 2.0 + sum(
        one.weight * (one.deep[0] + one.deep[1]) / 2.0 for one in standing
    )
    return max(min(about_front, weight * rack.depth - about_front), 0.0)
