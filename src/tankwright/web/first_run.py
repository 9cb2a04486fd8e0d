"""The first run: what the answers in an address come to, drawn as far as they go."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Final

from markupsafe import Markup

from tankwright.display import words
from tankwright.drawing.first_view import Spot, draw_first
from tankwright.drawing.layers import draw_results
from tankwright.drawing.results import DrawnResults
from tankwright.finding import Finding, Number, Severity
from tankwright.plan.answers import (
    PLACES,
    QUESTIONS,
    answers_from,
    mistakes_in_answers,
    place_of,
    unmeasured_words,
    usual_answers,
)
from tankwright.plan.template import commented_plan
from tankwright.web.texts import N_
from tankwright.workspace.opened import Opened, open_text

NEEDED: Final = ("length", "width")
"""Answers without which no plan is written: all else has a usual value."""

SAMPLE_TITLE: Final = "Sample room, invented"
_SAMPLE: Final[Mapping[str, str]] = {
    "title": SAMPLE_TITLE, "length": "5.6 m", "width": "3.6 m", "height": "2.4 m", "door_from_west": "40 cm",
    "door_width": "80 cm", "water_from_west": "0.1 m", "water_from_south": "2.2 m", "drain_from_west": "5.5 m",
    "drain_from_south": "0.2 m", "socket_from_west": "0.1 m", "socket_from_south": "1.2 m", "tanks": "24",
    "tank_length": "60 cm", "tank_depth": "30 cm", "tank_height": "32 cm", "display": "metric",
}  # fmt: skip
_SAMPLE_HEAD: Final = (
    "# A SAMPLE ROOM, INVENTED. Nobody measured it:\n"
    "# look round, change what you like, believe none of its numbers.\n#\n"
)
_NAMES: Final = (*(name for name, _ in QUESTIONS), "display")
_LONGEST: Final = 120
_SPOT_WORDS: Final[Mapping[str, str]] = {"water": "water in", "drain": "drain", "socket": "power outlet"}


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstRun:
    """The state of the first run: the answers as typed, what is wrong with them, what follows from the good ones.

    `shown` names what is drawn: "room", "door", "water", "drain", "socket", "tanks". `opened` is the plan as it
    would be written, None until the room can be drawn. `fits` of `wished` tanks have a place.
    """

    given: Mapping[str, str]
    mistakes: Mapping[str, str]
    usual: Mapping[str, str]
    shown: frozenset[str]
    opened: Opened | None = None
    plan: str = ""
    fronts: str = ""
    figures: tuple[tuple[str, str], ...] = ()
    unmeasured: tuple[str, ...] = ()
    wished: int = 0
    fits: int = 0

    @property
    def display(self) -> str:
        """The units chosen."""
        return self.usual["display"]

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What the plan would show, worst first, without notes."""
        every = self.opened.findings if self.opened else ()
        return tuple(one for one in every if one.severity is not Severity.NOTE)

    def count(self, severity: str) -> int:
        """How many of them are of that severity."""
        return sum(one.severity.value == severity for one in self.findings)


def answers_in(query: Mapping[str, str]) -> dict[str, str]:
    """The answers among the fields of an address or a form, as typed.

    >>> answers_in({"length": " 4 m ", "width": "", "key": "17"})
    {'length': '4 m'}
    """
    return {name: text[:_LONGEST] for name in _NAMES if (text := query.get(name, "").strip())}


def mistakes_before_writing(given: Mapping[str, str]) -> dict[str, str]:
    """All that keeps a plan from being written, by answer.

    >>> sorted(mistakes_before_writing({"length": "4 m"}))
    ['width']
    """
    missing = {
        name: f"this is wanted before a plan can be written, such as {usual_answers()[name]}"
        for name in NEEDED if name not in given
    }  # fmt: skip
    return {**missing, **mistakes_in_answers(given)}


def sample_plan() -> str:
    """The text of the sample room, marked as invented at its head and in its title.

    >>> sample_plan().startswith("# A SAMPLE ROOM, INVENTED")
    True
    """
    return _SAMPLE_HEAD + commented_plan(answers_from(_SAMPLE))


def first_run(query: Mapping[str, str]) -> FirstRun:
    """What the answers in an address come to. Raises nothing for what they are."""
    return _first_run(tuple(sorted(answers_in(query).items())))


@lru_cache(maxsize=16)
def _first_run(answers: tuple[tuple[str, str], ...]) -> FirstRun:
    given = dict(answers)
    mistakes = mistakes_in_answers(given, half=False)
    good = {name: text for name, text in given.items() if name not in mistakes}
    usual = usual_answers(good.get("display", "metric"))
    shown = _shown(good, mistakes)
    if "room" not in shown:
        return FirstRun(given=given, mistakes=mistakes, usual=usual, shown=shown)
    said = answers_from(good)
    opened = open_text(Path("plan.toml"), commented_plan(said))
    room = opened.room
    if room is None:
        return FirstRun(given=given, mistakes=mistakes, usual=usual, shown=frozenset())
    places = ((kind, place_of(said, kind)) for kind in PLACES if kind in shown)
    spots = tuple(Spot(kind=kind, words=_SPOT_WORDS[kind], at=at) for kind, at in places if at is not None)
    results = DrawnResults(layer="layout")
    if opened.study is not None and "tanks" in shown:
        results = draw_results(opened.study, opened.findings, "layout")
    drawn = draw_first(room, results, door="door" in shown, tanks="tanks" in shown, spots=spots)
    return FirstRun(
        given=given, mistakes=mistakes, usual=usual, shown=shown, opened=opened, plan=Markup(drawn.plan),
        fronts=Markup(drawn.fronts), figures=_figures(opened), unmeasured=unmeasured_words(said),
        wished=said.tanks, fits=len(room.tanks),
    )  # fmt: skip


def _shown(good: Mapping[str, str], mistakes: Mapping[str, str]) -> frozenset[str]:
    """What the good answers say enough about to be drawn."""
    if not all(name in good for name in NEEDED):
        return frozenset()
    shown = {"room"}
    door = ("door_from_west", "door_width")
    if any(name in good for name in door) and not any(name in mistakes for name in door):
        shown.add("door")
    shown |= {place for place in PLACES if all(f"{place}_from_{wall}" in good for wall in ("west", "south"))}
    tanks = ("tanks", "tank_length", "tank_depth", "tank_height")
    if any(name in good for name in tanks) and not any(name in mistakes for name in tanks):
        shown.add("tanks")
    return frozenset(shown)


def _figures(opened: Opened) -> tuple[tuple[str, str], ...]:
    """Water and weight of the room as it would be written, in words; what was not computed is said so."""
    room, study = opened.room, opened.study
    if room is None:
        return ()
    water = sum(tank.water_volume for tank in room.tanks)
    load = study.load if study is not None else None
    weight = "not computed" if load is None else words(Number(load.total, "mass"), room.display)
    return ((N_("water"), words(Number(water, "volume"), room.display)), (N_("weight"), weight))
