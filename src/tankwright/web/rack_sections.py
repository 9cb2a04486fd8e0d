"""What section would do for the bearers of a kind of rack: those with a price, and the usual ones,
tried under every rack of the kind, the cheapest first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

from tankwright.catalogue.grades import find_grade
from tankwright.catalogue.sections import Section, is_bought, read_section
from tankwright.plan.models import Buy, Plan
from tankwright.room.assumed import assumed
from tankwright.room.model import RackPlace, Room
from tankwright.room.model_structure import RackBuilt
from tankwright.systems.racks_loads import shelves_of
from tankwright.systems.racks_model import Use
from tankwright.systems.racks_sections import USUAL, SectionTried, sections_that_hold
from tankwright.takeoff.prices import read_offers
from tankwright.units import Kilogram, Metre
from tankwright.workspace.opened import Opened
from tankwright.workspace.parts_work import files_beside

UNNAMED: Final = {"metric": "C24", "US": "SPF No.2"}
"""The grade sections are tried in where the plan names none, by the units of the reader."""
MOST: Final = 12
_WORDS: Final = ("timber ", "steel tube ")


@dataclass(frozen=True, slots=True, kw_only=True)
class Price:
    """The least price of a metre, and whose."""

    a_metre: float
    of: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One section as the bearers of every rack of a kind: the worst over all of them. `deeper` is by how much it is
    deeper than the one there is now, None where none is known; `cost` of all those bearers at the `price`.
    """

    text: str
    section: Section
    strength: Use | None
    sag: Use | None
    holds: bool
    now: bool
    deeper: Metre | None
    price: Price | None
    cost: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Choices:
    """What was tried for a kind of rack: `racks` of them, which need `length` of bearers, `under` each shelf in every
    bay. `as_if` is the grade they were tried in where the plan does not say what the racks are built of.
    """

    kind: str
    racks: int
    under: int
    length: Metre
    currency: str
    as_if: str
    made: tuple[Choice, ...]

    @property
    def hold(self) -> tuple[Choice, ...]:
        """Those that stay within both, the cheapest first."""
        return tuple(one for one in self.made if one.holds)

    @property
    def others(self) -> tuple[Choice, ...]:
        """Those that do not, or could not be judged."""
        return tuple(one for one in self.made if not one.holds)


def choices_for(opened: Opened, kind: str, masses: Mapping[str, Kilogram]) -> Choices | None:
    """The sections tried for a kind of rack; None where it is bought as it stands, or carries nothing."""
    room, plan = opened.room, opened.plan
    if room is None or plan is None or kind not in plan.rack_kind:
        return None
    racks = [rack for rack in room.racks if rack.kind == kind]
    built = next((rack.built for rack in racks if rack.built is not None), None)
    if built is None and is_bought(plan.rack_kind[kind].made_of or ""):
        return None
    as_if = ""
    if built is None:
        as_if = UNNAMED.get(room.display, UNNAMED["metric"])
        built = RackBuilt(material="timber", service_class=assumed(room, "racks.service_class"))
    grade = built.bearers.grade.name if built.bearers and built.bearers.grade else as_if
    prices = dict(_prices(opened))
    texts = _texts(built, grade or UNNAMED.get(room.display, UNNAMED["metric"]), prices)
    found: dict[str, list[SectionTried]] = {}
    for rack in _unlike(room, racks, masses):
        for text in texts:
            for one in sections_that_hold(room, replace(rack, built=built), masses, (text,)):
                found.setdefault(text, []).append(one)
    length = sum(_clear(rack) for rack in racks) * built.bearers_under
    made = [_choice(text, tried, built, prices, length) for text, tried in found.items()]
    if not made:
        return None
    buy, climate = plan.buy, plan.climate
    currency = (buy.currency if buy else None) or (climate.currency if climate else None) or ""
    return Choices(
        kind=kind, racks=len(racks), under=built.bearers_under, length=length, currency=currency, as_if=as_if,
        made=tuple(sorted(made, key=_order)[:MOST]),
    )  # fmt: skip


def _order(one: Choice) -> tuple[bool, bool, float, float]:
    """Those that hold first, of them those with a price, cheapest first; then by how much there is of them."""
    return not one.holds, one.cost is None, one.cost or 0.0, one.section.area


# --- what is tried ---------------------------------------------------------------------------------------------------


def _texts(built: RackBuilt, grade: str, prices: Mapping[str, tuple[str, Price]]) -> tuple[str, ...]:
    """Those with a price, those of the catalogue in the grade of the rack, and the ones there are; each once."""
    known = find_grade(grade)
    usual = [f"{size} {grade}" for size in USUAL.get(known.route if known else "", ())]
    own = [built.bearers.text] if built.bearers is not None and built.bearers.section is not None else []
    texts: dict[tuple[float, float, float, str], str] = {}
    for text in (*own, *(text for text, _ in prices.values()), *usual):
        section = read_section(text)
        if section is None or section.is_tube != (built.material == "steel"):
            continue
        graded = text if section.grade else f"{text} {grade}"
        named = find_grade(section.grade or grade)
        if named is not None:
            texts.setdefault((section.thin, section.wide, section.wall, named.name), graded)
    return tuple(texts.values())


def _unlike(room: Room, racks: Sequence[RackPlace], masses: Mapping[str, Kilogram]) -> Iterator[RackPlace]:
    """Racks with something on them, of several that carry alike only the first."""
    seen = set()
    for rack in racks:
        shelves = shelves_of(room, rack, masses)
        alike = tuple(
            (number, round(one.weight, 1), *(round(side, 4) for side in (*one.along, *one.deep)))
            for number, standing in shelves.items()
            for one in standing
            if one.tank
        )
        if alike and alike not in seen:
            seen.add(alike)
            yield rack


def _clear(rack: RackPlace) -> Metre:
    """What one bearer under every shelf of a rack takes, cut between its uprights."""
    bays = sum(max(after[0] - before[1], 0.0) for before, after in pairwise(rack.uprights))
    return bays * len(rack.shelves)


def _choice(
    text: str, tried: Sequence[SectionTried], built: RackBuilt, prices: Mapping[str, tuple[str, Price]], length: Metre
) -> Choice:  # fmt: skip
    section, now = tried[0].section, built.bearers.section if built.bearers else None
    grade = built.bearers.grade if built.bearers else None
    strengths, sags = [one.strength for one in tried], [one.sag for one in tried]
    same = now is not None and (now.thin, now.wide, now.wall) == (section.thin, section.wide, section.wall)
    price = prices.get(section.name, ("", None))[1]
    return Choice(
        text=text, section=section, strength=_worst(strengths), sag=_worst(sags),
        holds=all(one.holds for one in tried),
        now=same and grade is not None and grade.name == tried[0].grade.name,
        deeper=None if now is None else section.wide - now.wide, price=price,
        cost=None if price is None else price.a_metre * length,
    )  # fmt: skip


def _worst(uses: Iterable[Use | None]) -> Use | None:
    """The largest share; None as soon as one could not be judged."""
    told = list(uses)
    known = [one for one in told if one is not None]
    return max(known, key=lambda one: one.share, default=None) if len(known) == len(told) else None


# --- prices ----------------------------------------------------------------------------------------------------------


def _prices(opened: Opened) -> Iterator[tuple[str, tuple[str, Price]]]:
    """By the name of a section, how a plan writes it and its least price: the plan's own, and those of shops."""
    best: dict[str, tuple[str, Price]] = {}
    plan = opened.plan
    for article, price in (*_own(plan.buy if plan else None), *_shops(opened)):
        text = next((article.removeprefix(word) for word in _WORDS if article.startswith(word)), "")
        section = read_section(text)
        if section is None:
            continue
        if section.name not in best or price.a_metre < best[section.name][1].a_metre:
            best[section.name] = (text, price)
    yield from best.items()


def _own(buy: Buy | None) -> Iterator[tuple[str, Price]]:
    for row in buy.sold if buy is not None else ():
        for one in row.lengths:
            if one.price is not None and one.length.value > 0.0:
                yield row.of.strip(), Price(a_metre=one.price / one.length.value, of="")


def _shops(opened: Opened) -> Iterator[tuple[str, Price]]:
    for listed in files_beside(opened).prices:
        for offer in read_offers(listed.raw, name=listed.name, shop=listed.shop).offers:
            metres = offer.form.length or (1.0 if offer.form.unit == "m" else 0.0)
            if metres > 0.0 and offer.pack > 0.0:
                yield (
                    offer.article.strip(),
                    Price(a_metre=float(offer.price) / offer.pack / metres, of=offer.shop),
                )


def priced_plan(plan: Plan | None) -> bool:
    """Whether a plan names prices of its own of anything sold in lengths."""
    return any(True for _ in _own(plan.buy if plan is not None else None))
