"""The sheet of one thing of the room: its numbers, each with its working, and the values of the plan behind it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from tankwright.finding import Finding
from tankwright.logbook.outcome import NoLogbookError
from tankwright.plan.ids import expand_ids
from tankwright.plan.models import Plan
from tankwright.room.model import RackPlace, Tank
from tankwright.web.page import View
from tankwright.web.pointer import to_pointer
from tankwright.workspace.census import number_words
from tankwright.workspace.naming import fish_in


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetField:
    """One value of the plan that can be changed here. While the plan says nothing, `assumed` is what stands in for
    it unconfirmed, `default` what that means without a guess ("none")."""

    pointer: str
    label: str
    help: str = ""
    assumed: str = ""
    choices: tuple[str, ...] = ()
    default: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """What is shown of a thing. `groups` are its figures by system, that of the layer shown first, each figure
    (label, name of a working); `findings` what concerns it; `fields` what may be changed."""

    id: str
    what: str
    place: str
    groups: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]
    findings: tuple[Finding, ...]
    fields: tuple[SheetField, ...]
    tank: Tank | None = None
    rack: RackPlace | None = None
    angle: float | None = None
    opening: float | None = None
    lives: tuple[tuple[str, str, str], ...] = ()
    """What lives in a tank by its logbook: how many, of which stock, the stock's id."""

    @property
    def figures(self) -> tuple[tuple[str, str], ...]:
        """All its figures in one row."""
        return tuple(figure for _, figures in self.groups for figure in figures)


def sheet_of(view: View, name: str) -> Sheet | None:
    """The sheet of a tank or a rack by its name; None when the room holds none of that name."""
    room = view.room
    if room is None:
        return None
    tank = next((one for one in room.tanks if one.id == name), None)
    rack = next((one for one in room.racks if one.id == name), None)
    if tank is not None:
        return _tank_sheet(view, tank)
    if rack is not None:
        return _rack_sheet(view, rack)
    return None


def concerning(view: View, name: str) -> tuple[Finding, ...]:
    """The findings that name a place."""
    return tuple(one for one in view.findings if name in one.places)


def _figures(view: View, *beginnings: str) -> tuple[tuple[str, tuple[tuple[str, str], ...]], ...]:
    name = beginnings[0].rstrip(".").rpartition(".")[2]
    systems = view.made_once.system_of(view.snapshot)
    found: dict[str, list[tuple[str, str]]] = {view.layer: []}
    for key, working in view.workings.items():
        if key.startswith(beginnings):
            found.setdefault(systems.get(key, ""), []).append((_shorter(working.title, name), key))
    return tuple((system, tuple(figures)) for system, figures in found.items() if figures)


def _shorter(title: str, name: str) -> str:
    """A working's title without the name that stands over the sheet.

    >>> _shorter("turn of the elbow of tank B6 from straight up", "B6")
    'turn of the elbow from straight up'
    """
    for said in (
        f" of tank {name}",
        f" of rack {name}",
        f" under rack {name}",
        f" in {name}",
        f" for {name}",
    ):
        title = title.replace(said, "")
    return title


def _tank_sheet(view: View, tank: Tank) -> Sheet:
    kind = ("tank_kind", tank.kind)
    fields = [
        SheetField(pointer=to_pointer((*kind, "outside", number)), label=f"{side} of every {tank.kind}")
        for number, side in enumerate(("Outside length", "Outside depth", "Outside height"))
    ]
    standing = standing_path(view, tank.id)
    if standing is not None:
        fields.insert(0, SheetField(pointer=to_pointer((*standing, "from_left")), label="First of the row, from left",
                                    help="moves every tank of its row"))  # fmt: skip
    if tank.hole is not None:
        hole = (*kind, "hole")
        fields.append(
            SheetField(
                pointer=to_pointer((*hole, "from_left")), label=f"Hole of every {tank.kind}, from the left"
            )
        )
        if tank.hole.pane != "base":
            fields.append(SheetField(pointer=to_pointer((*hole, "below_rim")), label="Hole below the rim"))
        fields.append(SheetField(pointer=to_pointer((*hole, "diameter")), label="Hole diameter",
                                 help="measure your fitting; never drill toughened glass",
                                 assumed=view.words(tank.hole.diameter.value, "length")))  # fmt: skip
    elbow = tank.overflow if tank.overflow is not None and tank.overflow.kind == "elbow" else None
    return Sheet(
        id=tank.id, what=tank.kind, place=f"rack {tank.rack}, shelf {tank.shelf}, {tank.zone or 'no zone'}",
        groups=_figures(view, f"{tank.id}."), findings=concerning(view, tank.id), fields=tuple(fields), tank=tank,
        angle=elbow.angle if elbow is not None else None, opening=_opening(view, tank.id),
        lives=_lives(view, tank.id),
    )  # fmt: skip


def _lives(view: View, tank: str) -> tuple[tuple[str, str, str], ...]:
    """What lives in the tank; nothing while its book is shut or nothing was written down."""
    try:
        book = view.log.kept
        place = book.place_labelled(tank) if book is not None else None
        here = fish_in(book, place) if book is not None and place is not None else ()
    except (OSError, NoLogbookError):
        return ()
    return tuple((number_words(one.held, one.low, one.high), stock.label, stock.id) for one, stock in here)


def _opening(view: View, tank: str) -> float | None:
    """How far the tank's tap is open, as a share; None without a tap."""
    taps = [tap for run in (view.room.airs if view.room else ()) for tap in run.taps if tap.tank == tank]
    return min((1.0 if tap.opening is None else tap.opening.value for tap in taps), default=None)


def _rack_sheet(view: View, rack: RackPlace) -> Sheet:
    plan = _plan(view)
    number = next((n for n, one in enumerate(plan.rack) if one.id == rack.id), None) if plan else None
    fields: list[SheetField] = []
    if plan is not None and number is not None:
        said = plan.rack[number]
        if said.at is not None:
            fields += [
                SheetField(pointer=to_pointer(("rack", number, "at", 0)), label="Corner, from the west wall"),
                SheetField(pointer=to_pointer(("rack", number, "at", 1)), label="Corner, from the south wall"),
            ]  # fmt: skip
        else:
            key = "from_west" if said.wall in ("north", "south") else "from_south"
            fields += [
                SheetField(
                    pointer=to_pointer(("rack", number, key)),
                    label=f"Along the wall, {key.replace('_', ' ')}",
                ),
                SheetField(pointer=to_pointer(("rack", number, "off_wall")), label="Gap behind it"),
            ]
        kind = ("rack_kind", rack.kind)
        fields += [
            SheetField(
                pointer=to_pointer((*kind, "shelves", shelf)), label=f"Shelf {shelf + 1} of every {rack.kind}"
            )
            for shelf in range(len(rack.shelves))
        ]
    return Sheet(
        id=rack.id, what=rack.kind, place=f"{rack.room}, {rack.zone or 'no zone'}",
        groups=_figures(view, f"load.{rack.id}.", f"layout.{rack.id}."), findings=concerning(view, rack.id),
        fields=tuple(fields), rack=rack,
    )  # fmt: skip


def _plan(view: View) -> Plan | None:
    """The plan of the text as it is now, so that pointers meet what stands there."""
    return view.snapshot.read.plan


def standing_path(view: View, tank: str) -> tuple[str | int, ...] | None:
    """Where in the plan the row stands that a tank belongs to."""
    for path, ids in _rows(_plan(view)):
        if tank in ids:
            return path
    return None


def _rows(plan: Plan | None) -> Iterator[tuple[tuple[str | int, ...], tuple[str, ...]]]:
    for number, rack in enumerate(plan.rack if plan else ()):
        for shelf, rows in rack.shelf.items():
            for place, row in enumerate(rows):
                yield ("rack", number, "shelf", shelf, place), expand_ids(row.ids)
