"""The last few texts read and worked out, by their hash: undo, redo and comparing come back to them."""

from __future__ import annotations

import logging
from collections import OrderedDict
from dataclasses import replace
from pathlib import Path
from threading import Lock
from typing import Final, Generic, TypeVar

from tankwright.finding import Finding, Severity
from tankwright.plan.editing import plan_hash
from tankwright.plan.reading import ReadResult
from tankwright.study import Study
from tankwright.units import clip
from tankwright.workspace.opened import Laid, Opened, lay_text, work_out_laid
from tankwright.workspace.outcomes import OWN_FAULT

KEPT: Final = 8
_LOG: Final = logging.getLogger(__name__)

Thing = TypeVar("Thing")


class _Kept(Generic[Thing]):
    """The things asked for last, from any thread."""

    def __init__(self) -> None:
        self._things: OrderedDict[str, Thing] = OrderedDict()
        self._lock = Lock()

    def get(self, name: str) -> Thing | None:
        with self._lock:
            if name in self._things:
                self._things.move_to_end(name)
            return self._things.get(name)

    def put(self, name: str, thing: Thing) -> Thing:
        with self._lock:
            self._things[name] = thing
            self._things.move_to_end(name)
            while len(self._things) > KEPT:
                self._things.popitem(last=False)
        return thing


class Shelf:
    """Texts of one plan, laid out and worked out. A fault of the program itself becomes a finding."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._laid: _Kept[Laid] = _Kept()
        self._opened: _Kept[Opened] = _Kept()
        self._last: Study | None = None

    def lay(self, text: str) -> Laid:
        """The text read and laid out."""
        name = plan_hash(text)
        laid = self._laid.get(name)
        if laid is not None:
            return laid
        try:
            laid = lay_text(self._path, text)
        except Exception as error:
            _LOG.exception("reading or laying out failed")
            read = ReadResult(plan=None, findings=(_own_fault(error),), text=text, positions=None)
            laid = Laid(path=self._path, read=read, laid=None)
        return self._laid.put(name, laid)

    def open(self, text: str) -> Opened:
        """The text worked out."""
        name = plan_hash(text)
        opened = self._opened.get(name)
        if opened is not None:
            return opened
        laid = self.lay(text)
        try:
            opened = work_out_laid(laid, self._last)
        except Exception as error:
            _LOG.exception("working out failed")
            opened = work_out_laid(replace(laid, laid=None))
            opened = replace(opened, findings=(_own_fault(error),))
        self._last = opened.study or self._last
        return self._opened.put(name, opened)


def _own_fault(error: Exception) -> Finding:
    return Finding(
        code=OWN_FAULT,
        severity=Severity.NOT_COMPUTED,
        subject="the plan",
        text="could not be worked out: the program has a fault of its own",
        reason=clip(f"{type(error).__name__}: {error}", 200),
        remedy="take back the last change, and report what you changed",
    )
