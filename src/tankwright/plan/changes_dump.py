"""One more event a drain must take, from what a person types: a filling hose left running, standpipes pulled."""

from __future__ import annotations

from dataclasses import dataclass

from tankwright.finding import Finding, Severity
from tankwright.plan.changes_rows import AddRow
from tankwright.plan.editing import EditResult, quoted
from tankwright.plan.ids import IdsError, expand_ids
from tankwright.plan.typed import MUST_STAND, RefusedError, quantity_toml
from tankwright.plan.values import Path
from tankwright.units import clip


@dataclass(frozen=True, slots=True, kw_only=True)
class AddDumpEvent:
    """An event of a drain: a hose left in a tank (`hose_in`, `flow` as typed), or standpipes pulled (`pulled`, as
    typed: "A1..A3"). Without a name it is called after what happens.

    >>> AddDumpEvent(drain="main", hose_in="B6", flow="13 L/min").toml
    '{ name = "filling hose left in B6", hose_in = "B6", flow = "13 L/min" }'
    """

    drain: str
    hose_in: str = ""
    flow: str = ""
    pulled: str = ""
    name: str = ""

    @property
    def path(self) -> Path:
        """The drain's list of events."""
        return ("drain", self.drain, "dump")

    @property
    def called(self) -> str:
        """Its name: the one given, or after what happens."""
        happens = (
            f"filling hose left in {self.hose_in}"
            if self.hose_in
            else f"standpipes pulled of {self.pulled.strip()}"
        )
        return self.name.strip() or clip(happens, 80)

    @property
    def toml(self) -> str:
        """The event as it is written; raises RefusedError for what cannot be one."""
        if self.hose_in:
            if not self.flow.strip():
                raise RefusedError(MUST_STAND, "flow must be given", "what the hose gives", '"13 L/min"')
            flow, value = quantity_toml(self.flow.strip(), "flow", None)
            if value <= 0:
                raise RefusedError(MUST_STAND, f'flow "{clip(self.flow)}" must be more than zero')
            return f"{{ name = {quoted(self.called)}, hose_in = {quoted(self.hose_in)}, flow = {flow} }}"
        tanks = self.pulled.strip()
        try:
            expand_ids(tanks)
        except IdsError as error:
            raise RefusedError(
                MUST_STAND, f'"{clip(tanks)}" {error.text}', "tanks: A1..A3 or A1, A5"
            ) from None
        return f"{{ name = {quoted(self.called)}, standpipes_pulled = {quoted(tanks)} }}"

    def says(self, before: str) -> str:  # noqa: ARG002 - what was there before does not matter
        """The change in words for the history, at most 120 signs."""
        flow = f", {self.flow.strip()}" if self.hose_in else ""
        return clip(f"drain {self.drain}: {self.called}{flow}, added as an event", 120)

    def apply(self, text: str) -> EditResult:
        """The changed text, or the findings that say why nothing was changed."""
        try:
            toml = self.toml
        except RefusedError as error:
            finding = Finding(
                code=error.code, severity=Severity.PROBLEM, subject=f"drain {self.drain}", text=error.text,
                wanted=error.wanted, attempt=error.attempt,
            )  # fmt: skip
            return EditResult(text=None, findings=(finding,))
        return AddRow(self.path, toml).apply(text)


__all__ = ["AddDumpEvent"]
