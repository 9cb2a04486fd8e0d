"""What each kind of event needs and may hold, and what is wrong with a draft that is not so."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Final, Literal

from tankwright.finding import Finding, Severity
from tankwright.husbandry.kind_values import value_faults
from tankwright.husbandry.records import KINDS, Draft, Kind

MALFORMED: Final = "LOG-01"
UNBALANCED: Final = "LOG-02"

Needs = Literal["must", "may", "no"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """What a kind of event is of, and the keys of its details with what they mean; those of `needed` must be there."""

    says: str
    place: Needs = "no"
    stock: Needs = "no"
    line: Needs = "no"
    details: Mapping[str, str] = field(default_factory=dict)
    needed: tuple[str, ...] = ()


_PLACE: Final = {
    "label": "what it is called", "kind": "tank, rack, vat or outside", "rack": "the rack it stands on",
    "shelf": "its shelf, from below", "zone": "its zone", "litres": "its water", "order": "its place in walking order",
}  # fmt: skip
_LINE: Final = {
    "name": "what it is called", "species": "its species", "source": "from whom or where it came",
    "locality": "where its wild forebears lived", "protocol": "under which permit or plan it is kept",
    "least_breeders": "fewest fish it may be bred from", "most_inbreeding": "most inbreeding a generation may add",
    "regenerate_days": "days after which a new generation must stand", "may_mix": "ids of lines it may be mixed with",
}  # fmt: skip
_STOCK: Final = {
    "label": "what it is called", "kind": "individual, pair, group or brood", "sex": "male, female or nothing",
    "line": "the id of its line", "born": "the day it was hatched or dropped, as 2026-05-31",
    "origin": "the breeding sets it comes from: a list of {breeding_set, share}, or {founders, share}",
    "kinship": "how related founders are taken to be among each other", "came_from": "from whom it came",
}  # fmt: skip

SHAPES: Final[dict[Kind, Shape]] = {
    "place_opened": Shape(says="a place is there", place="must", details=_PLACE, needed=("label", "kind")),
    "place_changed": Shape(says="a place is called or stands otherwise", place="must", details=_PLACE),
    "place_closed": Shape(says="a place is no more", place="must"),
    "line_opened": Shape(says="a line is kept", line="must", details=_LINE, needed=("name", "species")),
    "line_changed": Shape(says="what is known of a line changes", line="must", details=_LINE),
    "stock_opened": Shape(says="fish are counted together from now on", stock="must", line="may", place="may",
                          details=_STOCK, needed=("label", "kind")),
    "stock_changed": Shape(says="what is known of a stock changes", stock="must", details=_STOCK),
    "stock_closed": Shape(says="a stock is at its end", stock="must"),
    "set_made": Shape(says="fish are put together to breed", place="may",
                      details={"set": "its id", "label": "what it is called",
                               "members": "a list of {stock, count, sex, share_low, share_high, same_as}"},
                      needed=("set", "members")),
    "set_ended": Shape(says="fish are parted again", place="may", details={"set": "its id"}, needed=("set",)),
    "born": Shape(says="young are there", place="must", stock="must", details={"set": "the breeding set's id"}),
    "arrived": Shape(says="fish came from outside", place="must", stock="must",
                     details={"from": "from whom", "price": "what they cost", "currency": "in what"}),
    "found": Shape(says="fish are there that nobody knew of", place="must", stock="must"),
    "died": Shape(says="fish died", place="must", stock="may", details={
        "unassigned": "fish of no stock known here, or of which of several nobody said", "cause": "of what"}),
    "culled": Shape(says="fish were culled", place="must", stock="must", details={"cause": "why"}),
    "left": Shape(says="fish left the room", place="must", stock="must",
                  details={"to": "to whom", "price": "what they brought", "currency": "in what"}),
    "moved": Shape(says="fish went to another place", place="must", stock="must",
                   details={"to": "the place they went to", "tool": "the net or bucket they went by"}),
    "regrouped": Shape(says="stocks were split or put together", place="may", stock="may"),
    "counted": Shape(says="fish were counted", place="must", stock="must"),
    "estimated": Shape(says="fish were guessed at", place="must", stock="must"),
    "spawned": Shape(says="a spawn was seen", place="must", stock="may",
                     details={"set": "the breeding set's id", "method": "pair, group or stripped"}),
    "measured": Shape(says="fish were measured or weighed", place="may", stock="must",
                      details={"number": "how many were measured"}),
    "tested": Shape(says="water was tested", place="may", details={"kit": "by what"}),
    "looked": Shape(says="somebody looked, and all was well", place="may"),
    "fed": Shape(says="fish were fed", place="may", details={"food": "with what", "grams": "how much"}),
    "treated": Shape(says="fish or water were treated", place="must", stock="may",
                     details={"with": "what was given", "dose": "how much, as written", "days": "for how many days",
                              "withdrawal_days": "days after it in which nothing leaves", "by": "on whose word",
                              "why": "against what"}, needed=("with",)),
    "cleaned": Shape(says="something was cleaned, rinsed or changed", place="may",
                     details={"what": "filter, glass, carbon, water ...", "share": "how much of the water was changed"},
                     needed=("what",)),
    "culture_started": Shape(says="live food was started", place="may",
                             details={"culture": "its id", "what": "of what", "ready_hours": "hours until it is ready",
                                      "ready_latest_hours": "hours until it is ready at the latest",
                                      "lasts_hours": "hours it can be used after that",
                                      "celsius": "how warm its water is", "salt": "salt in its water, g/L",
                                      "cysts": "cysts in its water, g/L"}, needed=("culture", "what")),
    "culture_ended": Shape(says="live food was used up or thrown away", place="may",
                           details={"culture": "its id", "what": "of what"}, needed=("culture",)),
    "task_set": Shape(says="work is to be done again and again", place="may",
                      details={"task": "its id", "label": "what is to be done",
                               "every_days": "days from one to the next",
                               "window_days": "days it may be late", "quantity": "what is read when it is done",
                               "unit": "in what", "low": "usually at least", "high": "usually at most",
                               "kind": "which sort of work", "weekdays": "days of the week it is done on, 0 is Monday",
                               "by": "who does it", "rotation": "tasks of which one is done at a time",
                               "rest_days": "days between two of them", "litres": "litres it lasts for",
                               "feed": "the feed those litres are of"}, needed=("task", "label", "every_days")),
    "task_stopped": Shape(says="work is not to be done again", place="may", details={"task": "its id"},
                          needed=("task",)),
    "task_done": Shape(says="work was done", place="may",
                       details={"task": "its id", "sheet": "the printed sheet it was typed from",
                                "row": "the row of the sheet", "looked": "done with a look, without a number"},
                       needed=("task",)),
    "quarantine_opened": Shape(says="places are shut off", place="may",
                               details={"quarantine": "its id", "places": "ids of the places",
                                        "least_days": "for how long"},
                               needed=("quarantine", "places", "least_days")),
    "quarantine_released": Shape(says="places are open again", place="may", details={"quarantine": "its id"},
                                 needed=("quarantine",)),
    "tool_made": Shape(says="a net, siphon or bucket is there",
                       details={"tool": "its id", "label": "what it is called", "wet_hours": "hours it stays infective",
                                "zone": "where alone it may be used"}, needed=("tool", "label", "wet_hours")),
    "tool_used": Shape(says="a tool was in the water", place="must", details={"tool": "its id"}, needed=("tool",)),
    "tool_cleaned": Shape(says="a tool was disinfected or dried", details={"tool": "its id", "how": "by what"},
                          needed=("tool",)),
    "sheet_printed": Shape(says="a round was printed to be written on",
                           details={"sheet": "its number", "expires": "until when it may be written on",
                                    "columns": "a list of {kind, label, quantity, unit, low, high}",
                                    "rows": "a list of {place, label, tasks}"},
                           needed=("sheet", "expires", "columns", "rows")),
    "spares_counted": Shape(says="spare parts were counted",
                            details={"what": "of what", "kept": "how many are there", "least": "fewest to be kept"},
                            needed=("what", "kept")),
    "incident": Shape(says="something went wrong", place="may", stock="may",
                      details={"what": "what went wrong", "photo": "the name of a picture kept beside the book"}),
    "paid": Shape(says="money was spent or taken", place="may", stock="may",
                  details={"amount": "how much, above nothing when spent", "currency": "in what", "what": "for what"},
                  needed=("amount", "currency", "what")),
    "noted": Shape(says="a note", place="may", stock="may", line="may",
                   details={"photo": "the name of a picture kept beside the book"}),
    "voided": Shape(says="an event does not hold", place="may", stock="may", line="may"),
}  # fmt: skip


def shape_faults(draft: Draft) -> tuple[Finding, ...]:
    """What is wrong with a draft by itself, all of it; nothing when it can be recorded as far as its shape goes.

    >>> from datetime import UTC, datetime
    >>> at = datetime(2026, 8, 2, tzinfo=UTC)
    >>> [one.text for one in shape_faults(Draft(kind="looked", happened=at, stock="s"))]
    ['has a stock, which "looked" is not of']
    >>> shape_faults(Draft(kind="looked", happened=at, place="p"))
    ()
    """
    return tuple(_faults(draft))


def _faults(draft: Draft) -> Iterator[Finding]:
    if draft.kind not in KINDS:
        yield _wrong(draft, f'is of no kind that is known: "{draft.kind}"', wanted=", ".join(KINDS))
        return
    shape = SHAPES[draft.kind]
    for name, needs, given in (
        ("place", shape.place, draft.place), ("stock", shape.stock, draft.stock), ("line", shape.line, draft.line),
    ):  # fmt: skip
        if needs == "must" and not given:
            yield _wrong(draft, f"has no {name}", wanted=f"the {name} it is of")
        if needs == "no" and given:
            yield _wrong(draft, f'has a {name}, which "{draft.kind}" is not of', wanted=f"no {name}")
    for key in shape.needed:
        if draft.details.get(key) is None or draft.details.get(key) == "":
            yield _wrong(draft, f'does not say "{key}"', wanted=shape.details[key])
    for key in draft.details:
        if key not in shape.details:
            yield _wrong(
                draft, f'says "{key}", which "{draft.kind}" has not', wanted=", ".join(shape.details)
            )
    if draft.kind == "voided" and not draft.voids:
        yield _wrong(draft, "names no event", wanted="the event that does not hold")
    if draft.kind == "voided" and not draft.reason.strip():
        yield _wrong(draft, "has no reason", wanted="a few words why the event does not hold")
    if draft.happened.tzinfo is None:
        yield _wrong(draft, "has a moment without a time zone", wanted="2026-08-02T07:15:00Z")
    yield from _balance(draft)
    yield from value_faults(draft)


def _balance(draft: Draft) -> Iterator[Finding]:
    total: Counter[str] = Counter()
    for flow in draft.flows:
        total["all"] += flow.quantity
        if (flow.account == "held") != bool(flow.place):
            yield _wrong(draft, f'has a flow into "{flow.account}" with{"" if flow.place else "out"} a place',
                         wanted="a place for fish that are held, and for no others")  # fmt: skip
    if total["all"]:
        yield Finding(
            code=UNBALANCED, severity=Severity.PROBLEM, subject=draft.kind, found=f"{total['all']:+d}",
            text="what it moves does not add up to nothing", wanted="as many out as in",
        )  # fmt: skip


def _wrong(draft: Draft, text: str, *, wanted: str) -> Finding:
    return Finding(
        code=MALFORMED, severity=Severity.PROBLEM, subject=str(draft.kind), text=text, wanted=wanted
    )
