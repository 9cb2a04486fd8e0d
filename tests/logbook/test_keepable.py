"""Whatever is sent is kept just as it is, or refused in words: nothing is bent on the way, nothing raises."""

from __future__ import annotations

from datetime import UTC, datetime
from math import inf, nan
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tankwright.husbandry.records import Draft, Flow, Kind, Observed
from tankwright.logbook.store import By, Logbook, Recorded, Refused

from .books import ADA, START, after, begin, codes, done, follows, ph

BAD_TEXTS = ["a\x00b", "\ud800", "x" * 100_001]


@pytest.mark.parametrize("bad", BAD_TEXTS, ids=["nothing", "half a sign", "too long"])
@pytest.mark.parametrize("within", ["note", "reason", "details", "who", "key", "unit", "deep", "name"])
def test_a_text_that_cannot_be_kept_is_refused(book: Logbook, bad: str, within: str) -> None:
    begin(book)
    details: dict[str, Any] = {
        "details": {"kit": bad},
        "deep": {"kit": ("a", {"b": bad})},
        "name": {bad: 1},
    }.get(within, {})
    draft = Draft(
        kind="tested", happened=after(1), place="a", details=details,
        note=bad if within == "note" else "", reason=bad if within == "reason" else "",
        observed=(Observed(quantity="ph", value=7.0, unit=bad if within == "unit" else ""),),
    )  # fmt: skip
    by = By(who=bad if within == "who" else "Ada", key=bad if within == "key" else "")
    assert "LOG-30" in codes(book.record([draft], by))
    follows(book)


@pytest.mark.parametrize("bad", [nan, inf, -inf])
def test_a_number_that_is_none_is_refused(book: Logbook, bad: float) -> None:
    begin(book)
    low = Draft(
        kind="tested", happened=after(1), place="a", observed=(Observed(quantity="ph", value=7, low=bad),)
    )
    detail = Draft(kind="fed", happened=after(1), place="a", details={"grams": bad})
    assert codes(book.record([low, detail], ADA)) == ["LOG-30", "LOG-30"]


def test_more_fish_than_can_be_written_down_are_refused(book: Logbook) -> None:
    begin(book)
    flows = (
        Flow(stock="s", account="held", quantity=2**63, place="a"),
        Flow(stock="s", account="born", quantity=-(2**63)),
    )
    assert "LOG-30" in codes(
        book.record([Draft(kind="born", happened=after(1), place="a", stock="s", flows=flows)], ADA)
    )


def test_a_moment_without_a_zone_is_refused(book: Logbook) -> None:
    begin(book)
    assert codes(book.record([ph("a", 7.0, datetime(2026, 8, 2))], ADA)) == ["LOG-01"]


def test_nothing_to_record_is_nothing_recorded(book: Logbook) -> None:
    assert book.record([], ADA) == Recorded(events=())
    assert book.count_events() == 0


def test_a_value_comes_back_as_it_was_sealed(book: Logbook) -> None:
    begin(book)
    for value in (7, -0.0, 0.1 + 0.2, 1e18, 5e-324, 123456789.123456789):
        done(book.record([Draft(kind="tested", happened=after(1), place="a", note="é☃\t\n'\"\\",
                                observed=(Observed(quantity="ph", value=value),))], ADA))  # fmt: skip
    follows(book)
    assert book.readings(place="a", quantities=("ph",))[0].value == 7.0


_TEXT = st.text(max_size=20)
_FLOAT = st.none() | st.floats() | st.integers(-(10**20), 10**20)
_DETAIL = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | _TEXT,
    lambda inner: st.lists(inner, max_size=3).map(tuple) | st.dictionaries(_TEXT, inner, max_size=3), max_leaves=6,
)  # fmt: skip
_KINDS: list[Kind] = [
    "noted", "tested", "incident", "counted", "stock_opened", "place_changed", "task_set", "set_made", "tool_made",
    "quarantine_opened", "line_opened", "voided", "paid", "treated",
]  # fmt: skip
_KEYS = [
    "label", "kind", "every_days", "task", "members", "set", "places", "least_days", "quarantine", "tool", "wet_hours",
    "name", "species", "amount", "litres", "order", "with",
]  # fmt: skip
_OBSERVED = st.builds(
    Observed, quantity=st.sampled_from(["count", "ph"]), value=_FLOAT, low=_FLOAT, high=_FLOAT, unit=_TEXT
)
_ANYTHING = st.builds(
    Draft, kind=st.sampled_from(_KINDS), happened=st.datetimes(timezones=st.none() | st.just(START.tzinfo)),
    place=st.sampled_from(["", "a", "b", "nowhere"]) | _TEXT, stock=st.sampled_from(["", "s", "t"]),
    line=st.sampled_from(["", "l1"]), note=_TEXT, reason=_TEXT, voids=_TEXT,
    observed=st.lists(_OBSERVED, max_size=2).map(tuple),
    details=st.dictionaries(st.sampled_from(_KEYS) | _TEXT, _DETAIL, max_size=5),
)  # fmt: skip
_LIKELY = st.builds(
    Draft, kind=st.just("tested"), place=st.just("a"), note=_TEXT, observed=st.lists(_OBSERVED, max_size=2).map(tuple),
    happened=st.datetimes(START.replace(tzinfo=None), after(90).replace(tzinfo=None), timezones=st.just(UTC)),
    details=st.fixed_dictionaries({"kit": _DETAIL}),
)  # fmt: skip


@settings(max_examples=80, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(drafts=st.lists(_ANYTHING | _LIKELY, min_size=1, max_size=3))
def test_whatever_is_sent_is_kept_whole_or_refused_in_words(book: Logbook, drafts: list[Draft]) -> None:
    if not book.count_events():
        begin(book)
    before = book.count_events()
    outcome = book.record(drafts, ADA)
    if isinstance(outcome, Refused):
        assert outcome.findings
        assert all(one.text for one in outcome.findings)
        assert book.count_events() == before
    else:
        assert [one.observed for one in outcome.events] == [
            book.event(one.id).observed for one in outcome.events
        ]
        assert [one.details for one in outcome.events] == [
            book.event(one.id).details for one in outcome.events
        ]
        assert book.verify().broken is None
