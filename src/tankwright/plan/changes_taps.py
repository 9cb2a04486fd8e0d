"""Every air tap of a ring set at once, and its spare taps shut: one change, so one step back undoes it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from tankwright.finding import Finding
from tankwright.plan.changes_core import read, read_again, refusal, rows, written
from tankwright.plan.changes_moves import CANNOT_STAND_THERE, no_such_tank
from tankwright.plan.editing import EditResult, quoted, refused_as_broken
from tankwright.plan.positions import Positions
from tankwright.plan.statements import (
    ImpossibleError,
    Splice,
    end_of_section,
    key_text,
    line_break,
    line_end,
    spliced,
    value_at,
)
from tankwright.plan.typed import Puts
from tankwright.plan.values import Path
from tankwright.units import Dimensionless, clip

_FEW: Final = 3  # as many new tables as read well; more become lines of one table
_REMARK: Final = "# How far each air tap is open, as a share of its open area."

_Told = Sequence[tuple[str, str]]


@dataclass(frozen=True, slots=True, kw_only=True)
class SetTaps:
    """How far the air taps of many tanks are open, as shares of their open area; `shut_spare` names the rings whose
    spare taps are shut with it.

    What a tank already says is changed where it stands. Many new ones become the lines of one table, `[tank]`.

    >>> SetTaps(openings=(("A1", 0.5),)).apply("").findings[0].text
    '"A1" is no tank of this plan'
    """

    openings: tuple[tuple[str, Dimensionless], ...]
    shut_spare: tuple[str, ...] = ()

    @property
    def path(self) -> Path:
        """All that is said of single tanks."""
        return ("tank",)

    def says(self, before: str) -> str:  # noqa: ARG002 - the count says it, whatever stood there before
        """The change in words for the history, at most 120 signs."""
        count = len(self.openings)
        said = f"air tap of {self.openings[0][0]} set" if count == 1 else f"air taps of {count} tanks set"
        if self.shut_spare:
            said += f", spare taps of {', '.join(self.shut_spare)} shut"
        return clip(said, 120)

    def apply(self, text: str) -> EditResult:
        """The changed text, or the findings that say why nothing was changed."""
        positions = read(text)
        if positions.findings:
            return refused_as_broken(positions)
        wrong = self._wrong(positions)
        if wrong is not None:
            return EditResult(text=None, findings=(wrong,))
        told = [(tank, quoted(f"{100.0 * opening:.3g} %")) for tank, opening in self.openings]
        new = [one for one in told if value_at(positions, ("tank", one[0])) is None]
        try:
            if len(new) > _FEW:
                there = [one for one in told if one not in new]
                changed = self._put(positions, there)
                together = read_again(text, _with_lines(read(changed), new))
                if together.text is not None:
                    return together  # else `tank` is written in a way that takes no table of its own
            return read_again(text, self._put(positions, told))
        except ImpossibleError:
            why = "is written in a way that takes no taps"
            return EditResult(text=None, findings=(refusal(positions, ("tank",), CANNOT_STAND_THERE, why),))

    def _put(self, positions: Positions, told: _Told) -> str:
        puts: Puts = [(("tank", tank, "air_opening"), toml) for tank, toml in told]
        puts += [
            (("air", run, "open_spare_taps"), "0")
            for run in self.shut_spare
            if value_at(positions, ("air", run, "open_spare_taps"))
        ]
        return written(positions, puts) if puts else positions.text

    def _wrong(self, positions: Positions) -> Finding | None:
        known = {tank for _, ids in rows(positions) for tank in ids}
        for tank, opening in self.openings:
            if tank not in known:
                return no_such_tank(positions, tank)
            if not 0.0 <= opening <= 1.0:
                told = {"found": f"{100.0 * opening:g} %", "wanted": "0 % to 100 %"}
                text, subject = "cannot have its tap opened so far", f"tank {clip(tank, 24)}"
                return refusal(positions, self.path, CANNOT_STAND_THERE, text, subject=subject, **told)
        if not self.openings:
            told = {"found": "no tank", "wanted": "a tank and how far its tap is open"}
            return refusal(positions, self.path, CANNOT_STAND_THERE, "names no tap to set", **told)
        return None


def _with_lines(positions: Positions, told: _Told) -> str:
    """The text with a line for each tap, under the heading `[tank]`, which is added at the end if need be."""
    text, newline = positions.text, line_break(positions.text)
    lines = [f"{key_text(tank)}.air_opening = {toml}" for tank, toml in told]
    for number, one in enumerate(positions.statements):
        if one.heading and one.path == ("tank",):
            end = line_end(text, positions.statements[end_of_section(positions, number)].end)
            return spliced(text, [Splice(end, end, "".join(newline + line for line in lines))])
    gap = "" if not text else newline if text.endswith("\n") else newline * 2
    return text + gap + newline.join([_REMARK, "[tank]", *lines]) + newline
