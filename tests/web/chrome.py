"""Debian's Chromium for the tests, with an eye on everything it complains about."""

from __future__ import annotations

import re
import shutil
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, Final, Literal
from urllib.parse import urlsplit

from axe_playwright_python.base import AXE_SCRIPT
from playwright.sync_api import (
    Browser,
    BrowserContext,
    ConsoleMessage,
    Page,
    Playwright,
    Request,
    Response,
    WebSocket,
    expect,
)

Size = Literal["desktop", "tablet", "phone"]
Theme = Literal["light", "dark"]

SIZES: Final[dict[Size, tuple[int, int]]] = {
    "desktop": (1440, 900),
    "tablet": (1024, 768),
    "phone": (390, 844),
}
FLAGS: Final = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-background-networking",
    "--disable-component-update", "--no-first-run", "--disable-dev-shm-usage",
    "--disable-features=AutofillServerCommunication",  # it asks its maker about forms
)  # fmt: skip
WAIT: Final = 30_000  # ms until something that should come is given up; long, for a busy machine is slow
PAGE_NEEDS: Final = "Wants a chromium: apt-get install chromium (make test does it)"


def start_chromium(playwright: Playwright) -> Browser:
    """Chromium as Debian packs it."""
    found = shutil.which("chromium")
    assert found, PAGE_NEEDS
    expect.set_options(timeout=WAIT)
    return playwright.chromium.launch(executable_path=found, args=list(FLAGS))


@dataclass(kw_only=True)  # without slots: the browser's library keeps its own notes on a listener
class Watch:
    """What one browser context complained of. A test says what it expects; all else fails it at its end.

    A test that comes under another name puts that into `hosts_of_ours`.
    """

    scripts: bool = True
    heard: list[str] = field(default_factory=list)
    expected: list[str] = field(default_factory=list)
    hosts: set[str] = field(default_factory=set)
    hosts_of_ours: set[str] = field(default_factory=lambda: {"127.0.0.1"})

    def expect(self, *patterns: str) -> None:
        """Let complaints pass that hold one of these regular expressions."""
        self.expected += patterns

    @property
    def complaints(self) -> list[str]:
        """What was heard and not expected."""
        return [one for one in self.heard if not any(re.search(pattern, one) for pattern in self.expected)]

    def over(self, context: BrowserContext) -> None:
        """Listen to every page of a context."""
        context.on("console", self._said)
        context.on("weberror", lambda error: self.heard.append(f"script error: {error.error}"))
        context.on("request", self._asked)
        context.on("response", self._answered)
        context.on("requestfailed", self._failed)
        context.on("page", lambda page: page.on("websocket", self._socket))

    def _said(self, message: ConsoleMessage) -> None:
        if message.type in ("error", "warning"):
            self.heard.append(f"console {message.type}: {message.text} ({message.location.get('url', '')})")

    def _asked(self, request: Request) -> None:
        self._elsewhere(request.url)

    def _socket(self, socket: WebSocket) -> None:
        self._elsewhere(socket.url)

    def _elsewhere(self, url: str) -> None:
        host = urlsplit(url).hostname or url[:40]
        self.hosts.add(host)
        if host not in self.hosts_of_ours:
            self.heard.append(f"request elsewhere: {url[:200]}")

    def _answered(self, response: Response) -> None:
        if response.status >= 400:
            self.heard.append(f"answer {response.status}: {response.request.method} {response.url}")

    def _failed(self, request: Request) -> None:
        # A page that is left while it still fetches something gives that up. With scripts switched off Chromium
        # calls it a matter of policy that it does not fetch them beforehand.
        blocked = not self.scripts and request.failure == "csp" and urlsplit(request.url).path.endswith(".js")
        if request.failure != "net::ERR_ABORTED" and not blocked:
            self.heard.append(f"request failed: {request.method} {request.url}: {request.failure}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Desk:
    """A browser context with its watch: one reader with cookies and a store of their own."""

    context: BrowserContext
    watch: Watch

    def open(self, url: str) -> Page:
        """One more page of this reader."""
        page = self.context.new_page()
        page.goto(url)
        return page


def set_up_desk(
    browser: Browser,
    *,
    size: Size = "desktop",
    theme: Theme = "light",
    scripts: bool = True,
    proxy: str = "",
    **more: Any,
) -> Desk:
    """A reader at a desk or with a phone; `proxy` leads every connection through a relay."""
    width, height = SIZES[size]
    options: dict[str, Any] = {
        "viewport": {"width": width, "height": height},
        "color_scheme": theme,
        "java_script_enabled": scripts,
        "has_touch": size != "desktop",
        "is_mobile": size == "phone",
        "reduced_motion": "reduce",  # colours are looked at, not on their way from one to the other
        "locale": "en-GB",
        "timezone_id": "Europe/Berlin",
    }
    if proxy:
        options["proxy"] = {"server": proxy}
    context = browser.new_context(**(options | more))
    context.set_default_timeout(WAIT)
    watch = Watch(scripts=scripts)
    watch.over(context)
    return Desk(context=context, watch=watch)


def none(found: list[str]) -> None:
    """Fail with all that was found, one a line."""
    assert not found, "\n".join(["", *found])


def eventually(page: Page, look: Callable[[], object], wanted: object) -> None:
    """Look until there is what is wanted, as long as one waits for a page; the page goes on meanwhile."""
    end = time.monotonic() + WAIT / 1000
    while (found := look()) != wanted and time.monotonic() < end:
        page.wait_for_timeout(50)
    assert found == wanted


def axe(page: Page, *rules: str) -> list[str]:
    """What axe finds on the page as it stands, one line each; with `rules` only those are asked."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(AXE_SCRIPT)
    options: dict[str, Any] = {"resultTypes": ["violations"]}
    if rules:
        options["runOnly"] = list(rules)
    found = page.evaluate("(options) => axe.run(document, options).then((all) => all.violations)", options)
    return [
        f"{one['id']}: {one['help']}: {node['html'][:160]} | {' '.join(str(node.get('failureSummary')).split())[:200]}"
        for one in found
        for node in one["nodes"][:5]
    ]


def server_number(page: Page) -> int:
    """The number of the plan as the server has it now."""
    text = page.request.get(page.url).text()
    found = re.search(r'data-number="(\d+)"', text)
    assert found, f"{page.url} does not say its number"
    return int(found.group(1))


def settled(page: Page, number: int | None = None) -> int:
    """Wait until the page says that all is saved and shows the server's number (or a given one); that number."""
    wanted = server_number(page) if number is None else number
    page.wait_for_function(
        """(wanted) => {
            const saved = document.getElementById("saved");
            const { number, saidSaved } = document.body.dataset;
            return Number(number) >= wanted && (!saved || saved.textContent === saidSaved);
        }""",
        arg=wanted,
    )
    return int(page.locator("body").get_attribute("data-number") or -1)


class Scales:
    """Weighs what a page brings over the line, heads and all. Begin it before the page is opened for the first time."""

    def __init__(self, page: Page) -> None:
        self._pieces: list[float] = []
        session = page.context.new_cdp_session(page)
        session.on("Network.loadingFinished", lambda event: self._pieces.append(event["encodedDataLength"]))
        session.send("Network.enable")

    @property
    def weight(self) -> int:
        """Bytes so far."""
        return int(sum(self._pieces))
