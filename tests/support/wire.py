"""The wire between bot and stand-in, for tests: a bot by hand, a clock to move, and a recording of what was sent."""

import asyncio
import io
import json
import time
import zlib
from collections.abc import AsyncIterator, Mapping
from contextlib import asynccontextmanager
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

import aiohttp

from bot.practice.exchange import Exchange
from bot.practice.service import Service

Json = dict[str, Any]


class HandClock:
    """Seconds since 1970 that run with the machine's and can be moved ahead."""

    def __init__(self) -> None:
        self.ahead = 0.0

    def __call__(self) -> float:
        return time.time() + self.ahead

    def move(self, seconds: float) -> None:
        """Let that many seconds pass at once."""
        self.ahead += seconds


class Recording:
    """Writes every exchange as a line of JSON: what `tests/contract/check_requests.py` reads. Give it as `recorder`."""

    def __init__(self, path: Path) -> None:
        path.parent.mkdir(parents=True, exist_ok=True)
        # Several processes may record into one file: an unbuffered line is one write, and appended writes do not mix.
        self._file = path.open("ab", buffering=0)

    def __call__(self, exchange: Exchange) -> None:
        self._file.write(f"{json.dumps(asdict(exchange))}\n".encode())

    def close(self) -> None:
        """Close the file."""
        self._file.close()


@dataclass(frozen=True)
class Reply:
    """An HTTP answer of the stand-in."""

    status: int
    body: Any
    headers: Mapping[str, str]

    @property
    def code(self) -> int | None:
        """The service's own error code."""
        return self.body.get("code") if isinstance(self.body, dict) else None


@dataclass
class RawBot:
    """A bot by hand: a gateway connection read packet by packet, and plain HTTP requests."""

    service: Service
    http: aiohttp.ClientSession
    socket: aiohttp.ClientWebSocketResponse
    compress: str | None = None
    packets: list[Json] = field(default_factory=list)
    _inflate: Any = field(default_factory=zlib.decompressobj)

    async def packet(self, within: float = 2.0) -> Json:
        """The next packet of the gateway. Raises ConnectionError with the close code if it is closed instead."""
        message = await self.socket.receive(timeout=within)
        if message.type is aiohttp.WSMsgType.TEXT:
            text = message.data
        elif message.type is aiohttp.WSMsgType.BINARY:
            text = self._inflate.decompress(message.data).decode()
        else:
            raise ConnectionError(self.socket.close_code)
        packet: Json = json.loads(text)
        self.packets.append(packet)
        return packet

    async def event(self, name: str, within: float = 2.0) -> Json:
        """The data of the next event of that name."""
        while True:
            packet = await self.packet(within)
            if packet["t"] == name:
                data: Json = packet["d"]
                return data

    async def send(self, op: int, data: object) -> None:
        """Send a packet."""
        await self.socket.send_str(json.dumps({"op": op, "d": data}))

    async def identify(self, intents: int = 1, **more: object) -> Json:
        """Log in, and return the data of READY."""
        await self.send(2, {"token": self.service.token, "intents": intents, "properties": {}, **more})
        return await self.event("READY")

    async def request(
        self,
        method: str,
        path: str,
        body: object = None,
        *,
        files: Mapping[str, bytes] | None = None,
        token: str | None = None,
        raw: bytes | None = None,
    ) -> Reply:
        """Send a request; with `files` as multipart."""
        headers = {"Authorization": f"Bot {self.service.token if token is None else token}"}
        url = self.service.base_url + path
        if files is not None:
            form = aiohttp.FormData(quote_fields=False)
            form.add_field("payload_json", json.dumps(body))
            for number, (name, content) in enumerate(files.items()):
                form.add_field(
                    f"files[{number}]", io.BytesIO(content), filename=name, content_type="application/octet-stream"
                )
            request = self.http.request(method, url, data=form, headers=headers)
        elif raw is not None:
            request = self.http.request(method, url, data=raw, headers={**headers, "Content-Type": "application/json"})
        else:
            request = self.http.request(method, url, json=body, headers=headers)
        async with request as response:
            text = await response.text()
            is_json = response.content_type == "application/json"
            return Reply(response.status, json.loads(text) if text and is_json else text, response.headers)

    async def answer(self, interaction: Json, body: object, *, files: Mapping[str, bytes] | None = None) -> Reply:
        """Answer an interaction."""
        path = f"/interactions/{interaction['id']}/{interaction['token']}/callback?with_response=1"
        return await self.request("POST", path, body, files=files)

    async def follow(self, interaction: Json, body: object, *, original: bool = False) -> Reply:
        """Send a follow-up message, or edit the first answer."""
        path = f"/webhooks/{self.service.application_id}/{interaction['token']}"
        if original:
            return await self.request("PATCH", f"{path}/messages/@original", body)
        return await self.request("POST", f"{path}?wait=1", body)


@asynccontextmanager
async def connected(service: Service, compress: str | None = None) -> AsyncIterator[RawBot]:
    """A bot that has opened the gateway and read HELLO, and has not logged in."""
    async with aiohttp.ClientSession() as http:
        url = f"{service.gateway_url}?v=10&encoding=json" + (f"&compress={compress}" if compress else "")
        async with http.ws_connect(url) as socket:
            bot = RawBot(service, http, socket, compress)
            assert (await bot.packet())["op"] == 10
            yield bot


@asynccontextmanager
async def online(service: Service, intents: int = 1) -> AsyncIterator[RawBot]:
    """A bot that has logged in and been told of every place."""
    async with connected(service) as bot:
        await bot.identify(intents)
        await service.wait_ready(2.0)
        yield bot


@asynccontextmanager
async def doing(coroutine: Any) -> AsyncIterator["asyncio.Task[Any]"]:
    """A person's action that goes on while the block answers it; cancelled at the end if it is not done."""
    task = asyncio.ensure_future(coroutine)
    try:
        yield task
    finally:
        task.cancel()
        await asyncio.gather(task, return_exceptions=True)
