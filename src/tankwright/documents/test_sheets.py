"""Test sheets: what to measure where, what should come, and a line to write down what came."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from tankwright.building.point import TestPoint
from tankwright.dimensions import DIMENSIONS
from tankwright.documents.model import Block, Cell, Column, Paragraph, Sheet, Table, columns
from tankwright.units import convert


def test_sheet(points: tuple[TestPoint, ...]) -> Sheet | None:
    """All test points in the order one walks, by when in the build they come; None where there are none."""
    if not points:
        return None
    return Sheet(name="test-sheets", title="Test sheets", part="tests", blocks=tuple(_blocks(points)))


test_sheet.__test__ = False  # type: ignore[attr-defined]  # the name is the trade's, not a test's


def _blocks(points: tuple[TestPoint, ...]) -> Iterator[Block]:
    yield Paragraph(
        text="Write what you read, not what should come. A reading within the tolerance of the expected value is as it"
        " should be; what the plan only assumes may move the expected value itself between the two ends of its band."
    )
    for caution in dict.fromkeys(point.caution for point in points if point.caution):
        yield Paragraph(text=caution, caution=True)
    ordered = sorted(points, key=lambda point: (point.when, point.kind))
    for (when, kind), some in groupby(ordered, key=lambda point: (point.when, point.kind)):
        rows = list(some)
        unit = rows[0].unit
        yield Table(
            title=f"{when[:1].upper()}{when[1:]}: {kind}",
            note=_how(rows[0]),
            columns=(
                *columns("point", "what*", *(f"{name}, {unit}" for name in ("expected", "from", "to", "within ±"))),
                Column(name="read", write=26.0), Column(name="ok", write=8.0),
            ),
            rows=tuple(_row(point) for point in rows),
            file=f"test-{kind.replace(' ', '-')}",
        )  # fmt: skip


def _row(point: TestPoint) -> tuple[Cell, ...]:
    """A point in the unit it is read in."""
    step = convert(1.0, DIMENSIONS[point.dimension].si_unit, point.unit)
    band = (None, None) if point.band is None else tuple(one * step for one in point.band)
    within: Cell = "at most" if point.ceiling else point.tolerance * step
    return (point.id, point.what, point.value * step, *band, within, point.unit, None)


def _how(point: TestPoint) -> str:
    """How it is measured, as sentences, and what must be in force meanwhile."""
    steps = [*point.how, f"in force meanwhile: {point.needs}" if point.needs else ""]
    return " ".join(f"{one[:1].upper()}{one[1:].rstrip('.')}." for one in steps if one)
