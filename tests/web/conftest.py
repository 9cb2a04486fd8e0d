"""What the tests of the pages share: a browser, readers at their desks, servers, a line that can be cut.

Every page a test opens through `page` or `context` is watched: a console error, a broken policy, a failed request or
one to another host fails the test at its end, unless it said before that it expects it (`desk.watch.expect`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

from .chrome import Desk, none, set_up_desk, start_chromium
from .relay import Relay
from .rooms import EXAMPLE, Process, Room, plan_in, start_room

OpenDesk = Callable[..., Desk]
OpenPage = Callable[..., Page]
OpenRoom = Callable[..., Room]


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """One Chromium for all tests of a worker."""
    with sync_playwright() as playwright:
        chromium = start_chromium(playwright)
        yield chromium
        chromium.close()


@pytest.fixture
def context(browser: Browser, request: pytest.FixtureRequest) -> Iterator[OpenDesk]:
    """Set up one reader more: `context(size="phone", theme="dark", scripts=False, proxy=relay.proxy)`."""
    if "relay" in request.fixturenames:
        request.getfixturevalue("relay")  # first, so that it outlives the pages that come through it
    desks: list[Desk] = []

    def call(**how: Any) -> Desk:
        desks.append(set_up_desk(browser, **how))
        return desks[-1]

    yield call
    for desk in desks:
        desk.context.close()
    none([one for desk in desks for one in desk.watch.complaints])


@pytest.fixture
def page(context: OpenDesk) -> OpenPage:
    """Open an address as a new reader: `page(url, size="phone", expect=["answer 409"])`."""

    def call(url: str, *, expect: tuple[str, ...] = (), **how: Any) -> Page:
        desk = context(**how)
        desk.watch.expect(*expect)
        return desk.open(url)

    return call


def _rooms(folder: Callable[[], Path]) -> Iterator[OpenRoom]:
    rooms: list[Room] = []

    def call(plan_text: str | None = None, *, example: str = EXAMPLE, **how: Any) -> Room:
        rooms.append(start_room(plan_in(folder(), plan_text, example), **how))
        return rooms[-1]

    yield call
    for room in rooms:
        room.stop()


@pytest.fixture
def room(tmp_path_factory: pytest.TempPathFactory) -> Iterator[OpenRoom]:
    """Serve a plan of the test's own: `room(plan_text)` or `room(example="hall")`; `room("")` has no plan yet."""
    yield from _rooms(lambda: tmp_path_factory.mktemp("room"))


@pytest.fixture(scope="module")
def rooms(tmp_path_factory: pytest.TempPathFactory) -> Iterator[OpenRoom]:
    """The same for all tests of a file, which then must not change what it serves."""
    yield from _rooms(lambda: tmp_path_factory.mktemp("room"))


@pytest.fixture
def process(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Callable[..., Process]]:
    """Start the program itself on a plan; it can be killed and started again."""
    started: list[Process] = []

    def call(plan_text: str | None = None, *words: str, example: str = EXAMPLE) -> Process:
        started.append(Process(plan_in(tmp_path_factory.mktemp("room"), plan_text, example), *words))
        return started[-1]

    yield call
    for one in started:
        one.stop()


@pytest.fixture
def relay() -> Iterator[Relay]:
    """A line to lead a reader through: `context(proxy=relay.proxy)`."""
    line = Relay()
    yield line
    line.stop()
