"""A contact trace in sentences and as JSON: who was reached when, by what chain, and whose hands were where."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from tankwright.finding import Number
from tankwright.husbandry.contact_trace import Hop, Reached, Trace
from tankwright.husbandry.contacts import HANDS_HOURS, HandsContact
from tankwright.husbandry.shared_water import KINDS
from tankwright.report.model import SummaryLine

LIMITS: Final = (
    "It follows what was written down: fish moved, tools dipped and cleaned, water the plan shares. A net nobody wrote "
    "of, a wet sleeve, food, plants, air and snails are not in it. Being named is no illness; not being named is no "
    "proof of health."
)
"""What stands under every trace."""

AT_ONCE: Final = 60.0
"""Below this (s) two moments are told as one: they were typed in one go."""

Called = Callable[[str], str]


@dataclass(frozen=True, slots=True, kw_only=True)
class TraceRow:
    """A place of a trace as it is told: when, in short why, and every step of its chain with its moment."""

    place: str
    name: str
    at: datetime
    certain: bool
    why: SummaryLine
    chain: tuple[tuple[datetime, SummaryLine], ...]


def hop_line(hop: Hop, called: Called, *, stock: Called = str) -> SummaryLine:
    """One step of a chain in words, places and tools by what they are called.

    >>> from datetime import UTC
    >>> at = datetime(2026, 8, 2, tzinfo=UTC)
    >>> hop_line(Hop(carrier="fish", source="p", target="r", left=at, at=at), {"p": "A1", "r": "A2"}.get).text
    'fish were moved from A1 to A2'
    """
    source, target = called(hop.source) or hop.source, called(hop.target) or hop.target
    if hop.carrier == "fish":
        bag = hop.source.startswith("bag:") or hop.target.startswith("bag:")
        what = f" ({stock(hop.stock)})" if hop.stock and stock is not str else ""
        return SummaryLine(
            f"fish{what} were put into a bag in {source}" if bag and hop.target.startswith("bag:")
            else f"fish{what} came out of a bag into {target}" if bag
            else f"fish{what} were moved from {source} to {target}"
        )  # fmt: skip
    if hop.carrier == "tool":
        after = (hop.at - hop.left).total_seconds()
        tool = called(hop.tool) or hop.tool
        if after < AT_ONCE:
            return SummaryLine(f"{tool} was in {source} and then, still wet, in {target}")
        return SummaryLine(
            f"{tool} was in {source} and {{after}} later, still wet, in {target}",
            (("after", Number(after, "duration")),),
        )
    why = next((text for kind, text in KINDS.items() if kind == hop.kind), "")
    verb = "goes" if hop.certain else "could go"
    return SummaryLine(f"water of {source} {verb} to {target} by {hop.through}" + (f": {why}" if why else ""))


def trace_rows(trace: Trace, called: Called, *, stock: Called = str) -> tuple[TraceRow, ...]:
    """Every place of a trace, in its order."""
    return tuple(_row(one, trace, called, stock) for one in trace.reached)


def _row(one: Reached, trace: Trace, called: Called, stock: Called) -> TraceRow:
    chain = tuple((hop.at, hop_line(hop, called, stock=stock)) for hop in one.chain)
    near = chain[0] if trace.back else chain[-1]
    return TraceRow(
        place=one.place,
        name=called(one.place) or one.place,
        at=one.at,
        certain=one.certain,
        why=near[1],
        chain=chain,
    )


def trace_summary(trace: Trace, called: Called) -> tuple[SummaryLine, ...]:
    """How many places a trace names, the first of them, and how it goes on.

    >>> from datetime import UTC
    >>> at = datetime(2026, 8, 2, tzinfo=UTC)
    >>> trace_summary(Trace(place="p", since=at, until=at, back=False, reached=()), {"p": "A1"}.get)[0].text
    'nothing that is written down could have carried anything from A1 to another tank'
    """
    name = called(trace.place) or trace.place
    sure = [one for one in trace.reached if one.certain]
    rest = len(trace.reached) - len(sure)
    if not trace.reached:
        way = "to" if trace.back else "from"
        other = "from another tank" if trace.back else "to another tank"
        return (
            SummaryLine(f"nothing that is written down could have carried anything {way} {name} {other}"),
        )
    lines = []
    tanks = f"{len(sure)} tank{'' if len(sure) == 1 else 's'}" if sure else "no tank for certain"
    told = f"{name} could have it from {tanks}" if trace.back else f"{name} could have reached {tanks}"
    lines.append(SummaryLine(told))
    if rest:
        lines.append(SummaryLine(
            "{rest} more only if water went a way it goes when something goes wrong",
            (("rest", Number(rest, "number")),),
        ))  # fmt: skip
    return tuple(lines)


def hands_line(one: HandsContact, called: Called) -> SummaryLine:
    """Hands that were in one tank and then in another, in words.

    >>> from datetime import UTC
    >>> at = datetime(2026, 8, 2, tzinfo=UTC)
    >>> hands_line(HandsContact(who="AB", source="p", target="r", before=at, at=at), {}.get).text
    'AB worked at p and at r in the same minute; no washing is written between'
    """
    after = (one.at - one.before).total_seconds()
    if after < AT_ONCE:
        return SummaryLine(
            f"{one.who} worked at {called(one.source) or one.source} and at {called(one.target) or one.target} in the "
            "same minute; no washing is written between"
        )
    return SummaryLine(
        f"{one.who} worked at {called(one.source) or one.source} and {{after}} later at "
        f"{called(one.target) or one.target}; no washing is written between",
        (("after", Number(after, "duration")),),
    )


HANDS_NOTE: Final = SummaryLine(
    "Hands that were in both within {hours}. Whether they carried anything nobody knows, so nothing goes on from them.",
    (("hours", Number(HANDS_HOURS * 3600.0, "duration")),),
)
"""What stands over the list of hands."""


def trace_json(trace: Trace, hands: Sequence[HandsContact], names: Mapping[str, str]) -> dict[str, Any]:
    """A trace as JSON: places by name, moments in UTC."""

    def called(name: str) -> str:
        return names.get(name, name)

    return {
        "place": called(trace.place), "since": trace.since.isoformat(), "until": trace.until.isoformat(),
        "back": trace.back,
        "reached": [
            {
                "place": called(one.place), "at": one.at.isoformat(), "certain": one.certain,
                "chain": [
                    {
                        "carrier": hop.carrier, "from": called(hop.source), "to": called(hop.target),
                        "left": hop.left.isoformat(), "at": hop.at.isoformat(), "tool": called(hop.tool),
                        "stock": hop.stock, "through": hop.through, "certain": hop.certain, "events": list(hop.events),
                    }
                    for hop in one.chain
                ],
            }
            for one in trace.reached
        ],
        "hands": [
            {
                "who": one.who, "from": called(one.source), "to": called(one.target),
                "before": one.before.isoformat(), "at": one.at.isoformat(),
            }
            for one in hands
        ],
        "limits": LIMITS,
    }  # fmt: skip
