"""What changed between two states of a plan: in its text, its figures, its findings, and where its tanks stand."""

from __future__ import annotations

import difflib
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

from tankwright.drawing.layers import draw_results
from tankwright.drawing.results import LAYERS, Layer
from tankwright.finding import Finding
from tankwright.room.model import Place, Tank
from tankwright.workspace.opened import Opened

_MOST_LINES: Final = 1000  # beyond, finding the best match of lines takes longer than anyone waits
_AROUND: Final = 2
_STANDS_STILL: Final = 1e-6  # m


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureChange:
    """A figure of a layer, in words, before and after; "" where it was not or is no more."""

    layer: str
    name: str
    old: str
    new: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TankMove:
    """A tank that stands elsewhere: its middle in metres, its rack and its shelf (from 0), before and after."""

    tank: str
    old: Place
    new: Place
    old_rack: str
    new_rack: str
    old_shelf: int
    new_shelf: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """From revision `a` to `b`. `text_lines` begin with " ", "-" or "+", and "@" where lines are left out.

    `comparable` is False when one of the two has no room: then figures and tanks say nothing.
    """

    a: int
    b: int
    text_lines: tuple[str, ...]
    comparable: bool
    figures: tuple[FigureChange, ...] = ()
    findings_gone: tuple[Finding, ...] = ()
    findings_come: tuple[Finding, ...] = ()
    tanks_moved: tuple[TankMove, ...] = ()
    tanks_added: tuple[str, ...] = ()
    tanks_removed: tuple[str, ...] = ()


def compare_opened(a: int, b: int, old: tuple[str, Opened], new: tuple[str, Opened]) -> Comparison:
    """Compare two states, each a text and what follows from it."""
    before, after = old[1], new[1]
    comparable = before.room is not None and after.room is not None
    lines = tuple(text_lines(old[0], new[0]))
    gone = _only_in(before, after)
    come = _only_in(after, before)
    if before.room is None or after.room is None:
        return Comparison(
            a=a, b=b, text_lines=lines, comparable=False, findings_gone=gone, findings_come=come
        )
    stood = {tank.id: tank for tank in before.room.tanks}
    stand = {tank.id: tank for tank in after.room.tanks}
    return Comparison(
        a=a, b=b, text_lines=lines, comparable=comparable, figures=tuple(_figures(before, after)),
        findings_gone=gone, findings_come=come,
        tanks_moved=tuple(
            _move(stood[name], tank) for name, tank in stand.items() if name in stood and _moved(stood[name], tank)
        ),
        tanks_added=tuple(name for name in stand if name not in stood),
        tanks_removed=tuple(name for name in stood if name not in stand),
    )  # fmt: skip


def text_lines(old: str, new: str) -> Iterator[str]:
    """The lines that differ, with two around them.

    >>> list(text_lines("a = 1\\nb = 2\\n", "a = 1\\nb = 3\\n"))
    [' a = 1', '-b = 2', '+b = 3']
    """
    was, now = old.splitlines(), new.splitlines()
    if was == now:
        return
    start = 0
    while start < min(len(was), len(now)) and was[start] == now[start]:
        start += 1
    end = 0
    while end < min(len(was), len(now)) - start and was[-1 - end] == now[-1 - end]:
        end += 1
    if max(len(was), len(now)) - start - end > _MOST_LINES:
        yield from (f"-{line}" for line in was[start : len(was) - end])
        yield from (f"+{line}" for line in now[start : len(now) - end])
        return
    if start > _AROUND:
        first = start - _AROUND
        yield "@"
    else:
        first = 0
    kept = max(end - _AROUND, 0)
    groups = difflib.SequenceMatcher(
        None, was[first : len(was) - kept], now[first : len(now) - kept], autojunk=False
    ).get_grouped_opcodes(_AROUND)
    for index, group in enumerate(groups):
        if index:
            yield "@"
        for tag, i1, i2, j1, j2 in group:
            if tag == "equal":
                yield from (f" {line}" for line in was[first + i1 : first + i2])
            else:
                yield from (f"-{line}" for line in was[first + i1 : first + i2])
                yield from (f"+{line}" for line in now[first + j1 : first + j2])
    if kept:
        yield "@"


def _figures(before: Opened, after: Opened) -> Iterator[FigureChange]:
    for layer in LAYERS:
        old, new = _named(before, layer), _named(after, layer)
        for name in dict.fromkeys((*new, *old)):
            if old.get(name, "") != new.get(name, ""):
                yield FigureChange(
                    layer=layer, name=name[0], old=old.get(name, ""), new=new.get(name, "")
                )  # fmt: skip


def _named(opened: Opened, layer: Layer) -> dict[tuple[str, int], str]:
    """The figures of a layer; of several with one name each has its turn."""
    if opened.study is None:
        return {}
    named: dict[tuple[str, int], str] = {}
    turns: Counter[str] = Counter()

    for name, value in draw_results(opened.study, (), layer).figures:
        named[(name, turns[name])] = value
        turns[name] += 1
    return named


def _only_in(one: Opened, other: Opened) -> tuple[Finding, ...]:
    """Findings of one that the other does not have: by code, subject and severity, each as often as it is said."""
    rest = Counter(_mark(finding) for finding in _said(other))
    only = []
    for finding in _said(one):
        if rest[_mark(finding)] > 0:
            rest[_mark(finding)] -= 1
        else:
            only.append(finding)
    return tuple(only)


def _said(opened: Opened) -> Iterable[Finding]:
    return opened.mistakes + opened.findings


def _mark(finding: Finding) -> tuple[str, str, str]:
    return (finding.code, finding.subject, finding.severity.value)


def _moved(old: Tank, new: Tank) -> bool:
    far = max(abs(one - other) for one, other in zip(old.box.middle, new.box.middle, strict=True))
    return far > _STANDS_STILL or (old.rack, old.shelf) != (new.rack, new.shelf)


def _move(old: Tank, new: Tank) -> TankMove:
    return TankMove(
        tank=new.id, old=old.box.middle, new=new.box.middle, old_rack=old.rack, new_rack=new.rack,
        old_shelf=old.shelf, new_shelf=new.shelf,
    )  # fmt: skip
