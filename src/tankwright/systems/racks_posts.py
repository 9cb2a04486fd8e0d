"""Uprights of a rack: what each carries, storey by storey, and what it may carry before it buckles; how a rack leans
and tips.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Literal

from tankwright.catalogue.sections import Section
from tankwright.catalogue.strength import post_capacity
from tankwright.physics.constants import STANDARD_GRAVITY
from tankwright.physics.footing import tipping_pull
from tankwright.physics.ranges import OutsideValidRange
from tankwright.room.model import RackBuilt, RackPlace
from tankwright.room.model_structure import Member
from tankwright.systems.racks_beams import damp_of
from tankwright.systems.racks_loads import Grid, Standing, upright_loads
from tankwright.systems.racks_model import PostResult, Use
from tankwright.units import Metre, Newton

Side = Literal["front", "back"]
LOWEST, HIGHEST = 0.01, 20.0
"""m over the floor of a shelf at which a rack may be pulled over; the range of `tipping_pull`."""
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
    asked = [
        (sum(one for shelf, one in forces.items() if shelf >= number), (length, length))
        for number, length in storeys
    ]
    uses = [_use(member, force, lengths, damp) for force, lengths in asked if force > 0.0]
    if loose > 0.0 and storeys:
        held = max(length for _, length in storeys)
        lengths = (loose, held) if leans_over_thin(member.section, rack) else (held, loose)
        leaning = _use(member, max(sum(forces.values()), 0.0), lengths, damp)
    else:
        leaning = None
    told = [use for use in uses if use is not None]
    if len(told) < len(uses) or (loose > 0.0 and storeys and leaning is None):
        return  # one that cannot be judged may be the worst
    if told:
        yield max(told, key=lambda use: use.share)
    if leaning is not None:
        yield leaning


def _use(member: Member, force: Newton, lengths: tuple[Metre, Metre], damp: int) -> Use | None:
    """`lengths` are free over its thin and over its wide side."""
    if member.section is None or member.grade is None:
        return None
    try:
        capacity = post_capacity(
            member.grade,
            member.section,
            free_length=lengths[0],
            free_length_wide=lengths[1],
            service_class=damp,
        )
    except OutsideValidRange:  # what is not judged is said where the rack is put together
        return None
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
    if top is None or not LOWEST <= heights[top] <= HIGHEST or rack.depth <= 0.0:
        return None, None
    height = heights[top]
    own = rack.mass.value * STANDARD_GRAVITY
    full = [one for standing in shelves.values() for one in standing if one.tank]
    worst = [one for one in shelves[top] if one.tank]
    return _pull(rack, full, own, height), _pull(rack, worst, own, height)


def _pull(rack: RackPlace, standing: Sequence[Standing], own: Newton, height: Metre) -> Newton:
    """Over the edge that its middle is nearer to."""
    weight = own + sum(one.weight for one in standing)
    about_front = own * rack.depth / 2.0 + sum(
        one.weight * (one.deep[0] + one.deep[1]) / 2.0 for one in standing
    )
    reach = min(about_front, weight * rack.depth - about_front) / weight if weight > 0.0 else 0.0
    return tipping_pull(weight=weight, reach=max(reach, 0.0), height=height)
