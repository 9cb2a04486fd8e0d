"""The API where the app mounts it: loaded when it is asked for the first time, so that no page waits for it."""

from __future__ import annotations

from threading import Lock

from starlette.types import ASGIApp, Receive, Scope, Send

from tankwright.web.api.shared import Shared


class LazyApi:
    """The API, built when it is asked for the first time: the pages need not wait for it at the start."""

    def __init__(self, shared: Shared) -> None:
        self._shared = shared
        self._lock = Lock()
        self._api: ASGIApp | None = None

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one request."""
        await self._built()(scope, receive, send)

    def _built(self) -> ASGIApp:
        with self._lock:
            if self._api is None:
                from tankwright.web.api.app import build_api  # noqa: PLC0415 - its models take long to load

                self._api = build_api(self._shared)
            return self._api
