"""The inspection pack: tanks and what they hold beside the design, species, treatments, how the records are kept."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from typing import Final

from tankwright.display import words
from tankwright.documents.gathered import runs
from tankwright.documents.model import Block, Cell, Measured, Paragraph, Sheet, Table, columns
from tankwright.documents.papers.lost import losses_of
from tankwright.documents.papers.medicines import treatments_table
from tankwright.documents.papers.source import PaperSource
from tankwright.documents.papers.told import HOW, NOT_KNOWN, day, seal_said
from tankwright.finding import Number
from tankwright.husbandry.treatments import CAUTION
from tankwright.room.model import Tank
from tankwright.room.model_water import StockPlace
from tankwright.systems.oxygen_model import TankOxygen
from tankwright.workspace.census import Lives, number_words

TABLES: Final = ("inspection-tanks", "inspection-species", "inspection-people", "treatments")
CAUTIONS: Final = (
    "A screening from what the plan and the logbook say, not an approval and no licence. How many fish a tank may hold"
    " is set by local rules and whoever inspects; no one number holds for all fish. What is worked out here is the"
    " oxygen alone: the fish that the water keeps alive from one look to the next when the air stops, by what the plan"
    " gives and assumes. Space, behaviour, ammonia and illness are not in it."
)
MORE: Final = "more"
MAYBE_MORE: Final = "may be more"
NO_MORE: Final = "no more"


def inspection_sheets(source: PaperSource) -> tuple[Sheet, ...]:
    """The pack: four sheets."""
    made = (
        ("inspection", "Inspection pack: tanks", tuple(_tanks(source))),
        ("inspection-species", "Inspection pack: species and losses", tuple(_species(source))),
        ("inspection-treatments", "Inspection pack: treatments", (
            Paragraph(text=f"Time: {source.time_said}."), treatments_table(source),
            Paragraph(text=CAUTION, caution=True),
        )),
        ("inspection-records", "Inspection pack: how the records are kept", tuple(_records(source))),
    )  # fmt: skip
    data = {"inspection": (tank_data(source),), "inspection-species": (species_data(source),)}
    return tuple(
        Sheet(name=name, title=title, part="papers", blocks=blocks, data=data.get(name, ()))
        for name, title, blocks in made
    )


def _tanks(source: PaperSource) -> Iterator[Block]:
    yield Paragraph(text=CAUTIONS, caution=True)
    if source.room is None:
        yield Paragraph(text="The plan of the room cannot be read, so its tanks are not listed.")
        return
    rows, _ = _rows(source)
    names = {tank.id for tank in source.room.tanks}
    yield Table(
        title=f"Tanks, and what lived in them {source.end_said}", rows=rows,
        note="Measures are outside: length, depth, height. “Holds” is the mass of fish that the oxygen of the still"
        " water bears between two looks, with the ends of its band. The last column is by number, beside the design.",
        columns=columns("tank", "measures", "water", "in the book*", "in the design*", "mass", "holds", "number"),
    )  # fmt: skip
    for text in _against(source):
        yield Paragraph(text=text, caution=True)
    other = [one for one in source.lives if one.place.label not in names]
    if other:
        told = ", ".join(f"{one.number} {one.stock.label} in {one.place.label}" for one in other)
        yield Paragraph(text=f"Living in places that are no tank of the plan: {told}.")


def _against(source: PaperSource) -> Iterator[str]:
    """Tanks with more fish than the design says, and those whose design has more than the water bears."""
    _, rows = _rows(source)
    more = [str(row[0]) for row in rows if row[-1] == MORE]
    if more:
        yield f"More fish than the design says: {runs(more)}. What is worked out in the plan does not hold for them."
    heavy = [
        str(row[0])
        for row in rows
        if isinstance(row[14], Number) and isinstance(row[16], Number) and row[14].value > row[16].value
    ]
    if heavy:
        yield f"The design itself has more than “holds” in {runs(heavy)}: fish there depend on air between two looks."


def tank_data(source: PaperSource) -> Table:
    """The same as data, every number in a column of its own."""
    _, rows = _rows(source)
    return Table(
        title="Tanks", file="inspection-tanks", rows=rows,
        columns=columns("tank", "kind", "rack", "zone", "length", "depth", "height", "water", "fish", "least", "most",
                        "lines", "design species", "design fish", "design mass", "holds at least", "holds",
                        "holds at most", "beside the design"),
    )  # fmt: skip


def _rows(source: PaperSource) -> tuple[tuple[tuple[Cell, ...], ...], tuple[tuple[Cell, ...], ...]]:
    """A row a tank as it is printed, and as data."""
    if source.room is None:
        return (), ()
    here: defaultdict[str, list[Lives]] = defaultdict(list)
    for one in source.lives:
        here[one.place.label].append(one)
    life = {one.tank: one.stock for one in source.room.lives}
    solved = source.study.oxygen if source.study is not None else None
    oxygen: Mapping[str, TankOxygen] = {} if solved is None else {one.tank: one for one in solved.tanks}
    both = [
        _row(source, tank, here.get(tank.id, []), life.get(tank.id), oxygen.get(tank.id)) for tank in source.room.tanks
    ]  # fmt: skip
    return tuple(one for one, _ in both), tuple(one for _, one in both)


def _row(
    source: PaperSource, tank: Tank, here: list[Lives], stock: StockPlace | None, oxygen: TankOxygen | None
) -> tuple[tuple[Cell, ...], tuple[Cell, ...]]:  # fmt: skip
    hold = oxygen.held("between looks") if oxygen is not None else None
    ends = [sum(getattr(one, end) for one in here) for end in ("held", "low", "high")]
    beside = _beside(ends[1], ends[2], stock) if here else ""
    mass: Cell = None if stock is None or stock.mass is None else Number(stock.mass.value, "mass")
    holds: tuple[Cell, ...] = (None, None, None)
    held_said = "not computed"
    if hold is not None:
        holds = tuple(Number(end, "mass") for end in (hold.low, hold.value, hold.high))
        low, value, high = (
            words(Number(end, "mass"), source.display) for end in (hold.low, hold.value, hold.high)
        )
        held_said = value if low == high else f"{value} ({low} to {high})"
    water = Number(tank.water_volume, "volume")
    sides = (tank.length, tank.depth, tank.height)
    printed: tuple[Cell, ...] = (
        tank.id, Measured(sides), water, _by_line(here), _design(stock), mass, held_said, beside,
    )  # fmt: skip
    data: tuple[Cell, ...] = (
        tank.id, tank.kind, tank.rack, tank.zone, *(Number(one, "length") for one in sides), water, *ends,
        ", ".join(sorted({_line(one) for one in here})), stock.species if stock is not None else None,
        stock.count if stock is not None else None, mass, *holds, beside,
    )  # fmt: skip
    return printed, data


def _line(one: Lives) -> str:
    return one.line.name if one.line is not None else one.stock.label


def _by_line(here: list[Lives]) -> str:
    """What lives in a tank, by line: two stocks of one line are told as one number."""
    of: defaultdict[str, list[Lives]] = defaultdict(list)
    for one in here:
        of[_line(one)].append(one)
    told = (
        f"{number_words(*(sum(getattr(one, end) for one in some) for end in ('held', 'low', 'high')))} {name}"
        for name, some in of.items()
    )
    return ", ".join(told) or "none"


def _beside(low: int, high: int, stock: StockPlace | None) -> str:
    """The number there beside that of the design."""
    if stock is None or stock.count is None:
        return "no number in the design"
    if low > stock.count:
        return MORE
    return NO_MORE if high <= stock.count else MAYBE_MORE


def _design(stock: StockPlace | None) -> str:
    if stock is None:
        return "nothing said"
    if stock.is_empty:
        return "no fish"
    count = "" if stock.count is None else f"{stock.count} "
    return f"{count}{stock.species or 'fish'}"


def species_data(source: PaperSource) -> Table:
    """Species by number, as data."""
    return Table(
        title="Species", file="inspection-species", rows=tuple(row for row, _ in _of_species(source)),
        columns=columns("species", "lines", "fish", "least", "most", "tanks", "in the design"),
    )  # fmt: skip


def _of_species(source: PaperSource) -> list[tuple[tuple[Cell, ...], tuple[int, int, int]]]:
    """A row a species, of the book and of the design, with its number and the ends of that."""
    fish: defaultdict[str, list[Lives]] = defaultdict(list)
    lines: defaultdict[str, set[str]] = defaultdict(set)
    for one in source.lives:
        name = one.line.species if one.line is not None and one.line.species else NOT_KNOWN
        fish[name].append(one)
        lines[name].add(one.line.name if one.line is not None else "of no line")
    designed: Counter[str] = Counter()
    for life in source.room.lives if source.room is not None else ():
        if life.stock is not None and life.stock.species and life.stock.count:
            designed[life.stock.species] += life.stock.count
    rows: list[tuple[tuple[Cell, ...], tuple[int, int, int]]] = []
    for name in sorted({*fish, *designed}, key=lambda name: (name == NOT_KNOWN, name)):
        some = fish.get(name, [])
        ends = (sum(one.held for one in some), sum(one.low for one in some), sum(one.high for one in some))
        tanks = len({one.place.id for one in some})
        rows.append(((name, ", ".join(sorted(lines[name])), *ends, tanks, designed.get(name, 0)), ends))
    return rows


def _species(source: PaperSource) -> Iterator[Block]:
    rows = _of_species(source)
    yield Table(
        title=f"Species {source.end_said}", columns=columns("species*", "lines*", "fish*", "tanks", "in the design"),
        rows=tuple((row[0], row[1], number_words(*ends), row[5], row[6]) for row, ends in rows),
    )  # fmt: skip
    found = losses_of(source)
    yield Paragraph(
        text=f"In the time ({source.time_said}) {found.total('dead')} fish died, {found.total('culled')} were culled,"
        f" {found.total('lost')} were missing at counts. The paper “Losses” has them by month and tank."
    )
    yield Paragraph(
        text="Whether a species may be kept, and on which permit, is set by local rules.", caution=True
    )
    yield Paragraph(text=HOW)


def _records(source: PaperSource) -> Iterator[Block]:
    from tankwright.logbook.people import how_kept, people_who_wrote  # noqa: PLC0415 - brings the database along

    asked = source.asked
    ever = how_kept(source.book, until=asked.end)
    kept = how_kept(source.book, since=asked.begin, until=asked.end)
    since = (
        f"Records are kept since {ever.first}." if ever.first is not None else "Nobody has made an entry yet."
    )
    gap = (
        f" The longest stretch without one is {kept.longest_gap} {'day' if kept.longest_gap == 1 else 'days'}, after"
        f" {kept.gap_after}."
        if kept.longest_gap
        else " On every day between the first and the last there is one."
        if kept.days
        else ""
    )
    yield Paragraph(
        text=f"{since} In the time ({source.time_said}) there are entries of people on {kept.days}"
        f" {'day' if kept.days == 1 else 'days'}.{gap} Entries are never changed: what is put right stands beside what"
        " was written first, with its reason."
    )  # fmt: skip
    yield Table(
        title="Who wrote, and when", file="inspection-people",
        columns=columns("who*", "entries", "days with entries", "first", "last"),
        rows=tuple(
            (one.who, one.entries, one.days, day(one.first), day(one.last))
            for one in people_who_wrote(source.book, since=asked.begin, until=asked.end)
        ),
    )  # fmt: skip
    yield Paragraph(text=looks_said(source))
    tasks = source.book.tasks()
    yield Table(
        title="Work that comes again", columns=columns("what*", "where", "every, days", "by"),
        rows=tuple(
            (one.label, source.place(one.place) or "the room", one.every_days, one.by or "anyone") for one in tasks
        ),
    )  # fmt: skip
    yield seal_said(source)


def looks_said(source: PaperSource) -> str:
    """At what times somebody looks, by the plan."""
    looks = source.room.looks if source.room is not None else ()
    if not looks:
        return "The plan does not say at what times somebody looks."
    times = ", ".join(words(Number(one, "clock"), source.display) for one in looks)
    absence = source.room.longest_absence if source.room is not None else None
    away = (
        ""
        if absence is None
        else f" Longest absence: {words(Number(absence.value, 'duration'), source.display)}."
    )
    return f"By the plan somebody looks at {times}, every day.{away}"
