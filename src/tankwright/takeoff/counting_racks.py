"""Racks piece by piece: uprights, bearers, cross pieces, boards and braces of timber or steel as they are cut, what
holds them together and to the wall, feet; a bought rack as one article.

How a frame is put together (common practice, no source): an upright in front and one at the back at each place the
plan gives; bearers between neighbouring uprights, on edge, flush with the front and the back; one cross piece from
upright to upright under each shelf; further ones between the front and the back bearer; a board over length and depth,
notched round the uprights. Steel is joined at every corner, without cross pieces. Whether it carries the load is no
matter of this list.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

from tankwright.catalogue.sections import (
    BoardName,
    Said,
    Section,
    is_bought,
    read_board,
    read_made_of,
    read_section,
)
from tankwright.finding import Finding, Number, Severity
from tankwright.origin import Known
from tankwright.plan.models import OwnSection, Plan, RackKind, Timber
from tankwright.room.assumed import assumed
from tankwright.room.model import RackPlace, Room
from tankwright.takeoff.counted import Counted
from tankwright.takeoff.gathering import Line, gathered
from tankwright.takeoff.model import Article, Kind, Need
from tankwright.takeoff.tally import listed
from tankwright.units import Metre

PRACTICE: Final = "common practice, no source"
BEARERS: Final = 2
SCREWS_OF_A_CROSS_PIECE: Final = 4
"""Two at each end."""
MEASURED: Final = 0.001
"""m, what a ruler shows."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Built:
    """What a kind of rack is built of; a part that cannot be read is None."""

    uprights: Section | None
    bearers: Section | None
    cross: Section | None
    board: BoardName | None
    brace: Section | BoardName | None
    bearers_under: int
    cross_every: Known
    steel: bool = False

    @property
    def framed(self) -> bool:
        return self.uprights is not None and self.bearers is not None


def count_racks(plan: Plan, room: Room) -> Counted:
    """Every rack, in its pieces or as one."""
    return gathered(_lines(plan, room))


def _lines(plan: Plan, room: Room) -> Iterator[Line]:
    for name, kind in plan.rack_kind.items():
        racks = [rack for rack in room.racks if rack.kind == name]
        if not racks:
            continue
        said, read_off = _said(kind)
        built = _built(kind, said, room, plan.section)
        yield from _told(name, kind, racks, said, built, read_off)
        for rack in racks:
            if said.empty:
                if is_bought(kind.made_of or ""):
                    yield from _piece(
                        rack, f"rack {name}", "other", 1, f"rack {rack.id}", note=kind.made_of or ""
                    )
                    yield from _footing(rack, room)
                continue
            yield from _frame(rack, built, room)
            yield from _footing(rack, room)


def _said(kind: RackKind) -> tuple[Said, bool]:
    """What the plan says it is built of, and whether that was read off its sentence."""
    table = kind.timber or kind.steel
    if table is not None:
        return Said(
            uprights=table.uprights or "", bearers=table.bearers or "",
            cross=(table.cross or "") if isinstance(table, Timber) else "", board=table.board or "",
            brace=table.brace or "",
        ), False  # fmt: skip
    return read_made_of(kind.made_of or ""), True


def _built(kind: RackKind, said: Said, room: Room, own: Mapping[str, OwnSection]) -> _Built:
    table = kind.timber or kind.steel
    steel = kind.timber is None and kind.steel is not None
    bearers = _section(said.bearers, own, steel)
    timber = kind.timber
    return _Built(
        uprights=_section(said.uprights, own, steel),
        bearers=bearers,
        cross=_section(said.cross, own, steel) if said.cross else bearers,
        board=read_board(said.board),
        brace=_section(said.brace, own, steel) or read_board(said.brace),
        bearers_under=(table.bearers_under if table else None) or BEARERS,
        cross_every=(timber.cross_every if timber else None) or assumed(room, "buy.cross_every"),
        steel=steel,
    )


def _section(text: str, own: Mapping[str, OwnSection], steel: bool) -> Section | None:
    """A section by its text, or one of the owner's own by its name; a flat bar of a steel rack is no timber."""
    mine = own.get(text)
    if mine is not None:
        sizes = sorted((mine.thin.value, mine.wide.value))
        return Section(name=text, thin=sizes[0], wide=sizes[1], grade=mine.grade or "")
    section = read_section(text)
    if section is not None and steel and not section.is_tube:
        return replace(section, name=f"steel bar {section.name.removeprefix('timber ')}")
    return section


# --- the pieces of one rack ------------------------------------------------------------------------------------------


def _frame(rack: RackPlace, built: _Built, room: Room) -> Iterator[Line]:
    if built.uprights is not None:
        yield from _bar(
            rack,
            built.uprights,
            2 * len(rack.uprights),
            rack.box.z1 - rack.box.z0,
            "upright",
            steel=built.steel,
        )
    shelves = tuple(enumerate(rack.shelves, start=1))
    if built.framed:
        for number, _ in shelves:
            yield from _shelf(rack, built, number, room)
    if built.board is not None:
        for number, _ in shelves:
            yield from _board(
                rack, built.board, (rack.length, rack.depth), f"shelf {number}", "notched round the uprights"
            )
    if isinstance(built.brace, BoardName) and rack.shelves:
        high = (rack.shelves[-1] - rack.shelves[0]) or rack.box.z1
        yield from _board(rack, built.brace, (rack.length, high), "back", "screwed to uprights and bearers")
    elif isinstance(built.brace, Section) and rack.shelves:
        high = (rack.shelves[-1] - rack.shelves[0]) or rack.box.z1
        for bay, clear in enumerate(_bays(rack), start=1):
            yield from _bar(rack, built.brace, 1, math.hypot(clear, high), f"brace {bay}", steel=built.steel)


def _bays(rack: RackPlace) -> tuple[Metre, ...]:
    """Clear distances between neighbouring uprights."""
    return tuple(after[0] - before[1] for before, after in pairwise(rack.uprights) if after[0] > before[1])


def _deep(section: Section, rack: RackPlace) -> Metre:
    """An upright from front to back: the side of its section that is not seen from the front."""
    seen = rack.uprights[0][1] - rack.uprights[0][0]
    return section.wide if abs(section.thin - seen) <= abs(section.wide - seen) else section.thin


def _shelf(rack: RackPlace, built: _Built, number: int, room: Room) -> Iterator[Line]:
    uprights, bearers, cross = built.uprights, built.bearers, built.cross
    if uprights is None or bearers is None or cross is None:
        return
    at = f"shelf {number}"
    brackets = 0
    screws = assumed(room, "buy.bracket_screws")
    board_screws = assumed(room, "buy.board_screws")
    for clear in _bays(rack):
        yield from _bar(rack, bearers, built.bearers_under, clear, f"bearer {number}", at, steel=built.steel)
        brackets += 2 * built.bearers_under
        inner = rack.depth - 2.0 * bearers.thin
        if built.bearers_under == BEARERS and inner > 0.0 and not built.steel:
            every = built.cross_every.value
            pieces = max(math.ceil((clear - every) / (every + cross.thin) - 1e-9), 0)
            rests = (built.cross_every.key,) if built.cross_every.is_assumed else ()
            yield from _bar(rack, cross, pieces, inner, f"cross piece {number}", at, rests)
            yield from _piece(rack, "screw for cross pieces", "screw", SCREWS_OF_A_CROSS_PIECE * pieces, at)
        if built.board is not None:
            along = (math.floor(clear / board_screws.value + 1e-9) + 1) * built.bearers_under
            yield from _piece(
                rack, "screw for shelf boards", "screw", along, at, rests_on=_rests(board_screws)
            )
    between = rack.depth - 2.0 * _deep(uprights, rack)
    if between > 0.0:
        yield from _bar(
            rack, cross, len(rack.uprights), between, f"end piece {number}", at, steel=built.steel
        )
        brackets += 2 * len(rack.uprights)
    if built.steel:
        yield from _piece(
            rack, "joint of steel tubes, welded or bolted", "other", brackets, at,
            note="one at each end of a bearer and of a piece from front to back; by someone who knows how",
        )  # fmt: skip
        return
    yield from _piece(rack, "angle bracket", "screw", brackets, at)
    yield from _piece(
        rack, "screw for angle brackets", "screw", round(brackets * screws.value), at, rests_on=_rests(screws)
    )


def _footing(rack: RackPlace, room: Room) -> Iterator[Line]:
    legs, shims = round(rack.legs.value), assumed(room, "buy.shims")
    under = f"rack {rack.id}, feet"
    yield from _piece(
        rack, "foot under a leg", "other", legs, under, note="keeps the end of a leg off a wet floor"
    )
    yield from _piece(rack, "shim", "other", round(legs * shims.value), under, rests_on=_rests(shims))
    if not rack.island and rack.tied_to_wall is not False:
        ties = max(len(rack.uprights), 2)
        yield from _piece(
            rack, "wall tie with screw and plug", "screw", ties, f"rack {rack.id}, top",
            note="one at each upright at the back; the plug is chosen by the wall",
        )  # fmt: skip


def _rests(known: Known) -> tuple[str, ...]:
    return (known.key,) if known.is_assumed else ()


def _bar(
    rack: RackPlace, section: Section, count: int, length: Metre, what: str, at: str = "", rests: tuple[str, ...] = (),
    *, steel: bool = False,
) -> Iterator[Line]:  # fmt: skip
    yield Article(key=section.name, kind="steel" if steel else "timber", sold_by="length", source=PRACTICE)
    if count and length > 0.0:
        yield Need(
            article=section.name, count=count, length=length, system="racks", places=(rack.id,), line=rack.line,
            where=f"rack {rack.id}" + (f", {at}" if at else ""), mark=f"{rack.id} {what}", rests_on=rests,
        )  # fmt: skip


def _board(
    rack: RackPlace, board: BoardName, size: tuple[Metre, Metre], what: str, note: str
) -> Iterator[Line]:
    yield Article(key=board.name, kind="board", sold_by="sheet", note=note, source=PRACTICE)
    yield Need(
        article=board.name, count=1, size=size, system="racks", where=f"rack {rack.id}, {what}", places=(rack.id,),
        mark=f"{rack.id} {what}", line=rack.line,
    )  # fmt: skip


def _piece(
    rack: RackPlace, key: str, kind: Kind, count: int, where: str, *, note: str = "", rests_on: tuple[str, ...] = ()
) -> Iterator[Line]:  # fmt: skip
    if count:
        at = where if where.startswith("rack") else f"rack {rack.id}, {where}"
        yield Article(key=key, kind=kind, sold_by="piece", note=note, source=PRACTICE, rests_on=rests_on)
        yield Need(
            article=key,
            count=count,
            system="racks",
            where=at,
            places=(rack.id,),
            line=rack.line,
            rests_on=rests_on,
        )


# --- what the list has to say ----------------------------------------------------------------------------------------


def _told(
    name: str, kind: RackKind, racks: list[RackPlace], said: Said, built: _Built, read_off: bool
) -> Iterator[Finding]:  # fmt: skip
    subject, places, line = f"rack kind {name}", tuple(rack.id for rack in racks), kind.line
    if said.empty:
        if not is_bought(kind.made_of or ""):
            yield Finding(
                code="PART-51", severity=Severity.NOT_COMPUTED, subject=subject, line=line, places=places,
                text=f"is not counted: nothing says what it is made of; it stands as {listed(places)}",
                reason="the parts list is short of these racks",
                remedy='write timber = { uprights = "45 mm x 95 mm C24", bearers = "45 mm x 70 mm C24", '
                'board = "18 mm plywood" }, or made_of = "bought shelving"',
            )  # fmt: skip
        return
    if read_off:
        yield Finding(
            code="PART-52", severity=Severity.NOTE, subject=subject, line=line, places=places,
            text=f'is counted by what made_of says: "{kind.made_of}"',
            reason="a sentence can be misread",
            remedy="write its sections under timber or steel: uprights, bearers, board, brace",
        )  # fmt: skip
    for part in ("uprights", "bearers", "cross", "board", "brace"):
        if getattr(said, part) and getattr(built, part) is None:
            wanted = '"18 mm plywood"' if part == "board" else '"45 mm x 95 mm C24" or "2x4 SPF"'
            yield Finding(
                code="PART-53", severity=Severity.WARNING, subject=subject, line=line, places=places,
                text=f"has a size for its {part} that cannot be read, so they are not counted",
                reason="the parts list is short of them",
                remedy=f"write {part} = {wanted.split(' or ', maxsplit=1)[0]}",
                found=f'"{getattr(said, part)}"', wanted=wanted,
            )  # fmt: skip
    missing = [part for part in ("uprights", "bearers", "board") if not getattr(said, part)]
    if missing:
        yield Finding(
            code="PART-54", severity=Severity.WARNING, subject=subject, line=line, places=places,
            text=f"says nothing of its {listed(missing)}, so none are counted",
            reason="the parts list is short of them",
            remedy=f"write {missing[0]} under {'steel' if built.steel else 'timber'}",
        )  # fmt: skip
    if not said.brace:
        yield Finding(
            code="PART-55", severity=Severity.NOTE, subject=subject, line=line, places=places,
            text="has no brace across its back counted, because none is named",
            reason="a frame of uprights and bearers leans over sideways; a diagonal or a board at the back holds it",
            remedy='write brace = "9 mm plywood" or a section under timber', source=PRACTICE,
        )  # fmt: skip
    thick = kind.shelf_thickness
    if built.bearers is not None and thick is not None:
        made = built.bearers.wide + (built.board.thickness if built.board else 0.0)
        if made > thick.value + MEASURED:
            yield Finding(
                code="PART-56", severity=Severity.WARNING, subject=subject, line=thick.line or line, places=places,
                text="has shelves laid out {said} thick, but their board and bearers make {made}",
                numbers=(("said", Number(thick.value, "length")), ("made", Number(made, "length"))),
                reason="there is so much less room over the tanks below",
                remedy="correct shelf_thickness, or take a smaller section",
            )  # fmt: skip
