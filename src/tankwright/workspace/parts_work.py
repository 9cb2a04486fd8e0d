"""What a plan takes and what is bought for it, worked out when it is asked for and kept by what it rests on: the text
of the plan, the price lists and fittings beside it.

Price lists are those that [buy] names; when it names none, those that were brought along in the app.
"""

from __future__ import annotations

import hashlib
from collections import OrderedDict
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from threading import Lock
from time import monotonic
from typing import Final

from tankwright.checks.all import worst_first
from tankwright.finding import Finding, Severity
from tankwright.plan.models_build import Buy
from tankwright.takeoff.basket import Basket, fill_basket
from tankwright.takeoff.counting import count_parts
from tankwright.takeoff.offers import key_of
from tankwright.takeoff.own_fittings import OwnFittings, read_own_fittings, with_own
from tankwright.takeoff.prices import PriceLists, read_offers, together
from tankwright.takeoff.purchase import purchase
from tankwright.takeoff.purchase_model import OWN_PRICE, Purchase
from tankwright.takeoff.sticks import longest_of
from tankwright.units import clip
from tankwright.workspace.disk import utcnow, why
from tankwright.workspace.opened import Opened
from tankwright.workspace.prices import PriceBook

Progress = Callable[[int, int], None]
NO_LIST: Final = "PART-93"
LARGEST: Final = 1_000_000
SECONDS: Final = 20.0
"""The search for the best cuts of all articles together takes no longer; what is not proved by then says its gap."""

_KEPT: Final = 6
_WORKED: Final[OrderedDict[str, WorkedParts]] = OrderedDict()
_LOCK: Final = Lock()


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkedParts:
    """The parts of a plan. `lists` are its price lists as they were read; `basket` is how the parts are split over
    their shops, None without any. `findings` are of the takeoff, the cuts and the lists, worst first."""

    purchase: Purchase
    lists: PriceLists
    basket: Basket | None
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ListFile:
    """A price list: what its owner calls it, its bytes, and whose the lines are that name no shop."""

    name: str
    raw: bytes
    shop: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """The files beside a plan for buying, and what could not be read of them."""

    prices: tuple[ListFile, ...] = ()
    fittings: tuple[tuple[str, bytes], ...] = ()
    findings: tuple[Finding, ...] = ()


def files_beside(opened: Opened) -> Beside:
    """Read the price lists and fittings a plan names; what is not there or too large is said."""
    buy = (opened.plan.buy if opened.plan is not None else None) or Buy()
    findings: list[Finding] = []
    folder = opened.path.parent
    prices = tuple(_read(folder, name, "prices", buy, findings) for name in buy.prices)
    fittings = tuple(_read(folder, name, "fittings", buy, findings) for name in buy.fittings)
    return Beside(
        prices=tuple(ListFile(name=one[0], raw=one[1]) for one in prices if one is not None)
        if buy.prices
        else tuple(_brought(opened.path)),
        fittings=tuple(one for one in fittings if one is not None),
        findings=tuple(findings),
    )


def _brought(plan: Path) -> Iterator[ListFile]:
    """The lists that were brought along in the app, in the order they came."""
    book = PriceBook(plan)
    for one in reversed(book.lists()):
        raw = book.text(one.id)
        if raw is not None:
            yield ListFile(name=one.title, raw=raw, shop=one.shop)


def _read(folder: Path, name: str, what: str, buy: Buy, findings: list[Finding]) -> tuple[str, bytes] | None:
    place = folder / name
    try:
        if not place.resolve().is_relative_to(folder.resolve()):
            raise ValueError("it stands outside the folder of the plan")
        with place.open("rb") as file:
            raw = file.read(LARGEST + 1)
        if len(raw) > LARGEST:
            raise ValueError(f"it is larger than {LARGEST // 1_000_000} MB")
    except (OSError, ValueError) as error:
        said = why(error) if isinstance(error, OSError) else str(error)
        findings.append(
            Finding(
                code=NO_LIST,
                severity=Severity.WARNING,
                subject=f"[buy] {what}",
                text=f"{clip(name)} cannot be read: {clip(said)}",
                reason="what stands in it is not known, so nothing is bought by it",
                remedy="put the file beside the plan, or take its name out",
                found=clip(name),
                line=buy.line,
            )
        )
        return None
    return name, raw


def mark_of(opened: Opened) -> str:
    """What the parts of a plan rest on, in short; "" for a plan that was not worked out."""
    return "" if opened.room is None or opened.read is None else _mark(opened, files_beside(opened))


def _mark(opened: Opened, beside: Beside) -> str:
    told = hashlib.sha256((opened.read.text if opened.read is not None else "").encode("utf-8", "replace"))
    files = (*((one.name, one.raw) for one in beside.prices), *beside.fittings)
    for name, raw in files:
        told.update(f"\0{name}\0{len(raw)}\0".encode("utf-8", "replace") + raw)
    for finding in beside.findings:  # a file that cannot be read is told in this folder, not in another
        told.update(f"\0{finding.found}\0{finding.text}".encode("utf-8", "replace"))
    return told.hexdigest()


def known_parts(mark: str) -> WorkedParts | None:
    """The parts of plans with that mark, when they were worked out before."""
    with _LOCK:
        if mark not in _WORKED:
            return None
        _WORKED.move_to_end(mark)
        return _WORKED[mark]


def worked_out_parts(opened: Opened, progress: Progress | None = None) -> WorkedParts | None:
    """The parts of a plan, worked out unless they are known; None for a plan that was not laid out itself."""
    if opened.room is None or opened.plan is None:
        return None
    beside = files_beside(opened)
    mark = _mark(opened, beside)
    worked = known_parts(mark)
    if worked is None:
        worked = work_out(opened, beside, progress)
        if worked is None:
            return None
        with _LOCK:
            _WORKED[mark] = worked
            while len(_WORKED) > _KEPT:
                _WORKED.popitem(last=False)
    return worked


def work_out(
    opened: Opened,
    beside: Beside,
    progress: Progress | None = None,
    *,
    currency: str = "",
    seconds: float = SECONDS,
) -> WorkedParts | None:
    """The parts of a plan with the price lists of `beside`, not kept. `currency` is that of the job, else the plan's;
    `seconds` bounds the search for the best cuts, and once more that for the cheapest basket."""
    if opened.room is None or opened.plan is None:
        return None
    own = _own_fittings(beside)
    read = [
        read_offers(one.raw, name=one.name, today=f"{utcnow():%Y-%m-%d}", shop=one.shop)
        for one in beside.prices
    ]
    counted = count_parts(
        opened.plan, opened.room, with_own(own) if beside.fittings else None,
        longest=longest_of(offer for one in read for offer in one.offers),
    )  # fmt: skip
    climate, buy = opened.plan.climate, opened.plan.buy
    currency = (
        currency
        or (buy.currency if buy is not None else None)
        or (climate.currency if climate is not None else None)
        or ""
    )
    lists = together(read, currency=currency, articles=[one.key for one in counted.articles])
    bought = purchase(
        counted, buy, room=opened.room, offers=lists.offers, currency=currency, seconds=seconds, clock=monotonic,
        progress=progress,
    )  # fmt: skip
    basket = basket_for(bought, lists, seconds) if beside.prices and not lists.refused else None
    about_lists = (*beside.findings, *own.findings, *lists.findings)
    findings = (*about_lists, *bought.findings, *(basket.findings if basket else ()))
    return WorkedParts(purchase=bought, lists=lists, basket=basket, findings=worst_first(findings))


def _own_fittings(beside: Beside) -> OwnFittings:
    """What the shops of the tables beside the plan have, one after the other; one with mistakes is left out."""
    read = [read_own_fittings(raw, name) for name, raw in beside.fittings]
    whole = [one for one in read if not one.findings]
    fittings = {fitting.key: fitting for one in whole for fitting in one.fittings}
    return OwnFittings(
        fittings=tuple(fittings.values()),
        prices={key: price for one in whole for key, price in one.prices.items()},
        findings=tuple(finding for one in read for finding in one.findings),
    )


def basket_for(bought: Purchase, lists: PriceLists, seconds: float = SECONDS) -> Basket:
    """What is bought where; an article on no list is taken at the price the plan itself says."""
    listed = {key_of(offer.article, offer.form) for offer in lists.offers}
    own = (row.offer for row in bought.rows if row.wanted.key not in listed)
    return fill_basket(
        [row.wanted for row in bought.rows if row.wanted.count > 0],
        [*lists.offers, *(offer for offer in own if offer is not None)],
        lists.freights,
        currency=lists.currency,
        seconds=seconds,
        no_shop=OWN_PRICE,
    )
