"""The HTTP server: authorisation, refusals as JSON, faults, the recorder, files, and the gateway's websocket."""

import asyncio
import json
import secrets
from collections.abc import Awaitable, Callable

from aiohttp import web

from bot.practice import errors
from bot.practice.exchange import Exchange
from bot.practice.faults import Fault, FaultKind, Faults
from bot.practice.gateway import Gateway, cut
from bot.practice.requests import Body, read_body
from bot.practice.routes import PREFIX, Handler, Routes
from bot.practice.values import Attachment, Json

Recorder = Callable[[Exchange], None]
Work = Callable[[web.Request], Awaitable[web.StreamResponse]]
Files = Callable[[int], Attachment | None]
LARGEST_REQUEST = 120 * 1024 * 1024


class Server:
    """Serves the routes on 127.0.0.1."""

    def __init__(
        self,
        *,
        routes: Routes,
        gateway: Gateway,
        faults: Faults,
        files: Files,
        token: str,
        recorder: Recorder | None,
    ) -> None:
        self._gateway = gateway
        self._faults = faults
        self._files = files
        self._authorization = f"Bot {token}"
        self._recorder = recorder
        self._app = web.Application(client_max_size=LARGEST_REQUEST)
        for method, path, handler in routes.open_table():
            self._app.router.add_route(method, PREFIX + path, self._served(path, handler, guarded=False))
        for method, path, handler in routes.bot_table():
            self._app.router.add_route(method, PREFIX + path, self._served(path, handler, guarded=True))
        self._app.router.add_get("/gateway", gateway.handle)
        self._app.router.add_get("/attachments/{channel_id}/{attachment_id}/{filename}", self._file)
        self._app.router.add_route("*", "/{rest:.*}", self._served("", _nowhere, guarded=False))
        self._runner: web.AppRunner | None = None
        self.port = 0

    async def start(self, port: int) -> None:
        """Listen on the port of 127.0.0.1; 0 takes a free one."""
        self._runner = web.AppRunner(self._app, access_log=None, shutdown_timeout=0.1, handle_signals=False)
        await self._runner.setup()
        site = web.TCPSite(self._runner, "127.0.0.1", port)
        await site.start()
        self.port = self._runner.addresses[0][1]

    async def stop(self) -> None:
        """Cut all connections and stop listening."""
        self._faults.clear()
        self._gateway.close()
        if self._runner is not None:
            await self._runner.cleanup()
            self._runner = None

    def _served(self, template: str, handler: Handler, *, guarded: bool) -> Work:
        async def serve(request: web.Request) -> web.StreamResponse:
            path = request.path.removeprefix(PREFIX)
            body = Body(None, {})
            response: web.StreamResponse | None = None
            try:
                body = await read_body(request)
                if guarded and not secrets.compare_digest(
                    request.headers.get("Authorization", ""), self._authorization
                ):
                    raise errors.unauthorized()
                response = await self._with_faults(request, path, body, handler)
            except errors.ApiError as refusal:
                response = _json(refusal.body, status=refusal.status)
            finally:
                self._record(request, path, template, body, response)
            return response

        return serve

    async def _with_faults(self, request: web.Request, path: str, body: Body, handler: Handler) -> web.StreamResponse:
        """The work of a request between the faults of its two sides."""
        before = self._faults.take(request.method, path, after_accepting=False)
        if before is not None:
            broken = await self._break(request, before)
            if broken is not None:
                return broken
        answer = handler(request, body)
        after = self._faults.take(request.method, path, after_accepting=True)
        if after is not None:
            broken = await self._break(request, after)
            if broken is not None:
                return broken
        return web.Response(status=204) if answer is None else _json(answer)

    async def _break(self, request: web.Request, fault: Fault) -> web.StreamResponse | None:
        """Let a fault happen; returns the response it gives in the place of the true one, None if it only waits."""
        if fault.kind is FaultKind.HOLD:
            await fault.hold.wait()
            return None
        if fault.kind is FaultKind.FAIL:
            return _json({"message": f"{fault.status}: Service Unavailable", "code": 0}, status=fault.status)
        if fault.kind is FaultKind.RATE_LIMIT:
            return _rate_limited(fault)
        if isinstance(request.transport, asyncio.Transport):
            cut(request.transport)
        return Reset()

    def _record(
        self, request: web.Request, path: str, template: str, body: Body, response: web.StreamResponse | None
    ) -> None:
        if self._recorder is None:
            return
        sent = response if isinstance(response, web.Response) and not isinstance(response, Reset) else None
        self._recorder(
            Exchange(
                method=request.method,
                path=path,
                template=template,
                query=dict(request.query),
                body=body.value,
                files=tuple(upload.filename for upload in body.uploads.values()),
                status=sent.status if sent else 0,
                response=sent.text if sent else None,
            )
        )

    async def _file(self, request: web.Request) -> web.StreamResponse:
        text = request.match_info["attachment_id"]
        item = self._files(int(text)) if text.isdigit() else None
        if item is None:
            return web.Response(status=404)
        return web.Response(body=item.content, content_type=item.content_type.split(";")[0])


class Reset(web.Response):
    """A response that is never sent: its connection is gone."""


def _json(value: object, status: int = 200, headers: dict[str, str] | None = None) -> web.Response:
    """JSON with the bare content type that the service sends; the client compares it whole."""
    body = json.dumps(value, separators=(",", ":")).encode()
    return web.Response(body=body, status=status, headers={"Content-Type": "application/json", **(headers or {})})


def _nowhere(request: web.Request, body: Body) -> Json:
    raise errors.not_found()


def _rate_limited(fault: Fault) -> web.Response:
    """429 as documented: the wait in header and body, and a `Via`; without one the client takes it for a ban."""
    headers = {
        "Retry-After": str(max(1, round(fault.retry_after))),
        "Via": "1.1 practice",
        "X-RateLimit-Scope": "global" if fault.everywhere else "user",
    }
    if fault.everywhere:
        headers["X-RateLimit-Global"] = "true"
    body = {"message": "You are being rate limited.", "retry_after": fault.retry_after, "global": fault.everywhere}
    return _json(body, status=429, headers=headers)
