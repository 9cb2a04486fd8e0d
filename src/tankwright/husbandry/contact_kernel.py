"""The inner loop of a contact trace: one pass through what happened in the order of time.

Written once, in plain loops over one-dimensional sequences, so that the same text runs interpreted on lists and
compiled on arrays (`contact_trace`). Places, tools and items are numbers here; times are whole microseconds.

Items of one moment are gone through again until nothing changes: which of them came first nobody knows, so what could
be is what is told. A tool carries from a dip to a later one as long as it is wet, unless it was cleaned strictly in
between.

Source: earliest arrival in one pass over contacts sorted by time (Wu and others, 2014, Path problems in temporal
graphs); limits on how long a carrier waits (Bentert and others, 2020, Applied Network Science 5, 73). The rules for
tools, for equal times and for shared water are this program's own.
"""

from __future__ import annotations

from typing import Any, Final

Whole = Any
"""A list of whole numbers or an int64 array, one-dimensional."""

MOVE: Final = 0
DIP: Final = 1
CLEAN: Final = 2
WATER: Final = 3
NEVER: Final = 4_000_000_000_000_000_000
"""Later than any moment; the time of a place that was not reached."""


def expose(  # noqa: PLR0913, PLR0917 - compiled: arrays one by one
    place: int,
    at: int,
    by: int,
    item: int,
    dip: int,
    link_first: Whole,
    link_target: Whole,
    link_begin: Whole,
    link_end: Whole,
    reached: Whole,
    via_place: Whole,
    via_item: Whole,
    via_dip: Whole,
    stack: Whole,
) -> int:
    """A place is reached at a moment, and with it all that water reaches from there at that moment; how many in all.

    `via_item` is the item it was reached by, -1 for the beginning, -2 - l for the link of water l.
    """
    reached[place] = at
    via_place[place] = by
    via_item[place] = item
    via_dip[place] = dip
    stack[0] = place
    waiting = 1
    count = 1
    while waiting > 0:
        waiting -= 1
        here = stack[waiting]
        for link in range(link_first[here], link_first[here + 1]):
            there = link_target[link]
            if reached[there] == NEVER and link_begin[link] <= at <= link_end[link]:
                reached[there] = at
                via_place[there] = here
                via_item[there] = -2 - link
                via_dip[there] = -1
                stack[waiting] = there
                waiting += 1
                count += 1
    return count


def follow_contacts(  # noqa: PLR0912, PLR0913, PLR0917 - compiled: one list, one loop
    start: int,
    start_at: int,
    stop_at: int,
    first: int,
    at: Whole,
    kind: Whole,
    one: Whole,
    two: Whole,
    wet: Whole,
    link_first: Whole,
    link_source: Whole,
    link_target: Whole,
    link_begin: Whole,
    link_end: Whole,
    reached: Whole,
    via_place: Whole,
    via_item: Whole,
    via_dip: Whole,
    tool_at: Whole,
    tool_clean: Whole,
    tool_place: Whole,
    tool_item: Whole,
    stack: Whole,
) -> None:
    """Every place that can be reached from `start` between two moments; the answer is left in `reached` and `via_*`.

    Items are sorted by `at`; `first` is the first one not before `start_at`. Of a MOVE `one` and `two` are from and to,
    of a DIP tool and place, of a CLEAN the tool, of a WATER item the link that begins. It ends when all are reached.
    """
    left = len(reached)
    left -= expose(start, start_at, -1, -1, -1, link_first, link_target, link_begin, link_end, reached, via_place,
                   via_item, via_dip, stack)  # fmt: skip
    items = len(at)
    low = first
    while left > 0 and low < items and at[low] <= stop_at:
        now = at[low]
        high = low + 1
        while high < items and at[high] == now:
            high += 1
        changed = 1
        while changed > 0:
            changed = 0
            for i in range(low, high):
                if kind[i] == MOVE:
                    if reached[one[i]] != NEVER and reached[two[i]] == NEVER:
                        left -= expose(two[i], now, one[i], i, -1, link_first, link_target, link_begin, link_end,
                                       reached, via_place, via_item, via_dip, stack)  # fmt: skip
                        changed = 1
                elif kind[i] == DIP:
                    tool = one[i]
                    place = two[i]
                    if (
                        reached[place] == NEVER
                        and tool_item[tool] >= 0
                        and now - tool_at[tool] <= wet[tool]
                        and tool_clean[tool] <= tool_at[tool]
                    ):
                        left -= expose(place, now, tool_place[tool], i, tool_item[tool], link_first, link_target,
                                       link_begin, link_end, reached, via_place, via_item, via_dip,
                                       stack)  # fmt: skip
                        changed = 1
                    if reached[place] != NEVER and (tool_item[tool] < 0 or tool_at[tool] < now):
                        tool_at[tool] = now
                        tool_place[tool] = place
                        tool_item[tool] = i
                        changed = 1
                elif kind[i] == WATER:
                    link = one[i]
                    if reached[link_source[link]] != NEVER and reached[link_target[link]] == NEVER:
                        left -= expose(link_target[link], now, link_source[link], -2 - link, -1, link_first,
                                       link_target, link_begin, link_end, reached, via_place, via_item, via_dip,
                                       stack)  # fmt: skip
                        changed = 1
            if high - low == 1:
                changed = 0
        for i in range(low, high):
            if kind[i] == CLEAN:
                tool_clean[one[i]] = now
        low = high
