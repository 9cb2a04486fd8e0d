"""How fast the app is as its user feels it: start, an edit until the new room is there, weights, many open pages.

Beside it what a user would run instead: `tankwright check` on the file saved by hand. Run: python -m benchmarks.app.
Needs Debian's chromium for the second half of the edits and for the weights; without it those are left out, and it
is said.
"""

from __future__ import annotations

import http.client
import re
import shutil
import socket
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlencode

from playwright.sync_api import Browser, sync_playwright
from websockets.sync.client import ClientConnection, connect

from benchmarks.hall import hall_plan
from tankwright.web.pages.all import PAGES

START_LIMIT = 1.0
EDIT_LIMITS = {38: 0.2, 60: 0.2, 600: 1.0}
HEAVIEST = 150_000
OPEN_PAGES = 31
STOP_LIMIT = 2.0
ROOT = Path(__file__).parent.parent
FLAGS = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--no-first-run"]
NAMES = {"tank": "A3", "rack": "A", "drain": "main", "feed": "drip", "air": "ring", "board": "air"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A room, the rack whose sheet is open, and the shelf height that is changed, in cm as it stands there."""

    tanks: int
    text: str
    rack: str
    pointer: str
    height: float

    def typed(self, turn: int) -> str:
        """A height nothing was worked out for yet."""
        return f"{self.height + 0.1 * (turn + 1):.1f} cm"


def cases() -> Iterator[Case]:
    """The example, and halls of 60 and 600 tanks."""
    mended = (ROOT / "examples" / "cellar_mended.toml").read_text("utf-8")
    yield Case(tanks=38, text=mended, rack="A", pointer="/rack_kind/three_high/shelves/2", height=130)
    for tanks in (60, 600):
        yield Case(
            tanks=tanks, text=hall_plan(tanks), rack="R001", pointer="/rack_kind/bay/shelves/2", height=160
        )


class App:
    """The program on a plan in a folder of its own."""

    def __init__(self, plan: Path) -> None:
        self.plan = plan
        with socket.create_server(("127.0.0.1", 0)) as free:
            self.port: int = free.getsockname()[1]
        self.host = f"127.0.0.1:{self.port}"
        start = time.perf_counter()
        words = ["open", str(plan), "--no-browser", "--port", str(self.port)]
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tankwright", *words], stdout=subprocess.DEVNULL
        )
        while True:
            try:
                self.page("/")
            except ConnectionRefusedError:
                time.sleep(0.002)
            else:
                break
        self.started = time.perf_counter() - start

    def page(self, address: str, zipped: bool = False) -> bytes:
        """A page, in a connection of its own."""
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        connection.request("GET", address, headers={"Accept-Encoding": "gzip"} if zipped else {})
        answer = connection.getresponse()
        body = answer.read()
        connection.close()
        if answer.status != 200:
            raise RuntimeError(f"{address} answers {answer.status}")
        return body

    def number(self) -> int:
        """The number of the plan."""
        return int(re.findall(rb'data-number="(\d+)"', self.page("/text"))[0])

    def edit(self, case: Case, typed: str, number: int, connection: http.client.HTTPConnection) -> float:
        """Send one edit and take the page it leads to; the seconds that took."""
        back = f"/?at={case.rack}"
        form = urlencode({
            "change": "value", "path": case.pointer, "typed": typed, "base": str(number), "back": back,
            "key": f"bench-{number}",
        })  # fmt: skip
        start = time.perf_counter()
        connection.request("POST", "/edit", form, {"Content-Type": "application/x-www-form-urlencoded"})
        answer = connection.getresponse()
        answer.read()
        if answer.status != 303:
            raise RuntimeError(f"the edit was answered {answer.status}")
        connection.request("GET", answer.headers["Location"])
        connection.getresponse().read()
        return time.perf_counter() - start

    def stop(self) -> float:
        """Ask it to stop; the seconds that took."""
        start = time.perf_counter()
        self.process.terminate()
        self.process.wait(30)
        return time.perf_counter() - start


def starts(text: str) -> float:
    """Seconds from the command to the first page."""
    times = []
    for _ in range(3):
        with opened(text) as app:
            times.append(app.started)
    return _median(times)


@contextmanager
def opened(text: str) -> Iterator[App]:
    """The program on a plan of that text, stopped afterwards."""
    with tempfile.TemporaryDirectory() as folder:
        plan = Path(folder) / "plan.toml"
        plan.write_text(text, "utf-8")
        app = App(plan)
        try:
            yield app
        finally:
            app.stop()


def _median(values: list[float]) -> float:
    return sorted(values)[len(values) // 2]


def check_by_hand(plan: Path) -> float:
    """Seconds of `tankwright check` on the saved file, assumptions left out since a page does not rank them."""
    command = [sys.executable, "-m", "tankwright", "check", str(plan), "--no-assumptions"]
    times = []
    for _ in range(3):
        start = time.perf_counter()
        subprocess.run(command, capture_output=True, check=False)
        times.append(time.perf_counter() - start)
    return _median(times)


def served_edits(app: App, case: Case, rounds: int) -> float:
    """Seconds from a form sent to the new page received."""
    connection = http.client.HTTPConnection("127.0.0.1", app.port, timeout=60)
    first = app.number()
    times = [app.edit(case, case.typed(turn), first + turn, connection) for turn in range(rounds + 1)]
    connection.close()
    return _median(times[1:])


REPAINTED = """([pointer, typed]) => new Promise((done) => {
    const field = document.getElementById(`field${pointer}`);
    const before = document.body.dataset.number;
    new MutationObserver((_, watch) => {
        if (document.body.dataset.number === before) return;
        watch.disconnect();
        const changed = performance.now() - start;
        requestAnimationFrame(() => setTimeout(() => done([changed, performance.now() - start])));
    }).observe(document.body, { attributes: true });
    field.value = typed;
    const start = performance.now();
    field.dispatchEvent(new Event("input", { bubbles: true }));
    field.dispatchEvent(new Event("change", { bubbles: true }));
})"""


def shown_edits(browser: Browser, app: App, case: Case, rounds: int) -> float:
    """Seconds in Chromium from a number changed to the page repainted."""
    context = browser.new_context(viewport={"width": 1440, "height": 900})
    page = context.new_page()
    page.goto(f"http://{app.host}/?at={case.rack}")
    page.wait_for_selector("html[data-live]")
    times = []
    for turn in range(rounds + 1):
        _, painted = page.evaluate(REPAINTED, [case.pointer, case.typed(100 + turn)])
        times.append(painted / 1000)
        page.wait_for_function(
            "() => document.getElementById('saved').textContent === document.body.dataset.saidSaved"
        )
    context.close()
    return _median(times[1:])


def weight(browser: Browser, url: str) -> int:
    """Bytes over the line for a page asked for the first time, heads and all."""
    context = browser.new_context(viewport={"width": 390, "height": 844})
    page = context.new_page()
    pieces: list[float] = []
    session = context.new_cdp_session(page)
    session.on("Network.loadingFinished", lambda event: pieces.append(event["encodedDataLength"]))
    session.send("Network.enable")
    page.goto(url, wait_until="networkidle")
    context.close()
    return int(sum(pieces))


def many_pages(app: App, case: Case) -> tuple[float, float]:
    """Seconds from one edit until the last of 31 listening pages has the new page, and to stop with them open."""
    arrived: list[float] = []

    def follow(one: ClientConnection) -> None:
        one.recv(30)
        app.page(f"/?at={case.rack}", zipped=True)
        arrived.append(time.perf_counter())

    with ExitStack() as stack:
        sockets = [stack.enter_context(connect(f"ws://{app.host}/live")) for _ in range(OPEN_PAGES)]
        for one in sockets:
            one.recv(10)  # the first message says where the plan is
        threads = [threading.Thread(target=follow, args=(one,)) for one in sockets]
        for thread in threads:
            thread.start()
        connection = http.client.HTTPConnection("127.0.0.1", app.port, timeout=60)
        number = app.number()
        start = time.perf_counter()
        app.edit(case, case.typed(200), number, connection)
        for thread in threads:
            thread.join()
        connection.close()
        return max(arrived) - start, app.stop()


def run() -> int:
    """Print the tables; 1 if a goal was missed, else 0."""
    if shutil.which("chromium") is None:
        print("app: in Chromium nothing is measured; apt-get install chromium")
        return _run(None)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=FLAGS)
        try:
            return _run(browser)
        finally:
            browser.close()


def _run(browser: Browser | None) -> int:
    misses = 0
    print("app: seconds       start   edit, served   edit, repainted   check by hand   served/check   goal")
    for case in cases():
        start = starts(case.text)
        with opened(case.text) as app:
            rounds = 5 if case.tanks > 100 else 15
            served = served_edits(app, case, rounds)
            shown = shown_edits(browser, app, case, rounds) if browser else None
            by_hand = check_by_hand(app.plan)
            limit = EDIT_LIMITS[case.tanks]
            repainted = f"{shown:.3f}" if shown is not None else "not measured"
            print(
                f"  {case.tanks:>4} tanks      {start:>6.2f} {served:>14.3f} {repainted:>17} {by_hand:>15.2f} "
                f"{served / by_hand:>14.2f}   {START_LIMIT:g} and {limit:g}"
            )
            misses += start > START_LIMIT
            misses += (shown if shown is not None else served) > limit
    case = next(cases())
    with opened(case.text) as app:
        if browser:
            misses += _weights(browser, app)
        last, stopped = many_pages(app, case)
        print(f"app: {OPEN_PAGES} open pages: an edit is with the last after {last * 1e3:.0f} ms; stopped within "
              f"{stopped:.2f} s (at most {STOP_LIMIT:g})")  # fmt: skip
        misses += stopped > STOP_LIMIT
    print("app: all goals met" if not misses else f"app: {misses} goals missed")
    return 1 if misses else 0


def _weights(browser: Browser, app: App) -> int:
    print(f"app: kB over the line       zipped page   all of it, cold (at most {HEAVIEST / 1000:g})")
    misses = 0
    named: Callable[[re.Match[str]], str] = lambda brace: NAMES.get(brace.group(1), "1")  # noqa: E731 - one line
    for page in PAGES:
        address = re.sub(r"\{(\w+)\}", named, page.path)
        zipped, cold = len(app.page(address, zipped=True)), weight(browser, f"http://{app.host}{address}")
        print(f"  {page.name:<24} {zipped / 1000:>12.1f} {cold / 1000:>14.1f}")
        misses += cold > HEAVIEST
    return misses


if __name__ == "__main__":
    sys.exit(run())
