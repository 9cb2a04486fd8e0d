"""One open plan: read, laid out, worked out, judged. The only thing the views talk to.

It goes in two steps, since an edit has to know quickly whether its text can be read and laid out, and only
then, and only for the newest text, is the room worked out.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from tankwright.checks.all import judge, worst_first
from tankwright.finding import Finding, Severity
from tankwright.plan.models import Plan
from tankwright.plan.reading import ReadResult, read_plan_file, read_plan_text
from tankwright.room.layout import LaidOut, lay_out
from tankwright.room.model import Room
from tankwright.sensitivity import Consequence, rank_assumptions
from tankwright.study import Study, work_out
from tankwright.units import clip
from tankwright.weather.model import WeatherYear
from tankwright.weather.named import year_named


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """A plan file and all that follows from it.

    `mistakes` are what is wrong with the text; with any problem among them there is no plan. `findings` are what
    the laid-out and worked-out room shows, worst first. `read` knows the text and where each value stands in it.
    """

    path: Path
    plan: Plan | None
    mistakes: tuple[Finding, ...]
    room: Room | None = None
    study: Study | None = None
    findings: tuple[Finding, ...] = ()
    read: ReadResult | None = None

    @property
    def has_problems(self) -> bool:
        """True when anything stands that will not do."""
        everything = self.mistakes + self.findings
        return any(finding.severity is Severity.PROBLEM for finding in everything)

    def consequences(self, progress: Callable[[int, int], None] | None = None) -> tuple[Consequence, ...]:
        """The assumptions in use, most consequential first."""
        if self.plan is None or self.room is None:
            return ()
        return rank_assumptions(
            self.plan,
            self.room.assumed,
            weather=self.study.weather if self.study else None,
            progress=progress,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """A text read and laid out, not worked out yet: the quick half of opening. `laid` is None without a plan."""

    path: Path
    read: ReadResult
    laid: LaidOut | None

    @property
    def room(self) -> Room | None:
        """The laid-out room, when there is one."""
        return None if self.laid is None else self.laid.room


def lay_text(path: Path, text: str) -> Laid:
    """Read a text as the plan of that path and lay it out; the disk is not read."""
    return _lay(path, read_plan_text(text, clip(path.name or str(path))))


def work_out_laid(laid: Laid, before: Study | None = None) -> Opened:
    """The slow half of opening: work out and judge what was laid out; what is as `before` is taken from there."""
    read = laid.read
    if laid.laid is None or laid.laid.room is None:
        findings = () if laid.laid is None else laid.laid.findings
        return Opened(path=laid.path, plan=read.plan, mistakes=read.findings, findings=findings, read=read)
    room = laid.laid.room
    weather: WeatherYear | None = None
    about_weather: tuple[Finding, ...] = ()
    if room.climate is not None:
        weather, about_weather = year_named(room.climate.weather, laid.path.parent, room.climate.weather_line)
    study = work_out(room, weather=weather, known=before)
    findings = worst_first(laid.laid.findings + about_weather + judge(study))
    return Opened(
        path=laid.path, plan=read.plan, mistakes=read.findings, room=room, study=study,
        findings=findings, read=read,
    )  # fmt: skip


def open_text(path: Path, text: str) -> Opened:
    """Read a text as the plan of that path and work the room out, without the disk. Never raises for the text.

    >>> open_text(Path("cellar.toml"), 'title = "Cellar"').findings[0].code
    'LAYOUT-100'
    """
    return work_out_laid(lay_text(path, text))


def open_plan(path: Path) -> Opened:
    """Read a plan file and work the room out. Never raises for what the file holds."""
    return work_out_laid(lay_plan(path))


def lay_plan(path: Path) -> Laid:
    """Read a plan file and lay the room out, without working it out. Never raises for what the file holds."""
    return _lay(path, read_plan_file(path))


def _lay(path: Path, read: ReadResult) -> Laid:
    return Laid(path=path, read=read, laid=None if read.plan is None else lay_out(read.plan))
