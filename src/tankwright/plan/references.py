"""Names a plan uses must lead somewhere: kinds, rooms, racks, tanks, pumps; each thing once, no circles.

This looks at the plain values, not at the models, so that a mistake in one table hides none in another.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from tankwright.finding import Finding, Severity
from tankwright.plan.ids import IdsError, expand_ids
from tankwright.plan.models import Plan
from tankwright.plan.pieces import as_key, tables, texts
from tankwright.plan.positions import Positions
from tankwright.plan.references_alarms import at_alarms
from tankwright.plan.references_wish import at_wish
from tankwright.plan.shape import place_of
from tankwright.plan.suggest import listed, nearest
from tankwright.plan.values import Path
from tankwright.units import clip

UNKNOWN_NAME: Final = "PLAN-030"
ID_TWICE: Final = "PLAN-031"
ON_TWO_SHELVES: Final = "PLAN-032"
IN_A_CIRCLE: Final = "PLAN-033"
UNREADABLE_IDS: Final = "PLAN-034"
NO_SUCH_SHELF: Final = "PLAN-035"
DEFAULT_ZONE: Final = "main"

# which key names a thing of which part of the plan: part, key, parts it may name, what that is called
_NAMES: Final = (
    ("water_point", "room", ("room",), "room"),
    ("vat", "room", ("room",), "room"),
    ("vat", "pump", ("pump",), "pump"),
    ("outfall", "room", ("room",), "room"),
    ("rack", "room", ("room",), "room"),
    ("rack", "kind", ("rack_kind",), "rack kind"),
    ("rack", "zone", ("zone",), "zone"),
    ("drain", "behind", ("rack",), "rack"),
    ("drain", "or_to", ("outfall",), "outfall"),
    ("feed", "zones", ("zone",), "zone"),
    ("feed", "racks", ("rack",), "rack"),
    ("pump", "room", ("room",), "room"),
    ("air", "pump", ("pump",), "pump"),
    ("air", "pumps", ("pump",), "pump"),
    ("air", "around", ("room",), "room"),
    ("air", "zones", ("zone",), "zone"),
    ("air", "racks", ("rack",), "rack"),
    ("air", "isolated", ("rack",), "rack"),
    ("water", "comes_from", ("water_point", "vat"), "water point or vat"),
)


def reference_mistakes(positions: Positions) -> list[Finding]:
    """Every name that leads nowhere, every thing that is there twice, every run in a circle."""
    look = Look(positions)
    look.at_names()
    look.at_tanks()
    look.at_racks_and_boards()
    look.at_drains()
    look.at_lists_of_tanks()
    look.at_single_tanks()
    look.at_power()
    look.at_mixes()
    look.at_climate()
    at_alarms(look)
    at_wish(look)
    return look.findings


@dataclass(slots=True)
class Look:
    """One looking over of a plan: what its names are, and what was found."""

    positions: Positions
    findings: list[Finding] = field(default_factory=list)
    tanks: dict[str, Path] = field(default_factory=dict)
    ids_are_read: bool = True

    # --- what there is ---

    def part(self, name: str) -> list[tuple[Path, Mapping[str, Any]]]:
        """The tables of a part of the plan with their paths, whether they stand by name or in a list."""
        value = self.positions.data.get(name)
        if isinstance(value, Mapping):
            return [((name, key), one) for key, one in value.items() if isinstance(one, Mapping)]
        if isinstance(value, list):
            return [((name, place), one) for place, one in enumerate(value) if isinstance(one, Mapping)]
        return []

    def names(self, part: str) -> list[str]:
        """The names of the things of a part; a rack's is its id."""
        if part == "rack":
            return [one["id"] for _, one in self.part("rack") if isinstance(one.get("id"), str)]
        parts = [table for key, table in self.positions.data.items() if self.part_meant_by(key) == part]
        names = [name for table in parts if isinstance(table, Mapping) for name in table]
        names += [str(path[1]) for path in self.positions.broken if len(path) > 1 and path[0] == part]
        return [*names, DEFAULT_ZONE] if part == "zone" else names

    def part_meant_by(self, key: str) -> str:
        """The part of the plan a heading means; a misspelt heading is told elsewhere, its things are there."""
        return key if key in Plan.model_fields else nearest(key, Plan.model_fields)

    # --- looks ---

    def at_names(self) -> None:
        for part, key, targets, what in _NAMES:
            known = [name for target in targets for name in self.names(target)]
            for path, table in self.part(part):
                for place, name in texts(table.get(key), (*path, key)):
                    self.must_be(name, known, what, place)

    def must_be(self, name: str, known: Iterable[str], what: str, path: Path) -> None:
        """Say so when a name is not known."""
        choices = list(known)
        if name in choices:
            return
        near = nearest(name, choices)
        guess = f'; did you mean "{clip(near)}"?' if near else ""
        self.say(
            UNKNOWN_NAME,
            path,
            f'"{clip(name)}" is no {what} of this plan{guess}',
            wanted=f"a {what}: {listed(choices)}",
            attempt=f'"{clip(near)}"' if near else "",
        )

    def key_must_be(self, path: Path, known: Iterable[str], what: str) -> None:
        """Say so when the last key of a path is a name that is not known; it is the key that is to be mended."""
        name, choices = str(path[-1]), list(known)
        if name in choices:
            return
        near = nearest(name, choices)
        guess = f'; did you mean "{clip(near)}"?' if near else ""
        source = clip(" ".join(self.positions.source_of(path).split()), 80)
        found = source if source.startswith("[") else f"{as_key(name)} = {source}"
        place = place_of(path, Plan, self.positions.data)
        within = place.key.rpartition(".")[0]
        said = f'{within} names "{clip(name)}", which' if within else f'"{clip(name)}"'
        self.findings.append(
            Finding(
                code=UNKNOWN_NAME,
                severity=Severity.PROBLEM,
                subject=place.subject,
                text=f"{said} is no {what} of this plan{guess}",
                line=self.positions.line_of(path),
                found=found,
                wanted=f"a {what}: {listed(choices)}",
                attempt=found.replace(as_key(name), as_key(near), 1) if near else "",
            )
        )

    def at_tanks(self) -> None:
        kinds = self.names("tank_kind")
        for path, rack in self.part("rack"):
            shelves = rack.get("shelf")
            if not isinstance(shelves, Mapping):
                continue
            count = self.shelf_count(rack)
            for shelf, row in shelves.items():
                here: Path = (*path, "shelf", shelf)
                digits = shelf.isascii() and shelf.isdigit() and shelf[0] != "0" and len(shelf) < 4
                if not digits or int(shelf) > (count or 999):
                    last = f"1 to {count}" if count else "1, 2, 3 ... from the lowest"
                    text = f'"{clip(shelf)}" is no shelf of this rack'
                    self.say(NO_SUCH_SHELF, here, text, wanted=f"a shelf number: {last}")
                if isinstance(row, list):
                    for place, standing in enumerate(row):
                        if isinstance(standing, Mapping):
                            self.at_standing(standing, (*here, place), kinds)

    def shelf_count(self, rack: Mapping[str, Any]) -> int | None:
        """The number of shelves of a rack's kind, when the plan says it."""
        kinds, name = self.positions.data.get("rack_kind"), rack.get("kind")
        kind = kinds.get(name) if isinstance(kinds, Mapping) and isinstance(name, str) else None
        shelves = kind.get("shelves") if isinstance(kind, Mapping) else None
        return len(shelves) if isinstance(shelves, list) and shelves else None

    def at_standing(self, standing: Mapping[str, Any], path: Path, kinds: list[str]) -> None:
        kind, ids = standing.get("kind"), standing.get("ids")
        if isinstance(kind, str):
            self.must_be(kind, kinds, "tank kind", (*path, "kind"))
        if not isinstance(ids, str):
            return
        here: Path = (*path, "ids")
        expanded = self.expanded(ids, here)
        self.ids_are_read = self.ids_are_read and bool(expanded)
        for one in expanded:
            first = self.tanks.setdefault(one, here)
            if first is here:
                continue
            line = self.positions.line_of(first)
            if first[:4] == path[:4]:
                text = f'tank "{clip(one)}" stands twice on this shelf, first on line {line}'
                self.say(ID_TWICE, here, text, wanted="each id once", bare=True)
            else:
                other = place_of(first[:4], Plan, self.positions.data).subject
                text = f'tank "{clip(one)}" also stands on {other} (line {line})'
                self.say(ON_TWO_SHELVES, here, text, wanted="each tank on one shelf", bare=True)

    def expanded(self, text: str, path: Path) -> tuple[str, ...]:
        """The ids of a text; an unreadable one is reported and gives none."""
        try:
            return expand_ids(text)
        except IdsError as error:
            self.say(
                UNREADABLE_IDS,
                path,
                f'"{clip(text)}" {error.text}',
                wanted='ids: "A1", "A1..A4" or "A1, B2"',
                attempt=error.attempt,
            )
            return ()

    def at_racks_and_boards(self) -> None:
        self.once(((*path, "id"), one.get("id")) for path, one in self.part("rack"))
        self.once(((*path, "id"), one.get("id")) for path, one in self.boards())

    def once(self, ids: Iterable[tuple[Path, Any]]) -> None:
        """Say so when an id comes a second time."""
        first: dict[str, Path] = {}
        for path, one in ids:
            if isinstance(one, str) and first.setdefault(one, path) is not path:
                line = self.positions.line_of(first[one])
                text = f'"{clip(one)}" is already taken (line {line})'
                self.say(ID_TWICE, path, text, wanted="an id of its own")

    def at_drains(self) -> None:
        outfalls, drains = self.names("outfall"), self.names("drain")
        leads_to = {name: table.get("to") for (_, name), table in self.part("drain")}
        for path, table in self.part("drain"):
            target = table.get("to")
            if isinstance(target, str) and target in drains and target not in outfalls:
                self.at_drain_chain(str(path[1]), target, leads_to, (*path, "to"), outfalls)
            elif isinstance(target, str):
                self.must_be(target, outfalls, "outfall", (*path, "to"))
            racks = [name for _, name in texts(table.get("behind"), path)]
            for name in sorted({one for one in racks if racks.count(one) > 1}):
                text = f'passes rack "{clip(name)}" {racks.count(name)} times'
                self.say(
                    IN_A_CIRCLE,
                    (*path, "behind"),
                    text,
                    wanted="each rack once, in the order of the water",
                    bare=True,
                )
        for part in ("drain", "air"):
            for path, table in self.part(part):
                self.at_corners(table.get("path"), (*path, "path"))

    def at_drain_chain(
        self, start: str, target: str, leads_to: Mapping[Any, Any], path: Path, outfalls: list[str]
    ) -> None:
        """A drain that ends in a drain: in a circle or not, it must name an outfall."""
        chain = [start]
        step: Any = target
        while isinstance(step, str) and step in leads_to and step not in chain:
            chain.append(step)
            step = leads_to[step]
        wanted = f"an outfall: {listed(outfalls)}"
        if step in chain:
            shown = " -> ".join(clip(one, 20) for one in [*chain[:6], str(step)])
            self.say(IN_A_CIRCLE, path, f"runs in a circle: {shown}", wanted=wanted, bare=True)
        else:
            self.say(UNKNOWN_NAME, path, f'"{clip(target)}" is a drain, not an outfall', wanted=wanted)

    def at_corners(self, corners: Any, path: Path) -> None:
        """A run that comes back to one of its own corners."""
        if not isinstance(corners, list):
            return
        seen: dict[str, int] = {}
        closing = path[0] == "air"  # a ring may be drawn with its first corner again at its end
        for place, corner in enumerate(corners):
            first = seen.setdefault(repr(corner), place)
            if first != place and not (closing and first == 0 and place == len(corners) - 1):
                text = f"comes back to its corner {first + 1} at corner {place + 1}"
                self.say(IN_A_CIRCLE, (*path, place), text, wanted="a run that passes each corner once")

    def at_lists_of_tanks(self) -> None:
        sources = [*self.names("water_point"), *self.names("vat"), *self.tanks]
        for path, table in self.part("feed"):
            for key in ("from", "source") if self.tanks_are_known else ():
                for here, name in texts(table.get(key), (*path, key)):
                    self.must_be(name, sources, "water point, vat or tank", here)
            self.must_be_tanks(table.get("tanks"), (*path, "tanks"))
        for path, table in self.part("drain"):
            for here, text in texts(table.get("tees"), (*path, "tees")):
                self.must_be_tanks(text, here)
            events = table.get("dump")
            for place, event in enumerate(events if isinstance(events, list) else ()):
                if isinstance(event, Mapping):
                    here = (*path, "dump", place)
                    self.must_be_tanks(event.get("hose_in"), (*here, "hose_in"))
                    self.must_be_tanks(event.get("standpipes_pulled"), (*here, "standpipes_pulled"))
        for path, row in self.part("stock"):
            self.must_be_tanks(row.get("tanks"), (*path, "tanks"))
        for path, board in self.boards():
            for here, load in tables(board.get("loads"), (*path, "loads")):
                self.must_be_tanks(load.get("serves"), (*here, "serves"))

    def must_be_tanks(self, text: Any, path: Path) -> None:
        if not isinstance(text, str):
            return
        named = self.expanded(text, path)
        unknown = [one for one in named if one not in self.tanks] if self.tanks_are_known else []
        if len(unknown) > 1:  # one row is one mistake, however many tanks it names
            said = f"{listed(unknown, 'and')} are no tanks of this plan"
            self.say(UNKNOWN_NAME, path, said, wanted=f"tanks: {listed(self.tanks, 'and')}")
        elif unknown:
            self.must_be(unknown[0], self.tanks, "tank", path)

    @property
    def tanks_are_known(self) -> bool:
        """False when a broken rack or row of ids hides tanks: a name that leads nowhere then only follows from it."""
        return self.ids_are_read and not any(one[0] == "rack" for one in self.positions.broken)

    def at_single_tanks(self) -> None:
        """A [tank.X] whose tank no rack holds."""
        for path, table in self.part("tank") if self.tanks_are_known else ():
            name = path[1]
            if not isinstance(name, str) or name in self.tanks:
                continue
            near = nearest(name, self.tanks)
            source = clip(" ".join(self.positions.source_of(path).split()), 80)
            kind = f"[tank_kind.{as_key(name)}]" if "outside" in table else ""
            self.findings.append(
                Finding(
                    code=UNKNOWN_NAME,
                    severity=Severity.PROBLEM,
                    subject=place_of(path, Plan, self.positions.data).subject,
                    text="stands on no rack of this plan"
                    + (f'; did you mean "{clip(near)}"?' if near else "")
                    + ("; a kind of tank is a [tank_kind...]" if kind else ""),
                    line=self.positions.line_of(path),
                    found=f"{as_key(name)} = {source}" if source.startswith("{") else source,
                    wanted=f"a tank: {listed(self.tanks)}",
                    attempt=kind or (f"[tank.{as_key(near)}]" if near else ""),
                )
            )

    def at_power(self) -> None:
        power = self.positions.data.get("power")
        circuits = power.get("circuits") if isinstance(power, Mapping) else None
        known = list(circuits) if isinstance(circuits, Mapping) else []
        racks, pumps = self.names("rack"), self.names("pump")
        for path, board in self.boards():
            for key, choices, what in (("circuit", known, "circuit"), ("rack", racks, "rack")):
                name = board.get(key)
                if isinstance(name, str):
                    self.must_be(name, choices, what, (*path, key))
            for here, load in tables(board.get("loads"), (*path, "loads")):
                pump = load.get("pump")
                if isinstance(pump, str):
                    self.must_be(pump, pumps, "pump", (*here, "pump"))

    def at_mixes(self) -> None:
        """Every part of a mix is a measured water: a mix of mixes would hide what is in it."""
        mixed = [str(path[1]) for path, one in self.part("water") if one.get("mix")]
        waters = [one for one in self.names("water") if one not in mixed]
        for path, table in self.part("water"):
            mix = table.get("mix")
            for part in mix if isinstance(mix, Mapping) else ():
                here: Path = (*path, "mix", part)
                if part in mixed:
                    text = f'"{clip(str(part))}" is itself a mix'
                    self.say(IN_A_CIRCLE, here, text, wanted=f"waters as measured: {listed(waters)}")
                else:
                    self.key_must_be(here, waters, "water")

    def at_climate(self) -> None:
        """The rooms a climate is said for."""
        climate = self.positions.data.get("climate")
        rooms = climate.get("room") if isinstance(climate, Mapping) else None
        for name in rooms if isinstance(rooms, Mapping) else ():
            self.key_must_be(("climate", "room", name), self.names("room"), "room")

    def boards(self) -> list[tuple[Path, Mapping[str, Any]]]:
        power = self.positions.data.get("power")
        boards = power.get("boards") if isinstance(power, Mapping) else None
        return list(tables(boards, ("power", "boards")))

    # --- what to say ---

    def say(
        self, code: str, path: Path, text: str, *, wanted: str = "", attempt: str = "", bare: bool = False
    ) -> None:
        """A finding at a path; `bare` leaves its key out of the sentence."""
        place = place_of(path, Plan, self.positions.data)
        key = next((str(step) for step in reversed(path) if isinstance(step, str)), "")
        keyed = path if isinstance(path[-1], str) else path[:-1]
        source = clip(" ".join(self.positions.source_of(keyed).split()), 80)
        self.findings.append(
            Finding(
                code=code,
                severity=Severity.PROBLEM,
                subject=place.subject,
                text=text if bare or not place.key else f"{place.key} {text}",
                line=self.positions.line_of(path),
                found=f"{key} = {source}" if source else "",
                wanted=wanted,
                attempt=f"{key} = {attempt}" if attempt and keyed == path else attempt,
            )
        )
