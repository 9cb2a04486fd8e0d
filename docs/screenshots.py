"""Takes the pictures of the app that README shows: the app itself, in Debian's Chromium, on a copy of an example.

Run by `make screenshots`; no part of the tests. Needs `chromium`, and Pillow to keep the files small. Names of pictures
after it take those alone: `python docs/screenshots.py app_fish.png`.
"""

from __future__ import annotations

import io
import shutil
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from PIL import Image
from playwright.sync_api import Browser, Page, sync_playwright

from tankwright.workspace.demo_life import live_in
from tankwright.workspace.opened import lay_plan

ROOT: Final = Path(__file__).parent.parent
IMAGES: Final = ROOT / "docs" / "images"
EXAMPLE: Final = ROOT / "examples" / "cellar.toml"
LARGEST: Final = 250_000  # bytes a picture may have
COLOURS: Final = 128
PATIENCE: Final = 20.0  # s
WORK: Final = 600.0  # s that the slow work of a page may take

Picture = tuple[str, str, int, int, bool]
"""Name, address, width, height, whether on a phone."""

PICTURES: Final[tuple[Picture, ...]] = (
    ("app_room.png", "/?at=B6", 1440, 900, False),
    ("app_3d.png", "/look?layer=drain", 1440, 900, False),
    ("app_warmth.png", "/heat", 1440, 900, False),
    ("app_glass.png", "/glass?kind=mid60&pane=back", 1440, 900, False),
    ("app_rack.png", "/strength", 1440, 900, False),
    ("app_fit.png", "/fit", 1440, 900, False),
    ("app_faults.png", "/faults", 1440, 900, False),
    ("app_fault.png", "/fault/outfall%20floor_drain%20blocked", 1440, 900, False),
    ("app_parts.png", "/parts", 1440, 900, False),
    ("app_build.png", "/build", 1440, 900, False),
    ("app_phone_racks.png", "/racks", 390, 844, True),
)
LIVED_IN: Final[tuple[Picture, ...]] = (
    ("app_fish.png", "/fish", 1440, 900, False),
    ("app_due.png", "/due", 1440, 900, False),
    ("app_line.png", "/lines/Amber", 1440, 900, False),
    ("app_water.png", "/waters", 1440, 900, False),
    ("app_phone_tank.png", "/t/A8", 390, 844, True),
)
"""Of a copy in which the demo's invented life was lived."""


@contextmanager
def served(plan: Path) -> Iterator[str]:
    """The program as a keeper starts it, on a free port."""
    with closing(socket.create_server(("127.0.0.1", 0))) as one:
        port = one.getsockname()[1]
    command = [sys.executable, "-m", "tankwright", "open", str(plan), "--no-browser", "--port", str(port)]
    with subprocess.Popen(command, stdout=subprocess.DEVNULL) as running:
        try:
            end = time.monotonic() + PATIENCE
            while True:
                try:
                    socket.create_connection(("127.0.0.1", port), 1).close()
                    break
                except OSError:
                    if time.monotonic() > end or running.poll() is not None:
                        raise
                    time.sleep(0.1)
            yield f"http://127.0.0.1:{port}"
        finally:
            running.terminate()


def taken(browser: Browser, url: str, width: int, height: int, *, phone: bool) -> bytes:
    """A picture of a page once it is live and its letters are there."""
    context = browser.new_context(
        viewport={"width": width, "height": height},
        color_scheme="light",
        is_mobile=phone,
        has_touch=phone,
        device_scale_factor=2 if phone else 1,
    )
    page: Page = context.new_page()
    answer = page.goto(url)
    if answer is None or not answer.ok:
        raise SystemExit(f"{url} does not answer")
    start = page.locator("#work button[value=start]")
    if start.count():  # the page shows what is worked out when it is asked for
        start.click()
        page.wait_for_selector("#work button[value=cancel]", state="detached", timeout=WORK * 1000)
        page.wait_for_selector("#findings details", timeout=WORK * 1000)
        page.goto(url)
    page.evaluate("document.fonts.ready.then(() => true)")
    page.wait_for_timeout(500)
    picture = page.screenshot()
    context.close()
    return picture


def small(picture: bytes) -> bytes:
    """The picture with few colours; a drawing needs no more."""
    out = io.BytesIO()
    with Image.open(io.BytesIO(picture)) as image:
        few = image.convert("RGB").quantize(COLOURS, dither=Image.Dither.NONE)
        few.save(out, "PNG", optimize=True)
    return out.getvalue()


def lived_in(plan: Path) -> None:
    """Fill the logbook of a plan with the life of the demo."""
    room = lay_plan(plan).room
    if room is None or not live_in(plan, room, datetime.now(UTC).replace(microsecond=0)):
        raise SystemExit(f"Nobody lives in {plan}")


def take(browser: Browser, plan: Path, pictures: tuple[Picture, ...]) -> None:
    """Write pictures of the app on one plan."""
    with served(plan) as url:
        for name, path, width, height, phone in pictures:
            picture = small(taken(browser, url + path, width, height, phone=phone))
            if len(picture) > LARGEST:
                raise SystemExit(f"{name} has {len(picture)} bytes, more than {LARGEST}")
            (IMAGES / name).write_bytes(picture)
            sys.stdout.write(f"{name} {len(picture) // 1000} kB\n")


def main() -> None:
    """Write every picture, or those that are named."""
    found = shutil.which("chromium")
    if found is None:
        raise SystemExit("Wants a chromium: apt-get install chromium")
    named = set(sys.argv[1:])
    if strange := named - {one[0] for one in (*PICTURES, *LIVED_IN)}:
        raise SystemExit(f"No pictures of these names: {', '.join(sorted(strange))}")
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=found, args=["--headless", "--no-sandbox", "--disable-gpu"]
        )
        for pictures, is_lived_in in ((PICTURES, False), (LIVED_IN, True)):
            wanted = tuple(one for one in pictures if not named or one[0] in named)
            if not wanted:
                continue
            room = Path(folder) / f"room{is_lived_in:d}"
            room.mkdir()
            plan = Path(shutil.copy(EXAMPLE, room))
            if is_lived_in:
                lived_in(plan)
            take(browser, plan, wanted)
        browser.close()


if __name__ == "__main__":
    main()
