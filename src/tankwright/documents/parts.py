"""The parts list, read by shop and by place: what is carried out of a shop, and where each piece of it goes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from itertools import groupby
from typing import Final

from tankwright.display import figures
from tankwright.documents.gathered import gathered
from tankwright.documents.model import Block, Cell, Measured, Paragraph, Sheet, Table, columns, said
from tankwright.finding import Number
from tankwright.takeoff.model import Need, Takeoff
from tankwright.takeoff.purchase_model import Purchase, Row

ORDER: Final = (
    "tank", "glass", "bulkhead", "pipe", "fitting", "hose", "tube", "clip", "tap", "diffuser", "dripper", "filter",
    "valve", "pump", "timber", "steel", "board", "sheet", "screw", "board outlet", "cable", "plug", "light", "heater",
    "machine", "sensor", "glue", "other",
)  # fmt: skip
"""Kinds of article in the order one walks through a shop for them."""

SYSTEMS: Final = {
    "tanks": "Tanks", "glass": "Glass", "racks": "Racks", "drain": "Drain", "air": "Air", "feed": "Feed",
    "power": "Power", "shell": "Walls, floor and roof",
}  # fmt: skip

_TOGETHER: Final = (
    "Pieces alike in everything but their place stand in one line; the tables as files have a line for each."
)


def parts_sheets(bought: Purchase, display: str) -> tuple[Sheet, ...]:
    """By shop, then by place."""
    return (
        Sheet(name="parts-by-shop", title="Parts by shop", part="parts", blocks=tuple(_by_shop(bought, display))),
        Sheet(
            name="parts-by-place", title="Parts by place", part="parts",
            blocks=(Paragraph(text=_TOGETHER), *short_tables(bought.takeoff, display)),
            data=tuple(place_tables(bought.takeoff)),
        ),
    )  # fmt: skip


def _by_shop(bought: Purchase, display: str) -> Iterator[Block]:
    yield shop_table(bought, display)
    total = f"{bought.cost:.2f} {bought.currency}".strip()
    unpriced = bought.unpriced
    if not any(row.price is not None for row in bought.rows):
        yield Paragraph(text="No price is known: what it costs is not computed.")
    elif unpriced:
        yield Paragraph(
            text=f"{total} for what has a price. Not in it, for nobody said their price: {', '.join(unpriced[:40])}"
            + (f" and {len(unpriced) - 40} more." if len(unpriced) > 40 else ".")
        )
    else:
        yield Paragraph(text=f"{total} in all.")
    if bought.takeoff.spares:
        yield Table(
            title="Spares and wastage in it",
            columns=columns("article*", "count", "each", "why*"),
            rows=tuple(
                (one.article, one.count, _measure(one.length, one.area, one.volume), one.reason)
                for one in bought.takeoff.spares
            ),
            file="spares",
        )  # fmt: skip


def shop_table(bought: Purchase, display: str) -> Table:
    """One row an article and length, in the order of a shop; how many to buy after spares and stock on hand."""
    rows = sorted(
        (row for row in bought.rows if row.needed or row.spare),
        key=lambda row: (ORDER.index(row.kind), row.article, row.length or 0.0),
    )
    priced = any(row.price is not None for row in rows)
    names = ("kind", "article*", "sold as", "needed", "spare", "on hand", "buy") + (
        ("each", f"cost {bought.currency}".strip()) if priced else ()
    )
    return Table(
        title="To buy",
        columns=columns(*names),
        rows=tuple(_shop_row(row, display, priced) for row in rows),
        file="parts-by-shop",
    )


def _shop_row(row: Row, display: str, priced: bool) -> tuple[Cell, ...]:
    cells: tuple[Cell, ...] = (
        row.kind, row.article, sold_as(row, display), _amount(row.needed, row),
        _amount(row.spare, row) if row.spare else None, _amount(row.on_hand, row) if row.on_hand else None, row.buy,
    )  # fmt: skip
    if not priced:
        return cells
    return (*cells, _money(row.price), _money(row.cost) if row.buy else None)


def _money(amount: float | None) -> Decimal | None:
    return None if amount is None else Decimal(f"{amount:.2f}")


def sold_as(row: Row, display: str) -> str:
    """What one of it is: "6 m", "2400 x 1200 mm", "pack of 10", "1 m"."""
    if row.length is not None:
        return said(Measured((row.length,)), display)
    if row.size is not None:
        return said(Measured(row.size), display)
    if row.pack != 1:
        return f"pack of {figures(row.pack)}"
    return {"m": "by the metre, m", "m2": "by the square metre, m²", "L": "by the litre, L"}.get(
        row.unit, "piece"
    )


def _amount(value: float, row: Row) -> Cell:
    if row.unit in ("pieces", "lengths", "sheets"):
        return round(value)
    return round(value, 2)


def place_tables(takeoff: Takeoff) -> Iterator[Table]:
    """Every need under its system, in the order it was counted: which article, how many, how long, where it goes."""
    for system, needs in groupby(_by_system(takeoff), key=lambda need: need.system):
        rows = tuple(_place_row(need) for need in needs)
        yield Table(
            title=SYSTEMS.get(system, system.capitalize()),
            columns=columns("mark", "article*", "count", "each", "where it goes*", "state"),
            rows=rows,
            file=f"parts-{system}",
        )


def short_tables(takeoff: Takeoff, display: str) -> Iterator[Table]:
    """The same for reading: pieces alike are counted together, with all their marks and places."""
    for system, needs in groupby(_by_system(takeoff), key=lambda need: need.system):
        alike: dict[tuple[str, str, str], list[Need]] = {}
        for need in needs:
            alike.setdefault((need.article, said(_each(need), display), need.state), []).append(need)
        yield _without_empty(Table(
            title=SYSTEMS.get(system, system.capitalize()),
            columns=columns("mark**", "article***", "count", "each", "where*****", "state"),
            rows=tuple(
                (
                    gathered(one.mark for one in many if one.mark) or None, many[0].article,
                    sum(one.count for one in many), _each(many[0]), gathered(one.where for one in many),
                    None if many[0].state == "to buy" else many[0].state,
                )
                for many in alike.values()
            ),
        ))  # fmt: skip


def _without_empty(table: Table) -> Table:
    kept = [at for at in range(len(table.columns)) if any(row[at] is not None for row in table.rows)]
    return replace(
        table, columns=tuple(table.columns[at] for at in kept),
        rows=tuple(tuple(row[at] for at in kept) for row in table.rows),
    )  # fmt: skip


def _by_system(takeoff: Takeoff) -> list[Need]:
    order = list(SYSTEMS)
    return sorted(takeoff.needs, key=lambda need: order.index(need.system) if need.system in order else 99)


def _each(need: Need) -> Cell:
    return Measured(need.size) if need.size is not None else _measure(need.length, need.area, need.volume)


def _place_row(need: Need) -> tuple[Cell, ...]:
    return (
        need.mark or None,
        need.article,
        need.count,
        _each(need),
        need.where,
        None if need.state == "to buy" else need.state,
    )


def _measure(length: float | None, area: float | None, volume: float | None) -> Cell:
    if length is not None:
        return Measured((length,))
    if area is not None:
        return Number(area, "area")
    return None if volume is None else Number(volume, "volume")
