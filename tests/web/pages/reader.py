"""Somebody who reads pages and sends forms without a browser."""

from __future__ import annotations

import html
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final

import httpx

from tankwright.web.access import Access
from tankwright.web.app import create_app
from tankwright.web.serving import shielded
from tankwright.workspace.live import LivePlan

from ..apart import apart

if TYPE_CHECKING:
    from tankwright.workspace.opened import Opened

EXAMPLES: Final = Path(__file__).parent.parent.parent.parent / "examples"
_HOST: Final = "http://127.0.0.1:9400"


def plain(markup: str) -> str:
    """The text of a piece of a page, its spaces as one sees them."""
    return " ".join(
        html.unescape(re.sub(r"<[^>]*>", "", re.sub(r"<(br|/t[dhr]|/d[dt])\b", r" \g<0>", markup))).split()
    )


@dataclass(frozen=True, slots=True)
class Seen:
    """An answer: its status, its markup, where it leads to."""

    status: int
    markup: str
    leads_to: str

    @property
    def text(self) -> str:
        """The whole page as text."""
        return plain(self.markup)

    def part(self, name: str) -> str:
        """The markup of the element with that id, up to the next of its kind that closes."""
        found = re.search(rf'<(\w+)[^>]*\bid="{re.escape(name)}".*?</\1>', self.markup, re.DOTALL)
        assert found, f"no element has the id {name}"
        return found[0]

    def row(self, table: str, head: str) -> list[str]:
        """The cells, as text, of the first row of a part whose first cell is `head`."""
        for row in re.findall(r"<tr\b.*?</tr>", self.part(table), re.DOTALL):
            cells = [plain(cell) for cell in re.findall(r"<t[dh]\b.*?</t[dh]>", row, re.DOTALL)]
            if cells and cells[0] == head:
                return cells
        raise AssertionError(f"no row begins with {head}")

    def field(self, pointer: str) -> str:
        """The markup of the form of one value of the plan."""
        return self.part(f"form{pointer}")


class Reader:
    """One reader of one plan in a folder of its own; with the text "" there is no plan yet.

    With an `access` the reader comes to a door and is nobody before a log-in.
    """

    def __init__(self, folder: Path, plan_text: str, access: Access | None = None) -> None:
        self.path = folder / "plan.toml"
        if plan_text:
            self.path.write_text(plan_text, "utf-8")
        self.live = LivePlan(self.path)
        self._app = shielded(create_app(self.live), access or Access(), frozenset({"127.0.0.1:9400"}))
        self._sent = 0
        self._cookies: dict[str, str] = {}

    @property
    def good(self) -> Opened:
        """The plan as it was worked out last."""
        good = self.live.snapshot.good
        assert good is not None
        return good

    @property
    def plan_text(self) -> str:
        """The plan as it lies on the disk."""
        return self.path.read_text("utf-8")

    def see(self, address: str) -> Seen:
        """A page."""
        return apart(self._ask("GET", address, None))

    def raw(self, address: str) -> bytes:
        """A file as it comes."""

        async def asked() -> bytes:
            transport = httpx.ASGITransport(app=self._app)
            async with httpx.AsyncClient(
                transport=transport, base_url=_HOST, cookies=self._cookies
            ) as client:
                return (await client.get(address)).content

        return apart(asked())

    def send(self, back: str, **fields: str) -> Seen:
        """A form of the page at `back`, with its number and a key of its own."""
        self._sent += 1
        more = {"back": back, "key": f"key {self._sent}", "base": str(self.live.snapshot.number)}
        return apart(self._ask("POST", "/edit", more | fields))

    def post(
        self, address: str, data: Mapping[str, str | list[str]], file: tuple[str, bytes] | None = None
    ) -> Seen:
        """A form of another address than the plan's, with a file when there is one."""
        files = None if file is None else {"file": file}
        return apart(self._ask("POST", address, dict(data), files))

    async def _ask(
        self,
        method: str,
        address: str,
        data: Mapping[str, str | list[str]] | None,
        files: Mapping[str, tuple[str, bytes]] | None = None,
    ) -> Seen:
        transport = httpx.ASGITransport(app=self._app)
        async with httpx.AsyncClient(transport=transport, base_url=_HOST, cookies=self._cookies) as client:
            answer = await client.request(method, address, data=data, files=files, headers={"origin": _HOST})
            self._cookies |= dict(answer.cookies)
        return Seen(answer.status_code, answer.text, answer.headers.get("location", ""))


def example(name: str) -> str:
    """The text of an example."""
    return (EXAMPLES / f"{name}.toml").read_text("utf-8")


SMALL: Final = """
title = "Two tanks"

[room.shed]
size = { length = "3 m", width = "2 m", height = "2.2 m" }

[tank_kind.cube]
outside = ["30 cm", "30 cm", "30 cm"]
glass = { sides = "5 mm", base = "5 mm", temper = "annealed" }
hole = { pane = "back", diameter = "29 mm", from_left = "75 mm", below_rim = "65 mm" }
overflow = { elbow_reach = "30 mm", water_below_rim = "40 mm", bore = "16 mm" }

[rack_kind.low]
length = "100 cm"
depth = "40 cm"
shelves = ["60 cm"]

[[rack]]
id = "A"
kind = "low"
room = "shed"
wall = "north"
from_west = "50 cm"
shelf.1 = [{ kind = "cube", ids = "A1..A2" }]
"""
"""A room with two tanks and nothing else."""

NO_TANKS: Final = '[room.shed]\nsize = { length = "3 m", width = "2 m", height = "2.2 m" }\n'
OUTFALL: Final = """
[outfall.gully]
room = "shed"
at = ["2.9 m", "0.1 m"]
height = "-2 cm"
"""
