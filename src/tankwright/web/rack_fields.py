"""Values of the plan that racks and floors rest on, to say and to change."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from tankwright.catalogue.sections import is_bought, read_made_of
from tankwright.plan.models import Plan, RackKind
from tankwright.plan.values import Path
from tankwright.room.model import RackPlace, Space
from tankwright.web.page import View
from tankwright.web.plan_values import YES_NO, FieldGroup
from tankwright.web.pointer import to_pointer
from tankwright.web.sheets import SheetField

NOT_SAID: Final = "not said"
FLOORS: Final = ("slab", "timber", "tiles on slab", "other")
_TYPED: Final = {
    "metric": ('"45x95 C24"', '"18 mm plywood"', '"1.5 kPa"'), "US": ('"2x6 SPF No.2"', '"3/4 in plywood"', '"40 psf"'),
}  # fmt: skip
"""What one types: a section with its grade, a board, a load of a floor."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sentence:
    """What a kind of rack is built of, as it was read off a sentence: it has to be written out before it is changed."""

    kind: str
    text: str
    parts: tuple[tuple[str, str], ...]


def sentence_of(plan: Plan | None, kind: str) -> Sentence | None:
    """The sentence a rack was read off; None where a table says it, or nothing can be read."""
    said = plan.rack_kind.get(kind) if plan is not None else None
    if said is None or said.timber is not None or said.steel is not None or is_bought(said.made_of or ""):
        return None
    read = read_made_of(said.made_of or "")
    if read.empty:
        return None
    parts = (
        ("uprights", read.uprights),
        ("bearers", read.bearers),
        ("board", read.board),
        ("brace", read.brace),
    )
    return Sentence(kind=kind, text=said.made_of or "", parts=tuple(one for one in parts if one[1]))


def rack_groups(view: View, plan: Plan | None, rack: RackPlace) -> Iterator[FieldGroup]:
    """The values of a rack and of its kind."""
    yield FieldGroup(title=f"Rack {rack.id}", fields=(
        _field(("rack", f"id={rack.id}", "tied_to_wall"), "Tied to the wall", default=NOT_SAID, choices=YES_NO),
    ))  # fmt: skip
    kind = plan.rack_kind.get(rack.kind) if plan is not None else None
    if kind is not None:
        yield FieldGroup(title=f"Racks {rack.kind}", fields=tuple(_kind_fields(view, kind, rack)))


def _kind_fields(view: View, kind: RackKind, rack: RackPlace) -> Iterator[SheetField]:
    here: Path = ("rack_kind", rack.kind)
    if kind.timber is not None or kind.steel is None:
        yield from _timber_fields(view, kind, rack, (*here, "timber"))
    else:
        yield from _frame_fields((*here, "steel"), '"40 mm x 40 mm x 2 mm S235"', '"18 mm plywood"')
    yield _field((*here, "shelf_rating"), "Rating of a shelf", help_="the maker's", default=NOT_SAID)
    mass = view.words(rack.mass.value, "mass") if rack.mass.is_assumed else ""
    yield _field((*here, "mass"), "Mass of the empty rack", assumed=mass)


def _timber_fields(view: View, kind: RackKind, rack: RackPlace, here: Path) -> Iterator[SheetField]:
    if sentence_of_kind(kind):
        return
    yield from _frame_fields(here, *_TYPED.get(view.display, _TYPED["metric"])[:2])
    if kind.timber is None:
        return
    built = rack.built
    damp = built.service_class if built is not None else None
    yield _field((*here, "cross"), "Pieces from front to back", default="as the bearers")
    yield _field((*here, "service_class"), "Service class", help_="1 dry, 2 damp air, 3 wetted",
                 choices=("1", "2", "3"),
                 assumed=view.words(damp.value, "number") if damp is not None and damp.is_assumed else "")  # fmt: skip
    yield _field(
        (*here, "bearers_rest"), "Bearers rest on", choices=("bracket", "notch", "block"), default=NOT_SAID
    )


def sentence_of_kind(kind: RackKind) -> bool:
    """Whether all that is known of a kind of rack was read off its sentence."""
    bought = is_bought(kind.made_of or "")
    return (
        kind.timber is None
        and kind.steel is None
        and not bought
        and not read_made_of(kind.made_of or "").empty
    )


def _frame_fields(here: Path, example: str, board: str) -> Iterator[SheetField]:
    yield _field((*here, "uprights"), "Uprights", help_=f"section and grade: {example}", default=NOT_SAID)
    yield _field((*here, "bearers"), "Bearers", help_="section and grade", default=NOT_SAID)
    yield _field((*here, "bearers_under"), "Bearers under each shelf", default="2")
    yield _field((*here, "board"), "Board", help_=board, default=NOT_SAID)
    yield _field((*here, "brace"), "Brace across the back", help_="a section, or a board", default=NOT_SAID)


def floor_groups(view: View, space: Space) -> Iterator[FieldGroup]:
    """The values of a floor."""
    here: Path = ("room", space.id)
    fields = [
        _field((*here, "floor"), "Floor", choices=FLOORS, assumed=space.floor),
        _field((*here, "floor_limit"), "What someone licensed said it may carry", default="nobody said",
               help_=_TYPED.get(view.display, _TYPED["metric"])[2]),
    ]  # fmt: skip
    if space.joists is not None:
        joists: Path = (*here, "joists")
        fields += [
            _field((*joists, "section"), "Joists", help_="section and grade"),
            _field((*joists, "every"), "From joist to joist"),
            _field((*joists, "run"), "They run", choices=("north-south", "east-west")),
            _field((*joists, "span"), "Clear span", default="the room's own"),
            _field(
                (*joists, "starts"),
                "It begins",
                help_="from the south or the west wall",
                default="at the wall",
            ),
        ]
    yield FieldGroup(title=f"Floor of {space.id}", fields=tuple(fields))
    for number, (name, _) in enumerate(space.voids):
        void: Path = (*here, "voids", number)
        if view.value(*void, "name") is None:
            continue
        yield FieldGroup(title=f"Hollow: {name}", fields=(
            _field((*void, "at", 0), "Corner, from the west wall"),
            _field((*void, "at", 1), "Corner, from the south wall"),
            _field((*void, "size", 0), "West to east"),
            _field((*void, "size", 1), "South to north"),
        ))  # fmt: skip


def _field(
    path: Path,
    label: str,
    *,
    help_: str = "",
    assumed: str = "",
    default: str = "",
    choices: tuple[str, ...] = (),
) -> SheetField:
    return SheetField(
        pointer=to_pointer(path), label=label, help=help_, assumed=assumed, default=default, choices=choices
    )
