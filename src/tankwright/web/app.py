"""The app: pages, forms, socket, static files and the API over one live plan."""

from __future__ import annotations

import asyncio
import logging
import secrets
from collections.abc import AsyncIterator, Callable, Mapping
from contextlib import asynccontextmanager, suppress
from typing import Final
from urllib.parse import quote

from anyio import to_thread
from fastapi import FastAPI, Request
from starlette.middleware.gzip import GZipMiddleware
from starlette.responses import HTMLResponse, PlainTextResponse, RedirectResponse, Response
from starlette.routing import Route
from starlette.staticfiles import StaticFiles
from starlette.types import Scope
from starlette.websockets import WebSocket

from tankwright import __version__
from tankwright.documents.kept import Books
from tankwright.documents.papers.kept import KIND as PAPER
from tankwright.documents.papers.kept import KeptPapers
from tankwright.networks.engine import compiled_loop
from tankwright.thermal.engine import compiled_steps
from tankwright.web import clock
from tankwright.web.access import may, who
from tankwright.web.api.mounted import LazyApi
from tankwright.web.api.shared import PREFIX
from tankwright.web.book_routes import add_book_routes
from tankwright.web.bring_routes import add_bring_routes
from tankwright.web.build_routes import add_build_routes
from tankwright.web.due_forms_routes import add_due_forms_routes
from tankwright.web.due_paper_routes import add_due_paper_routes
from tankwright.web.due_routes import add_due_routes
from tankwright.web.edits import Asked, BadFormError, carry_out
from tankwright.web.entries_routes import add_entries_routes
from tankwright.web.faults import answer_faults
from tankwright.web.forms import fields_of, key_with
from tankwright.web.glass_routes import add_glass_routes
from tankwright.web.lines_routes import add_lines_routes
from tankwright.web.login import local_path
from tankwright.web.made import MadeOnce
from tankwright.web.page import A_HALL, FieldError, View
from tankwright.web.pages.all import find_page
from tankwright.web.pages.lost import PAGE as LOST
from tankwright.web.pages.tank import tank_path
from tankwright.web.paper_routes import add_paper_routes
from tankwright.web.papers_routes import add_papers_routes
from tankwright.web.parts_routes import add_parts_routes
from tankwright.web.photo_routes import add_photo_routes
from tankwright.web.proof_routes import add_proof_routes
from tankwright.web.rendering import STATIC, build, render
from tankwright.web.settings_routes import add_settings_routes
from tankwright.web.shut_routes import add_shut_routes
from tankwright.web.sockets import Hub
from tankwright.web.space_routes import add_space_routes
from tankwright.web.start_routes import add_start_routes
from tankwright.web.work_routes import add_work_routes
from tankwright.workspace.build_marks import BuildMarks
from tankwright.workspace.entries import EntryBook
from tankwright.workspace.jobs import KINDS, OF_ONE, Jobs
from tankwright.workspace.live import LivePlan
from tankwright.workspace.log import RoomLog
from tankwright.workspace.prices import PriceBook
from tankwright.workspace.settings import SettingsBook

THEMES: Final = ("dark", "light")
NOT_SAID: Final = frozenset({"key", "base", "back"})  # of a form: where it comes from, not what it wants
READS: Final = ["GET", "HEAD"]
_LOG: Final = logging.getLogger(__name__)
LOOK_AT_THE_DISK: Final = 0.5  # s between two looks whether somebody else changed the plan


ROUTES: Final = (
    add_entries_routes,
    add_photo_routes,
    add_start_routes,
    add_paper_routes,
    add_settings_routes,
    add_work_routes,
    add_parts_routes,
    add_proof_routes,
    add_build_routes,
    add_book_routes,
    add_glass_routes,
    add_due_routes,
    add_due_forms_routes,
    add_due_paper_routes,
    add_space_routes,
    add_bring_routes,
    add_lines_routes,
    add_papers_routes,
    add_shut_routes,
)
"""What adds routes to the app, one file a subject."""


class _Kept(StaticFiles):
    """Static files under an address that names their state, so a browser may keep them for ever."""

    async def get_response(self, path: str, scope: Scope) -> Response:
        answer = await super().get_response(path, scope)
        answer.headers["Cache-Control"] = "public, max-age=31536000, immutable"
        return answer


class App:
    """What the routes share."""

    def __init__(self, live: LivePlan, base_url: Callable[[], str] = str) -> None:
        self.live = live
        self.made_once = MadeOnce()
        self.log = RoomLog(live.path, room=lambda: live.snapshot.good.room if live.snapshot.good else None)
        self.entries = EntryBook(live.path, log=self.log)
        self.marks = BuildMarks(live.path)
        self.books = Books(live, self.marks, base_url=base_url, today=clock.today)
        self.papers = KeptPapers(live, self.log, self.log.now)
        self.jobs = Jobs(live, {**KINDS, **self.books.kinds()}, {**OF_ONE, PAPER: self.papers.work})
        self.hub = Hub()
        self.settings = SettingsBook(live.path)
        self.prices = PriceBook(live.path)

    def page(
        self,
        request: Request,
        address: str,
        errors: Mapping[str, FieldError],
        status: int = 200,
        *,
        part: str = "",
    ) -> Response:
        """The page at an address of ours, with errors beside their fields; of its templates one `part` alone."""
        path, _, asked = address.partition("?")
        found = find_page(path)
        page, params = found if found is not None else (LOST, {})
        query = dict(Request({**request.scope, "query_string": asked.encode()}).query_params)
        view = View(
            page=page, live=self.live, made_once=self.made_once, person=who(request.scope), params=params,
            query=query, errors=errors, path=address, settings=self.settings, prices=self.prices,
            entries=self.entries, log=self.log, jobs=self.jobs, marks=self.marks, books=self.books,
            papers=self.papers,
        )  # fmt: skip
        if not view.may(page.needs):
            return PlainTextResponse("Your name may not open this page.", 403)
        if found is not None and page is not LOST and self.live.snapshot.number == 0 and page.name != "start":
            return RedirectResponse("/start", 303)
        if page is LOST:
            status, part = 404, ""
        language = self.settings.current.language
        html = render(
            view, language=language, theme=_theme(request), part=part, new_key=secrets.token_hex(12)
        )
        return HTMLResponse(html, status)


def _theme(request: Request) -> str:
    theme = request.cookies.get("theme", "")
    return theme if theme in THEMES else ""


def _address(request: Request) -> str:
    query = request.url.query
    return request.url.path + (f"?{query}" if query else "")


def create_app(live: LivePlan, base_url: Callable[[], str] = str) -> FastAPI:
    """The app over one live plan; the guard and the log-in stand before it (`web.serving`).

    `base_url` is where the house finds it under its name, "" for nowhere: printed codes lead there.
    """
    shared = App(live, base_url)

    @asynccontextmanager
    async def living(_: FastAPI) -> AsyncIterator[None]:
        shared.hub.start(live.snapshot.number)
        leave = live.subscribe(shared.hub.announce)
        watching = asyncio.create_task(_watch(live))
        preparing = asyncio.create_task(_prepare(live))
        yield
        leave()
        watching.cancel()
        preparing.cancel()
        shared.hub.stop()
        shared.jobs.close()
        for one in (watching, preparing):
            with suppress(asyncio.CancelledError):
                await one

    app = FastAPI(
        title="tankwright", version=__version__, lifespan=living, docs_url=None, redoc_url=None,
        openapi_url=None,
    )  # fmt: skip
    app.state.shared = shared
    answer_faults(app)
    app.add_middleware(GZipMiddleware, minimum_size=800, compresslevel=6)  # 9 takes twice as long for 2 %
    api = LazyApi(shared)
    app.mount(PREFIX, api, name="api")
    app.router.routes.append(Route(PREFIX, api, include_in_schema=False))
    app.mount(f"/static/{build()}", _Kept(directory=STATIC), name="static")

    @app.websocket("/live")
    async def _live(socket: WebSocket) -> None:
        await shared.hub.serve(socket)

    @app.post("/edit", include_in_schema=False)
    async def _edit(request: Request) -> Response:
        fields = await fields_of(request, most=200, longest=2_500_000)
        back = local_path(fields.get("back", "/"))
        return await to_thread.run_sync(_edited, shared, request, fields, back)

    @app.post("/theme", include_in_schema=False)
    async def _set_theme(request: Request) -> Response:
        fields = await fields_of(request, most=20, longest=10_000)
        theme = fields.get("theme", "")
        answer = RedirectResponse(local_path(fields.get("back", "/")), 303)
        answer.set_cookie(
            "theme", theme if theme in THEMES else "", max_age=31536000, httponly=True, samesite="lax"
        )
        return answer

    @app.api_route("/find", methods=READS, include_in_schema=False)
    def _find(q: str = "", on: str = "") -> Response:
        return RedirectResponse(_found(shared, q, on_phone=on == "phone"), 303)

    for add in ROUTES:
        add(app, shared)

    @app.api_route("/{path:path}", methods=READS, include_in_schema=False)
    def _page(request: Request) -> Response:
        return shared.page(request, _address(request), {})

    return app


def _edited(shared: App, request: Request, fields: Mapping[str, str], back: str) -> Response:
    person = who(request.scope)
    if person is None or not may(person, "edit"):
        return PlainTextResponse("Your name may not change the plan.", 403)
    if find_page(back.partition("?")[0]) is None:
        return PlainTextResponse("There is no such page to go back to.", 400)
    try:
        asked = Asked(
            fields=fields,
            base=_base(fields.get("base", "")),
            key=key_with(fields.get("key", ""), {name: fields[name] for name in fields.keys() - NOT_SAID}),
            who=person.name,
        )
        if not asked.key:
            raise BadFormError('the form has no "key"')
        answer = carry_out(shared.live, asked)
    except BadFormError as error:
        return PlainTextResponse(f"This form cannot be read: {error}.", 400)
    if answer.status == 200:
        return RedirectResponse(back, 303)
    return shared.page(request, back, answer.errors, answer.status)


def _base(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) < 10):
        raise BadFormError('the form has no "base", the number of the plan it was made from')
    return int(text)


def _found(shared: App, asked: str, *, on_phone: bool) -> str:
    """Where a tank or a rack of that name is shown."""
    name = asked.strip()[:80]
    good = shared.live.snapshot.good
    room = good.room if good else None
    names = [*(tank.id for tank in room.tanks), *(rack.id for rack in room.racks)] if room else []
    known = next((one for one in names if one.casefold() == name.casefold()), None)
    if on_phone and known is not None:
        is_tank = room is not None and any(tank.id == known for tank in room.tanks)
        return tank_path(known) if is_tank else f"/racks#rack-{quote(known)}"
    page, asks = ("/racks", "lost") if on_phone else ("/", "at" if known else "lost")
    return f"{page}?{asks}={quote(known or name)}"


async def _prepare(live: LivePlan) -> None:
    """Warmth, and the pipes of a hall, are worked out far faster with compiled loops; no first page waits for them."""
    await asyncio.sleep(1.0)  # the first page comes first
    room = live.snapshot.good.room if live.snapshot.good is not None else None
    if room is not None and room.climate is not None:
        await to_thread.run_sync(compiled_steps, abandon_on_cancel=True)
    if room is not None and len(room.tanks) >= A_HALL:
        await to_thread.run_sync(compiled_loop, abandon_on_cancel=True)


async def _watch(live: LivePlan) -> None:
    while True:
        await asyncio.sleep(LOOK_AT_THE_DISK)
        try:
            await to_thread.run_sync(live.reread)
        except Exception:  # one look that failed must not be the last one
            _LOG.exception("looking at the plan's file failed")
