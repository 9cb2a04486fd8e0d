"""What a rack is built of, as its kind says it under `timber` or `steel` or in a sentence; and sags read off it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from tankwright.catalogue.sections import Said, is_bought, read_board, read_made_of, read_section
from tankwright.origin import Known, Origin
from tankwright.plan.models import Rack, RackKind, Steel, Timber
from tankwright.room.defaults import Defaults
from tankwright.room.members import Asked, Members
from tankwright.room.mistakes import SAG_OF_NOTHING, TWO_MATERIALS, UNREADABLE_SECTION, Mistakes
from tankwright.room.model_structure import RackBuilt, SagReading

Brace = Literal["diagonal", "board", "none"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Builds:
    """What reading the kinds of rack needs."""

    members: Members
    defaults: Defaults
    mistakes: Mistakes

    def built(self, name: str, kind: RackKind) -> RackBuilt | None:
        """What racks of a kind are built of; None where nothing says it, or where they are bought as they stand."""
        if kind.timber is not None and kind.steel is not None:
            self.mistakes.say(
                TWO_MATERIALS,
                f"rack kind {name}",
                "says what it is built of twice: timber and steel",
                line=kind.steel.line or kind.line,
                reason="a rack is worked out as one frame; it is taken to be of timber",
                remedy="keep the one it is built of",
                found="timber = ..., steel = ...",
                wanted="one of the two",
            )
        table = kind.timber or kind.steel
        if table is not None:
            return self._said(name, table)
        said = read_made_of(kind.made_of or "")
        if said.empty or is_bought(kind.made_of or ""):
            return None
        return self._built(name, said, kind.line, None)

    def _said(self, name: str, table: Timber | Steel) -> RackBuilt:
        said = Said(
            uprights=table.uprights or "",
            bearers=table.bearers or "",
            cross=(table.cross or "") if isinstance(table, Timber) else "",
            board=table.board or "",
            brace=table.brace or "",
        )
        return self._built(name, said, table.line, table)

    def _built(self, name: str, said: Said, line: int | None, table: Timber | Steel | None) -> RackBuilt:
        subject, strict = f"rack kind {name}", table is not None
        timber = table if isinstance(table, Timber) else None
        steel = isinstance(table, Steel)

        def asked(key: str) -> Asked:
            return Asked(subject=subject, key=key, line=line, strict=strict)

        board = read_board(said.board)
        if said.board and board is None and strict:
            self._say_unreadable_board(said.board, asked("board"))
        found = {
            key: self.members.read(text, asked(key)) if text else None
            for key, text in (("uprights", said.uprights), ("bearers", said.bearers), ("cross", said.cross))
        }
        service = None
        if not steel:
            given = timber.service_class if timber else None
            service = self.defaults.take(
                "racks.service_class",
                None if given is None else Known(float(given), Origin.GIVEN, line=line),
            )
        return RackBuilt(
            material="steel" if steel else "timber",
            uprights=found["uprights"],
            bearers=found["bearers"],
            bearers_under=(table.bearers_under if table else None) or 2,
            cross=found["cross"],
            cross_every=timber.cross_every if timber else None,
            board=board,
            board_grade=self.members.board(board, asked("board")),
            brace=self._brace(said.brace, asked("brace")),
            service_class=service,
            bearers_rest=timber.bearers_rest if timber else None,
            read_off=table is None,
            line=line,
        )

    def _brace(self, text: str, asked: Asked) -> Brace:
        if not text:
            return "none"
        if read_section(text) is not None:
            return "diagonal"
        if read_board(text) is not None:
            return "board"
        return "diagonal" if self.members.read(text, asked).section is not None else "none"

    def _say_unreadable_board(self, text: str, asked: Asked) -> None:
        self.mistakes.say(
            UNREADABLE_SECTION,
            asked.subject,
            "has a board that cannot be read",
            line=asked.line,
            reason="the board is not worked out",
            remedy="write its thickness and what it is",
            found=f'"{text}"',
            wanted='a thickness and a kind: "18 mm plywood", "3/4 in plywood"',
        )

    def sags(self, table: Rack, kind: RackKind, built: RackBuilt | None) -> tuple[SagReading, ...]:
        """The sags read off one rack; one of a shelf or a bearer it does not have is a mistake."""
        return tuple(self._sags(table, len(kind.shelves), built))

    def _sags(self, table: Rack, shelves: int, built: RackBuilt | None) -> Iterable[SagReading]:
        for reading in table.sag:
            no_shelf = reading.shelf > shelves
            if no_shelf or (
                reading.bearer == "middle" and built is not None and built.bearers_under % 2 == 0
            ):
                self.mistakes.say(
                    SAG_OF_NOTHING,
                    f"rack {table.id}",
                    f"has a sag read on shelf {reading.shelf}, which its kind does not have"
                    if no_shelf
                    else "has a sag read on a middle bearer, but its kind has none in the middle",
                    line=reading.line or table.line,
                    reason="it is held against nothing",
                    remedy="write the shelf and the bearer it was read on",
                    found=f"shelf = {reading.shelf}" if no_shelf else 'bearer = "middle"',
                    wanted=f"a shelf from 1 to {shelves}" if no_shelf else '"front" or "back"',
                )
                continue
            yield SagReading(
                shelf=reading.shelf,
                bearer=reading.bearer,
                sag=reading.sag,
                carries=reading.carries.value if reading.carries else None,
                days=reading.days.value if reading.days else None,
            )
