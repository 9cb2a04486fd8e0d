"""Every paper there is: what it is called and for, which choices it takes, which tables it has; and its files."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Final

from tankwright.display import printable
from tankwright.documents.data_files import csv_of
from tankwright.documents.model import Block, Paragraph, Sheet, Table
from tankwright.documents.papers import breeding, census, inspection, lost, medicines, seller, strain
from tankwright.documents.papers.asked import What
from tankwright.documents.papers.source import PaperSource
from tankwright.documents.pdf import pdf_of

Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """A paper: `choices` are the fields of `asked.FIELDS` it takes, those of `must` have to be said; `tables` are the
    names of its tables as CSV."""

    what: What
    title: str
    purpose: str
    choices: tuple[str, ...]
    tables: tuple[str, ...]
    make: Callable[[PaperSource], tuple[Sheet, ...]] = field(compare=False, repr=False)
    must: tuple[str, ...] = ()


PAPERS: Final = (
    Paper(
        what="strain", title="Strain sheet", tables=strain.TABLES, make=strain.strain_sheets,
        purpose="one line: what it is, whence, how it stands, breeders, broods, ancestors, who got fish",
        choices=("line", "until"), must=("line",),
    ),
    Paper(
        what="breeding", title="Breeding report", tables=breeding.TABLES, make=breeding.breeding_sheets,
        purpose="one brood: parents, eggs, young, numbers at 30 and 60 days and how each is known, water, photo",
        choices=("brood", "until"), must=("brood",),
    ),
    Paper(
        what="census", title="Census", tables=census.TABLES, make=census.census_sheets,
        purpose="what lived where on a day, by age, and the balance that leads there",
        choices=("line", "from", "until", "by"),
    ),
    Paper(
        what="treatments", title="Treatments", tables=medicines.TABLES, make=medicines.treatment_sheets,
        purpose="what was given: dose, days, withdrawal, on whose word",
        choices=("line", "from", "until"),
    ),
    Paper(
        what="losses", title="Losses", tables=lost.TABLES, make=lost.loss_sheets,
        purpose="what died or is missing by month and tank, with causes as far as they are known",
        choices=("line", "from", "until"),
    ),
    Paper(
        what="seller", title="Seller’s pack", tables=seller.TABLES, make=seller.seller_sheets,
        purpose="what left to whom, when it was treated, how its tank stood; no health certificate",
        choices=("line", "from", "until", "to"),
    ),
    Paper(
        what="inspection", title="Inspection pack", tables=inspection.TABLES, make=inspection.inspection_sheets,
        purpose="tanks with what they hold beside the design, species, treatments, who keeps the records since when",
        choices=("from", "until"),
    ),
)  # fmt: skip


TABLE_WORDS: Final = {
    "strain-stocks": "Living stocks", "strain-breeders": "Breeders", "strain-broods": "Broods",
    "strain-given": "Who got fish", "breeding-numbers": "Numbers of the brood", "breeding-water": "Water then",
    "census": "What lived where", "census-ages": "Ages", "census-balance": "Balance", "treatments": "Treatments",
    "losses": "Losses by month and tank", "loss-causes": "Causes", "left": "What left",
    "left-treated": "Treated before", "inspection-tanks": "Tanks", "inspection-species": "Species",
    "inspection-people": "Who wrote",
}  # fmt: skip
"""What a table is called on the page, by its file."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """A paper that was made: its PDF, and its tables as CSV by their file's name."""

    pdf: bytes
    tables: dict[str, str]
    broken: bool
    """The seals of the logbook do not agree: it says so on the paper too."""


def paper_of(what: str) -> Paper:
    """The paper of that name; KeyError for none.

    >>> paper_of("census").title
    'Census'
    """
    return (
        next(one for one in PAPERS if one.what == what) if what in {one.what for one in PAPERS} else _no(what)
    )


def _no(what: str) -> Paper:
    raise KeyError(what)


def tables_of(sheets: tuple[Sheet, ...]) -> tuple[Table, ...]:
    """The tables that are data, each once."""
    found = {
        block.file: block
        for sheet in sheets
        for block in (*sheet.blocks, *sheet.data)
        if isinstance(block, Table) and block.file
    }
    return tuple(found.values())


def _without_heads(block: Block) -> Block:
    """A table that has no rows as a sentence."""
    if isinstance(block, Table) and not block.rows:
        return Paragraph(text=f"{block.title}: {block.note or 'nothing is written down.'}")
    return block


def make_paper(source: PaperSource, progress: Progress | None = None) -> Made:
    """Make the paper a source was asked for. `progress` is told its steps and may raise to stop."""
    paper = paper_of(source.asked.what)
    steps = 4

    def told(done: int) -> None:
        if progress is not None:
            progress(done, steps)

    told(0)
    broken = source.verified.broken is not None
    told(1)
    sheets = paper.make(source)
    told(2)
    tables = {table.file: csv_of(table, source.display) for table in tables_of(sheets)}
    told(3)
    printed = tuple(replace(sheet, blocks=tuple(map(_without_heads, sheet.blocks))) for sheet in sheets)
    pdf = pdf_of(
        printed, title=printable(f"{source.title}: {sheets[0].title}"), foot=source.foot, paper=source.paper,
        display=source.display,
    )  # fmt: skip
    told(4)
    return Made(pdf=pdf, tables=tables, broken=broken)
