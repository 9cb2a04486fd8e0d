"""Ways too short for two fittings that pipe which bends makes by itself: a riser leans from the tee of the trunk to
its rack, and a tee of the trunk takes it without a second fitting between them."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection
from dataclasses import dataclass, replace

from tankwright.takeoff.shapes import Measures, shape_of
from tankwright.takeoff.webs import Leg, Spot, Web, passes
from tankwright.units import Metre


@dataclass(frozen=True, slots=True, kw_only=True)
class Bridged:
    """A run whose short ways are bridged: `ways` are their lengths, at the spots named."""

    web: Web
    ways: tuple[Metre, ...] = ()
    spots: tuple[str, ...] = ()


def bridged(web: Web, measures: Callable[[Leg], Measures | None], keep: Collection[int]) -> Bridged:
    """Every corner that stands too close to its neighbour to be joined made one spot with it. `measures` are of the
    fittings of a leg whose pipe bends, None where it does not; spots to `keep` have something else joined there."""
    ways: list[Metre] = []
    spots: list[str] = []
    found = _too_short(web, measures, keep)
    while found is not None:
        leg, stays, goes = found
        ways.append(web.legs[leg].length)
        spots.append(web.spots[stays].name)
        web = _as_one(web, leg, stays, goes)
        found = _too_short(web, measures, keep)
    return Bridged(web=web, ways=tuple(ways), spots=tuple(spots))


def _too_short(
    web: Web, measures: Callable[[Leg], Measures | None], keep: Collection[int]
) -> tuple[int, int, int] | None:
    """A way with no room for the fittings at its ends, the spot that stays and the corner that goes."""
    for index, leg in enumerate(web.legs):
        size = measures(leg) if leg.start != leg.end else None
        if size is None:
            continue
        corners = [
            spot for spot in (leg.end, leg.start)
            if not web.spots[spot].nodes and spot not in keep and len(web.spots[spot].legs) > 1
        ]  # fmt: skip
        if not corners:
            continue
        stays = leg.other(corners[0])
        if stays in keep or len(web.spots[stays].legs) < 2 or passes(web, stays) or passes(web, corners[0]):
            continue
        taken = sum(_reach(web, spot, index, size) for spot in (stays, corners[0]))
        if leg.length - taken < size.stub:
            return index, stays, corners[0]
    return None


def _reach(web: Web, spot: int, leg: int, measures: Measures) -> Metre:
    legs = web.spots[spot].legs
    shape = shape_of([web.legs[one].leaves(spot) for one in legs], measures)
    return shape.reaches[legs.index(leg)]


def _as_one(web: Web, lost: int, stays: int, goes: int) -> Web:
    """The same run without one leg, both its ends one spot. Numbers stay: the spot that goes has nothing left."""
    kept, gone = web.spots[stays], web.spots[goes]
    spots = list(web.spots)
    legs = [one for one in (*kept.legs, *gone.legs) if one != lost]
    spots[stays] = Spot(name=kept.name, place=kept.place, nodes=[*kept.nodes, *gone.nodes], legs=legs)
    spots[goes] = Spot(name=gone.name, place=gone.place)
    moved = [_leant(leg, web, stays, goes) if goes in (leg.start, leg.end) else leg for leg in web.legs]
    moved[lost] = replace(moved[lost], start=stays, end=stays, length=0.0)
    return Web(spots=tuple(spots), legs=tuple(moved), spot_of=web.spot_of)


def _leant(leg: Leg, web: Web, stays: int, goes: int) -> Leg:
    """A leg that began at the spot that goes: as long as it is from the one that stays."""
    far = leg.other(goes)
    return replace(
        leg,
        start=stays if leg.start == goes else leg.start,
        end=stays if leg.end == goes else leg.end,
        length=math.dist(web.spots[stays].place, web.spots[far].place),
    )
