"""A room tried with other values of what it assumes: what could be measured then. Only what is concerned is solved."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from tankwright.building.measurable import RESTS_ON, measurable
from tankwright.building.point import Kind
from tankwright.plan.models import Plan
from tankwright.room.layout import lay_out
from tankwright.study import Study, work_out

GROUPS: Final[tuple[tuple[frozenset[str], tuple[Kind, ...]], ...]] = (
    (frozenset({"air"}), ("air", "spare air", "pump pressure", "ring pressure")),
    (frozenset({"feed", "drain"}), ("level", "drip", "feed pressure", "drain time", "depth", "fall")),
    (frozenset({"heat"}), ("rise",)),
)
"""Systems that are solved together, and what can be measured of them."""

_KEYS: Final = tuple(frozenset(key for kind in kinds for key in RESTS_ON[kind]) for _, kinds in GROUPS)
_KEPT: Final = 64


class Tries:
    """Values of everything measurable, by id, for values of assumptions by key; the last tries are remembered."""

    def __init__(self, plan: Plan, study: Study, kinds: frozenset[str] | None = None) -> None:
        self._plan = plan
        self._study = study
        self._groups = tuple(
            number for number, (_, own) in enumerate(GROUPS) if kinds is None or not kinds.isdisjoint(own)
        )
        self._seen: dict[tuple[int, tuple[tuple[str, float], ...]], dict[str, float]] = {}
        self.base: dict[str, float] = {one.id: one.value for one in measurable(study)}

    def values(self, trial: Mapping[str, float]) -> dict[str, float]:
        """What could be measured with those values, without what rests on none of them where that is as it was.

        Empty of what cannot be worked out then.
        """
        found: dict[str, float] = {}
        for number in self._groups:
            own = tuple(sorted((key, value) for key, value in trial.items() if key in _KEYS[number]))
            if own:
                found.update(self._group(number, own))
        return found

    def _group(self, number: int, trial: tuple[tuple[str, float], ...]) -> dict[str, float]:
        kept = self._seen.get((number, trial))
        if kept is None:
            if len(self._seen) >= _KEPT:
                self._seen.pop(next(iter(self._seen)))
            kept = self._seen[number, trial] = self._solved(number, dict(trial))
        return kept

    def _solved(self, number: int, trial: dict[str, float]) -> dict[str, float]:
        systems, kinds = GROUPS[number]
        room = lay_out(self._plan, trial, systems).room
        if room is None:
            return {}
        weather = self._study.weather
        study = work_out(room, systems, weather=weather, walk_through=False, known=self._study)
        return {one.id: one.value for one in measurable(study) if one.kind in kinds}
