"""Forms of the round read: a task made or changed, a culture, a treatment, spares; each its drafts, or what is wrong by
field, all of it in one pass."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from typing import Final

from tankwright.finding import Finding
from tankwright.husbandry.cultures import FOODS, SHRIMP, ended, shrimp_hatch, started
from tankwright.husbandry.proposals import task_draft
from tankwright.husbandry.records import Draft
from tankwright.husbandry.register import Place, Task
from tankwright.husbandry.spares import counted_spares
from tankwright.husbandry.treatments import treated
from tankwright.plan.suggest import nearest
from tankwright.units import clip
from tankwright.workspace.outcomes import trouble

BAD: Final = "ROUND-07"
ALL: Final = "all"
_LONGEST: Final = 400

Wrong = Mapping[str, Finding]
"""What is wrong by the field it stands in."""


class Fields:
    """Fields of a form as they are read: numbers and texts, with what is wrong with them gathered."""

    def __init__(self, typed: Mapping[str, str]) -> None:
        self._typed = typed
        self.wrong: dict[str, Finding] = {}

    def text(self, name: str, *, needed: str = "") -> str:
        """A text; `needed` says what is wanted where it must not be empty."""
        said = self._typed.get(name, "").strip()[:_LONGEST]
        if needed and not said:
            self.fault(name, "is empty", needed)
        return said

    def number(
        self, name: str, low: float, high: float, *, otherwise: float | None = None, whole: bool = False,
        wanted: str = "",
    ) -> float | None:  # fmt: skip
        """A number between two ends, with comma or point; `otherwise` where nothing is typed."""
        said = self._typed.get(name, "").strip()
        if not said:
            return otherwise
        try:
            value = float(said.replace(",", ".").replace("−", "-"))
        except ValueError:
            value = math.nan
        if not low <= value <= high or (whole and value != int(value)):  # false for what is no number, too
            sort = "whole number" if whole else "number"
            self.fault(
                name, f'"{clip(said)}" cannot be', wanted or f"a {sort} from {low:g} to {high:g}", found=said
            )
            return otherwise
        return value

    def fault(self, name: str, text: str, wanted: str, *, found: str = "") -> None:
        """Note what is wrong with a field."""
        self.wrong[name] = trouble(BAD, name, text, wanted=wanted, found=clip(found))


def read_task(
    typed: Mapping[str, str], weekdays: Sequence[str], places: Sequence[Place], known: Task | None,
    new_id: Callable[[], str], happened: datetime,
) -> tuple[Draft, ...] | Wrong:  # fmt: skip
    """The form of a task: one draft a place, or what is wrong. `known` is the task that is changed, None for new ones;
    what the form does not ask is as it was."""
    fields = Fields(typed)
    label = fields.text("label", needed="a few words: what is to be done")
    every = fields.number("every", 0.05, 3660, wanted="days from 0.05 to 3660, such as 1, 7 or 0.5")
    if every is None and "every" not in fields.wrong:
        fields.fault("every", "is empty", "days from 0.05 to 3660, such as 1, 7 or 0.5")
    window = fields.number("window", 0, 3660, otherwise=0.0)
    low, high = fields.number("low", -1e6, 1e6), fields.number("high", -1e6, 1e6)
    rest = fields.number("rest", 0, 3660, otherwise=0.0)
    quantity = fields.text("quantity")
    if low is not None and high is not None and low > high:
        fields.fault("high", f"{high:g} is below the least", f"at least {low:g}", found=f"{high:g}")
    if not quantity and (low is not None or high is not None):
        fields.fault("quantity", "is empty, but a usual range is said", "what is read, or no range")
    where = _places(fields, places, known)
    days = tuple(sorted({int(day) for day in weekdays if day in tuple("0123456")}))
    if fields.wrong:
        return fields.wrong
    assert every is not None
    assert window is not None
    assert rest is not None
    drafts = []
    for place in where:
        drafts.append(task_draft(Task(
            id=known.id if known is not None else new_id(), label=label, place=place, every_days=every,
            window_days=window, quantity=quantity, unit=fields.text("unit"), low=low, high=high,
            kind=known.kind if known is not None else "", weekdays=days, by=fields.text("by"),
            rotation=fields.text("rotation"), rest_days=rest, litres=known.litres if known is not None else None,
            feed=known.feed if known is not None else "",
        ), happened))  # fmt: skip
    return tuple(drafts)


def _places(fields: Fields, places: Sequence[Place], known: Task | None) -> tuple[str, ...]:
    """The ids of the places that were named."""
    said = [one.strip() for one in fields.text("places").split(",") if one.strip()]
    if not said:
        return ("",)
    by_label = {one.label.casefold(): one.id for one in places}
    if [one.casefold() for one in said] == [ALL]:
        found = tuple(one.id for one in places if one.kind == "tank")
    else:
        lost = [one for one in said if one.casefold() not in by_label]
        if lost:
            close = nearest(lost[0], tuple(one.label for one in places))
            fields.fault("places", f'there is no tank "{clip(lost[0])}"', f'perhaps "{close}"' if close else
                         'names of tanks, "all", or nothing for the room', found=lost[0])  # fmt: skip
            return ("",)
        found = tuple(dict.fromkeys(by_label[one.casefold()] for one in said))
    if known is not None and len(found) != 1:
        fields.fault("places", "one task is at one place", "one name; make new work for more of them")
        return ("",)
    return found


# --- foods, treatments, spares --------------------------------------------------------------------------------


def read_store(
    typed: Mapping[str, str], places: Sequence[Place], new_id: Callable[[], str], happened: datetime
) -> tuple[Draft, str] | Wrong:
    """The forms of foods, treatments and spares: the draft and what is told of it, or what is wrong."""
    fields = Fields(typed)
    came: tuple[Draft, str] | None = None
    match typed.get("form", ""):
        case "culture":
            came = _culture(fields, new_id, happened)
        case "culture-end":
            name = fields.text("culture", needed="a culture that goes on")
            came = ended(name, fields.text("what") or "culture", happened), ""
        case "treatment":
            came = _treatment(fields, places, happened)
        case "spares":
            came = _spares(fields, happened)
        case _:
            fields.fault("form", "is none that is known", "culture, treatment or spares")
    if fields.wrong or came is None:
        return fields.wrong
    return came


def _culture(fields: Fields, new_id: Callable[[], str], happened: datetime) -> tuple[Draft, str]:
    what = fields.text("what", needed="what grows, such as brine shrimp")
    water = {
        name: value for name, high in (("celsius", 60.0), ("salt", 400.0), ("cysts", 100.0))
        if (value := fields.number(name, 0, high)) is not None
    }  # fmt: skip
    own, lasts = fields.number("ready", 0.5, 9000), fields.number("lasts", 0.5, 9000)
    usual = next((one for one in FOODS if one.what == what.casefold()), None)
    ready: tuple[float, float] | None = usual.ready if usual is not None else None
    told: tuple[Finding, ...] = ()
    if what.casefold() == SHRIMP:
        hatch = shrimp_hatch(water.get("celsius"), water.get("salt"), water.get("cysts"))
        ready, told = hatch.ready, hatch.findings
    if own is not None:
        ready = (own, own)
    best = lasts if lasts is not None else usual.lasts if usual is not None else None
    draft = started(new_id(), what, happened, ready=ready, lasts=best, water=water, note=fields.text("note"))
    return draft, "; ".join(f"{one.subject} {one.text}: {one.remedy}" for one in told)


def _treatment(fields: Fields, places: Sequence[Place], happened: datetime) -> tuple[Draft, str]:
    name = fields.text("place", needed="the name of a tank")
    place = next((one.id for one in places if one.label.casefold() == name.casefold()), "")
    if name and not place:
        close = nearest(name, tuple(one.label for one in places))
        fields.fault("place", f'there is no tank "{clip(name)}"', f'perhaps "{close}"' if close else "a tank",
                     found=name)  # fmt: skip
    what = fields.text("with", needed="the name on the label")
    days, withdrawal = fields.number("days", 0, 366), fields.number("withdrawal", 0, 3650)
    draft = treated(place, what, happened, dose=fields.text("dose"), days=days, withdrawal_days=withdrawal,
                    by=fields.text("by"), why=fields.text("why"))  # fmt: skip
    said = "" if withdrawal is not None else "No withdrawal was said, so nobody is warned when fish leave"
    return draft, said


def _spares(fields: Fields, happened: datetime) -> tuple[Draft, str]:
    what = fields.text("what", needed="the part, such as drippers")
    kept = fields.number("kept", 0, 1e6, whole=True)
    if kept is None and "kept" not in fields.wrong:
        fields.fault("kept", "is empty", "how many are there")
    least = fields.number("least", 0, 1e6, whole=True)
    return counted_spares(what, int(kept or 0), happened, least=None if least is None else int(least)), ""
