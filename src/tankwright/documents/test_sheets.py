"""Test sheets: what to measure where, what should come, and a line to write down what came."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from tankwright.building.point import TestPoint
from tankwright.documents.model import Block, Paragraph, Sheet, Table, columns
from tankwright.finding import Number


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
        yield Table(
            title=f"{when}: {kind}",
            note=" ".join((*rows[0].how, f"In force: {rows[0].needs}." if rows[0].needs else "")).strip(),
            columns=columns("point", "what*", "expected", "from", "to", "within", "read", "ok"),
            rows=tuple(
                (
                    point.id, point.what, Number(point.value, point.dimension),
                    None if point.band is None else Number(point.band[0], point.dimension),
                    None if point.band is None else Number(point.band[1], point.dimension),
                    Number(point.tolerance, point.dimension), f"______ {point.unit}", "☐",
                )
                for point in rows
            ),
            file=f"test-{kind.replace(' ', '-')}",
        )  # fmt: skip
