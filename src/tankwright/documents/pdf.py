"""Sheets as one PDF: typst sets tables and page numbers, and takes each drawing as the SVG that the screen shows."""

from __future__ import annotations

import json
import re
import tempfile
from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal
from pathlib import Path
from typing import Final

from tankwright.documents.model import Banner, Block, Inset, Measured, Picture, Sheet, Table, said
from tankwright.drawing.labels import BLACK
from tankwright.drawing.model import Drawing
from tankwright.drawing.paper import PAPERS, Paper
from tankwright.drawing.svg import FONT, to_svg
from tankwright.finding import Number

HERE: Final = Path(__file__).parent
FACE: Final = "Atkinson Hyperlegible"
_DIAMETER: Final = str.maketrans({"\u2300": "\u00d8"})
"""The sign for a diameter, as a letter the face has: with it a whole line would go over to another face."""

_MODULE: Final = re.compile(
    rf'<rect x="([\d.]+)" y="([\d.]+)" width="([\d.]+)" height="([\d.]+)" fill="{BLACK}"/>'
)
_MODULES: Final = re.compile(rf"(?:{re.sub(r'[()]', '', _MODULE.pattern)}\s*){{8,}}")

Progress = Callable[[int, int], None]


def pdf_of(
    sheets: Sequence[Sheet],
    *,
    title: str,
    foot: str,
    paper: Paper = "A4",
    display: str = "metric",
    contents: bool = False,
    progress: Progress | None = None,
) -> bytes:
    """The sheets one after the other, each from a new page; `foot` stands on every page beside its number.

    `paper` is that of the tables, upright; a drawing has a page of its own size. With `contents` the first sheet
    ends with a list of all. `progress` is told the sheets as they are handed over, then the whole once more.
    """
    made, pictures = [], dict[str, bytes]()
    for number, sheet in enumerate(sheets):
        if progress is not None:
            progress(number, len(sheets) + 1)
        blocks = [_block(block, display, pictures) for block in sheet.blocks]
        if contents and number == 0:
            blocks.append({"kind": "contents", "title": "What is in it"})
        made.append({"title": sheet.title, "blocks": blocks})
    tall, wide = PAPERS[paper]
    data = {"title": title, "foot": foot, "lang": "en", "width": wide, "height": tall, "sheets": made}
    pdf = _set((HERE / "book.typ").read_text("utf-8"), json.dumps(data, ensure_ascii=False), pictures)
    if progress is not None:
        progress(len(sheets) + 1, len(sheets) + 1)
    return pdf


def _set(text: str, data: str, pictures: Mapping[str, bytes]) -> bytes:
    """A document with the pictures it names beside it; they are the only files it can see."""
    import typst  # noqa: PLC0415 - 80 MB that only a printout needs

    with tempfile.TemporaryDirectory(prefix="tankwright-") as folder:
        place = Path(folder)
        (place / "book.typ").write_text(text, "utf-8")
        for name, content in pictures.items():
            (place / name).write_bytes(content)
        pdf = typst.compile(
            str(place / "book.typ"), font_paths=[str(HERE / "font")], ignore_system_fonts=True,
            sys_inputs={"data": data},
        )  # fmt: skip
    if not isinstance(pdf, bytes):
        raise TypeError("typst gave several files where one was asked for")
    return pdf


def can_be_printed(content: bytes, ending: str) -> bool:
    """Whether a picture can be set on a page: one that was cut short, or is none, would keep the whole from being made.

    >>> can_be_printed(b"no picture", "png")
    False
    """
    import typst  # noqa: PLC0415 - as above

    try:
        _set(f'#image("p.{ending}", width: 9mm)', "", {f"p.{ending}": content})
    except typst.TypstError:
        return False
    return True


def _block(block: Block, display: str, pictures: dict[str, bytes]) -> Mapping[str, object]:
    if isinstance(block, Picture):
        name = ""
        if block.content is not None:
            name = f"picture-{len(pictures)}.{block.ending}"
            pictures[name] = block.content
        return {
            "kind": "picture",
            "under": block.under,
            "width": block.wide,
            "height": block.high,
            "file": name,
        }
    if isinstance(block, Inset):
        return {
            "kind": "inset", "title": block.drawing.title, "width": block.drawing.width,
            "height": block.drawing.height, "svg": faced(to_svg(block.drawing)),
        }  # fmt: skip
    if isinstance(block, Drawing):
        return {
            "kind": "drawing", "title": block.title, "width": block.width, "height": block.height,
            "svg": faced(to_svg(block)),
        }  # fmt: skip
    if isinstance(block, Table):
        return {
            "kind": "table", "title": block.title, "note": block.note,
            "columns": [
                {"name": column.name, "wide": column.wide, "write": column.write, "number": _is_number(block, place)}
                for place, column in enumerate(block.columns)
            ],
            "rows": [
                ["" if cell is None and column.write else said(cell, display)
                 for cell, column in zip(row, block.columns, strict=True)]
                for row in block.rows
            ],
        }  # fmt: skip
    if isinstance(block, Banner):
        return {"kind": "banner", "over": block.over, "text": block.text, "under": block.under}
    return {"kind": "words", "text": block.text, "caution": block.caution}


def _is_number(table: Table, place: int) -> bool:
    cells = [row[place] for row in table.rows if row[place] is not None]
    return bool(cells) and all(
        isinstance(cell, (int, float, Decimal, Number, Measured)) or cell == "at most" for cell in cells
    )


def faced(svg: str) -> str:
    """An SVG in the book's own face. A line with a letter the face has not, in a name of the owner's, goes over to
    another face whole.

    >>> faced('<text x="0">⌀ 29</text>')
    '<text x="0">Ø 29</text>'
    """
    return _MODULES.sub(
        _one_path, svg.replace(f'font-family="{FONT}"', f'font-family="{FACE}"').translate(_DIAMETER)
    )


def _one_path(found: re.Match[str]) -> str:
    """The dark parts of a code as one path: half the file, and no hairlines between them."""
    sides = _MODULE.findall(found[0])
    path = "".join(f"M{x} {y}h{width}v{height}h-{width}z" for x, y, width, height in sides)
    return f'<path d="{path}" fill="{BLACK}"/>'
