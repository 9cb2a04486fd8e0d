"""A program that asks the API, and the plans it asks about."""

from __future__ import annotations

import itertools
from pathlib import Path
from typing import Any, Final

import httpx

from tankwright.web.access import Access
from tankwright.web.app import create_app
from tankwright.web.serving import shielded
from tankwright.workspace.live import LivePlan

from ..apart import apart

EXAMPLES: Final = Path(__file__).parent.parent.parent.parent / "examples"
HOST: Final = "http://127.0.0.1:9400"
SMALL: Final = """\
title = "Two tanks"  # the owner's remark

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

[air.ring]
pump = "pump"
around = "shed"

[pump.pump]
curve = [["0 kPa", "20 L/min"], ["20 kPa", "5 L/min"]]
"""
"""A room with two tanks and air."""

_KEYS: Final = itertools.count(1)


def new_key() -> str:
    """A key nobody used before."""
    return f"key-of-test-{next(_KEYS)}"


class Caller:
    """One program over one plan; another of the same plan's app shares its `app`."""

    def __init__(self, plan: Path, access: Access | None = None) -> None:
        self.path = plan
        self.live = LivePlan(plan)
        self.app = shielded(create_app(self.live), access or Access(), frozenset({"127.0.0.1:9400"}))

    def ask(self, method: str, path: str, **how: Any) -> httpx.Response:
        """An answer of the API."""
        return apart(self._ask(method, path, how))

    def get(self, path: str, **how: Any) -> httpx.Response:
        """A read."""
        return self.ask("GET", path, **how)

    def write(
        self, method: str, path: str, json: Any = None, *, base: int | None = None, key: str | None = None
    ) -> httpx.Response:
        """A write upon a revision, the newest when none is said, under a key of its own when none is said."""
        number = self.live.snapshot.number if base is None else base
        headers = {"If-Match": f'"{number}"', "Idempotency-Key": key or new_key()}
        return self.ask(method, path, json=json, headers=headers)

    async def _ask(self, method: str, path: str, how: dict[str, Any]) -> httpx.Response:
        transport = httpx.ASGITransport(app=self.app, raise_app_exceptions=False)
        async with httpx.AsyncClient(transport=transport, base_url=HOST) as client:
            return await client.request(method, f"/api/v1{path}", **how)


def example(name: str) -> str:
    """The text of an example."""
    return (EXAMPLES / f"{name}.toml").read_text("utf-8")
