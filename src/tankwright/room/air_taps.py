"""Which tap of an air ring feeds which tank: the nearest free one to each diffuser."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, field

from tankwright.origin import Known
from tankwright.plan.models import Air, Plan
from tankwright.room.defaults import Defaults, scaled
from tankwright.room.mistakes import TOO_FEW_TAPS, Mistakes, count
from tankwright.room.model import Place, Tank, TapPlace
from tankwright.room.walls import Line
from tankwright.units import Metre

LOSS_KEYS = {"sponge": "air.loss.sponge", "stone": "air.loss.stone", "open tube": "air.loss.open"}


@dataclass(slots=True)
class TapLine:
    """The taps of one line of pipe, in order along it; `closed` when its ends meet."""

    line: Line
    places: tuple[Metre, ...]
    nodes: tuple[str, ...]
    closed: bool
    _left: list[int] = field(init=False)
    _right: list[int] = field(init=False)
    free: int = field(init=False)

    def __post_init__(self) -> None:
        number = len(self.places)
        self.free = number
        self._left = list(
            range(number)
        )  # the nearest free tap at or before each, in a forest that flattens itself
        self._right = list(range(number))

    def nearest_free(self, place: Metre) -> int | None:
        """The free tap nearest along the line to a place on it."""
        number = len(self.places)
        if not self.free:
            return None
        after = bisect_left(self.places, place)
        right = self._find(self._right, after) if after < number else None
        left = self._find(self._left, after - 1) if after > 0 else None
        if right is None and self.closed:
            right = self._find(self._right, 0)
        if left is None and self.closed:
            left = self._find(self._left, number - 1)
        choices = [one for one in (left, right) if one is not None]
        return min(choices, key=lambda one: (self._apart(self.places[one], place), one)) if choices else None

    def take(self, tap: int) -> None:
        """Mark a tap as used."""
        self.free -= 1
        self._left[tap] = tap - 1
        self._right[tap] = tap + 1

    def _apart(self, one: Metre, other: Metre) -> Metre:
        gap = abs(one - other)
        return min(gap, self.line.length - gap) if self.closed else gap

    @staticmethod
    def _find(parents: list[int], start: int) -> int | None:
        root, number = start, len(parents)
        while 0 <= root < number and parents[root] != root:
            root = parents[root]
        while 0 <= start < number and parents[start] != root and start != root:
            parents[start], start = root, parents[start]
        return root if 0 <= root < number else None


@dataclass(frozen=True, slots=True)
class _Drop:
    """One diffuser: where it stands and what it wants."""

    tank: Tank
    place: Place


def hang_tubes(
    plan: Plan,
    name: str,
    air: Air,
    lines: Sequence[TapLine],
    height: Metre,
    served: Sequence[Tank],
    defaults: Defaults,
    mistakes: Mistakes,
) -> tuple[TapPlace, ...]:
    """Every tap in order; each diffuser on the nearest tap that is still free, spares closed or left open."""
    above = defaults.take("air.diffuser_above_base", air.diffuser.above_base).value
    drops = [drop for tank in served for drop in _drops(tank, _outlets(plan, air, tank), above)]
    hung: list[dict[int, _Drop]] = [{} for _ in lines]
    left_over: list[Tank] = []
    for drop in drops:
        x, y, _ = drop.place
        near = sorted((line.line.nearest(x, y)[::-1], index) for index, line in enumerate(lines))
        for (_, place), index in near:
            tap = lines[index].nearest_free(place)
            if tap is not None:
                lines[index].take(tap)
                hung[index][tap] = drop
                break
        else:
            left_over.append(drop.tank)
    number = sum(len(line.places) for line in lines)
    if left_over:
        mistakes.say(
            TOO_FEW_TAPS,
            f"air {name}",
            "has {taps} taps for {wanted} diffusers",
            line=air.line,
            numbers=(("taps", count(number)), ("wanted", count(len(drops)))),
            places=tuple(dict.fromkeys(tank.id for tank in left_over)),
            reason="the tanks named get no air",
            remedy="set the taps closer together, or add a branch",
        )
    return _all_taps(plan, name, air, lines, hung, height, defaults)


def _outlets(plan: Plan, air: Air, tank: Tank) -> int:
    own = plan.tank_kind[tank.kind].air_outlets
    return air.per_tank if own is None else own


def _drops(tank: Tank, number: int, above: Metre) -> list[_Drop]:
    """Diffusers spread evenly along the front of a tank, on its middle line."""
    box = tank.box
    z = tank.floor_inside + above
    along_x = tank.facing in ("north", "south")
    drops = []
    for one in range(number):
        share = (one + 0.5) / number
        x = box.x0 + (box.x1 - box.x0) * (share if along_x else 0.5)
        y = box.y0 + (box.y1 - box.y0) * (0.5 if along_x else share)
        drops.append(_Drop(tank, (x, y, z)))
    return drops


def _all_taps(
    plan: Plan,
    name: str,
    air: Air,
    lines: Sequence[TapLine],
    hung: Sequence[dict[int, _Drop]],
    height: Metre,
    defaults: Defaults,
) -> tuple[TapPlace, ...]:
    bore = defaults.take("air.tap_bore", air.tap.bore if air.tap else None)
    bore = defaults.corrected(bore, "air.tap_share")
    spares = sum(len(line.places) for line in lines) - sum(len(one) for one in hung)
    wide_open = _spread(spares, air.open_spare_taps)
    said = air.tube
    tube_bore = defaults.take("air.tube_bore", said.bore if said else None)
    slack = None if said and said.length else defaults.take("air.tube_slack")
    loss = defaults.take(LOSS_KEYS[air.diffuser.kind], air.diffuser.loss)
    wanted = defaults.take("air.flow_wanted", air.diffuser.flow_wanted)
    taps: list[TapPlace] = []
    spare = 0
    for line, drops in zip(lines, hung, strict=True):
        for index, (along, node) in enumerate(zip(line.places, line.nodes, strict=True)):
            place = (*line.line.point(along), height)
            drop = drops.get(index)
            ident = f"{name}.tap {len(taps) + 1}"
            if drop is None:
                taps.append(TapPlace(id=ident, node=node, place=place, open=spare in wide_open, bore=bore))
                spare += 1
                continue
            tank = drop.tank
            own = plan.tank.get(tank.id)
            opening = own.air_opening if own else None
            length: Known | None = said.length if said else None
            if length is None and slack is not None:
                length = scaled(slack, tube_way(place, tank.rim, drop.place))
            taps.append(
                TapPlace(
                    id=ident,
                    node=node,
                    place=place,
                    open=opening is None or opening.value > 0.0,
                    bore=bore,
                    tank=tank.id,
                    tube_bore=tube_bore,
                    tube_length=length,
                    check_valve=air.check_valves,
                    diffuser=drop.place,
                    diffuser_loss=loss,
                    water_depth=max(tank.level - drop.place[2], 0.0),
                    flow_wanted=wanted,
                    opening=opening,
                )
            )
    return tuple(taps)


def tube_way(tap: Place, rim: Metre, diffuser: Place) -> Metre:
    """The way of an air tube: straight from the tap to the rim above the diffuser, then down.

    >>> round(tube_way((0.0, 0.0, 2.0), 1.0, (0.0, 0.0, 0.7)), 3)
    1.3
    """
    return math.dist(tap, (diffuser[0], diffuser[1], rim)) + max(rim - diffuser[2], 0.0)


def _spread(spares: int, wanted: int) -> frozenset[int]:
    """Which spare taps stay open: as many as wanted, spread evenly over them.

    >>> sorted(_spread(10, 2))
    [2, 7]
    """
    wanted = min(wanted, spares)
    return frozenset(int((one + 0.5) * spares / wanted) for one in range(wanted)) if wanted else frozenset()
