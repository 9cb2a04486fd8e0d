"""The test sheet of one tank: a number a kit shows, found with two big buttons from where it was last time."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from tankwright.finding import Finding
from tankwright.web.page import FieldError, Page, View
from tankwright.web.pages.tank import common, tank_path
from tankwright.web.water_tests import WaterTest, water_tests
from tankwright.workspace.entries import SCALES, Entry, read_value

NOTE = "note"


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One test of the sheet. `typed` stands in its field; it is "" where the tank has no such number yet, for a
    usual one must not be stored as if it had been read. `next` is the test after it."""

    test: WaterTest
    last: Entry | None
    last_words: str
    typed: str
    usual: str
    down: str
    up: str
    chips: tuple[str, ...]
    ladder: str
    low: float
    high: float
    next: WaterTest | None
    error: FieldError | None


def show(view: View) -> Mapping[str, object]:
    """All tests, the one the address asks for open."""
    tests = water_tests(view.display)
    kinds = (*(test.kind for test in tests), NOTE)
    asked = next((kind for kind in kinds if f"enter:{kind}" in view.errors), view.query.get("kind", ""))
    kind = asked if asked in kinds else tests[0].kind
    last = view.entries.newest_values(view.params["tank"])
    following = (*tests[1:], None)
    rows = [
        _row(view, test, last.get(test.kind), after, test.kind == kind)
        for test, after in zip(tests, following, strict=True)
    ]
    return common(view) | {
        "rows": rows,
        "kind": kind,
        "sheet": tank_path(view.params["tank"], "/test"),
        "note_error": view.errors.get(f"enter:{NOTE}"),
    }


def _row(view: View, test: WaterTest, last: Entry | None, after: WaterTest | None, is_open: bool) -> Row:
    error = view.errors.get(f"enter:{test.kind}")
    start = test.usual if last is None else test.value_of(last)
    asked = view.query.get("value", "") if is_open else ""
    typed = error.typed if error is not None else asked or ("" if last is None else test.words(start))
    read = read_value(test.kind, typed)
    value = start if isinstance(read, Finding) or read[0] is None else read[0]
    down, up = test.steps(value)
    scale = SCALES[test.kind]
    return Row(
        test=test,
        last=last,
        last_words="" if last is None else f"{test.words(start)} {test.unit}".strip(),
        typed=typed[:80],
        usual=test.words(test.usual),
        down="" if down is None else test.words(down),
        up="" if up is None else test.words(up),
        chips=tuple(test.words(one) for one in test.chips(start)),
        ladder=" ".join(test.words(one) for one in test.ladder),
        low=scale.low,
        high=scale.high,
        next=after,
        error=error,
    )


PAGE = Page(
    name="test",
    path="/t/{tank}/test",
    title="Water test",
    template="test_sheet.html",
    show=show,
    needs="look",
)
