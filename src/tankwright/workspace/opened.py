"""One open plan: read, laid out, worked out, judged. The only thing the views talk to."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from tankwright.checks.all import judge, worst_first
from tankwright.finding import Finding, Severity
from tankwright.plan.models import Plan
from tankwright.plan.reading import read_plan_file
from tankwright.room.layout import lay_out
from tankwright.room.model import Room
from tankwright.sensitivity import Consequence, rank_assumptions
from tankwright.study import Study, work_out


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """A plan file and all that follows from it.

    `mistakes` are what is wrong with the text; with any problem among them there is no plan. `findings` are what
    the laid-out and worked-out room shows, worst first.
    """

    path: Path
    plan: Plan | None
    mistakes: tuple[Finding, ...]
    room: Room | None = None
    study: Study | None = None
    findings: tuple[Finding, ...] = ()

    @property
    def has_problems(self) -> bool:
        """True when anything stands that will not do."""
        everything = self.mistakes + self.findings
        return any(finding.severity is Severity.PROBLEM for finding in everything)

    def consequences(self, progress: Callable[[int, int], None] | None = None) -> tuple[Consequence, ...]:
        """The assumptions in use, most consequential first."""
        if self.plan is None or self.room is None:
            return ()
        return rank_assumptions(self.plan, self.room.assumed, progress=progress)


def open_plan(path: Path) -> Opened:
    """Read a plan file and work the room out. Never raises for what the file holds."""
    read = read_plan_file(path)
    if read.plan is None:
        return Opened(path=path, plan=None, mistakes=read.findings)
    laid = lay_out(read.plan)
    if laid.room is None:
        return Opened(path=path, plan=read.plan, mistakes=read.findings, findings=laid.findings)
    study = work_out(laid.room)
    findings = worst_first(laid.findings + judge(study))
    return Opened(
        path=path, plan=read.plan, mistakes=read.findings, room=laid.room, study=study, findings=findings
    )
